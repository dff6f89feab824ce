"""Every notebook: stored clean, in the agreed form, and every slider at both ends and in the middle.

nbval runs lessons and instructor's notebooks cell by cell in a kernel; here they run in this process, once
each, so that what is on the benches can be moved and looked at; all who look at one share what it gave. The
worked answers run here alone; `.ci/run` has them run in a kernel too.
"""

from pathlib import Path

import nbformat
import pytest
from let_go import let_benches_go
from opened import code_cells, read, run
from shares import every, mostly_slow

from castlab.teach.bench.bench import Bench
from castlab.units import INCH_POUND, METRIC

ROOT = Path(__file__).resolve().parents[2] / "notebooks"
NOTEBOOKS = sorted(path for path in ROOT.rglob("*.ipynb") if ".ipynb_checkpoints" not in path.parts)
START = ROOT / "lessons" / "00_start_here.ipynb"  # the course on one page, and no lesson
LESSONS = [path for path in NOTEBOOKS if path.parent.name == "lessons" and path != START]
ANSWERS = [path for path in NOTEBOOKS if path.parent.name == "answers"]
INSTRUCTORS = [path for path in NOTEBOOKS if path not in [START, *LESSONS, *ANSWERS]]
CHECKED = "nbval-check-output"
FORM = ["What you will be able to do", "What you need", "One minute of theory", "Say what you expect",
        "The bench", "Printed numbers", "Were you right, and why", "Task", "What this model leaves out",
        "Where to read more"]
MOST_WORDS, MOST_LINES = 1500, 3


def names(paths):
    return [path.relative_to(ROOT).as_posix() for path in paths]


def each(paths, quick=None):
    """The notebooks as cases; where `quick` ones are named by their beginnings, the others are slow."""
    belong = [path for path in paths if quick is None or path.name.startswith(quick)]
    return pytest.mark.parametrize("path", mostly_slow(paths, belong), ids=names(paths))


def prose(path):
    return "\n".join(cell.source for cell in read(path).cells if cell.cell_type == "markdown")


@pytest.fixture(scope="module")
def opened(request):
    yield run(request.param)
    let_benches_go()


def each_opened(paths, quick=None):
    """One execution of each, whoever looks. Lessons stand first in every list: pytest sorts by place. All but
    every fourth are slow: nbval runs each of them anyway."""
    return pytest.mark.parametrize("opened", every(4, paths), ids=names(paths), indirect=True)


@pytest.fixture
def benches(opened):
    """The benches of a notebook with their results shown; afterwards they stand as at first."""
    found = opened.all(Bench)
    for bench in found:
        bench.reveal()
    yield found
    for bench in found:
        bench.speak(METRIC)
        bench.start_again()


def looked_at(bench, what):
    """What must hold of every bench at every moment."""
    assert bench.alert == "", (what, bench.alert)
    assert len(bench.sentence) > 20, what
    assert bytes(bench._image.value).startswith(b"\x89PNG"), what


def test_there_are_notebooks():
    assert LESSONS and ANSWERS


@each(NOTEBOOKS)
def test_it_is_stored_clean(path):
    notebook = read(path)
    nbformat.validate(notebook)
    assert "widgets" not in notebook.metadata and notebook.metadata.kernelspec.name == "python3"
    for cell in code_cells(path):
        assert {output.output_type for output in cell.outputs} <= {"stream"}
        assert not [output for output in cell.outputs if output.name == "stderr"]


@each(NOTEBOOKS)
def test_some_numbers_in_it_are_checked(path):
    checked = [cell for cell in code_cells(path) if CHECKED in cell.metadata.get("tags", [])]
    assert checked
    for cell in checked:
        assert "".join(output.text for output in cell.outputs).strip()


@each(NOTEBOOKS)
def test_nothing_is_marked_to_be_ignored(path):
    for cell in code_cells(path):
        tags = set(cell.metadata.get("tags", []))
        assert not tags & {"nbval-ignore-output", "nbval-skip", "nbval-raises-exception", "raises-exception"}


