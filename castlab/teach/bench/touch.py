"""The part as a question asks about it: an outline whose places can be touched, by mouse, finger or keys."""

from pathlib import Path

import traitlets

from castlab.field.forms import Disc, Polygon, Prism

WIDE, MOST_TALL, EDGE = 460.0, 280.0, 26.0  # pixels; a button at the edge of the part stays inside
METAL, NAMED = "#b9c4cf", ("casting", "feeder", "chill")
FILLS = {"feeder": "#d5dde5", "gate": "#d5dde5", "chill": "#5f6f7d", "core": "#cdbb8f",
         "sleeve": "#a99a78"}
CUT = "The part, cut through its middle."
TITLE = f"{CUT} Touch the place that you expect, or choose it in words below."


def drawing_of(setup, places, words):
    """What is drawn of a `setup`: outlines of its bodies, and its places as points; a dict for the browser.

    places   {choice: (name, [(x, y), ...])} [m]; the first point of each is the one that keys reach. Where
             there is none, the bodies bear their names instead
    words    {choice: what it says}

    >>> from castlab import Setup, alloy, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), 475.0)
    >>> drawn = drawing_of(setup, {"boss": ("boss", [(0.140, 0.0)])}, {"boss": "in the boss"})
    >>> len(drawn["bodies"]), drawn["places"][0]["words"]
    (4, 'in the boss')
    """
    outlines = [(body, outline) for body in setup.layout.blocks for outline in outlines_of(body)]
    corners = [corner for _, outline in outlines for corner in outline]
    (left, bottom), (right, top) = (tuple(map(pick, zip(*corners, strict=True))) for pick in (min, max))
    scale = min((WIDE - 2 * EDGE) / (right - left), (MOST_TALL - 2 * EDGE) / (top - bottom))

    def at(x, y):
        return [round(EDGE + scale * (x - left), 1), round(EDGE + scale * (top - y), 1)]

    points = [dict(zip("xy", at(*spot), strict=True)) | {"key": key, "name": name, "words": words[key],
                                                         "first": number == 0}
              for key, (name, spots) in places.items() for number, spot in enumerate(spots)]
    names = [] if places else [dict(zip("xy", at(*_middle(outline)), strict=True)) | {"name": body.name}
                               for body, outline in outlines if body.role in NAMED]
    wide, tall = (round(2 * EDGE + scale * each) for each in (right - left, top - bottom))
    bodies = [{"points": [at(*corner) for corner in outline], "fill": FILLS.get(body.role, METAL)}
              for body, outline in outlines]
    return {"wide": wide, "tall": tall, "title": TITLE if places else CUT, "places": points,
            "bodies": bodies, "names": names}


def nowhere(setup):
    """The places of a question that is not about one: its part is drawn, and nothing is touched."""
    return {}


def _middle(outline):
    """The middle of the box round an outline [m]."""
    return tuple(0.5 * (min(along) + max(along)) for along in zip(*outline, strict=True))


def outlines_of(body):
    """Where the plane through the middle cuts a body: outlines, each a list of corners (x, y) [m]."""
    form, (left, bottom, _), (right, top, _) = body.form, body.low, body.high
    flat = form.flat if isinstance(form, Prism) else None
    if isinstance(flat, Polygon) and form.axis == 2:
        return [list(flat.points)]
    if isinstance(flat, Disc) and flat.inner and form.axis == 1:
        return [_rectangle(left, bottom, left + flat.radius - flat.inner, top),
                _rectangle(right - flat.radius + flat.inner, bottom, right, top)]
    return [_rectangle(left, bottom, right, top)]


def _rectangle(left, bottom, right, top):
    return [(left, bottom), (right, bottom), (right, top), (left, top)]


def touch():
    """An empty drawing: a widget with `drawing`, `chosen`, the choice that was touched, and `asking`, whether
    it can be touched."""
    global _Touch
    if _Touch is None:
        import anywidget  # made when it is first needed, as the film is

        class Touch(anywidget.AnyWidget):
            _esm = Path(__file__).with_name("touch.js")
            drawing, chosen = traitlets.Dict().tag(sync=True), traitlets.Unicode("").tag(sync=True)
            asking = traitlets.Bool(True).tag(sync=True)

        _Touch = Touch
    return _Touch()


_Touch = None
