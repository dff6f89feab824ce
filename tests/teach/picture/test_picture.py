"""What is drawn where: read from the pixels themselves, never compared with a stored picture."""

import io
import itertools
from dataclasses import replace

import fake_casting
import numpy as np
import pytest
from colours import colours_of, luminance
from PIL import Image

from castlab.field.bodies import prism
from castlab.field.layout import Layout, box
from castlab.materials import mould
from castlab.teach.picture import raster
from castlab.teach.picture.picture import (
    ARROW,
    BAND_COLOURS,
    DPI,
    HEIGHT,
    MARGIN,
    OWN_COLOURS,
    WIDTH,
    LabelRoom,
    Picture,
    picture_of,
    where_cut,
    words_as_pixels,
)
from castlab.teach.picture.png import png_of
from castlab.teach.picture.scene import Label, Scene
from castlab.teach.text.reader_units import BOTH
from castlab.units import INCH_POUND, METRIC

FLASK = (-0.05, -0.05, -0.05), (0.1, 0.1, 0.05)
BLOCK = Layout((box("block", "casting", (0.0, 0.04), (0.0, 0.02), (-0.01, 0.01)),), *FLASK)


def section(void=0.0, kind=0, layout=BLOCK, frozen=((0.1, 0.5), (0.3, 1.0))):
    """Two by two unequal cells over the block: 10 and 30 mm wide, 5 and 15 mm high."""
    x, y = np.array([0.0, 0.01, 0.04]), np.array([0.0, 0.005, 0.02])
    shares, kinds = np.zeros((2, 2)), np.zeros((2, 2), dtype=int)
    shares[1, 1], kinds[1, 1] = void, kind
    return raster.Section(layout, x, y, np.array(frozen), shares, kinds, (0.03, 0.01))


def painted(what, width=320, height=160):
    view = raster.View((0.0, 0.0), (0.04, 0.02), width, height)
    pixels, codes = raster.paint(what, view, BAND_COLOURS)
    return pixels[:, :, :3], codes


def test_between_unequal_cells_times_run_smoothly():
    """Times that rise evenly from left to right are drawn as straight upright bands of equal width."""
    x = np.cumsum([0.0, *np.linspace(0.5e-3, 1.5e-3, 40)])
    y = np.linspace(0.0, 0.02, 9)
    shares = (0.5 * (x[1:] + x[:-1]) / 0.04)[:, None] * np.ones(8)
    plain = np.zeros(shares.shape)
    what = raster.Section(BLOCK, x, y, shares, plain, plain.astype(int))
    inside = np.s_[10:150, 10:310]
    pixels, at = painted(what)[0][inside], (np.arange(320) + 0.5) / 320
    assert (pixels == pixels[:1]).all()
    drawn = (pixels[0][:, None] == BAND_COLOURS).all(axis=2).argmax(axis=1)
    assert (drawn == raster.band_of(at[10:310], len(BAND_COLOURS))).mean() > 0.95
    assert np.abs(drawn - raster.band_of(at[10:310], len(BAND_COLOURS))).max() <= 1


@pytest.mark.parametrize("share", [0.2, 0.9])
def test_a_hole_is_white_inside_a_rim_and_the_metal_beside_it_keeps_its_colour(share):
    pixels = painted(section(share, raster.SINK))[0][10:110, 90:310].reshape(-1, 3)
    seen = {tuple(int(byte) for byte in pixel) for pixel in pixels}
    assert {raster.VOID_INK, raster.PAPER} < seen
    assert seen - {raster.VOID_INK, raster.PAPER} <= {tuple(map(int, colour)) for colour in BAND_COLOURS}


def test_a_sawn_face_is_plain_metal_with_dark_holes():
    sawn = replace(section(0.5, raster.PIPE), sawn=True)
    seen = {tuple(each) for each in painted(sawn)[0].reshape(-1, 3).tolist()}
    assert seen == {raster.INK, raster.PAPER, raster.ROLE_COLOUR["casting"]}
    picture = Picture((0.0, 0.0), (0.04, 0.02))
    coloured = picture.show(Scene(section())).png()
    assert all(not part.get_visible() for part in picture.show(Scene(sawn))._scale_parts)
    assert picture.show(Scene(section())).png() == coloured


