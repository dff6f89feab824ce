"""Where walls meet: the circle that fits into a junction, against the circle that fits into the wall.

A junction holds more metal than its walls and freezes after them: a hot spot. Drawing circles into the
section is the quick check of a designer (Heuvers, H., Stahl und Eisen 49 (1929), from memory): their areas
must rise, circle by circle, towards the feeder.
"""

import math

from castlab.errors import InputError, require_between, require_known, require_positive

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


def junction_ratio(kind, wall, rib, fillet=0.0):
    """How much larger the circle of a junction is than its thicker wall, as areas: (D / thickness)^2.

    kind, wall [m], rib [m], fillet [m]  as for `junction_circle`

    Raises InputError as that does. Also a first estimate of how much later the junction
    freezes, because time goes with the square of the thickness. 1 means no hot spot; above about 1.2 expect
    one (judgement): thin the rib, core the junction out, chill it or feed it. A fillet is needed against
    tearing and sand that breaks off, but a large one makes the hot spot worse.

    >>> round(junction_ratio("T", 0.010, 0.010), 2), round(junction_ratio("T", 0.010, 0.006), 2)
    (1.56, 1.19)
    """
    return (junction_circle(kind, wall, rib, fillet) / max(wall, rib)) ** 2


def circles_that_stop_the_feed(diameters, rise=1.05):
    """Places (0 is the far end) of circles whose area does not rise enough over the one before it.

    diameters [m]  of circles that touch, from the far end of the casting to the feeder; at least two
    rise           smallest ratio of the areas, 1 or more

    Areas that rise by 5 to 10 % a step are the usual advice for Heuvers' circles (from memory). Returns an
    empty tuple where the section feeds. Raises InputError for a diameter that is not positive.

    >>> circles_that_stop_the_feed([0.010, 0.011, 0.009, 0.012])
    (2,)
    """
    rise = require_between("rise of the area", rise, 1.0, 3.0)
    sizes = [require_positive("diameter", each, "m") for each in diameters]
    if len(sizes) < 2:
        raise InputError("diameters", len(sizes), "there must be at least two circles")
    steps = enumerate(zip(sizes, sizes[1:], strict=False), start=1)
    allowed = 1.0 - 1e-9  # so that a rise of exactly 5 %, in decimals, is enough
    return tuple(place for place, (before, size) in steps if size**2 < rise * before**2 * allowed)
