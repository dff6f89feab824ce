"""How far to trust the computed casting: every check as a table and a picture, computed when it is asked for.

Each check sets the field beside something from outside: an exact solution, a hand rule, a published rule, a
balance, or its own finer cells. None of them knows what it is expected to say.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from castlab.field.freeze import freeze
from castlab.field.layout import Layout, Setup, box
from castlab.field.outcome import COARSE, pour
from castlab.field.shrinkage import shrinkage
from castlab.field.sponge import gradient_and_rate
from castlab.field.sure import across_bands
from castlab.materials import Mould, alloy, mould
from castlab.rules.exact import front_against_mould
from castlab.rules.feeding import LEAST_FEEDER, feeding_distance_bar, feeding_distance_plate
from castlab.rules.gas import CM3_PER_100G
from castlab.rules.scatter import scatter_of_freezing_time
from castlab.teach.sliders import to_design
from castlab.teach.text.reader_units import BOTH
from castlab.teach.trust import check_pictures
from castlab.teach.trust import rule_beside_field as beside
from castlab.teach.trust.fed_plates import LENGTH, METALS, STEEL, THICK_M, fed_plate, plate_with_feeder
from castlab.teach.trust.feeders_on_parts import CASES as PART_CASES
from castlab.teach.trust.feeders_on_parts import smallest_on_part
from castlab.teach.trust.gassy_plates import METAL, TRIALS, gassy_plates
from castlab.teach.trust.gassy_plates import THICK_M as THICK_PLATE_M
from castlab.teach.trust.least_feeder import CASES, ROUND, least_by_curve, least_in_field
from castlab.teach.trust.stated_error import stated_error

RULE_ALLOYS, RULE_CELLS = ("ZA-12", "A356"), 5  # cells in a modulus
PLATE_M, PLATE_CELLS = 25e-3, 9  # of steel, and an odd number of cells: one row of them lies in the middle
PLATE_LENGTHS = (3.0, 4.5, 6.0, 8.0)  # in thicknesses
BAR_M = 100e-3  # a thickness that the rule for bars knows
NIYAMA_LIMIT, NIYAMA_SOLID = 0.775, 0.9  # (K s)^0.5/mm, Niyama and others 1982, from memory; where it is read
STEEL_PLATES_M = (10e-3, 20e-3, 50e-3)
NEWER_STEEL = 5.3  # Ou, Carlson, Hardin and Beckermann 2002, from memory
STEEL_ZONES = (2.0, 2.5)  # thicknesses from the feeder and from the end: Bishop and Pellini 1950, from memory
FED_HEADINGS = ("alloy", "plate thick", "thicknesses fed from the feeder", "sound at the far end",
                "beyond them a place lacks up to", "from the feeder, by the ranges of the properties")
FEEDER_HEADINGS = ("field: modulus over the casting's", "volume over the casting's",
                   "classic curve: modulus", "volume")
PART_HEADINGS = ("narrowest feeder", "modulus over the section's", "without its open top",
                 "time until solid over the section's", "it gave of itself")
PUBLISHED_RATIO = 1.2  # modulus of the feeder over that of the casting: Wlodawer 1967, from memory
CONVERGENCE_CELLS = (6e-3, 3e-3, 2e-3, 1.5e-3)
# Part, alloy, mould, and what differs from the part's own sizes.
CASTINGS = (
    ("eye plate", "ZA-12", "green sand", {}),
    ("eye plate", "A356", "green sand", {"feeder_width": 0.044, "feeder_height": 0.060}),
    ("eye plate", "pure zinc", "zircon sand", {}),
    ("step wedge", "tin bronze", "dry silica sand", {}),
    ("step wedge", "ZA-12", "cast-iron die", {}),
    ("bracket", "Al-12Si", "green sand", {}),
    ("bracket", "tin bronze", "green sand", {}),
    ("cleat", "fine silver", "investment", {}),
    ("cleat", "A356", "oil-bonded sand", {"fillet": 0.004}),
    ("sheave", "ZA-12", "green sand", {"feeder_width": 0.040, "feeder_height": 0.050}),
    ("bollard cap", "A356", "cast-iron die", {}),
    ("bollard cap", "pure copper", "green sand", {}),
)


@dataclass(frozen=True, eq=False)
class Check:
    """One check: `headings` and `rows` of words, what it `says` in a sentence, and its picture.

    `numbers` are what the tests look at, by name; `draw(axes)` draws.
    """

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    says: str
    numbers: dict
    draw: object

    @cached_property
    def png(self):
        """Its picture as the bytes of a PNG."""
        return check_pictures.png(self.draw, self.title)

    def _repr_html_(self):
        return check_pictures.page(self)


# ---- against exact solutions


def exact_solutions():
    """The front in a pure metal against Schwarz's and Neumann's solutions: a Check."""
    found = [_front(*case) for case in _exact_cases()]
    rows = tuple((name, f"{front.root:.4f}", f"{100.0 * worst:.1f} %") for name, front, _, worst in found)
    worst = max(each[-1] for each in found)
    return Check(
        "Against exact solutions", ("metal and mould", "λ of the exact front", "field off by at most"), rows,
        f"The computed front is never more than {100.0 * worst:.1f} % from the exact one.", {"worst": worst},
        lambda axes: check_pictures.draw_fronts(axes, [(name, *points) for name, _, points, _ in found]))


def _exact_cases():
    """Name, metal, mould, pouring temperature; metal and mould thickness, cell, depths that are read [m]."""
    aluminium, zinc = alloy("pure aluminium"), alloy("pure zinc")
    iron = replace(mould("cast-iron die"), interface_coefficient=math.inf, start_temp_c=25.0)
    touching = replace(mould("green sand"), interface_coefficient=math.inf)
    wall = Mould("wall of fixed temperature", "die", 1e6, 1e5, 6e5, aluminium.solidus_c - 80.0)
    return (
        ("aluminium in green sand (Schwarz)", aluminium, touching, aluminium.liquidus_c,
         20e-3, 120e-3, 1e-3, (6e-3, 19e-3)),
        ("zinc against bare iron (Schwarz)", zinc, iron, zinc.liquidus_c,
         30e-3, 150e-3, 0.5e-3, (9e-3, 25e-3)),
        ("aluminium poured 80 K hot, fixed wall (Neumann)", aluminium, wall, aluminium.liquidus_c + 80.0,
         120e-3, 150e-3, 1e-3, (9e-3, 20e-3)),
    )


def _front(name, metal, around, pour_c, metal_m, mould_m, cell, read):
    """(name, exact front, (times, computed depths, exact depths), worst difference as a share)."""
    side = 0.0, 3.0 * cell
    body = box("metal", "casting", side, (0.0, metal_m), side)
    flask = (0.0, 0.0, 0.0), (side[1], metal_m + mould_m, side[1])
    rod = Layout((body,), *flask)  # its walls let no heat through, so that it flows along y only
    run = freeze(Setup(rod, metal, around, pour_c), cell)
    front = front_against_mould(metal, around, pour_c)
    volume = run.grid.metal_volume.ravel()[run.metal_cells]
    depth = (run.solid * volume).sum(axis=1) / side[1] ** 2
    exact = np.array([front.depth(time) for time in run.times_s])
    use = (exact > read[0]) & (exact < read[1])
    points = run.times_s[use], depth[use], exact[use]
    return name, front, points, float(np.max(np.abs(depth[use] / exact[use] - 1.0)))


# ---- against hand rules


def plain_shapes():
    """Plate, bar, cylinder and ball of one modulus: field and hand rule, which share no code. A Check."""
    found = beside.pairs(RULE_ALLOYS, RULE_CELLS)
    rows = tuple((row.alloy, row.shape, f"{row.rule_s:.0f} s", f"{row.field_s:.0f} s",
                  f"{100.0 * (row.rule_over_field - 1.0):+.0f} %") for row in found)
    worst = max(abs(row.rule_over_field - 1.0) for row in found)
    return Check(
        "Plain shapes by the hand rule", ("alloy", "shape", "rule", "field", "rule off by"), rows,
        f"Modulus {BOTH.length(beside.MODULUS_M)} in green sand: rule and field differ by at most "
        f"{100.0 * worst:.0f} %.",
        {"worst": worst}, lambda axes: check_pictures.draw_pairs(axes, found))


# ---- against published rules of feeding


def feeding_distance():
    """How far a feeder keeps a steel plate sound, read off the field, against the published rule: a Check."""
    plates = {length: _along_the_plate(length) for length in PLATE_LENGTHS}
    place, value = plates[max(PLATE_LENGTHS)]
    reach = float(np.sum(np.gradient(place)[value > NIYAMA_LIMIT]))
    steel = alloy("carbon steel")
    published, chilled = (feeding_distance_plate(PLATE_M, 8.0 * PLATE_M, steel, end) / PLATE_M
                          for end in ("end", "chilled end"))
    bar = feeding_distance_bar(BAR_M, BAR_M, steel) / BAR_M
    rows = tuple((f"{length:g} thicknesses", f"{value.min():.1f}", _yes(value.min() > NIYAMA_LIMIT))
                 for length, (_, value) in plates.items())
    return Check(
        "How far a feeder reaches in steel", ("plate long", "least G/√R, (K s)^½/mm", "fed all along"), rows,
        f"In the field a feeder and a free end keep {reach:.1f} thicknesses sound; the published rule says "
        f"{published:g}, to a chilled end {chilled:.1f}, along a bar of {BOTH.length(BAR_M)} {bar:.1f}. The "
        "field was not told the rule.",
        {"reach": reach, "published": published},
        lambda axes: check_pictures.draw_plates(axes, plates, NIYAMA_LIMIT))


def _along_the_plate(length):
    """Places on the middle line [thicknesses from the feeder] and G/sqrt(R) there [(K s)^0.5/mm]."""
    thick = PLATE_M
    layout, start = plate_with_feeder(thick, length)
    steel = alloy("carbon steel")
    setup = Setup(layout, steel, mould("dry silica sand", hot=True), steel.liquidus_c + 60.0)
    run = freeze(setup, thick / PLATE_CELLS)
    gradient, rate = gradient_and_rate(run, NIYAMA_SOLID)
    x, y, _ = run.grid.centres
    middle = np.argmin(np.abs(y - layout.blocks[-1].low[1] - 0.5 * thick))
    here = run.grid.is_role("casting")[:, middle, 0]
    return (x[here] - start) / thick, run.on_grid(gradient / 1e3 / np.sqrt(rate))[here, middle, 0]


def fed_steel_plates():
    """How far suction through the mush feeds long plates of steel, beside the published rule: a Check."""
    found = [fed_plate((STEEL, thick)) for thick in STEEL_PLATES_M]
    both = [plate.fed_over + plate.end for plate in found]
    low = min(plate.low for plate in found)
    return Check(
        "How far steel is fed through the mush", FED_HEADINGS, tuple(map(_fed_words, found)),
        f"In the field, suction along the way feeds {min(both):.1f} to {max(both):.1f} thicknesses of a long "
        f"plate, feeder and end together. Published are {STEEL_ZONES[0]:g} + {STEEL_ZONES[1]:g} = "
        f"{sum(STEEL_ZONES):g}, and by a newer rule {NEWER_STEEL:g} for a wide plate. By the "
        "feeder it is longer than published, at the end of thin plates shorter. The ranges of "
        f"viscosity, shrinkage and arm spacing alone can take the zone by the feeder down to {low:.1f}.",
        {"least": min(both), "most": max(both), "low": low},
        lambda axes: check_pictures.draw_fed_plates(axes, found, LENGTH, STEEL_ZONES[0]))


def fed_plates(found):
    """Our own feeding distances: how far suction through the mush feeds long plates of five alloys. A Check.

    found: what `fed_plate` gave for each alloy and thickness.
    """
    all_along = dict.fromkeys(plate.metal for plate in found if plate.fed_over is None)
    return Check(
        "How far a feeder reaches through the mush", FED_HEADINGS, tuple(map(_fed_words, found)),
        f"Computed and not measured. {' and '.join(all_along) or 'None'}: fed all along, since much "
        "of it freezes at one temperature and the way is open until then; fine pores in it are of gas. In "
        "the others the ranges of the properties count for more than thickness. Plan with the short end.",
        {"all along": tuple(all_along)},
        lambda axes: check_pictures.draw_fed_plates(axes, found, LENGTH, STEEL_ZONES[0]))


def fed_plates_searched():
    """Our own feeding distances behind a button."""
    words = "Compute long plates of five alloys (about half a minute)"
    cases = [(name, thick) for name in METALS for thick in THICK_M]
    return check_pictures.LongCheck(fed_plate, cases, fed_plates, words)


def gas_in_plates():
    """What hydrogen adds where suction alone opens nothing, beside the hand rule for gas: a Check."""
    found = gassy_plates()
    rows = tuple((f"{each.content / CM3_PER_100G:g} ml in 100 g", f"{100.0 * each.field:.2f} %",
                  f"{100.0 * each.rule:.2f} %") for each in found)
    over = [each.field / each.rule for each in found if each.rule > 0.0]
    return Check(
        "Gas and suction in one balance",
        ("hydrogen in the melt", "pores in the field", "by the rule, at most"), rows,
        f"A plate of {METAL}, {BOTH.length(THICK_PLATE_M, 2)} thick and {LENGTH:g} thicknesses long. A pore "
        "opens where suction and the pressure of the gas exceed that of air and metal above, and grows until "
        f"they no longer do. The field finds {min(over):.2f} to {max(over):.2f} times what the rule says. "
        f"Trial plates of well degassed melts had {TRIALS[0]:g} to {TRIALS[1]:g} %.",
        {"dry": found[0].field, "least": min(over), "most": max(over)},
        lambda axes: check_pictures.draw_gas(axes, found, TRIALS))


def _fed_words(plate):
    """One plate in words."""
    far, near, low, high = map(_thicknesses, (plate.fed_over, plate.end, plate.low, plate.high))
    ends = low if low == high else f"{low} to {high}"
    return plate.metal, BOTH.length(plate.thick_m, 2), far, near, f"{100.0 * plate.worst:.1f} %", ends


def _thicknesses(number):
    return "all along" if number is None else f"{number:.1f}"


def feeder_ratio(names=("Al-12Si", "ZA-12", "tin bronze")):
    """The smallest feeder that makes a cylinder sound, as a ratio of moduli; the published: a Check."""
    found = {name: least_in_field((ROUND, name)) for name in names}
    rows = tuple((name, *_ratio_words(found[name]), *_ratio_words(least_by_curve((ROUND, name))))
                 for name in names)
    moduli = {name: each[0] for name, each in found.items() if each}
    low, high = min(moduli.values()), max(moduli.values())
    return Check(
        "How large a feeder must be", ("alloy", *FEEDER_HEADINGS), rows,
        f"In the field a feeder is enough from {low:.1f} to {high:.1f} times the casting's modulus on; "
        f"foundries take {PUBLISHED_RATIO:g}, which holds a margin.", {"low": low, "high": high},
        lambda axes: check_pictures.draw_ratios(axes, moduli, PUBLISHED_RATIO))


def least_feeders(found, cases=CASES):
    """Smallest feeders of plain castings beside the classic curve: a Check.

    found: what `least_in_field` gave for each of the cases.
    """
    curve = [least_by_curve(case) for case in cases]
    rows = tuple((f"{shape} of {name}", *_ratio_words(field), *_ratio_words(by_curve))
                 for (shape, name), field, by_curve in zip(cases, found, curve, strict=True))
    both = [field[1] / by_curve[1] for field, by_curve in zip(found, curve, strict=True)
            if field and by_curve]
    return Check(
        "Smallest sound feeders beside the classic curve", ("casting", *FEEDER_HEADINGS), rows,
        f"In the field the least feeder holds {min(both):.1f} to {max(both):.1f} times the volume that the "
        "classic curve asks for. The curve is from memory, and a fit to castings of steel: it knows neither "
        "shape nor sand. For zinc and silver none was found.",
        {"least": min(both), "most": max(both)},
        lambda axes: check_pictures.draw_least_feeders(axes, cases, found, LEAST_FEEDER))


def least_feeders_searched():
    """The check of the smallest feeders behind its button."""
    words = "Search the smallest feeders of twenty castings (about a minute)"
    return check_pictures.LongCheck(least_in_field, list(CASES), least_feeders, words)


def feeders_of_parts(found, cases=PART_CASES):
    """The smallest top feeders of the course's parts, with what the rule leaves out: a Check.

    found: what `smallest_on_part` gave for each of the cases.
    """
    rows = tuple((f"{part} of {name}", *_smallest_words(each))
                 for (part, name), each in zip(cases, found, strict=True))
    enough = [each for each in found if each]
    (low, high), (late, latest), (least, most) = (
        (min(of), max(of)) for of in ([each.modulus for each in enough], [each.time for each in enough],
                                      [each.open_top for each in enough]))
    return Check(
        "Smallest sound feeders on the course's parts", ("casting", *PART_HEADINGS), rows,
        f"As a textbook counts it the smallest has {low:.2f} to {high:.2f} times the modulus of what it "
        f"feeds; where its open top is not counted as a face that cools, {least:.2f} to {most:.2f} times. In "
        f"the field it is solid after {late:.2f} to {latest:.2f} times as long.",
        {"low": low, "high": high, "soonest": late},
        lambda axes: check_pictures.draw_parts(axes, cases, found))


def feeders_of_parts_searched():
    """The check of the smallest feeders of parts behind its button."""
    words = "Search the smallest feeders of six parts in six alloys (two to three minutes)"
    return check_pictures.LongCheck(smallest_on_part, list(PART_CASES), feeders_of_parts, words)


def _smallest_words(found):
    if found is None:
        return ("none", *4 * ("",))
    ratios = found.modulus, found.open_top, found.time
    return BOTH.length(found.width, 2), *(f"{each:.2f}" for each in ratios), f"{100.0 * found.gave:.0f} %"


def _ratio_words(ratios):
    """Moduli and volumes in two columns."""
    return tuple(f"{each:.2f}" for each in ratios) if ratios else ("none", "none")


# ---- against itself: balances, finer cells, the ranges of the data


def setup_of(part, metal, sand, sizes):
    """A casting of CASTINGS, poured in the middle of the usual range."""
    return design_of(part, metal, sand, sizes).setup()


def design_of(part, metal, sand, sizes):
    """The same as a Design."""
    pour_c = 0.5 * sum(alloy(metal).pour_range_c)
    return to_design.design_of(part, {"alloy": metal, "mould": sand, "pour_temp_c": pour_c, **sizes})


def name_of(part, metal, sand, sizes):
    """Such as "eye plate of A356 in green sand, with feeder"."""
    return f"{part} of {metal} in {sand}" + (", with feeder" if "feeder_width" in sizes else "")


def closure(cases=CASTINGS[::2]):
    """Whether heat and metal add up: a Check."""
    found = {name_of(*case): _balances(setup_of(*case)) for case in cases}
    rows = tuple((name, f"{heat:.0e}", f"{paid:.0e}", f"{100.0 * densities:.2f} %")
                 for name, (heat, paid, densities) in found.items())
    heat, paid, densities = (max(each) for each in zip(*found.values(), strict=True))
    return Check(
        "Does it add up?", ("casting", "heat missing", "asked less paid", "against the densities"), rows,
        f"Heat and metal are {'kept' if max(heat, paid) < 1e-9 else 'NOT kept'} to a billionth; holes and "
        f"pour agree with what the densities alone ask for, to {100.0 * densities:.1f} %.",
        {"heat": heat, "paid": paid, "densities": densities},
        lambda axes: check_pictures.draw_balances(axes, found))


def _balances(setup):
    """Heat missing, asked less paid, and holes and pour against densities, each as a share."""
    account, metal = pour(setup, COARSE), setup.alloy
    run = account.run
    volume = float(run.grid.metal_volume.sum())
    poured = metal.density_liquid * (1.0 - metal.liquid_contraction * (setup.pour_temp_c - metal.liquidus_c))
    wanted = volume * (1.0 - poured / metal.density_solid)
    holes = float(np.sum(account.void * run.grid.metal_volume)) + account.paid_m3["pour"]
    missing = abs(account.asked_m3 - sum(account.paid_m3.values())) / account.asked_m3
    return run.energy_error, missing, abs(holes / wanted - 1.0)


def grid_convergence(case=CASTINGS[0]):
    """One casting on ever finer cells: when it is solid and how large its holes are. A Check."""
    setup = setup_of(*case)
    found = []
    for cell in CONVERGENCE_CELLS:
        run = freeze(setup, cell)
        found.append((cell, run.last_time_s, shrinkage(run).defect_m3))
    rows = tuple((BOTH.length(cell, 2), f"{time:.1f} s", BOTH.volume(volume, 3))
                 for cell, time, volume in found)
    times, volumes = ([each[place] for each in found] for place in (1, 2))
    moved, holes = (abs(each[1] / each[-1] - 1.0) for each in (times, volumes))
    return Check(
        "On finer cells", ("cells", "last metal solid", "holes"), rows,
        f"From {BOTH.length(CONVERGENCE_CELLS[1])}, the cells of an answer, to "
        f"{BOTH.length(CONVERGENCE_CELLS[-1])} the time moves by {100.0 * moved:.1f} % and the holes by "
        f"{100.0 * holes:.0f} %.", {"time": moved, "holes": holes},
        lambda axes: check_pictures.draw_convergence(axes, found))


def property_ranges(case=CASTINGS[0]):
    """The stated scatter of the last time against eight pours at the ends of the data's ranges: a Check."""
    plain = design_of(*case)
    share = scatter_of_freezing_time(plain.alloy, plain.mould, plain.pour_temp_c)
    times = [COARSE.freeze(each.setup()).last_time_s for each in (plain, *across_bands(plain))]
    low, high = min(times[1:]) / times[0] - 1.0, max(times[1:]) / times[0] - 1.0
    rows = (("stated beside the time, by a hand formula", f"-{100 * share:.0f} %", f"+{100 * share:.0f} %"),
            ("eight pours in the field", f"{100 * low:.0f} %", f"{100 * high:+.0f} %"))
    return Check(
        "What the ranges of the data do", ("way", "shortest", "longest"), rows,
        f"The properties are known so roughly that a time may be {100 * share:.0f} % off, however fine the "
        "cells.",
        {"stated": share, "low": low, "high": high},
        lambda axes: check_pictures.draw_ranges(axes, times, share))


def stated_errors(found, cases=CASTINGS):
    """Whether answers on half the cells lie within what stands beside the number: a Check.

    found: what `stated_error` gave for each of the cases.
    """
    rows = tuple((name_of(*case), f"{time:.1f} s", f"±{error:.1f} s", f"{finer:.1f} s",
                  _yes(abs(finer - time) <= error))
                 for case, (time, error, finer) in zip(cases, found, strict=True))
    inside = sum(row[-1] == "yes" for row in rows)
    return Check(
        "Is the stated grid error honest?",
        ("casting", "answer", "stated", "half the cells", "inside"), rows,
        f"{inside} of {len(rows)} answers on half the cells lie within what is stated.", {"inside": inside},
        lambda axes: check_pictures.draw_stated(axes, found))


def stated_grid_errors():
    """The check of the stated errors behind its button."""
    words = "Compute twelve castings on half the cells (about half a minute)"
    setups = [setup_of(*case) for case in CASTINGS]
    return check_pictures.LongCheck(stated_error, setups, stated_errors, words)


def _yes(whether):
    return "yes" if whether else "no"


def print_numbers(*checks):
    """What each check says."""
    for check in checks:
        print(f"{check.title}: {check.says}")
