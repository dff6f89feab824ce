"""The tests mirror the package: who looks for the test of a module finds it under the name of that module.

`castlab/field/grid.py` is tested in `tests/field/test_grid.py` or `tests/field/test_grid_of_something.py`.
"""

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TESTS = ROOT / "tests"
# of the tests: of the modules
PLACES = {"rules": "rules", "field": "field", "shop": "shop", "lessons": "teach/lessons"}
OF_A_WHOLE_FOLDER = {
    "field/test_behaviour.py", "field/test_feeding_behaviour.py",  # what a founder would bet on
    "field/test_new_alloys_pour.py", "field/test_refusals.py",  # from the part to the account
}
MIRRORING = sorted(path for folder in (*PLACES, "teach") for path in (TESTS / folder).rglob("test_*.py"))


def mirrored(path):
    """Whether a test file bears the name of a module of its folder, alone or with more words behind it."""
    folder, words = path.parent.relative_to(TESTS).as_posix(), path.stem.removeprefix("test_").split("_")
    modules = ROOT / "castlab" / PLACES.get(folder, folder)
    return any((modules / f"{'_'.join(words[:count])}.py").is_file() for count in range(1, len(words) + 1))


@pytest.mark.parametrize("path", MIRRORING, ids=lambda path: path.relative_to(TESTS).as_posix())
def test_a_test_file_bears_the_name_of_a_module(path):
    assert mirrored(path) != (path.relative_to(TESTS).as_posix() in OF_A_WHOLE_FOLDER)


def test_a_name_that_no_module_has_is_seen():
    assert mirrored(TESTS / "field" / "test_grid_of_something.py")
    assert not mirrored(TESTS / "field" / "test_gridiron.py")
    assert not mirrored(TESTS / "rules" / "test_grid.py")
    assert MIRRORING and OF_A_WHOLE_FOLDER <= {path.relative_to(TESTS).as_posix() for path in MIRRORING}
