"""The pour sheet: one page to take to the furnace, from the casting's bench and the melt's.

Metric and inch-pound stand side by side on it, because scales, displays and rulers in a shop differ.
`castlab.teach.melt.pour_sheet_page` makes a page of these words.
"""

import math
from dataclasses import dataclass

from castlab.materials import flags
from castlab.rules import charge, pouring
from castlab.rules.filling import judge_superheat
from castlab.rules.melting import hottest_melt_c
from castlab.teach.bench.filling import fills, misrun_words
from castlab.teach.melt import melt_words
from castlab.teach.melt.cope_weight import weight_needed
from castlab.teach.melt.melt_words import mass
from castlab.teach.melt.moulding import moulding_rows, pattern_note
from castlab.teach.text.cautions import cautions_at
from castlab.teach.text.reader_units import BOTH
from castlab.units import INCH_POUND, METRIC, significant

LONGEST_CARRY = 120.0  # s; more than this is not looked for
FAMILY = {
    "zinc": "Zinc fume makes you ill: white smoke means too hot. Never make {name} hotter than {limit}, in "
            "the furnace or in the mould.",
    "copper": "Zinc boils at 907 °C (1665 °F), below where brass and bronze are poured: zinc-bearing ones "
              "fume, and most when overheated. Pour in the open or under a hood.",
    "precious": "Molten silver takes up oxygen and spits it out as it freezes: keep it covered, do not "
                "overheat it, keep your face away while it freezes.",
    "aluminium": "Aluminium takes up hydrogen from damp and gives it back as holes. It hardly glows before "
                 "it is far too hot: believe a checked sensor, not your eyes.",
    "iron": "Not for this shop: no small electric furnace melts it safely.",
}
BY_HEAT = {
    "cold": "Colder than usual into the mould: thin parts may not fill (misrun), streams may not join.",
    "usual": "If thin parts do not fill: hotter or faster. If the skin is rough and sunken: cooler.",
    "hot": "Hotter than usual into the mould: more shrinkage, gas, dross, coarse metal, burnt-on sand.",
}
DANGEROUS = ("fumes", "pot", "circuit")  # of a melt's problems; the others only spoil the casting
LEAD = "CONTAINS LEAD: its fume and dust poison. Not for this class, and never for food or drinking water."

BLANK = "________"
NOT_ASKED = "How sure that verdict is, was not asked before this sheet was filled in."


@dataclass(frozen=True)
class SheetBlock:
    """A heading and what stands under it: sentences, or pairs of name and value."""

    heading: str
    lines: tuple[str | tuple[str, str], ...]


@dataclass(frozen=True)
class Sheet:
    """The page: title, verdict, what speaks against it, and blocks for two columns and the foot.

    `reasons` are those of a "Do not pour", the most dangerous first; of a `good` verdict, its cautions.
    """

    title: str
    verdict: str
    good: bool
    reasons: tuple[str, ...]
    left: tuple[SheetBlock, ...]
    right: tuple[SheetBlock, ...]
    foot: tuple[SheetBlock, ...]


HAPPENED = SheetBlock("What came of it, for the shop's own book", (
    f"All liquid after {BLANK}   Poured after {BLANK}   In the furnace at the pour {BLANK}   "
    f"Filled? {BLANK}   Hole, by sand, wax or saw {BLANK}",
))


def sheet_of(melt, casting, units=METRIC, how_sure=None):
    """The pour sheet of a computed `Melt` and the computed `Casting` that it is for.

    `units` is for its sentences; sizes, masses and temperatures stand in both ways. `how_sure`: in how many
    of eight pours it was sound, in words, and whether that is enough; None where that was not asked.
    """
    title = f"Pour sheet: {casting.setup.layout.title} in {melt.alloy.name}"
    against = reasons_against(melt, casting, units)
    reasons, certainty = against or doubts(casting, units, how_sure), _certainty(how_sure)
    left = (_metal(melt), _pot(melt))
    right = (_setting(melt, not against), _pour(melt))
    wrong = _wrong(melt, casting, units, () if certainty in reasons else (certainty,))
    verdict = "Do not pour." if against else _when(melt)
    return Sheet(title, verdict, not against, reasons, left, right,
                 (_mould(casting.setup), wrong, _cautions(melt.alloy), HAPPENED))


