"""The walls of the house: who may import whom. Read from the source, so that lazy imports count as well.

    units <- errors <- materials <- rules <- teach
                     materials <- field <- teach
    errors <- plan <- field, teach
    rules <- shop <- teach

rules and field never meet: each checks the other. In teach a room imports from rooms of lower floors only.
"""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "castlab"
MODULES = sorted(PACKAGE.rglob("*.py"))
LONGEST_FILE = 500

# For each room: the rooms it may import from, and the third-party libraries.
BASE = {"errors", "units", "materials", "outside"}
ROOMS = {
    "units": set(),
    "errors": {"units"},
    "materials": {"errors", "units"},
    "plan": {"errors"},
    "outside": {"errors"},
    "rules": BASE | {"rules"},
    "field": BASE | {"plan", "field"},
    "shop": BASE | {"rules", "shop"},
    "teach": BASE | {"plan", "rules", "field", "shop", "teach"},
    "": BASE | {"rules", "field"},  # castlab/__init__.py hands out names and never loads a widget
}
# The floors of teach, lowest first. What stands straight in teach is the roof, and may import all.
FLOORS = (("text", "picture", "sliders"), ("work",), ("course",), ("bench",),
          ("panels", "melt", "trust"), ("shop",), ("own_part",), ("read_defect",),
          ("exercise",), ("marking",), ("bad_examples",), ("lessons",), ("pages", "site"))
FLOOR_OF = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}
MOST_ON_THE_ROOF = 10
CALCULATION = {"numpy", "scipy"}
SCREEN = {"ipywidgets", "anywidget", "matplotlib", "IPython", "traitlets", "PIL", "nbformat"}
NO_WIDGETS = {"text": CALCULATION | {"jinja2", "markupsafe"}, "sliders": CALCULATION, "course": CALCULATION,
              "picture": CALCULATION | {"matplotlib", "PIL"}}
LIBRARIES = {
    "errors": set(),
    "units": set(),
    "materials": {"numpy"},
    "plan": set(),
    "outside": set(),
    "rules": CALCULATION,
    "field": CALCULATION,
    "shop": set(),
    "teach": CALCULATION | SCREEN,
    "": set(),
}


def imported_names(source, module):
    """Every dotted name that a module imports; relative names are made absolute.

    `from castlab.a import b` counts as castlab.a and castlab.a.b, because b may be a module;
    `from castlab import a` counts as castlab.a alone.
    """
    names = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = module.split(".")[: -node.level] if node.level else []
            origin = ".".join(above + ([node.module] if node.module else []))
            names.update({origin} - {"castlab"})
            names.update(f"{origin}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Call) and called_name(node) in ("import_module", "__import__"):
            names.update(arg.value for arg in node.args[:1] if isinstance(arg, ast.Constant))
    return names


def called_name(call):
    return getattr(call.func, "attr", getattr(call.func, "id", ""))


def room_of(path):
    """The room a file belongs to: its folder below castlab, or its own name at the top."""
    first = Path(path).parts[1]
    return "" if first == "__init__.py" else first.removesuffix(".py")


def broken_walls(path, source):
    """What this file imports and must not. `path` is relative to the repository."""
    room = room_of(path)
    rooms, libraries = ROOMS[room], LIBRARIES[room]
    inner = Path(path).parts[2] if room == "teach" else ""
    libraries = NO_WIDGETS.get(inner, libraries)
    module = path.removesuffix(".py").replace("/", ".")
    names = imported_names(source, module)
    return sorted(name for name in names
                  if not allowed(name, room, rooms, libraries) or not from_below(name, inner))


def from_below(name, inner):
    """Whether a room of teach may import a name: from itself, a lower floor, or from outside teach."""
    *house, other = name.split(".")[:3]
    if house != ["castlab", "teach"] or inner not in FLOOR_OF or other == inner:
        return True
    return FLOOR_OF.get(other, len(FLOORS)) < FLOOR_OF[inner]


def allowed(name, room, rooms, libraries):
    """Below teach, the short names of castlab/__init__ are refused: they would be a way round the walls."""
    first, *rest = name.split(".")
    if first != "castlab":
        return first in sys.stdlib_module_names or first in libraries
    return room == "teach" or bool(rest) and rest[0] in rooms


def loaded_by(program):
    """The names of all modules that a fresh Python has loaded after this program."""
    command = [sys.executable, "-c", program + "\nimport sys; print(*sys.modules)"]
    done = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True, cwd=ROOT)
    return set(done.stdout.split())


def load_all_rules():
    """A program that imports every module of castlab.rules."""
    files = sorted((PACKAGE / "rules").glob("*.py"))
    return "\n".join(f"import castlab.rules.{path.stem}" for path in files if path.stem != "__init__")