@each(LESSONS)
def test_a_lesson_has_the_one_form(path):
    headings = [line.lstrip("# ") for line in prose(path).splitlines() if line.startswith("#")]
    first = [[i for i, heading in enumerate(headings) if heading.startswith(part)][:1] for part in FORM]
    assert all(first) and first == sorted(first), list(zip(FORM, first, strict=True))
    assert 4 <= len(code_cells(path)) <= 10
    for cell in code_cells(path):
        assert len([line for line in cell.source.splitlines() if line]) <= MOST_LINES, cell.source
    assert len(prose(path).split()) < MOST_WORDS


@each([START, *LESSONS])
def test_it_says_how_to_start_and_its_commands_are_folded_away(path):
    """JupyterLab opens them at a click; nobody need read them."""
    assert "**Run → Run All Cells**" in read(path).cells[0].source
    for cell in code_cells(path):
        assert cell.metadata.get("jupyter") == {"source_hidden": True}, cell.source


@each(LESSONS)
def test_a_lesson_has_its_answers(path):
    assert path.name in [answer.name for answer in ANSWERS]


@each_opened(LESSONS)
def test_running_all_ends_with_the_question_and_tells_nothing(opened):
    assert opened.answered and not any(opened.answered)
    assert opened.all(Bench) and not opened.told
    assert not any(opened.done)


@pytest.mark.slow
@each_opened(LESSONS + INSTRUCTORS)
def test_every_slider_goes_to_both_ends_and_the_middle_and_rests_there(benches):
    for bench in benches:
        for name, control in bench.controls.items():
            for value in control.range():
                control.value = value  # as a hand moves it: the quick answer
                looked_at(bench, (name, value))
                assert bench.error is None, (name, value, bench.error)
                bench.settle()
                looked_at(bench, (name, value, "at rest"))
                assert bench.error is None, (name, value, bench.error)
            bench.start_again()


@pytest.mark.slow
@each_opened(LESSONS)
def test_all_sliders_at_their_ends_at_once(benches):
    """Extremes together may be impossible to cast; then the bench says so and goes on."""
    for bench in benches:
        for end in (0, 2):
            for part in ("choice", "length", "temperature"):  # another alloy has other temperatures
                moved = [control for control in bench.controls.values() if control.slider.kind == part]
                for control in moved + moved:  # twice: one that follows another has its own end later
                    control.value = control.range()[end]
            looked_at(bench, end)
        bench.settle()
        looked_at(bench, "at rest")


@pytest.mark.slow
@each_opened(LESSONS)
def test_all_sliders_rest_at_their_ends_at_once(benches):
    """All in one move, so that what follows another may stand where it could before: a very narrow neck."""
    for bench in benches:
        for end in (0, 2):
            for part in ("choice", "length", "temperature"):
                bench.set(**{name: control.range()[end] for name, control in bench.controls.items()
                             if control.slider.kind == part})
            looked_at(bench, end)


@pytest.mark.slow
@each_opened(LESSONS)
def test_inches_change_every_number_and_back(benches):
    for bench in benches:
        sentence, picture = bench.sentence, bench._image.value
        bench.speak(INCH_POUND)
        looked_at(bench, "inch")
        words = bench.sentence + bench._numbers.value
        assert "cm3" not in words and "cm³" not in words and " mm" not in words and "°C" not in words
        bench.speak(METRIC)
        assert (bench.sentence, bench._image.value) == (sentence, picture)


@pytest.mark.slow
@each(ANSWERS, quick=("01",))
def test_the_answers_are_right(path):
    """The answers predict, do every task, and print what is stored."""
    opened = run(path)
    let_benches_go()
    assert opened.answered and all(opened.answered)
    assert len(opened.done) >= 3 and all(opened.done)
    for cell, printed in zip(code_cells(path), opened.printed, strict=True):
        if CHECKED in cell.metadata.get("tags", []):
            assert "".join(output.text for output in cell.outputs) == printed, cell.source