def reasons_against(melt, casting, units):
    """Why this must not be poured, the most dangerous first, in words; empty when nothing speaks against it.

    Asked are the alloy, the melt, and the casting as it was computed.
    """
    worst, others = ([melt_words.PROBLEMS[each](melt, units) for each in melt.problems
                      if (each in DANGEROUS) == wanted] for wanted in (True, False))
    bad = casting.account.verdict == "defective"
    holes = [f"The casting comes out bad. {casting.sentence(units)}"] if bad else []
    iron = (FAMILY["iron"],) if melt.alloy.family == "iron" else ()
    return (*_lead(melt.alloy), *iron, *worst, *holes, *others)


def _lead(alloy):
    return (LEAD,) if "contains lead" in flags(alloy.name) else ()


def doubts(casting, units, how_sure=None):
    """What may go wrong with a casting that nothing speaks against, in words."""
    found = []
    if how_sure and not how_sure[1]:
        found.append(_certainty(how_sure))
    if casting.account.verdict == "marginal":
        found.append(f"The casting may come out bad. {casting.sentence(units)}")
    if not fills(casting.setup):
        found.append(f"The mould may not fill: {misrun_words(casting.setup)}.")
    return tuple(found)


def _when(melt):
    early = melt.run.display_arrives
    but = "" if melt.stage(early) == "there" else (
        f" The display is there after {METRIC.time(early)}, the metal is not.")
    return (f"Weigh in {weight(melt.charge.weigh_in)}, set {BOTH.temperature(melt.setup.set_point_c)}, "
            f"pour {METRIC.time(melt.ready)} after switching on.{but}")


def weight(kilograms):
    """A mass as a scale shows it, in kilograms and pounds."""
    return mass(kilograms, BOTH)


def _metal(melt):
    plan = melt.charge
    low, high = charge.usual_melt_loss(melt.alloy)
    return SheetBlock("Metal to weigh in", (
        ("Weigh in", weight(plan.weigh_in)),
        ("returns, at most", weight(charge.MOST_RETURNS * plan.weigh_in)),
        ("fresh ingot, at least", weight((1.0 - charge.MOST_RETURNS) * plan.weigh_in)),
        ("casting", weight(plan.casting)),
        ("feeder, gate, sprue, cup", weight(plan.poured - plan.casting)),
        ("stays in the pot", BOTH.mass(plan.heel)),
        ("lost as dross", f"{BOTH.mass(plan.lost)}; usual {100 * low:g} to {100 * high:g} %"),
    ))


def _pot(melt):
    alloy, plan, own = melt.alloy, melt.charge, melt.setup.own.pot_name
    brim, bore = BOTH.volume(melt.setup.pot_volume), pouring.likely_bore(melt.setup.pot_volume)
    pot = f"Pot {own}" if own else f"Pot rated {melt.setup.rated_mass:g} kg"
    known = "Measured with water." if own else "The volume is our inference: measure yours."
    lines = [f"{pot}, about {brim} to the brim: takes {weight(melt.holds)} of {alloy.name} "
             f"with room below the brim. {known}",
             f"Only a pot that has held nothing but the {alloy.family} family."]
    if "pot" not in melt.problems:
        order, again = melt.order, "no" if 2.0 * plan.weigh_in <= melt.holds else "a"
        piece = BOTH.mass(order.rest / order.pieces)
        widest, wide = (BOTH.length(size, 2) for size in (charge.widest_ingot(bore, alloy), bore))
        lines += [f"1. {weight(order.first)} cold and loose, not wedged: metal grows as it warms.",
                  f"2. As it melts, {order.pieces} pieces of {piece}, warmed and dried on the lid, with "
                  "tongs, one after the other.",
                  f"An ingot on end: {widest} across its corners at most, if the pot is {wide} wide.",
                  f"A second mould alike needs {again} second melt."]
    return SheetBlock("Pot and order of filling", tuple(lines))


def _mould(setup):
    rows, note = moulding_rows(setup), pattern_note(setup.alloy)
    return SheetBlock("Mould: length × height × depth as the casting lies", (*rows, note))


