"""Text and marks stand out from what they lie on, at 4.5:1 at least (WCAG 2.1, level AA for text).

Defects can be told apart in a grey print. All is read from pixels and from the colours that are in use.
"""

import itertools
import re
from pathlib import Path

import numpy as np
import pytest
from colours import colours_of, contrast, luminance
from matplotlib.colors import to_rgb
from shares import every

from castlab.field.layout import Layout, box
from castlab.materials import mould
from castlab.teach.panels import map_picture
from castlab.teach.panels.map_picture import LOOKS
from castlab.teach.picture import picture, raster
from castlab.teach.picture.picture import BAND_COLOURS, Picture
from castlab.teach.picture.scene import Label, Scene
from castlab.teach.text.markup import ALERT, OUTDATED

LEAST = 4.5
TEACH = Path(__file__).resolve().parents[1] / "castlab" / "teach"
FLASK = (-0.05, -0.05, -0.05), (0.1, 0.1, 0.05)
BLOCK = Layout((box("block", "casting", (0.0, 0.04), (0.0, 0.02), (-0.01, 0.01)),), *FLASK)
SHARES = (np.arange(len(BAND_COLOURS)) + 0.5) / len(BAND_COLOURS)
KINDS = (*raster.HOLLOW, raster.SPONGE)
INK_OF = {kind: raster.HARMLESS_INK if kind == raster.HARMLESS else raster.VOID_INK for kind in KINDS}
SURE = 0.75  # two patterns whose greys run together less than this, wherever one is laid on the other, differ
INSIDE = np.s_[12:-12, 12:-12]


def hatched(kind, share, scale=1):
    """The block with much void everywhere, all of it frozen at one share of the time."""
    x, y = np.array([0.0, 0.04]), np.array([0.0, 0.02])
    one = np.ones((1, 1))
    section = raster.Section(BLOCK, x, y, share * one, 0.6 * one, kind * one.astype(int), (0.02, 0.01))
    view = raster.View((0.0, 0.0), (0.04, 0.02), 320 * scale, 160 * scale, scale)
    return raster.paint(section, view, BAND_COLOURS)[0][INSIDE][..., :3]


def where(pixels, colour):
    return (pixels == np.array(colour)).all(axis=2)


def colours_in(pixels):
    """Each colour once."""
    return set(map(tuple, pixels.reshape(-1, 3).tolist()))


def beside(mask):
    """Pixels that touch the mask and are not in it."""
    grown = mask.copy()
    for axis, step in itertools.product((0, 1), (-1, 1)):
        grown |= np.roll(mask, step, axis)
    return (grown & ~mask)[1:-1, 1:-1]


@pytest.mark.parametrize("scale", every(2, [1, 2]))
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("share", SHARES)
def test_every_hatch_is_seen_on_every_colour_of_the_scale(kind, share, scale):
    pixels, ink = hatched(kind, share, scale), INK_OF[kind]
    strokes = where(pixels, ink)
    assert 0.05 < strokes.mean() < 0.5 and where(pixels, colours_of(share)).any()
    round_them = pixels[1:-1, 1:-1][beside(strokes)]
    assert len(round_them) and min(contrast(ink, ground) for ground in colours_in(round_them)) >= LEAST


@pytest.mark.parametrize("share", SHARES)
def test_where_two_bodies_of_metal_meet_a_line_is_seen(share):
    halves = Layout((box("left", "casting", (0.0, 0.02), (0.0, 0.02), (-0.01, 0.01)),
                               box("right", "feeder", (0.02, 0.04), (0.0, 0.02), (-0.01, 0.01))), *FLASK)
    x, y, nothing = np.array([0.0, 0.04]), np.array([0.0, 0.02]), np.zeros((1, 1))
    section = raster.Section(halves, x, y, nothing + share, nothing, nothing.astype(int))
    view = raster.View((0.0, 0.0), (0.04, 0.02), 320, 160)
    row = raster.paint(section, view, BAND_COLOURS)[0][80, 12:-12, :3]
    assert max(contrast(*pair) for pair in itertools.pairwise(row)) >= LEAST


@pytest.mark.parametrize("ink, ground", [
    (raster.INK, raster.MOULD_COLOUR), (raster.INK, raster.PAPER), ((0, 0, 0), raster.PAPER),
    *((raster.INK, colour) for colour in raster.ROLE_COLOUR.values())])