def test_air_above_the_mould_is_cut_off_and_the_column_is_not():
    picture = Picture((0.0, 0.0), (0.06, 0.1))
    rows = {}
    for high in (0.02, 0.09, 0.12):
        flask = Layout(BLOCK.blocks, (-0.05, -0.05, -0.05), (0.1, high, 0.05))
        with Image.open(io.BytesIO(picture.show(Scene(raster.Section(flask))).png())) as image:
            rows[high] = image.size[1]
    assert rows[0.02] < rows[0.09] < rows[0.12] == HEIGHT
    assert HEIGHT - rows[0.02] < ARROW[0]


@pytest.mark.parametrize("kind", [raster.SINK, raster.CAVITY, raster.SPONGE, raster.PIPE, raster.HARMLESS])
def test_every_kind_of_void_has_its_own_pattern_in_grey(kind):
    patterns = {other: luminance(painted(section(0.9, other))[0])[10:100, 90:310]
                for other in (raster.SINK, raster.CAVITY, raster.SPONGE, raster.PIPE, raster.HARMLESS)}
    for other, pattern in patterns.items():
        if other != kind:
            assert (abs(pattern - patterns[kind]) > 0.1).mean() > 0.1, (kind, other)


def test_a_little_sponge_is_shown_and_less_is_not():
    nothing, _ = painted(section())
    assert (painted(section(0.005, raster.SPONGE))[0] != nothing).any()
    assert (painted(section(0.0005, raster.SPONGE))[0] == nothing).all()


def test_nothing_is_coloured_by_time_before_it_is_computed():
    pixels, _ = painted(raster.Section(BLOCK))
    assert {tuple(each) for each in pixels.reshape(-1, 3)} <= {raster.INK, raster.ROLE_COLOUR["casting"]}


def test_a_ring_is_seen_on_both_sides_of_the_axis_and_a_gate_on_one():
    gate = box("gate", "gate", (0.065, 0.075), (0.01, 0.02), (-0.005, 0.005))
    wheel = fake_casting.wheel()
    view = raster.View((-0.08, -0.01), (0.08, 0.1), 320, 220)
    codes = raster.role_codes(wheel, view)
    assert (codes == codes[:, ::-1]).all() and (codes == raster.CODE["feeder"]).any()
    with_gate = replace(wheel, blocks=(*wheel.blocks, gate))
    seen = raster.role_codes(with_gate, view) == raster.CODE["gate"]
    assert seen[:, 160:].any() and not seen[:, :160].any()


def test_the_section_off_the_middle_misses_the_hub_and_says_so():
    wheel, view = fake_casting.wheel(), raster.View((-0.08, -0.01), (0.08, 0.1), 320, 220)
    middle, off = (raster.role_codes(wheel, view, plane) == raster.CODE["casting"] for plane in (None, 0.03))
    assert middle[150:170].any() and off.sum() < 0.7 * middle.sum()  # a ring cut off its middle is narrower
    both = [raster.Section(wheel, plane=plane) for plane in (None, 0.012, -0.012)]
    assert [where_cut(each, METRIC) for each in both] == [
        "section through the middle", "section 12 mm in front of the middle",
        "section 12 mm behind the middle"]


def test_above_the_flask_there_is_air():
    flask = Layout(BLOCK.blocks, (-0.05, -0.05, -0.05), (0.1, 0.02, 0.05))
    view = raster.View((-0.01, -0.01), (0.05, 0.05), 120, 120)
    codes = raster.role_codes(flask, view)
    assert (codes[view.y > 0.02] == raster.AIR).all() and not (codes[view.y < 0.02] == raster.AIR).any()


def test_a_polygon_is_filled_to_its_slanted_edge():
    body = prism("wedge", "casting", "z", [(0, 0), (0.04, 0), (0.04, 0.02)], (-0.01, 0.01))
    wedge = Layout((body,), *FLASK)
    codes = raster.role_codes(wedge, raster.View((0.0, 0.0), (0.04, 0.02), 320, 160))
    assert (codes == raster.CODE["casting"]).mean() == pytest.approx(0.5, abs=0.01)
    assert codes[150, 300] == raster.CODE["casting"] and codes[20, 20] == raster.MOULD


