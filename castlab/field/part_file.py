"""A part of one's own as a file: JSON that a person can read and change, lengths in mm or inch.

    {"castlab part": 1, "name": "knob", "lengths": "mm", "up": "+y",
     "bodies": [{"name": "ball", "shape": "ball", "diameter": 30, "at": [0, 0, 0]}]}

What came as STL is taken along: its skin is packed into one long word. Nothing in a file is trusted: every
value is looked at, and nothing is run.
"""

import base64
import json
import zlib

from castlab.errors import InputError, require_known, require_number
from castlab.field.mend import require_closed
from castlab.field.mesh import UNIT_M, Mesh
from castlab.field.own_part import ALONG_AN_AXIS, DRAWN, SHAPES, Body, OwnPart
from castlab.field.stl import MOST_TRIANGLES, UNITS
from castlab.outside import read_json, shortened

VERSION = 1
KIND = "castlab part"
FILE = "part file"
MOST_BYTES = 40_000_000
PLACES = 9  # decimals of a metre: lengths are kept to the nanometre
TAKEN_AWAY, PUT_ON = "taken away", "added"


def write_part(part, lengths="mm"):
    """The text of a file of a part.

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
    rows = ",\n".join(f"  {json.dumps(_record(body, unit), ensure_ascii=False)}" for body in part.bodies)
    return f'{json.dumps(head, ensure_ascii=False)[:-1]}, "bodies": [\n{rows}\n]}}'


def read_part(text):
    """Read the `text` of a file: returns an OwnPart. Raises InputError that says what is wrong with it.

    >>> read_part('{"castlab part": 1, "name": "knob", "lengths": "inch", "bodies":'
    ...           '[{"name": "ball", "shape": "ball", "diameter": 1.5, "at": [0, 0, 0]}]}').bodies[0].sizes
    (('diameter', 0.0381),)
    """
    record = read_json(text, FILE, MOST_BYTES)
    if not isinstance(record, dict) or KIND not in record:
        raise InputError(FILE, "something else", f'it must be a JSON object with "{KIND}": {VERSION}')
    if record.pop(KIND) is not VERSION:
        raise InputError(FILE, "of another version", f"this castlab reads version {VERSION}")
    _require_names(record, {"name", "lengths", "bodies"}, {"up"}, "the part")
    unit = UNITS[require_known("lengths", shortened(record["lengths"]), UNITS)]
    if not isinstance(record["bodies"], list):
        raise InputError("bodies", shortened(record["bodies"]), "it must be a list of them")
    bodies = tuple(_body(each, unit) for each in record["bodies"])
    return OwnPart(_word("name of the part", record["name"]), bodies, shortened(record.get("up", "+y")))


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
