"""Where a hole can be, as an exercise asks for it: in which body, or in which third of an only one."""

from collections import Counter

from castlab.field.symmetry import planes_of

THIRDS = (("left third", "middle third", "right third"), ("lowest third", "middle third", "top third"),
          ("back third", "middle third", "front third"))
ALONG = ("of its length, from left to right as the picture shows it", "of its height as it lies in the mould",
         "of its depth, from the back to the front")
ONE_BODY = "The casting is one body: say in which third {} the middle of the largest hole lies."
BORDER = 0.02  # of the length; a hole whose middle is so near to a border lies in both thirds; judgement


def places_in(layout):
    """Names of the places that are asked for in a `layout`: its bodies, or the thirds of its only one.

    >>> from castlab.field import parts
    >>> from castlab.field.bodies import ball
    >>> from castlab.field.layout import Layout
    >>> places_in(parts.eye_plate())
    ('plate', 'boss')
    >>> places_in(Layout((ball("ball", "casting", (0, 0, 0), 0.02),), (-1, -1, -1), (1, 1, 1)))
    ('left third', 'middle third', 'right third')
    """
    bodies = _bodies(layout)
    return bodies_in(layout) if len(bodies) > 1 else THIRDS[_longest(bodies[0])]


def bodies_in(layout):
    """Names of the bodies of the casting."""
    return tuple(body.name for body in _bodies(layout))


def how_to_say(layout):
    """What explains these places; nothing where they are bodies, whose names stand in the picture."""
    bodies = _bodies(layout)
    return "" if len(bodies) > 1 else ONE_BODY.format(ALONG[_longest(bodies[0])])


def thirds_of(holes, layout):
    """{third: share of all holes}, the largest first, in a part of one body.

    Parameters: `holes`, those of an account or outcome; `layout`, in which they are. A hole lies where its
    middle does; near a border it counts in both thirds. The name of the body has them all: so papers said it
    that were handed out before thirds were asked for.
    """
    (body,) = _bodies(layout)
    axis, sums = _longest(body), Counter()
    pieces = [piece for hole in holes for piece in hole.pieces]
    for piece in pieces:
        places = _both_sides(piece.centre[axis], dict(planes_of(layout)).get(axis))
        for place in places:
            share = (place - body.low[axis]) / (body.high[axis] - body.low[axis])
            for third in {_third(share - BORDER), _third(share + BORDER)}:
                sums[THIRDS[axis][third]] += piece.volume_m3 / len(places)
    total = sum(piece.volume_m3 for piece in pieces)
    return {name: volume / total for name, volume in sums.most_common()} | {body.name: 1.0}


def _bodies(layout):
    return [body for body in layout.blocks if body.role == "casting"]


def _longest(body):
    """Number of the axis along which a body is longest."""
    sizes = [high - low for low, high in zip(body.low, body.high, strict=True)]
    return sizes.index(max(sizes))


def _both_sides(place, plane):
    """A place along an axis, and its image beyond a plane of symmetry there."""
    return (place,) if plane is None or place == plane else (place, 2.0 * plane - place)


def _third(share):
    return min(max(int(3.0 * share), 0), 2)
