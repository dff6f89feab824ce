"""Luminance and contrast, as the web accessibility guidelines (WCAG 2.1) define them."""

import numpy as np

from castlab.teach.picture.picture import BAND_COLOURS
from castlab.teach.picture.raster import band_of


def luminance(colours):
    """Relative luminance of sRGB bytes (IEC 61966-2-1), as a grey print or an eye without colours sees it."""
    share = np.asarray(colours, dtype=float) / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return linear @ [0.2126, 0.7152, 0.0722]


def contrast(first, second):
    """Contrast ratio: 1 for equal colours, 21 for black on white."""
    dark, light = sorted((luminance(first), luminance(second)))
    return (light + 0.05) / (dark + 0.05)


def colours_of(shares):
    """The colour in which a place is drawn that froze at this share of the whole time."""
    return BAND_COLOURS[band_of(shares, len(BAND_COLOURS))]
