"""The words of a melt plan: its sentence, its numbers."""

from castlab.materials import flags
from castlab.rules import melting
from castlab.teach.text.cautions import cautions_at
from castlab.units import significant

JOULES_PER_KWH = 3.6e6
ONE_MELT = "One mould cannot be filled from two melts."


def sentence(melt, units):
    """One to three sentences about a `castlab.teach.melt.melt.Melt`; `units` is METRIC or INCH_POUND."""
    if melt.problems:
        return PROBLEMS[melt.problems[0]](melt, units)
    return f"{_ready(melt, units)} {_way(melt, units)}"


def _fumes(melt, units):
    comes_to, limit = (units.temperature(each) for each in (
        melt.comes_to_c, melting.hottest_melt_c(melt.alloy)))
    comes = "comes" if melt.run else "would come"  # some settings are hotter than the furnace can get
    return (f"Too hot: so set, the metal {comes} to {comes_to} as the furnace switches, and zinc fumes: "
            f"{melt.alloy.name} is never made hotter than {limit}, in the furnace or in the mould. "
            f"{_advice(melt, units)}")


def _pot(melt, units):
    charge_mass, takes = (mass(each, units) for each in (melt.charge.weigh_in, melt.holds))
    return (f"This pot is too small: {charge_mass} must be weighed in, and {pot_words(melt.setup)} takes "
            f"{takes} of {melt.alloy.name} with room below the brim. {ONE_MELT} Make the crucible larger.")


def pot_words(setup):
    """The pot in a sentence: by its name in the shop's book, else by what it is sold as."""
    own = setup.own.pot_name
    return f"the pot {own}" if own else f"a pot rated {setup.rated_mass:g} kg"


def _circuit(melt, units):
    supply = melt.setup.circuit
    carries = melting.circuit_power(supply.volts, supply.amps)
    return (f"Do not plug it in there: the furnace takes {melt.setup.power:.0f} W, and a breaker of "
            f"{supply.amps:g} A at {supply.volts:g} V can supply {carries:.0f} W for hours. "
            "Choose a circuit that can supply it.")


def _top(melt, units):
    top = melt.top_shown_c
    return (f"It does not get there: with this power, and elements of this age, the display reaches "
            f"{units.temperature(top)} at most, and {units.temperature(melt.setup.set_point_c)} is set. "
            f"{_advice(melt, units)}")


def _solid(melt, units):
    end = melt.run.time[-1]
    state = "all of it solid" if melt.melted_share(end) == 0.0 else "part of it solid"
    too_low = melt.run.set_point_c <= melt.alloy.liquidus_c
    why = "The set point is too low" if too_low else "It needs longer: the last degrees come slowly"
    return (f"The metal does not become liquid: {units.time(end)} after switching on it is at "
            f"{units.temperature(melt.metal_c(end))} and {state}. {why}; {melt.alloy.name} is all liquid "
            f"from {units.temperature(melt.alloy.liquidus_c)}. {_advice(melt, units)}")


def _frozen(melt, units):
    above = units.temperature_difference(melt.metal_c(melt.ready) - melt.alloy.liquidus_c)
    return (f"Too cold: it begins to freeze on the way to the mould, for it leaves the furnace only {above} "
            f"above where {melt.alloy.name} begins to freeze. {_ready(melt, units)} {_warmer(melt, units)}")


def _cold(melt, units):
    return f"{heat_words(melt)}. {_ready(melt, units)} {_way(melt, units)} {_warmer(melt, units)}"


def _hot(melt, units):
    return f"{heat_words(melt)}. {_ready(melt, units)} {_way(melt, units)} {_advice(melt, units)}"


def heat_words(melt):
    """Whether a melt that becomes liquid is hot enough and not too hot, for sentence and chart."""
    if "fumes" in melt.problems:
        return "Too hot"
    if "frozen" in melt.problems:
        return "Too cold"
    off = next((each for each in ("cold", "hot") if each in melt.problems), None)
    if off is None:
        return "Ready"
    low, high = melt.alloy.pour_range_c
    usual = {"cold": "Colder than wanted", "hot": "Hotter than wanted"}
    return usual[off] if low <= melt.enters_c <= high else f"Too {off}"


# What each of a melt's `problems` means, and what helps.
PROBLEMS = {"fumes": _fumes, "pot": _pot, "circuit": _circuit, "top": _top, "solid": _solid,
            "frozen": _frozen, "cold": _cold, "hot": _hot}


