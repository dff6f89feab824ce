"""From pixels to the bytes of a PNG of 256 colours: a third of the work of all colours, and half the size.

A picture has few colours of its own, which stay exactly as they are; only the soft edges of lines and letters
go to the nearest of the others.
"""

import functools
import io
import itertools

import numpy as np
from PIL import Image

COLOURS = 256
GREYS = range(0, 256, 15)  # for the edges of letters
MIXED = (0, 64, 128, 191, 255), (0, 51, 102, 153, 204, 255), (0, 64, 128, 191, 255)  # red, green, blue


def png_of(pixels, exact):
    """The bytes of a PNG.

    Parameters: `pixels`, bytes (rows, columns, 4), red, green, blue and one that is not used; `exact`, a
    tuple of the (red, green, blue) that must stay as they are.

    >>> white = np.full((2, 3, 4), 255, dtype=np.uint8)
    >>> Image.open(io.BytesIO(png_of(white, ((255, 255, 255),)))).convert("RGB").getpixel((2, 1))
    (255, 255, 255)
    """
    palette, numbers = _table(exact)
    colours = pixels.view("<u4")[:, :, 0]  # red in the lowest byte
    bins = (colours >> 3 & 31) << 10 | (colours >> 11 & 31) << 5 | (colours >> 19 & 31)
    image = Image.fromarray(numbers.take(bins.astype(np.intp)))  # a browser's Python counts in 32 bits
    image.putpalette(palette)
    file = io.BytesIO()
    image.save(file, "PNG", compress_level=1)
    return file.getvalue()


@functools.lru_cache(maxsize=8)
def _table(exact):
    """A palette with these colours first, and the number in it of every colour of five bits a channel."""
    greys = [(level, level, level) for level in GREYS]
    palette = list(dict.fromkeys([*exact, *greys, *itertools.product(*MIXED)]))[:COLOURS]
    colours, middles = np.array(palette, dtype=np.float32), np.arange(4, 256, 8, dtype=np.float32)
    bins = np.stack(np.meshgrid(middles, middles, middles, indexing="ij"), axis=-1).reshape(-1, 3)
    away = (colours**2).sum(axis=1) - 2.0 * bins @ colours.T  # squared distance, less what all have in common
    numbers = away.argmin(axis=1).astype(np.uint8)
    for number, (red, green, blue) in enumerate(exact):
        numbers[(red >> 3) << 10 | (green >> 3) << 5 | blue >> 3] = number
    return bytes(itertools.chain.from_iterable(palette)), numbers
