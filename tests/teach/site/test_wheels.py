"""Wheels hold what a browser's Python needs, nothing that is compiled, and are the same each time."""

import os
import subprocess
import sys
import zipfile

import pytest

from castlab.teach.site import wheels
from castlab.teach.site.distribution import sha256

BENCH = """
import castlab
from castlab.teach.bench.ready_made import eye_plate_bench
bench = eye_plate_bench()
print(castlab.__file__, bench.sentence, len(bench.png) > 5000)
"""
COMPILED_HERE = """
import markupsafe, psygnal
print(markupsafe.escape("<"), markupsafe.__file__)
class Slider:
    moved = psygnal.Signal(int)
slider = Slider()
slider.moved.connect(print)
slider.moved.emit(3)
"""


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheels")
    return folder, wheels.write_wheels(folder)


@pytest.mark.slow
def test_castlab_in_its_wheel_draws_and_says_what_it_does_here(written):
    folder, entries = written
    place, words = printed(BENCH, unpacked(folder, entries["castlab"])).split(" ", 1)
    assert place.startswith(str(folder)) and words.endswith("True\n")
    assert words == printed(BENCH, wheels.CASTLAB.parent).split(" ", 1)[1]


def unpacked(folder, *entries):
    for entry in entries:
        zipfile.ZipFile(folder / entry["file_name"]).extractall(folder / "unpacked")
    return folder / "unpacked"


def printed(program, path):
    """What a program prints when the modules of this folder come first."""
    return subprocess.run([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True, check=True,
                          cwd=path, env=os.environ | {"PYTHONPATH": str(path)}).stdout


def test_each_wheel_is_what_its_entry_says_and_nothing_in_it_is_compiled(written):
    folder, entries = written
    for name, entry in entries.items():
        assert sha256(folder / entry["file_name"]) == entry["sha256"], name
        inside = zipfile.ZipFile(folder / entry["file_name"]).namelist()
        assert not [file for file in inside if file.endswith((".so", ".pyd", ".pyc"))], name
        assert entry["imports"] and {file.split("/")[0].removesuffix(".py") for file in inside
                                     if ".dist-info" not in file} == set(entry["imports"])


def test_packages_that_have_compiled_parts_go_without_them(written):
    folder, entries = written
    path = unpacked(folder, entries["markupsafe"], entries["psygnal"])
    assert printed(COMPILED_HERE, path).splitlines() == [f"&lt; {path / 'markupsafe' / '__init__.py'}", "3"]


def test_equal_files_make_equal_wheels_and_another_file_another_version(written, tmp_path):
    _, before = written
    assert wheels.write_wheels(tmp_path) == before
    files = wheels.castlab_files()
    changed = files | {"castlab/errors.py": files["castlab/units.py"]}
    assert wheels.number_of(files) == before["castlab"]["version"] != wheels.number_of(changed)
