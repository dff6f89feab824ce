"""Planes of symmetry of a solid: beyond each it is its own mirror image, so half of it is solved."""

from castlab.field.bodies import moved
from castlab.field.forms import ROUNDED_M
from castlab.field.mesh import Mesh


def planes_of(layout):
    """Upright planes on whose two sides all bodies, their roles and materials are mirror images.

    Gravity makes above and below differ, so no level plane is one. Returns a dict, axis to place [m].

    >>> from castlab.field.layout import Layout, box
    >>> plate = box("plate", "casting", (-0.06, 0.06), (0.0, 0.01), (-0.02, 0.02))
    >>> planes_of(Layout((plate,), (-0.1, -0.1, -0.1), (0.1, 0.1, 0.08)))
    {0: 0.0}
    """
    return {
        axis: plane
        for axis, plane in enumerate(_middles(layout))
        if axis != layout.up_axis and _is_plane(layout, axis, plane)
    }


def _middles(layout):
    """The only place on each axis where such a plane could be: the flask's middle."""
    return [round(0.5 * (low + high), 12) + 0.0 for low, high in zip(layout.low, layout.high, strict=True)]


def _is_plane(layout, axis, plane):
    def mirrored(point):
        return tuple(2.0 * plane - each if other == axis else each for other, each in enumerate(point))

    plain = [body for body in layout.blocks if not isinstance(body.form, Mesh)]
    if sorted(map(_key, plain)) != sorted(_key(moved(body, mirrored)) for body in plain):
        return False
    return all(body.form.is_mirrored(axis, plane) for body in layout.blocks if isinstance(body.form, Mesh))


def _key(body):
    """The same, as text, for bodies that nothing but their names tells apart."""
    corners = [round(each, ROUNDED_M) + 0.0 for each in (*body.low, *body.high)]
    return repr((body.role, body.material, corners, body.form and body.form.key))