def test_chill_and_sleeve_differ_from_each_other_in_grey():
    def body(role, material):
        below = box("body", role, (0.0, 0.04), (-0.02, 0.0), (-0.01, 0.01), material=mould(material))
        layout = Layout((*BLOCK.blocks, below), *FLASK)
        view = raster.View((0.0, -0.02), (0.04, 0.02), 160, 160)
        return luminance(raster.paint(raster.Section(layout), view, BAND_COLOURS)[0][90:150, 10:150, :3])

    chill, sleeve = body("chill", "steel chill"), body("sleeve", "insulating sleeve")
    assert (abs(chill - sleeve) > 0.1).mean() > 0.3


def test_late_is_bright_step_by_step():
    assert (np.diff(luminance(BAND_COLOURS)) > 0.0).all()
    assert len(BAND_COLOURS) >= 8
    steps = colours_of(np.linspace(0.0, 1.0, 50)).astype(int)
    assert tuple(steps[0]) == tuple(BAND_COLOURS[0]) and tuple(steps[-1]) == tuple(BAND_COLOURS[-1])


def test_a_picture_out_of_date_has_no_colours():
    view = raster.View((0.0, 0.0), (0.04, 0.02), 320, 160)
    both = (raster.paint(section(), view, BAND_COLOURS, faded)[0] for faded in (False, True))
    colours, greyed = (pixels[:, :, :3] for pixels in both)
    assert np.ptp(colours, axis=2).max() > 100
    assert np.ptp(greyed, axis=2).max() < 20


def test_labels_neither_cover_each_other_nor_leave_the_picture():
    metal = np.zeros((430, 670), dtype=bool)
    metal[200:260, 100:600] = True
    size = words_as_pixels("a label of words", True, 18).shape
    room, (half_h, half_w) = LabelRoom(metal, 18), (size[0] / 2, size[1] / 2)
    centres = [room.take(size, (column, 230)) for column in (110, 300, 310, 320, 590)]
    for number, (column, row) in enumerate(centres):
        assert half_w <= column <= 670 - half_w and half_h <= row <= 430 - half_h
        for other_column, other_row in centres[:number]:
            assert abs(column - other_column) > 2 * half_w or abs(row - other_row) > 2 * half_h


def test_lines_to_labels_cross_neither_each_other_nor_the_mark_of_the_last_place():
    metal = np.zeros((430, 670), dtype=bool)
    metal[150:300, 60:620] = True
    dice = np.random.default_rng(3)
    for _ in range(40):
        room, mark = LabelRoom(metal, 18), tuple(dice.integers((80, 170), (600, 280)))
        room.keep_mark(mark, 11)
        places = [mark, *map(tuple, dice.integers((80, 170), (600, 280), size=(3, 2)))]
        places = [place for place in places if place == mark or np.hypot(*np.subtract(place, mark)) > 40]
        lines = [(np.array(place), np.array(room.take((24, 120), place))) for place in places]
        for number, (start, end) in enumerate(lines):
            along = start + np.linspace(0.0, 1.0, 200)[:, None] * (end - start)
            away = np.hypot(*(along - mark).T).min()
            assert tuple(start) == mark or away > 11
            assert not (abs(end - mark) < (60, 12)).all()
            assert not any(crossing(start, end, *other) for other in lines[:number])


def runs_into(holes, start, end):
    """Whether the line enters a hollow; one that begins in it does not."""
    column, row = (np.array(start) + np.linspace(0.0, 1.0, 300)[:, None] * np.subtract(end, start)).T
    through = holes[row.astype(int), column.astype(int)]
    return bool((through[1:] & ~through[:-1]).any())


def test_lines_to_labels_run_into_no_hollow_but_may_come_out_of_one():
    metal, holes = (np.zeros((430, 670), dtype=bool) for _ in range(2))
    metal[150:330, 60:620] = True
    holes[306:326, 270:390] = True  # right on the way from the place to where its label would go
    place, size = (330, 300), (24, 120)
    assert runs_into(holes, place, LabelRoom(metal, 18).take(size, place))
    assert not runs_into(holes, place, LabelRoom(metal, 18, holes).take(size, place))
    inside = 330, 312
    assert LabelRoom(metal, 18, holes).take(size, inside) == LabelRoom(metal, 18).take(size, inside)


