"""A part of one's own as a file: JSON that a person can read and change, lengths in mm or inch.

    {"castlab part": 1, "name": "knob", "lengths": "mm", "up": "+y",
     "bodies": [{"name": "ball", "shape": "ball", "diameter": 30, "at": [0, 0, 0]}]}

What came as STL is taken along: its skin is packed into one long word. Nothing in a file is trusted: every
value is looked at, and nothing is run.
"""

import base64
import json
import zlib
from dataclasses import fields

from castlab.errors import InputError, require_between, require_known, require_number
from castlab.field.layout import AXIS_NAMES
from castlab.field.mend import require_closed
from castlab.field.mesh import UNIT_M, Mesh
from castlab.field.own_part import ALONG_AN_AXIS, DRAWN, SHAPES, Body, OwnPart
from castlab.field.placed import KINDS, MOST_OF_A_KIND, rigging_of, sizes_of
from castlab.field.stl import MOST_TRIANGLES, UNITS
from castlab.outside import read_json, shortened

VERSION = 1
KIND = "castlab part"
FILE = "part file"
MOST_BYTES = 40_000_000
PLACES = 9  # decimals of a metre: lengths are kept to the nanometre
TAKEN_AWAY, PUT_ON = "taken away", "added"
NO_LENGTH = ("contact",)


def write_part(part, lengths="mm"):
    """The text of a file of a part, and of what stands on it.

    Parameters: `part` (OwnPart); `lengths`, "mm" or "inch", in which they are written. Raises InputError for
    other lengths.

    >>> knob = OwnPart("knob", (Body("ball", "ball", (("diameter", 0.03),)),))
    >>> print(write_part(knob))
    {"castlab part": 1, "name": "knob", "lengths": "mm", "up": "+y", "bodies": [
      {"name": "ball", "shape": "ball", "diameter": 30, "at": [0, 0, 0]}
    ]}
    >>> read_part(write_part(knob, "inch")) == knob
    True
    """
    unit = UNITS[require_known("lengths", lengths, UNITS)]
    head = {KIND: VERSION, "name": part.name, "lengths": lengths, "up": part.up}
    lists = {"bodies": [_record(body, unit) for body in part.bodies]}
    for kind, numbers in rigging_of(dict(part.rigging)).items():
        if numbers:
            lists[f"{kind}s"] = [_standing(each, unit) for each in numbers.values()]
    text = json.dumps(head, ensure_ascii=False)[:-1]
    for name, rows in lists.items():
        lines = ",\n".join(f"  {json.dumps(row, ensure_ascii=False)}" for row in rows)
        text += f', "{name}": [\n{lines}\n]'
    return f"{text}}}"


def read_part(text):
    """Read the part in the `text` of a file, with what stands on it.

    Returns an OwnPart. Raises InputError that says what is wrong with it.

    >>> read_part('{"castlab part": 1, "name": "knob", "lengths": "inch", "bodies":'
    ...           '[{"name": "ball", "shape": "ball", "diameter": 1.5, "at": [0, 0, 0]}]}').bodies[0].sizes
    (('diameter', 0.0381),)
    """
    return part_of(read_json(text, FILE, MOST_BYTES))


def part_of(record):
    """The part in a `record`, as JSON has it: an OwnPart. Raises InputError as `read_part` does.

    >>> knob = OwnPart("knob", (Body("ball", "ball", (("diameter", 0.03),)),), rigging=(("gate_1_x", 0.0),
    ...                ("gate_1_y", 0.001), ("gate_1_z", 0.0)))
    >>> part_of(json.loads(write_part(knob))) == knob
    True
    """
    if not isinstance(record, dict) or KIND not in record:
        raise InputError(FILE, "something else", f'it must be a JSON object with "{KIND}": {VERSION}')
    record = dict(record)
    version = record.pop(KIND)
    if isinstance(version, bool) or version != VERSION:
        raise InputError(FILE, "of another version", f"this castlab reads version {VERSION}")
    _require_names(record, {"name", "lengths", "bodies"}, {"up", *(f"{kind}s" for kind in KINDS)}, "the part")
    unit = UNITS[require_known("lengths", shortened(record["lengths"]), UNITS)]
    for name in record.keys() - {"name", "lengths", "up"}:
        if not isinstance(record[name], list):
            raise InputError(name, shortened(record[name]), "it must be a list of them")
    bodies = tuple(_body(each, unit) for each in record["bodies"])
    rigging = {}
    for kind in KINDS:
        require_between(f"{kind}s", len(record.get(f"{kind}s", ())), 0, MOST_OF_A_KIND)
        for number, each in enumerate(record.get(f"{kind}s", ()), 1):
            rigging |= sizes_of(kind, number, _stands(kind, each, unit))
    up = shortened(record.get("up", "+y"))
    return OwnPart(_word("name of the part", record["name"]), bodies, up, tuple(rigging.items()))