def _ready(melt, units):
    at = melt.run.display_arrives
    state = {"solid": "still all solid", "melting": "still melting", "liquid": "liquid, but colder",
             "there": "about as hot"}[melt.stage(at)]
    shown = units.time(at, beside=melt.ready)
    return (f"Ready {units.time(melt.ready)} after switching on. The display shows "
            f"{units.temperature(melt.setup.set_point_c)} after {shown}; the metal is then {state}, "
            f"at {units.temperature(melt.metal_c(at))}. All of it is liquid after "
            f"{units.time(melt.all_liquid, beside=melt.ready)}.")


def _way(melt, units):
    return (f"Once ready and poured within {melt.setup.carry:.0f} s, it enters the mould at "
            f"{units.temperature(melt.enters_c)}; {units.temperature(melt.setup.wanted_c)} is wanted.")


def _warmer(melt, units):
    """What brings more heat: time, where the setting would do, else another setting."""
    if melt.setup.set_point_c >= melt.advised_c and not melt.wants_too_hot:
        advised = units.temperature(melt.advised_c)
        far = "the metal is still far behind the display"
        if advised == units.temperature(melt.setup.set_point_c):
            return f"Make the hold longer: {far}."
        return f"Set {advised}, and make the hold longer: {far}."
    return _advice(melt, units)


def _advice(melt, units):
    advised, top = melt.advised_c, melt.top_shown_c
    if melt.wants_too_hot:
        limit = units.temperature(melting.hottest_melt_c(melt.alloy))
        return (f"{units.temperature(melt.setup.wanted_c)} in the mould asks for more than {limit} in the "
                f"furnace, too hot for {melt.alloy.name}: shorten the way to the mould, or pour cooler.")
    if advised <= top:
        return f"Set {units.temperature(advised)}."
    return (f"{units.temperature(advised)} would be needed, and the display reaches {units.temperature(top)} "
            "at most: shorten the way to the mould, or find out whether the casting also runs colder.")


def numbers(melt, units):
    """Pairs of name and words: charge, pot, times, temperatures. The rest stands on the pour sheet.

    Beside a number stands what the shop's own book says of it.
    """
    return tuple((name, melt.setup.own.beside(name, words, units)) for name, words in _numbers(melt, units))


def _numbers(melt, units):
    return (
        ("metal to weigh in", mass(melt.charge.weigh_in, units)),
        ("the pot takes", mass(melt.holds, units)),
        *_fill(melt, units),
        *_times(melt, units),
        *_by_own_pours(melt, units),
        *_temperatures(melt, units),
        *((melt.alloy.name, warning) for warning in flags(melt.alloy.name)),
        ("cautions", " ".join(cautions_at("melt bench"))),
    )


def _fill(melt, units):
    if "pot" in melt.problems:
        return ()
    order = melt.order
    rest = f"{order.pieces} pieces of {units.mass(order.rest / order.pieces)}"
    return (("first, cold", mass(order.first, units)), ("then, hot and dry", rest))


def _times(melt, units):
    run, rows = melt.run, []
    if run is None:
        return ()
    rows.append(("display at the set point", units.time(run.display_arrives)))
    if melt.ready is not None:
        rows += [("metal melts for", units.time(melt.all_liquid - melt.melting_from)),
                 ("all liquid", units.time(melt.all_liquid)), ("ready", units.time(melt.ready))]
    share = f"{100 * run.efficiency:.0f} % of it in the metal"
    return (*rows, ("electricity", f"{significant(run.energy_in / JOULES_PER_KWH)} kWh, {share}"))


def _by_own_pours(melt, units):
    """When the metal will be ready if this melt is as late, or early, as the shop's pours were."""
    own = melt.setup.own
    if own.late is None or melt.ready is None:
        return ()
    ready = own.late * melt.all_liquid + melt.setup.hold
    return (("ready, by your pours", units.time(ready)),)


def _temperatures(melt, units):
    way = melt.way(melt.setup.wanted_c)
    advised = "too hot: zinc fumes" if melt.wants_too_hot else units.temperature(melt.advised_c)
    enters = () if melt.enters_c is None else (("metal into the mould", units.temperature(melt.enters_c)),)
    return (*enters, ("wanted in the mould", units.temperature(melt.setup.wanted_c)),
            ("lost on the way", units.temperature_difference(way.held + way.stream)),
            ("recommended set point", advised))


def mass(kilograms, units):
    """A mass to be put on a scale: three digits, because scales give them."""
    return units.mass(kilograms, 3)
