"""Solid bodies by their usual names: cylinder, ring, cone, ball, prism. A straight one is `layout.box`.

Each has a name of its own and a role, lies along one of the axes x, y and z, and may be metal or take metal
away: a core is empty of metal wherever it lies.
"""

from castlab.errors import InputError, require_known
from castlab.field.forms import Ball, Cone, Disc, Polygon, Prism
from castlab.field.layout import AXIS_NAMES, SMALLEST_M, Block, coordinate, require_size
from castlab.units import given, phrase


def cylinder(name, role, axis, middle, diameter, span, material=None):
    """A round bar or disc along an axis: a Block.

    Parameters: `name`; `role`, one of ROLES; `axis`, "x", "y" or "z"; `middle` (u, v) [m] on the other two
    axes in their order; `diameter` [m]; `span`, from where to where along the axis [m]; `material` as in
    Block. Raises InputError for a size that cannot be.

    >>> round(1e6 * cylinder("boss", "casting", "y", (0.0, 0.0), 0.04, (0.0, 0.03)).volume, 3)
    37.699
    """
    flat = Disc(_point(name, middle), require_size(f"diameter of {name}", diameter) / 2.0)
    return _block(name, role, Prism(_axis(axis), flat, *_span(name, span)), material)


def ring(name, role, axis, middle, inner, outer, span, material=None):
    """A round bar with a hole along its axis: a Block.

    Parameters: `inner` and `outer`, its diameters [m]; `name`, `role`, `axis`, `middle`, `span` and
    `material` as for `cylinder`. Raises InputError for a wall below 0.5 mm and a size that cannot be.

    >>> round(1e6 * ring("rim", "casting", "y", (0.0, 0.0), 0.1, 0.12, (0.0, 0.02)).volume, 3)
    69.115
    """
    inner, outer = (require_size(f"diameter of {name}", each) / 2.0 for each in (inner, outer))
    if outer - inner < SMALLEST_M:
        raise InputError(
            f"diameter of {name}",
            phrase("{} inside, {} outside", given(2.0 * inner, "m"), given(2.0 * outer, "m")),
            "the wall of a ring must be {} or thicker",
            given(SMALLEST_M, "m"),
        )
    flat = Disc(_point(name, middle), outer, inner)
    return _block(name, role, Prism(_axis(axis), flat, *_span(name, span)), material)


def cone(name, role, axis, middle, diameters, span, material=None):
    """A cone along an axis, or one cut short: a Block.

    Parameters: `diameters` [m] at the start and the end of its `span`; `name`, `role`, `axis`, `middle` and
    `material` as for `cylinder`. Raises InputError for a diameter below 0 and a size that cannot be.

    >>> round(1e6 * cone("feeder", "feeder", "y", (0.0, 0.0), (0.03, 0.04), (0.0, 0.05)).volume, 3)
    48.433
    """
    start, end = (coordinate(name, each) / 2.0 for each in diameters)
    require_size(f"diameter of {name}", 2.0 * max(start, end))
    if min(start, end) < 0.0:
        raise InputError(f"diameter of {name}", given(min(diameters), "m"), "it must be 0 or more")
    form = Cone(_axis(axis), _point(name, middle), (start, end), *_span(name, span))
    return _block(name, role, form, material)


def ball(name, role, middle, diameter, material=None):
    """A ball: a Block.

    Parameters: `middle` (x, y, z) and `diameter` [m]; `name`, `role` and `material` as for `cylinder`. Raises
    InputError for a size that cannot be.

    >>> round(1e6 * ball("ball", "casting", (0.0, 0.0, 0.0), 0.06).volume, 3)
    113.097
    """
    middle = tuple(coordinate(name, each) for each in middle)
    return _block(name, role, Ball(middle, require_size(f"diameter of {name}", diameter) / 2.0), material)


def prism(name, role, axis, outline, span, material=None):
    """An outline along an axis: a Block.

    Parameters: `outline`, corners (u, v) [m] in order, on the other two axes in their order; `name`, `role`,
    `axis`, `span` and `material` as for `cylinder`. Raises InputError for fewer than three corners, no area
    and a size that cannot be.

    >>> round(1e6 * prism("wedge", "casting", "z", [(0, 0), (0.1, 0), (0.1, 0.02)], (0.0, 0.03)).volume, 3)
    30.0
    """
    points = tuple(_point(name, each) for each in outline)
    if len(points) < 3:
        raise InputError(f"outline of {name}", points, "an outline needs three corners or more")
    flat = Polygon(points)
    if flat.area < SMALLEST_M**2:
        raise InputError(f"outline of {name}", points, "it must enclose an area")
    return _block(name, role, Prism(_axis(axis), flat, *_span(name, span)), material)


def moved(block, move):
    """A solid block turned or mirrored: `move` takes each corner (x, y, z) [m] to where it comes to lie.

    >>> from castlab.field.layout import box
    >>> moved(box("plate", "casting", (0, 0.3), (0, 0.2), (0, 0.1)), lambda p: (p[1], -p[0], p[2])).low
    (0.0, -0.3, 0.0)
    """
    corners = [move(block.low), move(block.high)]
    low, high = (tuple(float(pick(ends)) for ends in zip(*corners, strict=True)) for pick in (min, max))
    form = block.form.moved(move) if block.form else None
    return Block(block.name, block.role, low, high, material=block.material, form=form,
                 reaches_in=block.reaches_in)


def _block(name, role, form, material):
    low, high = form.extent
    return Block(name, role, low, high, material=material, form=form)


def _axis(axis):
    require_known("axis", axis, AXIS_NAMES)
    return AXIS_NAMES.index(axis)


def _point(name, point):
    return tuple(coordinate(name, each) for each in point)


def _span(name, span):
    return tuple(coordinate(name, each) for each in span)
