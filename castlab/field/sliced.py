"""The slice of a solid layout that the benches still compute: a picture with depths, or radius and height."""

from dataclasses import replace

from castlab.field.forms import Disc, Polygon
from castlab.field.layout import Block, Layout, box, polygon


def sliced(layout, is_round, sleeve_thickness):
    """The middle plane of a solid `layout` that was rigged: a Layout, planar or round about its y axis.

    Parameters: `layout`; `is_round`, whether the part is; `sleeve_thickness` [m] round its feeder.

    >>> from castlab.field import parts
    >>> parts.eye_plate(solid=True).block("boss").high, parts.eye_plate().block("boss").depth
    ((0.16, 0.02, 0.02), 0.04)
    """
    shown = [body for body in layout.blocks if body.name not in ("sleeve front", "sleeve back")]
    blocks = [_sliced_block(body, is_round) for body in shown]
    covers = [body for body in layout.blocks if body.name == "sleeve front"]
    if covers:  # the slice does not show the sleeve in front and behind
        number = next(number for number, block in enumerate(blocks) if block.name == "feeder")
        blocks[number] = replace(blocks[number], cover=covers[0].material, cover_thickness=sleeve_thickness)
    low, high = layout.low[:2], layout.high[:2]
    if is_round:
        return Layout("round", tuple(blocks), (0.0, low[1]), high, up=layout.up, title=layout.title)
    return Layout("planar", tuple(blocks), low, high, up=layout.up, title=layout.title)


def _sliced_block(body, is_round):
    flat = body.form and body.form.flat
    spans = list(zip(body.low, body.high, strict=True))[:2]
    if is_round and isinstance(flat, Disc):
        return box(body.name, body.role, (flat.inner, flat.radius), spans[1], material=body.material)
    depth = body.high[2] - body.low[2]
    if isinstance(flat, Polygon) and body.form.axis == 2:
        return polygon(body.name, body.role, flat.points, depth=depth, material=body.material)
    if isinstance(flat, Polygon):  # a gate against a rim begins at the rim's foremost point
        starts, ends = flat.spans(1, [0.0])
        spans[0] = float(starts[0, 0]), float(ends[0, 0])
    return Block(
        body.name, body.role, *map(tuple, zip(*spans, strict=True)), depth=depth, material=body.material
    )