def _record(body, unit):
    """A body as names and plain values."""
    record = {"name": body.name, "shape": body.shape}
    record |= {name: _written(value, unit) for name, value in body.sizes}
    if body.corners:
        record["corners"] = [[_written(each, unit) for each in corner] for corner in body.corners]
    if body.shape in ALONG_AN_AXIS:
        record["axis"] = body.axis
    record["at"] = [_written(each, unit) for each in body.at]
    if body.taken_away:
        record["metal"] = TAKEN_AWAY
    if body.mesh:
        record |= {"file": body.file, "corners in skin": len(body.mesh.corners), "skin": _packed(body.mesh)}
    return record


def _standing(what, unit):
    """A feeder, gate or chill as names and plain values; what is usual is left out."""
    chosen = {each.name: getattr(what, each.name) for each in fields(what)
              if each.name in AXIS_NAMES or getattr(what, each.name) != each.default}
    return {name: value if isinstance(value, str) or name in NO_LENGTH else _written(value, unit)
            for name, value in chosen.items()}


def _stands(kind, record, unit):
    """A Feeder, Gate or Chill out of names and plain values."""
    if not isinstance(record, dict):
        raise InputError(kind, shortened(record), "it must be an object with its place and sizes")
    known = {each.name: each for each in fields(KINDS[kind])}
    _require_names(record, set(AXIS_NAMES), set(known), f"a {kind}")
    values = {}
    for name, value in record.items():
        if isinstance(known[name].default, str):
            values[name] = _word(f"{name} of a {kind}", value)
        else:
            values[name] = _length(f"{name} of a {kind}", value, 1.0 if name in NO_LENGTH else unit)
    return KINDS[kind](**values)


def _written(metres, unit):
    number = round(metres / unit, PLACES)
    return int(number) if number == int(number) else number


def _packed(mesh):
    return base64.b64encode(zlib.compress(mesh.packed_corners + mesh.packed_faces, 9)).decode()


def _body(record, unit):
    if not isinstance(record, dict):
        raise InputError("body", shortened(record), "it must be an object with name, shape, sizes and place")
    shape = require_known("shape", shortened(record.get("shape")), SHAPES)
    wanted = {"name", "shape", *SHAPES[shape]} | ({"corners"} if shape in DRAWN else set())
    wanted |= {"skin", "corners in skin"} if shape == "stl" else set()
    more = {"at", "metal", "file"} | ({"axis"} if shape in ALONG_AN_AXIS else set())
    name = _word("name of a body", record.get("name"))
    _require_names(record, wanted, more, f"the body {name}")
    metal = require_known(f"metal of {name}", shortened(record.get("metal", PUT_ON)), (PUT_ON, TAKEN_AWAY))
    return Body(
        name,
        shape,
        tuple((each, _length(f"{each} of {name}", record[each], unit)) for each in SHAPES[shape]),
        _point(f"place of {name}", record.get("at", [0, 0, 0]), unit, 3),
        shortened(record.get("axis", "y")),
        tuple(_point(f"corner of {name}", each, unit, 2) for each in _list(name, record.get("corners", []))),
        metal == TAKEN_AWAY,
        _unpacked(name, record["corners in skin"], record["skin"]) if shape == "stl" else None,
        shortened(record.get("file", "")),
    )


def _word(parameter, value):
    if not isinstance(value, str):
        raise InputError(parameter, shortened(value), "it must be text")
    return shortened(value)


def _list(name, value):
    if not isinstance(value, list):
        raise InputError(f"corners of {name}", shortened(value), "it must be a list of pairs")
    return value


def _point(parameter, value, unit, count):
    if not isinstance(value, list) or len(value) != count:
        raise InputError(parameter, shortened(value), f"it must be {count} numbers")
    return tuple(_length(parameter, each, unit) for each in value)


def _length(parameter, value, unit):
    if isinstance(value, (bool, str)):
        raise InputError(parameter, shortened(value), "it must be a number")
    return round(require_number(parameter, value) * unit, PLACES) + 0.0


def _unpacked(name, corners, skin):
    """A Mesh out of its packed skin, closed or refused."""
    what = f"skin of {name}"
    if isinstance(corners, bool) or not isinstance(corners, int) or not 3 < corners <= 3 * MOST_TRIANGLES:
        raise InputError(what, shortened(corners), "the number of its corners must be a whole number above 3")
    if not isinstance(skin, str):
        raise InputError(what, shortened(skin), "it must be text")
    try:
        unpack = zlib.decompressobj()
        data = unpack.decompress(base64.b64decode(skin, validate=True), 12 * (corners + MOST_TRIANGLES))
    except (ValueError, zlib.error):
        raise InputError(what, "damaged", "read the STL file again") from None
    if not unpack.eof or len(data) % 12 or len(data) <= 12 * corners:
        raise InputError(what, "damaged", "read the STL file again")
    mesh = Mesh(data[: 12 * corners], data[12 * corners :])
    if (
        mesh.faces.min() < 0
        or mesh.faces.max() >= corners
        or abs(mesh.corners.astype(int)).max() > 4.0 / UNIT_M
    ):
        raise InputError(what, "damaged", "read the STL file again")
    require_closed(mesh)
    return mesh


def _require_names(record, wanted, more, what):
    for name in sorted(wanted - set(record)):
        raise InputError(name, "missing", f"{what} must have it")
    for name in sorted(set(record) - wanted - more):
        raise InputError(shortened(name), "not known", f"{what} must not have it")
