"""Modulus: volume over cooling surface, M = V / A [m]. A body with the larger modulus freezes later.

Faces by which a body is joined to another body do not cool it and are left out of A.
Source of the idea: Chvorinov, N.: Theorie der Erstarrung von Gussstuecken. Die Giesserei 27 (1940) 177-186.
The moduli here are plain geometry.
"""

import math

from castlab.errors import InputError, require_between, require_known, require_positive


def modulus(volume, cooling_area):
    """Modulus of any body: M = V / A [m].

    volume [m3] and cooling_area [m2], both greater than 0. Raises InputError otherwise.

    The plate of a published example, 7.5 x 12.5 x 2.0 cm, has V = 187.5 cm3, A = 267.5 cm2, V/A = 0.70 cm
    (Groover, Fundamentals of Modern Manufacturing, example 10.3):

    >>> round(100 * modulus(187.5e-6, 267.5e-4), 2)
    0.7
    """
    volume = require_positive("volume", volume, "m3")
    return volume / require_positive("cooling area", cooling_area, "m2")


def plate(thickness):
    """Modulus of a wide plate cooled on both faces: M = thickness / 2 [m].

    thickness [m], greater than 0; the plate is so wide that its edges do not count (see `box` where they do).

    >>> plate(0.02)
    0.01
    """
    return require_positive("thickness", thickness, "m") / 2.0


def bar(width, thickness):
    """Modulus of a long bar of rectangular section: M = width thickness / (2 (width + thickness)) [m].

    width and thickness [m], greater than 0; the bar is so long that its ends do not count.
    A square bar has M = side / 4.

    >>> bar(0.04, 0.04)
    0.01
    """
    width = require_positive("width", width, "m")
    thickness = require_positive("thickness", thickness, "m")
    return width * thickness / (2.0 * (width + thickness))


def rod(diameter):
    """Modulus of a long round bar: M = diameter / 4 [m].

    diameter [m], greater than 0; the rod is so long that its ends do not count.

    >>> rod(0.04)
    0.01
    """
    return require_positive("diameter", diameter, "m") / 4.0


def ball(diameter):
    """Modulus of a ball: M = diameter / 6 [m].

    diameter [m], greater than 0. Ball, cube and cylinder of one size have one modulus (Groover, problem on a
    sphere, cylinder and cube of 10 cm: with 3.5 min/cm2 each freezes in 9.72 min):

    >>> round(3.5 * (100 * ball(0.10)) ** 2, 2)
    9.72
    """
    return require_positive("diameter", diameter, "m") / 6.0


def cube(edge):
    """Modulus of a cube cooled on all six faces: M = edge / 6 [m].

    edge [m], greater than 0.

    >>> cube(0.06)
    0.01
    """
    return require_positive("edge", edge, "m") / 6.0


def box(length, width, height, joined=(), covered_area=0.0):
    """Modulus of a box, joined faces left out: M = length width height / (cooling area) [m].

    length, width, height [m]  greater than 0
    joined                     names of faces that touch other metal: "base", "top" (length x width),
                               "left", "right" (width x height), "front", "back" (length x height)
    covered_area [m2]          of faces that are only partly covered, 0 or more

    Raises InputError for a size that is not positive, an unknown face, or where no cooling surface is left.

    Published example (DeGarmo, Materials and Processes in Manufacturing: a cube of 4 inches freezes in 14.5
    min; a plate of 16 x 4 x 1 inches of the same volume freezes in 4.735 min, by the square of the moduli):

    >>> round(14.5 * (box(16, 4, 1) / cube(4)) ** 2, 3)
    4.735
    """
    length = require_positive("length", length, "m")
    width = require_positive("width", width, "m")
    height = require_positive("height", height, "m")
    faces = {
        "base": length * width, "top": length * width,
        "left": width * height, "right": width * height,
        "front": length * height, "back": length * height,
    }
    return modulus(length * width * height, _cooling_area(faces, joined, covered_area))


def cylinder(diameter, height, joined=(), covered_area=0.0):
    """Modulus of a cylinder, joined faces left out: M = (pi/4) diameter^2 height / (cooling area) [m].

    diameter, height [m]  greater than 0
    joined                names of faces that touch other metal: "base", "top", "side"
    covered_area [m2]     of faces that are only partly covered, 0 or more

    Raises InputError as `box` does. A feeder that stands on its casting has its base left out.

    Published example (Groover, example 10.3: a plate with V/A = 0.70 cm freezes in 1.6 min; a cylinder as
    high as wide that freezes in 2.0 min has a diameter of 4.7 cm, all faces cooling):

    >>> round(1.6 * (cylinder(4.7, 4.7) / modulus(187.5, 267.5)) ** 2, 1)
    2.0
    """
    diameter = require_positive("diameter", diameter, "m")
    height = require_positive("height", height, "m")
    end = math.pi / 4.0 * diameter**2
    faces = {"base": end, "top": end, "side": math.pi * diameter * height}
    return modulus(end * height, _cooling_area(faces, joined, covered_area))


def ring(outer_diameter, inner_diameter, height, joined=(), covered_area=0.0):
    """Modulus of a ring of rectangular section, joined faces left out [m].

    M = (pi/4) (D^2 - d^2) height / (cooling area)

    outer_diameter D, inner_diameter d, height [m]  greater than 0, d less than D
    joined                names of faces that touch other metal: "base", "top", "outside", "inside"
    covered_area [m2]     of faces that are only partly covered, 0 or more

    The inside is taken to cool as well as the outside; a thin core becomes hot and cools less. All faces
    cooling, a ring is a bar of its own section, bent: both have one modulus.

    Raises InputError as `box` does.

    >>> round(ring(0.10, 0.06, 0.02), 6) == round(bar(0.02, 0.02), 6)
    True
    """
    outer = require_positive("outer diameter", outer_diameter, "m")
    inner = require_positive("inner diameter", inner_diameter, "m")
    if inner >= outer:
        allowed = f"it must be less than the outer diameter, {outer:g} m"
        raise InputError("inner diameter", f"{inner:g} m", allowed)
    height = require_positive("height", height, "m")
    end = math.pi / 4.0 * (outer**2 - inner**2)
    faces = {
        "base": end, "top": end,
        "outside": math.pi * outer * height, "inside": math.pi * inner * height,
    }
    return modulus(end * height, _cooling_area(faces, joined, covered_area))


def _cooling_area(faces, joined, covered_area):
    joined = {joined} if isinstance(joined, str) else set(joined)
    for face in joined:
        require_known("joined face", face, faces)
    bare = sum(area for face, area in faces.items() if face not in joined)
    covered = require_between("covered area", covered_area, 0.0, sum(faces.values()), "m2")
    if joined == set(faces) or covered >= bare:
        raise InputError("joined faces", sorted(joined), "some of the surface must be left to cool")
    return bare - covered
