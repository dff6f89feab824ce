"""Where walls meet: the circle that fits into a junction.

A junction holds more metal than its walls and freezes after them: a hot spot. Drawing circles into the
section is the quick check of a designer (Heuvers, H., Stahl und Eisen 49 (1929), from memory): their areas
must rise, circle by circle, towards the feeder.
"""

import math

from castlab.errors import require_between, require_known, require_positive

KINDS = ("L", "T", "X")


def junction_circle(kind, wall, rib, fillet=0.0):
    """Diameter of the largest circle in a junction of two walls at right angles [m].

    L   D = 2 (S - sqrt(S^2 - (a + r)^2 - (b + r)^2 + r^2)),  S = a + b + 3 r;  outer corner square
    T   D = ((b/2 + r)^2 + a^2 + 2 a r) / (a + 2 r);  rib b on wall a
    X   D = 2 (sqrt((a/2 + r)^2 + (b/2 + r)^2) - r)

    kind         "L", "T" or "X"
    wall a, rib b [m]  thicknesses, greater than 0; in a T the wall runs through
    fillet r [m]       radius in the inner corners, 0 to 5 times the thinner wall

    Where one wall is so much thicker that the other only touches it, the circle is that wall's own.
    Raises InputError for an unknown kind and for a size outside its range.

    Exact geometry; equal walls without a fillet give 1.17, 1.25 and 1.41 thicknesses:

    >>> [round(junction_circle(kind, 0.010, 0.010) * 1000, 2) for kind in KINDS]
    [11.72, 12.5, 14.14]
    """
    require_known("kind of junction", kind, KINDS)
    wall = require_positive("wall", wall, "m")
    rib = require_positive("rib", rib, "m")
    fillet = require_between("fillet", fillet, 0.0, 5.0 * min(wall, rib), "m")
    if kind == "X":
        return 2.0 * (math.hypot(wall / 2.0 + fillet, rib / 2.0 + fillet) - fillet)
    if rib >= 2.0 * (wall + fillet):
        return rib
    if kind == "T":
        reach = (rib / 2.0 + fillet) ** 2 + wall**2 + 2.0 * wall * fillet
        return reach / (wall + 2.0 * fillet)
    if wall >= 2.0 * (rib + fillet):
        return wall
    span = wall + rib + 3.0 * fillet
    corner = (wall + fillet) ** 2 + (rib + fillet) ** 2 - fillet**2
    return 2.0 * (span - math.sqrt(span**2 - corner))