@pytest.mark.parametrize("path", [path.relative_to(ROOT).as_posix() for path in MODULES])
def test_no_file_imports_through_a_wall(path):
    assert broken_walls(path, (ROOT / path).read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "path, source, caught",
    [
        ("castlab/rules/modulus.py", "from castlab.field.grid import Grid", "castlab.field.grid"),
        ("castlab/rules/modulus.py", "def f():\n    from castlab.field import freeze", "castlab.field"),
        ("castlab/rules/modulus.py", "from ..field import grid", "castlab.field.grid"),
        ("castlab/rules/modulus.py", "import castlab", "castlab"),
        ("castlab/rules/modulus.py", "from castlab import freeze", "castlab.freeze"),
        ("castlab/rules/modulus.py", "import matplotlib.pyplot as plt", "matplotlib.pyplot"),
        ("castlab/rules/modulus.py", "import pandas", "pandas"),
        ("castlab/field/freeze.py", "import castlab.rules.freezing", "castlab.rules.freezing"),
        ("castlab/field/freeze.py", "__import__('castlab.rules')", "castlab.rules"),
        ("castlab/field/freeze.py", "importlib.import_module('castlab.rules')", "castlab.rules"),
        ("castlab/field/shrinkage.py", "from castlab.teach import bench", "castlab.teach"),
        ("castlab/field/cures.py", "import ipywidgets", "ipywidgets"),
        ("castlab/field/cures.py", "from castlab.rules import feeding", "castlab.rules"),
        ("castlab/materials.py", "import scipy", "scipy"),
        ("castlab/materials.py", "from castlab.rules import modulus", "castlab.rules"),
        ("castlab/__init__.py", "from castlab.teach.bench.bench import Bench", "castlab.teach.bench.bench"),
        ("castlab/teach/bench/bench.py", "import pandas", "pandas"),
        ("castlab/plan.py", "import numpy", "numpy"),
        ("castlab/shop/book.py", "from castlab.field import outcome", "castlab.field"),
        ("castlab/shop/book.py", "import ipywidgets", "ipywidgets"),
        ("castlab/rules/modulus.py", "from castlab.shop import book", "castlab.shop"),
        ("castlab/plan.py", "from castlab.materials import alloy", "castlab.materials"),
        ("castlab/teach/sliders/slider.py", "import ipywidgets", "ipywidgets"),
        ("castlab/teach/melt/pour_sheet_page.py", "import jinja2", "jinja2"),
        ("castlab/teach/picture/raster.py", "import ipywidgets as widgets", "ipywidgets"),
        ("castlab/teach/bench/bench.py", "from castlab.teach.panels import x", "castlab.teach.panels"),
        ("castlab/teach/melt/melt.py", "from castlab.teach.panels.x import y", "castlab.teach.panels.x"),
        ("castlab/teach/melt/melt.py", "from castlab.teach import gallery", "castlab.teach.gallery"),
    ],
)
def test_a_broken_wall_is_seen(path, source, caught):
    assert caught in broken_walls(path, source)


@pytest.mark.parametrize(
    "path, source",
    [
        ("castlab/rules/feeding.py", "from castlab.rules.modulus import plate\nimport math, scipy"),
        ("castlab/rules/feeding.py", "from . import modulus\nfrom ..materials import alloy"),
        ("castlab/teach/bench/bench.py", "from castlab import freeze, alloy\nimport ipywidgets, matplotlib"),
        ("castlab/__init__.py", "from castlab import materials\nfrom castlab.field import freeze"),
        ("castlab/teach/melt/melt.py", "from castlab.teach.melt import x\nfrom castlab.teach.text import y"),
        ("castlab/teach/gallery.py", "from castlab.teach.lessons import x\nimport castlab.teach.figures"),
    ],
)
def test_what_is_allowed_passes(path, source):
    assert broken_walls(path, source) == []


def test_every_room_is_known():
    assert {room_of(path.relative_to(ROOT)) for path in MODULES} <= set(ROOMS)


def test_every_room_of_teach_has_a_floor():
    teach = PACKAGE / "teach"
    rooms = {path.parent.name for path in teach.rglob("*.py") if path.parent != teach}
    assert rooms == set(FLOOR_OF)
    assert len([path for path in teach.glob("*.py") if path.stem != "__init__"]) <= MOST_ON_THE_ROOF


@pytest.mark.parametrize("folder", ["castlab", "tests", "figures"])
def test_no_file_is_too_long_to_read(folder):
    lengths = {path.relative_to(ROOT).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
               for path in (ROOT / folder).rglob("*.py")}
    assert {path: length for path, length in lengths.items() if length > LONGEST_FILE} == {}


def test_materials_and_rules_start_without_scipy():
    loaded = loaded_by("import castlab, castlab.materials, castlab.rules\n" + load_all_rules())
    assert {"castlab.materials", "castlab.rules", "numpy"} <= loaded
    assert not {"scipy", "matplotlib", "ipywidgets"} & loaded


def test_freezing_is_computed_without_a_hand_rule():
    loaded = loaded_by("import castlab.field.freeze")
    assert "castlab.field.freeze" in loaded
    assert not [name for name in loaded if name.startswith(("castlab.rules", "castlab.teach"))]


def test_the_rules_are_computed_without_the_field():
    loaded = loaded_by(load_all_rules())
    assert "castlab.rules" in loaded
    assert not [name for name in loaded if name.startswith(("castlab.field", "castlab.teach"))]