def _setting(melt, good):
    setup, run = melt.setup, melt.run
    rows = [("Set on the display", BOTH.temperature(setup.set_point_c))]
    if setup.sensor_error:
        way = "high" if setup.sensor_error > 0 else "low"
        off = BOTH.temperature_difference(abs(setup.sensor_error))
        rows.append((f"counted: display reads too {way} by", off))
    if run is not None:
        rows.append(("display there after", METRIC.time(run.display_arrives)))
    if melt.ready is not None:
        rows += [("metal begins to melt after", METRIC.time(melt.melting_from)),
                 ("all liquid after", METRIC.time(melt.all_liquid)),
                 ("then hold", METRIC.time(setup.hold)),
                 ("READY after" if good else "hold ends after", METRIC.time(melt.ready)),
                 ("furnace off; stir gently, skim, look: no lump?", "[   ]")]
    supply = setup.circuit
    rows.append(("circuit", f"{supply.volts:g} V, {supply.amps:g} A; furnace {setup.power:.0f} W"))
    if run is not None:
        rows.append(("electricity", f"{significant(run.energy_in / melt_words.JOULES_PER_KWH)} kWh"))
    return SheetBlock("Setting and time line", tuple(rows))


def _pour(melt):
    low, high = melt.alloy.pour_range_c
    rows = [("wanted in the mould", BOTH.temperature(melt.setup.wanted_c)),
            ("usual in the mould", f"{low:.0f} to {high:.0f} °C "
             f"({INCH_POUND.temperatures.shown(low):.0f} to {INCH_POUND.temperature(high)})")]
    if melt.enters_c is not None:
        rows += [("in the furnace when ready", BOTH.temperature(melt.metal_c(melt.ready))),
                 ("into the mould, as planned", BOTH.temperature(melt.enters_c)),
                 (f"furnace to end of pour, plan {METRIC.time(melt.setup.carry)}", _at_most(melt))]
    poured = melt.setup.casting
    rows.append(("mould", f"{poured.mould.name}, {BOTH.temperature(poured.mould_temp_c)}"))
    return SheetBlock("Pouring window", (*rows, *_kept_shut(poured)))


def _kept_shut(setup):
    """What keeps metal from lifting the cope or parting the die; a flask of investment has no parting."""
    if setup.mould.kind == "sand":
        needed = f"{weight(weight_needed(setup))}, with its own sand; clamp it too"
        return (("weight on the cope, at least", needed),)
    return (("both halves", "clamp them: metal pushes them apart"),) if setup.mould.kind == "die" else ()


def _at_most(melt):
    longest = longest_carry(melt)
    if longest is None:
        return "colder than usual"
    return f"at most {METRIC.time(longest)}" + (" or more" if longest == LONGEST_CARRY else "")


def longest_carry(melt):
    """How long after the furnace [s] metal still enters the mould as hot as is usual; None: never."""
    start, lowest = melt.metal_c(melt.ready), melt.alloy.pour_range_c[0]
    if melt.way(lowest, 0.0).furnace_c > start:
        return None
    if melt.way(lowest, LONGEST_CARRY).furnace_c <= start:
        return LONGEST_CARRY
    early, late = 0.0, LONGEST_CARRY
    while late - early > 0.5:
        middle = 0.5 * (early + late)
        early, late = (middle, late) if melt.way(lowest, middle).furnace_c <= start else (early, middle)
    return early


def _wrong(melt, casting, units, certainty):
    sound = casting.account.verdict == "sound"  # what is not, stands at the top of the sheet
    lines = [f"Computed for this part: {casting.sentence(units)}"] if sound else []
    lines += certainty
    if melt.enters_c is not None:
        lines.append(BY_HEAT[judge_superheat(melt.alloy, melt.enters_c)])
    lines += [f"{melt.alloy.name}: {melt.alloy.notes}",
              "If metal is still solid long after the time above, or liquid far too early, the sensor may be "
              f"wrong: switch off and check it. {_whose_times(melt)} Data of metals: 10 to 20 %."]
    return SheetBlock("What can go wrong", tuple(lines))


def _certainty(how_sure):
    return f"Poured eight times with the data low and high: {how_sure[0]}" if how_sure else NOT_ASKED


def _whose_times(melt):
    own = melt.setup.own
    if own.furnace is None:
        return "The times are those of an example furnace: time yours, and write it down."
    return f"The times are those of the furnace {own.furnace_name}, as you measured it."


def _cautions(alloy):
    family, limit = FAMILY.get(alloy.family.split("-")[0], ""), hottest_melt_c(alloy)
    if limit < math.inf:
        family = family.format(name=alloy.name, limit=BOTH.temperature(limit))
    common = "• " + " • ".join(cautions_at("pour sheet"))  # on a page that is full
    return SheetBlock("Cautions", tuple(line for line in (*_lead(alloy), family, common) if line))
