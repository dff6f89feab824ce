"""What may stand on a part of one's own: feeders, gates and chills, each with its sizes and where it was put.

What can be chosen is a name and a value, such as "feeder_1_width": so searches can change it, and it is small
to send. `castlab.field.own_rigging` finds the free face for each, and its `rigged` takes these names.
"""

import re
from dataclasses import dataclass, fields

from castlab.errors import InputError, require_between, require_known, require_number
from castlab.field.faces import BESIDE, SIDES
from castlab.field.layout import AXIS_NAMES
from castlab.field.own_part import FARTHEST_M
from castlab.field.rigging import BLIND, CHILLS, OPEN, SLEEVES

ROUND, SQUARE = "round", "square"
MOST_OF_A_KIND = 6
GATE_M = 4e-3
NAME = re.compile(r"(feeder|gate|chill)_([1-9])_([a-z_]+)")


@dataclass(frozen=True)
class Feeder:
    """A feeder on the face that looks to `side`, beside the place x, y, z [m]; sizes [m], 0 for none.

    width is the diameter of a round one; 0 keeps its place free. An open one rises to the highest of all open
    ones.
    """

    x: float
    y: float
    z: float
    side: str = "top"
    width: float = 30e-3
    height: float = 45e-3
    shape: str = ROUND
    top: str = OPEN
    neck: float = 0.0
    sleeve_thickness: float = 0.0
    sleeve: str = SLEEVES[0]

    def __post_init__(self):
        _check_place(self, ("top", *BESIDE))
        require_known("feeder shape", self.shape, (ROUND, SQUARE))
        require_known("feeder top", self.top, (OPEN, BLIND))
        require_known("sleeve", self.sleeve, SLEEVES)
        _check_none_or("feeder width", self.width, 3e-3, 200e-3)
        require_between("feeder height", self.height, 3e-3, 300e-3, "m")
        if self.is_there:
            _check_none_or("neck width", self.neck, 2e-3, self.width)
        _check_none_or("sleeve thickness", self.sleeve_thickness, 2e-3, 50e-3)
        if self.sleeve_thickness and self.shape != ROUND:
            raise InputError("feeder shape", self.shape, "a sleeve is round: make the feeder round")

    @property
    def is_there(self):
        """Whether it has a size."""
        return self.width > 0.0


@dataclass(frozen=True)
class Gate:
    """A gate into the face that looks to `side`, beside the place x, y, z [m], with a sprue at its end.

    thickness is upright; width 0: 20 mm, or less where the face is narrower.
    """

    x: float
    y: float
    z: float
    side: str = "left"
    thickness: float = GATE_M
    width: float = 0.0

    def __post_init__(self):
        _check_place(self, BESIDE)
        require_between("gate thickness", self.thickness, 1e-3, 150e-3, "m")
        _check_none_or("gate width", self.width, 1e-3, 200e-3)

    @property
    def is_there(self):
        """Always: metal comes in through it."""
        return True


@dataclass(frozen=True)
class Chill:
    """A chill against the face that looks to `side`, beside the place x, y, z [m].

    thickness 0 keeps its place free. width, length [m] of its foot along the first and second of the other
    axes; 0: as far as the face reaches. contact is W/m2K between metal and chill; 0: usual.
    """

    x: float
    y: float
    z: float
    side: str = "bottom"
    thickness: float = 15e-3
    width: float = 0.0
    length: float = 0.0
    material: str = CHILLS[0]
    contact: float = 0.0

    def __post_init__(self):
        _check_place(self, tuple(SIDES))
        require_known("chill", self.material, CHILLS)
        _check_none_or("chill thickness", self.thickness, 2e-3, 150e-3)
        _check_none_or("chill width", self.width, 2e-3, 500e-3)
        _check_none_or("chill length", self.length, 2e-3, 500e-3)
        require_between("chill contact", self.contact, 0.0, 1e5, "W/m2K")

    @property
    def is_there(self):
        """Whether it has a size."""
        return self.thickness > 0.0


KINDS = {"feeder": Feeder, "gate": Gate, "chill": Chill}


def rigging_of(sizes):
    """What stands on a part: {"feeder": {number: Feeder}, "gate": ..., "chill": ...}.

    Parameters: `sizes` as for `rigged`; other names in it are left out. Raises InputError for a value that
    cannot be.

    >>> rigging_of({"gate_1_x": 0.0, "gate_1_y": 0.0, "gate_1_z": 0.0})["gate"][1].side
    'left'
    """
    found = {kind: {} for kind in KINDS}
    for name, value in sizes.items():
        fits = NAME.fullmatch(name)
        if fits:
            kind, number, what = fits.groups()
            require_known(f"{kind} {number}", what, [each.name for each in fields(KINDS[kind])])
            found[kind].setdefault(int(number), {})[what] = value
    made = {}
    for kind, numbers in found.items():
        made[kind] = {}
        for number, values in sorted(numbers.items()):
            for axis in AXIS_NAMES:
                if axis not in values:
                    raise InputError(f"{kind} {number}", f"without {axis}", "its place needs x, y and z")
            made[kind][number] = KINDS[kind](**values)
    return made


def there(rigging):
    """What has a size of a `rigging`, as `rigging_of` returns it; the rest only keeps its place free.

    >>> there({"feeder": {1: Feeder(0.0, 0.0, 0.0, width=0.0)}, "gate": {}, "chill": {}})
    {'feeder': {}, 'gate': {}, 'chill': {}}
    """
    return {
        kind: {number: each for number, each in numbers.items() if each.is_there}
        for kind, numbers in rigging.items()
    }


def sizes_of(kind, number, what, usual=False):
    """Names and values of one gate, feeder or chill, as a Design takes them.

    Parameters: `kind`, a name of KINDS; `number`; `what`, a Feeder, Gate or Chill; `usual`, whether what is
    usual is named too.

    >>> sizes_of("gate", 1, Gate(0.0, 0.01, 0.0))
    {'gate_1_x': 0.0, 'gate_1_y': 0.01, 'gate_1_z': 0.0}
    """
    return {
        f"{kind}_{number}_{each.name}": getattr(what, each.name)
        for each in fields(KINDS[kind])
        if usual or each.name in AXIS_NAMES or getattr(what, each.name) != each.default
    }


def is_usual(name, value):
    """Whether a `value` is the usual one of a feeder, gate or chill; `name` as for `rigged`.

    >>> is_usual("feeder_1_side", "top"), is_usual("feeder_1_side", "left"), is_usual("bar length", 0.1)
    (True, False, False)
    """
    fits = NAME.fullmatch(name)
    return bool(fits) and any(each.name == fits[3] and each.default == value
                              for each in fields(KINDS[fits[1]]))


def is_place(name):
    """Whether a `name`, as for `rigged`, says where a feeder, gate or chill stands.

    >>> is_place("feeder_1_x"), is_place("feeder_1_width"), is_place("bar length")
    (True, False, False)
    """
    fits = NAME.fullmatch(name)
    return bool(fits) and fits[3] in (*AXIS_NAMES, "side")


def _check_place(what, sides):
    for axis in AXIS_NAMES:
        require_between(f"place along {axis}", getattr(what, axis), -FARTHEST_M, FARTHEST_M, "m")
    require_known("side", what.side, sides)


def _check_none_or(parameter, value, least, most):
    """A size [m] within its range, or 0 for what is left out."""
    if require_number(parameter, value, "m") != 0.0:
        require_between(parameter, value, least, most, "m")
