"""What README.md says must be true: commands, folders, versions (links, cautions: files of these names)."""

import doctest
import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
CI = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
MADE_BY_USE = (".venv", "my_lessons")  # folders that a command makes and git ignores


def commands(start):
    return [line for line in README.splitlines() if line.startswith(start)]


UNIX = commands("python3 -m venv")
WINDOWS = commands("py -3 -m venv")


def steps(command):
    """What a command does, without how each system says it."""
    words = re.findall(r"-m [\w.]+|requirements\.txt|jupyter lab|\d\d_\w+\.ipynb", command)
    return [word for word in words if word != "-m pip"]


def pins(path):
    lines = (ROOT / path).read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")]


def test_there_are_two_commands_and_each_stands_alone():
    assert len(UNIX) == 2
    for line in UNIX:
        assert re.match(r"python3 -m venv \.venv && \S+pip install --quiet -r requirements\.txt && ", line)
        assert not line.endswith("\\")


def test_the_first_command_opens_a_lesson_that_exists_in_the_ignored_copy():
    folder, name = re.search(r"jupyter lab (\w+)/(\S+)$", UNIX[0]).groups()
    assert "castlab.teach.working_copy && " in UNIX[0]
    assert f"{folder}/" in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
    assert (ROOT / "notebooks" / "lessons" / name).is_file()


def test_the_second_command_runs_all_tests_of_the_project():
    assert UNIX[1].endswith(" -m pytest")


def test_windows_does_the_same():
    assert [steps(line) for line in WINDOWS] == [steps(line) for line in UNIX]
    assert len(steps(UNIX[0])) == 5 and len(steps(UNIX[1])) == 3


def test_pytest_runs_every_notebook_and_only_folders_of_the_project():
    """The answers run in tests/whole/test_notebooks.py; in a kernel only where `.ci/run` names them."""
    folders = PROJECT["tool"]["pytest"]["ini_options"]["testpaths"]
    assert not [folder for folder in folders if folder.startswith(MADE_BY_USE) or folder == "."]
    assert {"tests", "castlab"} <= set(folders)
    assert " -m pytest notebooks/answers notebooks/instructor/example_exercise\n" in CI
    folders = [*folders, "notebooks/answers"]
    for notebook in (ROOT / "notebooks").rglob("*.ipynb"):
        name = notebook.relative_to(ROOT)
        if ".ipynb_checkpoints" not in name.parts:
            assert any(name.is_relative_to(folder) for folder in folders), f"{name} is not tested"


def test_what_is_installed_is_pinned():
    *pinned, project = pins("requirements.txt")
    assert project == "-e ."
    for line in pinned + pins("tests/browser/requirements.txt"):
        assert re.fullmatch(r"[\w-]+==[\d.]+", line), line
    assert {line.split("==")[0] for line in pinned} >= {
        "jupyterlab", "ipywidgets", "anywidget", "numpy", "scipy", "matplotlib", "pytest", "nbval",
        "hypothesis", "ruff"}


def test_the_python_named_is_the_python_needed():
    needed = PROJECT["project"]["requires-python"].removeprefix(">=")
    assert f"Python {needed} or newer" in README


def test_every_data_file_is_packed():
    patterns = PROJECT["tool"]["setuptools"]["package-data"]["castlab"]
    packed = {path for pattern in patterns for path in (ROOT / "castlab").glob(pattern)}
    data = {path for path in (ROOT / "castlab").rglob("*")
            if path.is_file() and path.suffix not in (".py", ".pyc")}
    assert {path.parent.name for path in data} == {"data", "templates", "bench", "own_part", "pages", "site"}
    assert data <= packed


def test_the_picture_is_one():
    picture = re.search(r"!\[(.+?)\]\((.+?\.png)\)", README)
    assert len(picture[1]) > 40  # words for those who cannot see it
    assert (ROOT / picture[2]).read_bytes().startswith(b"\x89PNG")


def test_what_is_called_from_python_gives_what_is_printed():
    (calls,) = re.findall(r"```pycon\n(.*?)```", README, flags=re.DOTALL)
    examples = doctest.DocTestParser().get_doctest(calls, {}, "README.md", "README.md", 0)
    assert len(examples.examples) > 8
    assert doctest.DocTestRunner().run(examples).failed == 0
