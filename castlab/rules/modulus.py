"""Modulus: volume over cooling surface, M = V / A [m]. A body with the larger modulus freezes later.

Faces by which a body is joined to another body do not cool it and are left out of A.
Source of the idea: Chvorinov, N.: Theorie der Erstarrung von Gussstuecken. Die Giesserei 27 (1940) 177-186.
The moduli here are plain geometry.
"""

import math

from castlab.errors import InputError, require_between, require_known, require_positive
from castlab.units import given


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


def plate(thickness, cooled_faces=2):
    """Modulus of a wide plate: M = thickness / (number of cooled faces) [m].

    thickness [m]   greater than 0; the plate is so wide that its edges do not count (see `box` where they do)
    cooled_faces    2, or 1 where the other face is joined to metal or keeps its heat in

    Raises InputError otherwise. By geometry: area times thickness over the areas of the faces.

    >>> plate(0.02), plate(0.02, cooled_faces=1)
    (0.01, 0.02)
    """
    thickness = require_positive("thickness", thickness, "m")
    if cooled_faces not in (1, 2):
        raise InputError("cooled faces", repr(cooled_faces), "a plate has 1 or 2 of them")
    return thickness / cooled_faces


def bar(width, thickness, covered_width=0.0):
    """Modulus of a long bar of rectangular section [m].

    M = width thickness / (2 (width + thickness) - covered width)

    width, thickness [m]  greater than 0; the bar is so long that its ends do not count
    covered_width [m]     of its outline that is joined to other metal, 0 or more: a rib on a wall is joined
                          by its thickness

    A square bar has M = side / 4. Raises InputError for a size that is not positive, or where no cooling
    surface is left. The form with joined faces is that of Wlodawer, Gelenkte Erstarrung von Stahlguss,
    Giesserei-Verlag 1967 (from memory), and plain geometry.

    >>> bar(0.04, 0.04)
    0.01
    """
    width = require_positive("width", width, "m")
    thickness = require_positive("thickness", thickness, "m")
    outline = 2.0 * (width + thickness)
    covered = require_between("covered width", covered_width, 0.0, outline, "m")
    if covered == outline:
        raise InputError("covered width", given(covered, "m"), "some of the surface must be left to cool")
    return width * thickness / (outline - covered)


def rod(diameter):
    """Modulus of a long round bar: M = diameter / 4 [m].

    diameter [m], greater than 0; the rod is so long that its ends do not count. Raises InputError otherwise.
    By geometry: pi/4 d^2 over pi d.

    >>> rod(0.04)
    0.01
    """
    return require_positive("diameter", diameter, "m") / 4.0


def ball(diameter):
    """Modulus of a ball: M = diameter / 6 [m].

    diameter [m], greater than 0. Raises InputError otherwise. By geometry: pi/6 d^3 over pi d^2. Ball, cube
    and cylinder of one size have one modulus (Groover, problem on a sphere, cylinder and cube of 10 cm: with
    3.5 min/cm2 each freezes in 9.72 min):

    >>> round(3.5 * (100 * ball(0.10)) ** 2, 2)
    9.72
    """
    return require_positive("diameter", diameter, "m") / 6.0


def box(length, width, height, joined=(), covered_area=0.0):
    """Modulus of a box, joined faces left out: M = length width height / (cooling area) [m].

    length, width, height [m]  greater than 0
    joined                     names of faces that touch other metal: "base", "top" (length x width),
                               "left", "right" (width x height), "front", "back" (length x height)
    covered_area [m2]          of faces that are only partly covered, 0 or more

    Raises InputError for a size that is not positive, an unknown face, or where no cooling surface is left.

    Published example (DeGarmo, Materials and Processes in Manufacturing: a cube of 4 inches freezes in 14.5
    min; a plate of 16 x 4 x 1 inches of the same volume freezes in 4.735 min, by the square of the moduli):

    >>> round(14.5 * (box(16, 4, 1) / box(4, 4, 4)) ** 2, 3)
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

    Raises InputError as `box` does. By geometry.

    >>> round(ring(0.10, 0.06, 0.02), 6) == round(bar(0.02, 0.02), 6)
    True
    """
    outer = require_positive("outer diameter", outer_diameter, "m")
    inner = require_positive("inner diameter", inner_diameter, "m")
    if inner >= outer:
        allowed = "it must be less than the outer diameter, {}"
        raise InputError("inner diameter", given(inner, "m"), allowed, given(outer, "m"))
    height = require_positive("height", height, "m")
    end = math.pi / 4.0 * (outer**2 - inner**2)
    faces = {
        "base": end, "top": end,
        "outside": math.pi * outer * height, "inside": math.pi * inner * height,
    }
    return modulus(end * height, _cooling_area(faces, joined, covered_area))


def freezing_order(sections):
    """Sections in the order in which they freeze: rows (name, modulus [m], share of the last one's time).

    sections   mapping of names to moduli [m], each greater than 0; at least one. Raises InputError otherwise

    Times go with the square of the modulus (Chvorinov 1940), for sections of one metal, mould and pour.
    A section that is listed between two heavier ones on the way of the feed metal closes before them.

    Published example (Kalpakjian, Schmid: Manufacturing Engineering and Technology, from memory: of a ball, a
    cube and a cylinder of one volume the cube freezes first and the ball last, 0.028, 0.033 and 0.043 C):

    >>> one_volume = {"ball": 0.207, "cube": 1 / 6, "cylinder": 0.181}
    >>> [name for name, _, _ in freezing_order(one_volume)]
    ['cube', 'cylinder', 'ball']
    """
    if not sections:
        raise InputError("sections", repr(sections), "there must be at least one, name and modulus")
    moduli = {name: require_positive(f"modulus of {name}", size, "m") for name, size in sections.items()}
    last = max(moduli.values())
    rows = sorted(moduli.items(), key=lambda row: row[1])
    return tuple((name, size, (size / last) ** 2) for name, size in rows)


def _cooling_area(faces, joined, covered_area):
    joined = {joined} if isinstance(joined, str) else set(joined)
    for face in joined:
        require_known("joined face", face, faces)
    bare = sum(area for face, area in faces.items() if face not in joined)
    covered = require_between("covered area", covered_area, 0.0, sum(faces.values()), "m2")
    if joined == set(faces) or covered >= bare:
        raise InputError("joined faces", sorted(joined), "some of the surface must be left to cool")
    return bare - covered
