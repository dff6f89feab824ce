"""Triangles out of an STL file, text or binary. No number in it is trusted, nor how many it says there are.

A binary file has a head of 80 bytes, how many triangles as four bytes, and 50 bytes for each: normal and
three corners as 12 four-byte numbers, and two bytes more, little-endian. A text names each corner after the
word "vertex" (the format as it was published in 1989, from memory). It holds no unit: who reads it must say.
"""

import re
from array import array

import numpy as np

from castlab.errors import InputError, require_known
from castlab.units import INCH_M, metres, phrase

FILE = "STL file"
HEAD, EACH = 84, 50  # bytes
MOST_TRIANGLES = 1_000_000
BYTES_PER_TRIANGLE, BYTES_PER_TEXT = 600.0, 6.0  # measured by tests/field/test_stl.py, with some room
MOST_BYTES = 1.0e9  # what reading and closing the skin may take of a laptop's memory; judgement
UNITS = {"mm": 1e-3, "inch": INCH_M}
LEAST_MM = 12.0  # whoever draws a part smaller than this drew it in inches; judgement
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
CORNER = re.compile(rb"\bvertex\s+(\S+)\s+(\S+)\s+(\S+)", re.IGNORECASE)
FACET = re.compile(rb"\bendfacet\b", re.IGNORECASE)
END = re.compile(rb"\bend\s*solid\b", re.IGNORECASE)
OTHERS = (
    (b"PK\x03\x04", "a ZIP archive"),
    (b"ISO-10303", "a STEP drawing"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"%PDF", "a PDF page"),
    (b"ply", "a PLY mesh"),
    (b"glTF", "a glTF scene"),
    (b"<", "a web page or other XML"),
    (b"{", "a JSON text"),
)
EXPORT = "open the drawing where it was made and save it as STL"


def read_stl(data):
    """Triangles of an STL file.

    Parameters: `data`, the bytes of the file. Returns corners in the unit of the file, shape (m, 3, 3).
    Raises InputError for what is no STL file, cut short, empty, too large for the memory, or holds what is no
    number; never anything else.

    >>> text = b"solid a facet outer loop vertex 0 0 0 vertex 1 0 0 vertex 0 1,5 0 endloop endfacet endsolid"
    >>> read_stl(text)[0, 2].tolist()
    [0.0, 1.5, 0.0]
    """
    if not data.strip():
        raise InputError(FILE, "empty", f"it must hold triangles; {EXPORT}")
    count = int.from_bytes(data[80:HEAD], "little") if len(data) >= HEAD else 0
    if count and len(data) == HEAD + EACH * count:
        return _checked(_binary(data, count))
    if CORNER.search(data):
        return _checked(_text(data))
    for start, what in OTHERS:
        if data.lstrip()[:16].startswith(start):
            raise InputError(FILE, what, f"it must be an STL file; {EXPORT}")
    if count and len(data) > HEAD + EACH * count:
        return _checked(_binary(data, count))
    if count and len(data) >= HEAD + EACH and count <= 50 * MOST_TRIANGLES:
        there = (len(data) - HEAD) // EACH
        raise InputError(FILE, f"cut short: {there} of {count} triangles", f"it must be whole; {EXPORT}")
    raise InputError(FILE, "no STL file", f"it must hold triangles as text or binary STL; {EXPORT}")


def sizes_of(triangles, unit):
    """Length, height and width of a part [m], if one of the file's own lengths is a mm or an inch.

    Parameters: `triangles` (m, 3, 3); `unit`, "mm" or "inch". Raises InputError for another unit.

    >>> sizes_of(np.array([[(0, 0, 0), (2, 0, 0), (0, 1, 3)]]), "inch")
    (0.0508, 0.0254, 0.0762)
    """
    factor = UNITS[require_known("unit", unit, UNITS)]
    corners = triangles.reshape(-1, 3)
    return tuple(round(float(each) * factor, 9) for each in corners.max(axis=0) - corners.min(axis=0))


def likely_unit(triangles):
    """The unit that `triangles` were probably drawn in, "mm" or "inch": to be asked, never taken as said.

    >>> likely_unit(np.array([[(0, 0, 0), (4, 0, 0), (0, 1, 3)]]))
    'inch'
    """
    return "inch" if max(sizes_of(triangles, "mm")) < 1e-3 * LEAST_MM else "mm"


def unit_question(triangles):
    """How large a part of `triangles` (m, 3, 3) is in either unit, to be asked whoever brings it: a Phrase.

    >>> print(unit_question(np.array([[(0, 0, 0), (4, 0, 0), (0, 1, 3)]])))
    4 mm x 1 mm x 3 mm if it was drawn in mm, 102 mm x 25.4 mm x 76.2 mm if in inches
    """
    sizes = [metres(each) for unit in UNITS for each in sizes_of(triangles, unit)]
    return phrase("{} x {} x {} if it was drawn in mm, {} x {} x {} if in inches", *sizes)


def _binary(data, count):
    _require_room(count, BYTES_PER_TRIANGLE * count)
    with np.errstate(invalid="ignore"):  # what is no number is found by _checked
        return np.frombuffer(data, RECORD, count, HEAD)["corners"].astype(float)


def _text(data):
    count = len(FACET.findall(data))
    _require_room(count, BYTES_PER_TRIANGLE * count + BYTES_PER_TEXT * len(data))
    numbers = array("d")
    for found in CORNER.finditer(data):
        numbers.extend(_number(each) for each in found.groups())
    if len(numbers) % 9 or not END.search(data, max(len(data) - 10_000, 0)):
        raise InputError(
            FILE, f"cut short after {len(numbers) // 9} triangles", f"it must be whole; {EXPORT}"
        )
    return np.array(numbers).reshape(-1, 3, 3)


def _number(word):
    """A number as a program or a person writes it: with a decimal point or a decimal comma."""
    word = word.rstrip(b",;")
    try:
        return float(word.replace(b",", b".")) if len(word) < 60 else float("nan")
    except ValueError:
        return float("nan")


def _require_room(count, size):
    if count > MOST_TRIANGLES or size > MOST_BYTES:
        raise InputError(
            FILE, f"{count} triangles", f"at most {MOST_TRIANGLES}; {EXPORT} with coarser triangles"
        )


def _checked(triangles):
    corners = triangles.reshape(-1, 3)
    bad = ~np.isfinite(corners).all(axis=1)
    if bad.any():
        at = int(bad.argmax()) // 3 + 1
        raise InputError(FILE, f"no number in triangle {at}", f"every corner must be three numbers; {EXPORT}")
    if np.abs(corners).max() > 1e7:
        raise InputError(FILE, "a corner far away", f"all corners must lie within a part's size; {EXPORT}")
    return triangles
