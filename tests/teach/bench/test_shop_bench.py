"""A casting's bench reads the shop's book: mould, usual temperature, how holes came out."""

import pytest
from light_bench import HOLE_M3, light_bench, uncomputed

from castlab.field.outcome import COARSE, outcome_of
from castlab.field.sure import across_bands
from castlab.materials import mould
from castlab.shop.entries import entry_of
from castlab.teach.bench.shop_bench import shop_bench
from castlab.teach.shop.book_file import BookFile
from castlab.teach.sliders.part_sliders import MORE_SIZES
from castlab.teach.sliders.to_design import design_of, sliders_for


@pytest.fixture(scope="module")
def example(tmp_path_factory):
    book = BookFile(tmp_path_factory.mktemp("shop"))
    book.show_example()
    return book


@pytest.fixture(scope="module")
def bench(example):
    return light_bench(book=example)


def test_it_starts_with_the_shops_own_mould_and_temperature(bench):
    assert bench.values["mould_heat"] == 85.0 and bench.values["pour_temp_c"] == 480.0
    said = dict(bench.numbers)
    assert said["mould draws heat"].startswith("85 % of the data (my shop: box 2, 4 plates, 85 %")
    assert "MADE UP" in said["mould draws heat"] and "480 °C" in said["poured in my shop at"]
    share = bench.setup().mould.heat_diffusivity / mould("green sand").heat_diffusivity
    assert share == pytest.approx(0.85)


def test_a_mould_that_draws_less_freezes_the_casting_later(bench):
    times = [outcome_of(bench.setup(mould_heat=share), COARSE).froze_s for share in (85.0, 100.0)]
    assert 1.1 < times[0] / times[1] <= 0.85**-2  # 1 / b^2, but for what the contact holds back


def test_another_mould_is_as_the_data_say_and_back(bench):
    bench.set(mould="investment")
    assert bench.values["mould_heat"] == 100.0 and "mould draws heat" not in dict(bench.numbers)
    bench.set(mould="green sand")
    assert bench.values["mould_heat"] == 85.0


def test_how_sure_keeps_to_the_shops_own_mould(bench):
    """The band of the data, a share of the value, lies about the shop's own value."""
    own = across_bands(design_of("eye plate", bench.values))
    data = across_bands(design_of("eye plate", bench.values | {"mould_heat": 100.0}))
    for one, other in zip(own, data, strict=True):
        assert one.mould.conductivity / other.mould.conductivity == pytest.approx(0.85)


def test_holes_that_came_out_larger_are_said(bench, example, tmp_path):
    book = BookFile(tmp_path)
    other = light_bench(book=book)
    for _ in range(4):
        book.write_down(entry_of("pours", {"part": "cleat", "alloy": "ZA-12", "planned_hole": 4e-6,
                                           "hole_by": "volume known", "hole": 8e-6}))
    said = dict(other.numbers)["holes, by your pours"]
    assert "4 pours came out 2.00 times as large" in said
    assert float(said.split()[0]) == pytest.approx(2e6 * HOLE_M3)


def test_without_a_book_there_is_no_such_slider():
    assert "mould_heat" not in light_bench().controls


def test_the_page_of_the_part_has_its_other_sizes_too(example):
    assert {each.name for each in MORE_SIZES["eye plate"]} == {"width", "boss_depth"}
    bench = shop_bench([*sliders_for("eye plate", "boss"), *MORE_SIZES["eye plate"]],
                       lambda values: design_of("eye plate", values).setup(), example, solve=uncomputed)
    before = bench.setup().layout
    bench.set(width=0.02, boss_depth=0.03)
    assert bench.setup().layout != before and bench.alert == ""


@pytest.mark.parametrize("part", MORE_SIZES)
def test_every_other_size_starts_as_the_part_is_drawn_and_reaches_both_ends(part):
    values = {slider.name: slider.value for slider in sliders_for(part)}
    plain = design_of(part, values).setup().layout
    others = {each.name: each.value for each in MORE_SIZES[part]}
    assert design_of(part, values | others).setup().layout == plain
    for each in MORE_SIZES[part]:
        for end in (each.low, each.high):
            assert design_of(part, values | {each.name: end}).setup().layout != plain