def test_outlines_and_words_stand_out(ink, ground):
    assert contrast(ink, ground) >= LEAST


@pytest.mark.parametrize("role, material", [("chill", "steel chill"), ("sleeve", "insulating sleeve"),
                                            ("core", "green sand")])
def test_the_hatches_of_other_bodies_stand_out(role, material):
    body = Layout((*BLOCK.blocks, box(role, role, (0.0, 0.04), (-0.02, 0.0), (-0.01, 0.01),
                                                material=mould(material))), *FLASK)
    view = raster.View((0.0, -0.02), (0.04, 0.02), 160, 160)
    pixels = raster.paint(raster.Section(body), view, BAND_COLOURS)[0][92:150, 12:-12, :3]
    colours = colours_in(pixels)
    assert len(colours) == 2 and contrast(*colours) >= LEAST


def test_lines_and_marks_on_metal_have_a_light_rim():
    """So that they are seen on the darkest metal as well as on the brightest."""
    picture = Picture((0.0, 0.0), (0.04, 0.02))
    x, y, nothing = np.array([0.0, 0.04]), np.array([0.0, 0.02]), np.zeros((1, 1))
    section = raster.Section(BLOCK, x, y, nothing + SHARES[0], nothing, nothing.astype(int), (0.01, 0.01))
    picture.show(Scene(section, (Label("sink", (0.02, 0.005), strong=True),)))
    line, mark, cross = picture._lines[0], picture._mark, picture._cross
    rim = line.get_path_effects()[0]._gc
    assert rim["linewidth"] >= line.get_linewidth() + 2.0
    assert contrast(bytes_of(rim["foreground"]), bytes_of(line.get_color())) >= LEAST
    assert contrast(bytes_of(mark.get_markerfacecolor()), bytes_of(cross.get_markeredgecolor())) >= LEAST
    words = picture._words[0][0][:, :, :3].reshape(-1, 3)
    assert contrast(tuple(words.min(axis=0)), tuple(words.max(axis=0))) >= LEAST


def bytes_of(colour):
    return tuple(round(255 * part) for part in to_rgb(colour))


@pytest.mark.parametrize("kind", LOOKS)
def test_letters_and_hatch_of_a_tile_stand_out(kind):
    look = LOOKS[kind]
    assert contrast(look.ink, look.colour) >= LEAST
    assert look.hatch is None or contrast(look.strokes, look.colour) >= LEAST
    assert contrast(map_picture.DARK, map_picture.LIGHT) >= LEAST  # dot, ring and frame have both


def test_each_tile_has_letters_of_its_own():
    letters = [look.letters for kind, look in LOOKS.items() if kind != map_picture.NOT_YET]
    assert all(letters) and len(set(letters)) == len(letters)


@pytest.mark.parametrize("first, second", list(itertools.combinations(KINDS, 2)))
def test_defects_can_be_told_apart_in_a_grey_print(first, second):
    """However one pattern is shifted over the other, their greys do not run together."""
    one, other = (luminance(hatched(kind, SHARES[4])) for kind in (first, second))
    assert likeness(one, one) == pytest.approx(1.0)
    assert likeness(one, other) < SURE


def likeness(one, other):
    """Largest correlation of two pictures over all shifts of one."""
    spectra = [np.fft.rfft2((each - each.mean()) / (each.std() * np.sqrt(each.size)))
               for each in (one, other)]
    return float(np.fft.irfft2(spectra[0] * np.conj(spectra[1]), s=one.shape).max())


def test_words_on_a_page_stand_out():
    """Every colour of text that is written into HTML, and the frame of an alert, on white."""
    assert "#b00020" in ALERT and contrast(bytes_of("#b00020"), raster.PAPER) >= LEAST
    for path in TEACH.glob("*.py"):
        for colour in re.findall(r"(?<![-\w])color: ?(#\w+)", path.read_text(encoding="utf-8")):
            assert contrast(bytes_of(colour), raster.PAPER) >= LEAST, (path.name, colour)


def test_what_is_greyed_can_still_be_read():
    ink, ground = re.findall(r"(?<![-\w])(?:color|background):(#\w+)", OUTDATED)
    assert contrast(bytes_of(ink), bytes_of(ground)) >= LEAST


def test_the_scale_of_colours_is_named_and_even():
    assert picture.MAP == "viridis"  # published as perceptually uniform, and safe for colour-blind readers