def test_where_the_first_labels_are_in_the_way_of_the_last_the_last_ones_choose_first():
    """Six labels round a hollow in a narrow bar, thirty times: in one order alone, more lines cross or enter
    it."""
    metal, holes = (np.zeros((300, 480), dtype=bool) for _ in range(2))
    metal[100:220, 30:450] = holes[130:150, 200:300] = True
    dice, in_turn, chosen = np.random.default_rng(7), 0, 0
    for _ in range(30):
        wanted = [((24, wide), (column, row)) for wide, column, row in dice.integers(
            (150, 200, 130), (300, 280, 170), size=(6, 3)).tolist()]
        one, both = LabelRoom(metal, 18, holes), LabelRoom(metal, 18, holes)
        in_turn += troubles([(at, one.take(size, at)) for size, at in wanted], holes)
        ends = both.take_all(wanted)
        chosen += troubles([(at, end) for (_, at), end in zip(wanted, ends, strict=True)], holes)
    assert chosen < 0.8 * in_turn


def troubles(lines, holes):
    """How many pairs of these lines cross, and how many of them run into a hollow."""
    lines = [(np.array(start), np.array(end)) for start, end in lines]
    crossed = sum(crossing(*one, *other) for one, other in itertools.combinations(lines, 2))
    return crossed + sum(runs_into(holes, *line) for line in lines)


def crossing(a, b, c, d):
    """Whether the lines from a to b and from c to d cross: solved for the shares along both."""
    matrix = np.array([b - a, c - d], dtype=float).T
    if abs(np.linalg.det(matrix)) < 1e-9:
        return False
    return bool(((shares := np.linalg.solve(matrix, c - a)) > 0.02).all() and (shares < 0.98).all())


def test_volumes_have_their_three_raised():
    for plain, raised in (("2 cm3", "2 cm\N{SUPERSCRIPT THREE}"), ("0.1 in3", "0.1 in\N{SUPERSCRIPT THREE}")):
        assert np.array_equal(words_as_pixels(plain, False, 18), words_as_pixels(raised, False, 18))


def test_dots_of_sponge_follow_its_share():
    counts = [(painted(section(share, raster.SPONGE))[0] == raster.VOID_INK).all(axis=2).sum()
              for share in (0.003, 0.006, 0.011, 0.021, 0.2)]
    assert counts == sorted(counts) and counts[0] > 0 and counts[-1] == counts[-2]
    shares = np.array(counts[:4]) / counts[-1]
    assert shares == pytest.approx([0.1, 0.25, 0.5, 1.0], abs=0.03)


def test_the_view_has_room_for_all_layouts_at_equal_scale():
    small, large = fake_casting.plate(), fake_casting.plate(0.03, 0.06, 0.05, 0.09)
    low, high = raster.bounds([small, large])
    picture = Picture(low, high)
    left, right, bottom, top = picture.view.extent
    for block in large.blocks:
        assert left < block.low[0] and block.high[0] < right and bottom < block.low[1] and block.high[1] < top
    tall, wide = len(picture.view.y), len(picture.view.x)
    assert (right - left) / wide == pytest.approx((top - bottom) / tall)


def test_a_moved_picture_equals_one_drawn_afresh():
    low, high = raster.bounds([fake_casting.plate(0.024, 0.06, 0.05, 0.09)])
    values = {slider.name: slider.value for slider in fake_casting.sliders()}
    setups = [fake_casting.setup_of(values | {"thickness": size}) for size in (0.01, 0.02)]
    results = [fake_casting.solve(setup) for setup in setups]
    scenes = [Scene(result.section, tuple(result.labels(METRIC))) for result in results]
    moved = Picture(low, high)
    first = moved.show(scenes[0]).png()
    second = moved.show(scenes[1]).png()
    assert first != second
    assert second == Picture(low, high).show(scenes[1]).png()
    assert first == moved.show(scenes[0]).png()


def test_the_scale_bar_has_the_length_that_it_says():
    picture = Picture((0.0, 0.0), (0.2, 0.1))
    for units, unit_m in ((METRIC, 1e-3), (INCH_POUND, 25.4e-3)):
        picture.speak(units)
        ends = picture._bar.get_xdata()
        number, unit = picture._bar_words.get_text().split()
        assert unit == units.lengths.unit
        assert (ends[1] - ends[0]) * picture.view.metres_per_pixel == pytest.approx(float(number) * unit_m)


