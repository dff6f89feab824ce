"""A part of one's own on a bench: beside the numbers three sections through its largest hole."""

import base64

import numpy as np

from castlab.field.own_part import OwnPart
from castlab.teach.own_part.in_words import place_words
from castlab.teach.own_part.three_views import WIDTH, three_views
from castlab.teach.text import markup


def drawing_beside(part):
    """The `drawing_of` of a `Bench` for a part, by its name or one's own; None for a part of the course."""
    return sections_beside if isinstance(part, OwnPart) else None


def sections_beside(values, result, units):
    """HTML of a Casting cut through its largest hole, or its middle: from the front, the right, and above."""
    point = result.account.holes[0].middle if result.account.holes else _middle(result.setup.layout)
    words = f"Cut at {place_words(point, units)}: from the front, the right, and above."
    data = base64.b64encode(three_views(result.setup.layout, point, result.account, units)).decode()
    picture = f'<img src="data:image/png;base64,{data}" width="{WIDTH}" style="max-width:100%" alt="">'
    return f"<div>{picture}{markup.paragraph(words)}</div>"


def _middle(layout):
    own = [block for block in layout.blocks if block.role == "casting"]
    low, high = np.min([block.low for block in own], axis=0), np.max([block.high for block in own], axis=0)
    return tuple((0.5 * (low + high)).tolist())
