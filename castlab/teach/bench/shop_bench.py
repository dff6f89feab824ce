"""A bench that reads the shop's own book: its mould, its usual temperature, and how its holes came out."""

from dataclasses import replace

from castlab.errors import InputError
from castlab.materials import mould
from castlab.shop.pours import holes_of
from castlab.teach.bench.bench import Bench
from castlab.teach.sliders.part_sliders import METAL, MOULD_HEAT
from castlab.teach.sliders.to_design import mould_follows, pouring_follows_alloy

MADE_UP = "MADE UP"


def shop_bench(sliders, setup_of, book, **others):
    """A bench of these sliders, and one for how strongly the mould draws heat, that follow the shop's book.

    book     a `castlab.teach.shop.book_file.BookFile`; the bench takes up what is written into it
    others   what else a `Bench` takes
    """
    at = 1 + max(number for number, slider in enumerate(sliders) if slider.group == METAL)
    every = [*sliders[:at], MOULD_HEAT, *sliders[at:]]
    start = {slider.name: slider.value for slider in sliders}
    first = {name: value for name, (_, _, value) in _follow(start, book.shop, "alloy", "mould").items()}
    every = [replace(each, value=first[each.name]) if each.name in first and each.name not in NOT_AT_FIRST
             else each for each in every]
    bench = Bench(every, setup_of,
                  follows={name: lambda values, name=name: _follow(values, book.shop, name)
                           for name in ("alloy", "mould")},
                  numbers_of=lambda result, units: (*result.numbers(units),
                                                    *remarks(result, book.shop, units)), **others)
    book.when_changed(bench.guarded(bench.settle))
    return bench


NOT_AT_FIRST = ("mould_temp_c",)


def _follow(values, shop, *moved):
    """What alloy and mould bring along: the usual of every bench, then what the shop knows better."""
    found = {}
    if "alloy" in moved:
        found |= pouring_follows_alloy(values)
        usual, (low, high, _) = shop.usual_of(values["alloy"]), found["pour_temp_c"]
        if usual is not None and low <= usual["pour_temp_c"] <= high:
            found["pour_temp_c"] = low, high, usual["pour_temp_c"]
    if "mould" in moved:
        own = _mould_of(shop, values["mould"])
        share = 1.0 if own is None else min(max(own.share, 0.01 * MOULD_HEAT.low), 0.01 * MOULD_HEAT.high)
        found |= mould_follows(values) | {"mould_heat": (MOULD_HEAT.low, MOULD_HEAT.high, 100.0 * share)}
    return found


def remarks(result, shop, units):
    """Pairs of name and words: what the book says of this casting's mould, pour and hole."""
    setup = result.setup
    return (*_of_mould(setup, shop), *_of_pour(setup, shop, units), *_of_hole(result, shop, units))


def _of_mould(setup, shop):
    name = setup.mould.name.removesuffix(", hot")
    data = mould(name, hot=setup.mould.name != name)
    counted = f"{100.0 * setup.mould.heat_diffusivity / data.heat_diffusivity:.0f} % of the data"
    own = _mould_of(shop, name)
    if own is None:
        return () if setup.mould == data else (("mould draws heat", counted),)
    plates = "1 plate" if len(own.entries) == 1 else f"{len(own.entries)} plates"
    doubt = "" if own.agrees and not own.wrong else "; not all agree, see the book"
    measured = f"{100.0 * own.share:.0f} %, give or take {100.0 * own.fit.band * own.share:.0f} %"
    return (("mould draws heat",
             f"{counted} (my shop: {own.name}, {plates}, {measured}{_made_up(own.entries)}{doubt})"),)


def _of_pour(setup, shop, units):
    usual = shop.usual_of(setup.alloy.name)
    if usual is None:
        return ()
    return (("poured in my shop at", units.temperature(usual["pour_temp_c"]) + _made_up([usual])),)


def _of_hole(result, shop, units):
    """The hole as the shop's pours came out; where they say that predictions are off."""
    hole = holes_of(shop.book)
    if hole is None or not hole.bias.corrects or result.sound:
        return ()
    size = units.volume(hole.bias.ratio * result.account.defect_m3)
    return (("holes, by your pours",
             f"{size} ({len(hole.entries)} pours came out {hole.bias.ratio:.2f} times as large as predicted, "
             f"give or take {hole.bias.band:.2f}{_made_up(hole.entries)})"),)


def _mould_of(shop, material):
    try:
        return shop.mould_of(material)
    except InputError:
        return None  # the book says why


def _made_up(entries):
    return f", {MADE_UP}" if any(each.made_up for each in entries) else ""
