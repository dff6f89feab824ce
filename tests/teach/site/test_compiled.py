"""Wheels are made light: what nobody asks for leaves, the rest is compiled and does what it did before."""

import subprocess
import sys
import zipfile

import pytest

from castlab.teach.site.compiled import LEFT_OUT, NOT_NEEDED, make_light, python_for, rewrite, without
from castlab.teach.site.distribution import STDLIB, sha256

FILES = {"knob/__init__.py": "from knob.size import SIZE\n", "knob/size.py": "SIZE = 30\n",
         "knob/drawn.svg": "<svg/>", "knob/tests/test_size.py": "assert False\n",
         "knob/templates/page.py": "not { Python\n", "knob-1.dist-info/METADATA": "Name: knob\n"}
HERE = {"python": "%d.%d.0" % sys.version_info[:2]}


@pytest.fixture
def wheel(tmp_path):
    path = tmp_path / "knob-1-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in FILES.items():
            archive.writestr(name, text)
    return path


def names_in(path):
    with zipfile.ZipFile(path) as archive:
        return set(archive.namelist())


def test_modules_are_compiled_and_still_run(wheel):
    rewrite(wheel, sys.executable, left_out=("*/tests/*",))
    assert names_in(wheel) == {"knob/__init__.pyc", "knob/size.pyc", "knob/drawn.svg",
                               "knob/templates/page.py", "knob-1.dist-info/METADATA"}
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(wheel.parent / "unpacked")
    done = subprocess.run([sys.executable, "-c", "import knob; print(knob.SIZE, knob.__file__)"], text=True,
                          stdout=subprocess.PIPE, cwd=wheel.parent / "unpacked", check=True)
    assert done.stdout.startswith("30 ") and done.stdout.strip().endswith("__init__.pyc")


def test_what_shall_stay_as_it_is_does(wheel):
    rewrite(wheel, sys.executable, as_they_are=("knob/size.py",))
    assert {"knob/__init__.pyc", "knob/size.py"} < names_in(wheel)


def test_without_a_python_nothing_is_compiled(wheel):
    rewrite(wheel, None, left_out=("*/tests/*",))
    assert names_in(wheel) == FILES.keys() - {"knob/tests/test_size.py"}


def test_equal_files_make_equal_wheels(wheel):
    rewrite(wheel, sys.executable)
    first = wheel.read_bytes()
    rewrite(wheel, sys.executable)
    assert wheel.read_bytes() == first


def test_the_list_tells_the_new_files_and_pythons_own_library_is_compiled_too(wheel):
    with zipfile.ZipFile(wheel.parent / STDLIB, "w") as archive:
        archive.writestr("this_one.py", "print(1)\n")
    (wheel.parent / "lib.zip").write_bytes(b"no wheel")
    before = {"knob": {"file_name": wheel.name, "sha256": sha256(wheel), "depends": []},
              "lib": {"file_name": "lib.zip", "sha256": sha256(wheel.parent / "lib.zip"), "depends": []}}
    found = make_light(wheel.parent, before, sys.executable)
    assert found["knob"]["sha256"] == sha256(wheel) != before["knob"]["sha256"]
    assert found["lib"] == before["lib"] and (wheel.parent / "lib.zip").read_bytes() == b"no wheel"
    assert names_in(wheel.parent / STDLIB) == {"this_one.pyc"}


def test_a_python_of_that_version_is_found_and_no_other(tmp_path, monkeypatch):
    assert python_for(HERE) == sys.executable
    assert python_for({"python": "3.99.1"}) is None and python_for({}) is None
    shim = tmp_path / "python3.99"
    shim.write_text("#!/bin/sh\nexit 127\n")
    shim.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert python_for({"python": "3.99.1"}) is None  # it only calls itself so


def test_packages_that_are_not_needed_leave_with_all_that_asks_for_them():
    entry = {"depends": ["numpy", *NOT_NEEDED]}
    assert without({"matplotlib": entry, **dict.fromkeys(NOT_NEEDED, {"depends": []})}) == {
        "matplotlib": {"depends": ["numpy"]}}


def test_no_part_of_scipy_that_leaves_is_imported_here():
    """By castlab whole, and by the parts of scipy that it asks for."""
    left = sorted(pattern.removesuffix("/*").replace("/", ".") for pattern in LEFT_OUT["scipy"]
                  if pattern.endswith("/*"))
    program = ("import pkgutil, sys, castlab\nfrom scipy import optimize, special\n"
               "for each in pkgutil.walk_packages(castlab.__path__, 'castlab.'):\n"
               "    if not each.name.endswith('__main__'): __import__(each.name)\n"
               f"print([name for name in {left} if name in sys.modules])")
    done = subprocess.run([sys.executable, "-c", program], text=True, stdout=subprocess.PIPE, check=True)
    assert "scipy.signal" in left and done.stdout.strip() == "[]"