def test_on_paper_the_scale_bar_says_both():
    picture = Picture((0.0, 0.0), (0.2, 0.1), BOTH)
    metric, inches = picture._bar_words.get_text().split("\n")
    number, unit = inches.strip("()").split()
    assert metric == "20 mm" and unit == "in" and float(number) == pytest.approx(20 / 25.4, abs=0.005)


def test_gravity_points_against_up():
    picture = Picture((0.0, 0.0), (0.04, 0.02))
    for up, rows in (("+y", 1), ("-y", -1)):
        layout = Layout(BLOCK.blocks, BLOCK.low, BLOCK.high, up=up)
        picture.show(Scene(raster.Section(layout))).png()
        tip, tail = picture._arrow.xy, picture._arrow.get_position()
        assert np.sign(tip[1] - tail[1]) == rows  # rows run downwards on the page


def test_all_words_in_the_picture_can_be_read_from_the_back():
    picture = Picture((0.0, 0.0), (0.04, 0.02)).show(Scene(section(), (Label("sink", (0.03, 0.01)),)))
    sizes = [text.get_size() for axes in picture.figure.axes for text in axes.texts if text.get_text()]
    assert len(sizes) >= 7 and min(sizes) >= 12
    _, (label, _, _) = picture._words
    inked = np.flatnonzero((label.min(axis=2) < 128).any(axis=1))
    tall = inked[-1] - inked[0] + 1  # from the dot of the i to the foot of the letters
    assert tall / DPI * 72 >= 0.7 * 12  # as tall as letters of 12 points are


def test_a_label_is_drawn_where_its_room_was_taken_and_a_defect_has_a_frame():
    labels = Label("sink", (0.03, 0.01), strong=True), Label("last", (0.01, 0.01))
    picture = Picture((0.0, 0.0), (0.04, 0.02)).show(Scene(section(), labels))
    pixels = picture._compose()
    for words, column, row in picture._words:
        rows, columns = slice(MARGIN + row, MARGIN + row + len(words)), slice(MARGIN + column, None)
        assert np.array_equal(pixels[rows, columns][:, : words.shape[1]], words)
    _, strong, plain = (words for words, _, _ in picture._words)
    assert not strong[0, :, :3].any() and not strong[:, -1, :3].any() and plain[0].min() == 255


def test_a_picture_for_a_page_has_the_size_asked_for(tmp_path):
    figure = picture_of(Scene(section(0.6, raster.SINK), (Label("sink", (0.03, 0.015), strong=True),)))
    figure.savefig(tmp_path / "picture.png")
    with Image.open(tmp_path / "picture.png") as picture:
        assert picture.size == (2 * WIDTH, 2 * HEIGHT)
        assert len(picture.convert("RGB").getcolors(maxcolors=1 << 22)) > 20


def test_the_bytes_keep_every_colour_that_has_a_meaning():
    """Bodies, inks and the scale exactly; the soft edges of letters and lines nearly."""
    scene = Scene(section(0.6, raster.SINK), (Label("sink", (0.03, 0.015), strong=True),))
    picture = Picture((0.0, 0.0), (0.04, 0.02)).show(scene)
    drawn = picture._compose()[:, :, :3].astype(int)
    with Image.open(io.BytesIO(picture.png())) as sent:
        seen = np.asarray(sent.convert("RGB")).astype(int)
    own = (drawn[:, :, None, :] == np.array(OWN_COLOURS)).all(axis=3).any(axis=2)
    assert own.mean() > 0.9 and np.array_equal(seen[own], drawn[own])
    assert np.abs(seen - drawn).max() <= 40


def test_no_two_colours_that_have_a_meaning_are_taken_for_each_other():
    row = np.insert(np.array(OWN_COLOURS, dtype=np.uint8), 3, 255, axis=1)[None]
    with Image.open(io.BytesIO(png_of(row, OWN_COLOURS))) as sent:
        assert np.array_equal(np.asarray(sent.convert("RGB")), row[:, :, :3])
