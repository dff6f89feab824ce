"""What the shop's book says, in words and tables: its things, entries that do not agree, its pours."""

from castlab.errors import InputError
from castlab.rules.agreement import SUSPECT
from castlab.rules.pour_bias import FEWEST
from castlab.shop.measured import crucible_volume
from castlab.shop.pours import hole_of, holes_of, times_of
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.units import per_cent, significant

MADE_UP = "MADE UP"
NOTHING = "The book is empty. Write down first what you know of your furnace and your crucible."
SURE = ("“Give or take” holds the truth in all but about one of 10 000 such measurements, where readings err "
        "as they usually do. Heat contents of metals are known to about 10 %, and power with them.")


def overview(shop, units):
    """All that is known of the shop as HTML: a table of its things, and what does not agree."""
    rows = [*_furnaces(shop, units), *_crucibles(shop, units), *_moulds(shop), *_sensors(shop, units),
            *_stock(shop, units), *_usual(shop, units)]
    if not rows:
        return markup.paragraph(NOTHING)
    doubts = "".join(markup.status(words, markup.ALERT) for words in doubts_of(shop, units))
    return doubts + markup.table(("what", "name", "what the book says"), rows, SURE)


def doubts_of(shop, units):
    """Sentences about entries that do not agree, and about what cannot be computed."""
    found = []
    for what, names in (("furnace", shop.furnace_names), ("mould", shop.mould_names),
                        ("sensor", shop.sensor_names)):
        for name in names:
            if (what, name) in shop.problems:
                why = sentence_of(shop.problems[what, name], units)
                found.append(f"Of the {what} “{name}” nothing can be computed. {why}")
            else:
                found += _doubt(f"{what} “{name}”", getattr(shop, what)(name), units)
    return found


def _doubt(thing, seen, units):
    if not seen.wrong:
        if seen.agrees:
            return []
        return [f"The entries of the {thing} do not agree with one another, and no single one explains it. "
                "Its band is as wide as they scatter."]
    named = [entry_words(*seen.names[at], units) for at in seen.wrong]
    if len(named) > 1:
        either = "; or ".join(named)
        return [f"One of these entries of the {thing} is wrong, and nothing says which: {either}. All are "
                "used, and its band is wide. Measure once more."]
    return [f"One entry of the {thing} does not agree with the others: {named[0]}. It lies further off than "
            f"{SUSPECT:g} times the error of a usual reading and is not used. Is it a slip of the pen?"]


def entry_words(entry, row, units):
    """An entry in a sentence, such as "the plate of 12 mm that took 70 s"; `row`: one of its readings."""
    when = f" ({entry['date']})" if entry["date"] else ""
    return ENTRY_WORDS[entry.kind](entry, row, units) + when


def _heat_up(entry, row, units):
    charge = "empty" if entry["mass"] is None else f"with {units.mass(entry['mass'], 3)} of {entry['alloy']}"
    if row is None:
        return f"the heat-up {charge}, {len(entry['readings'])} readings"
    return f"the reading {units.temperature(row[1])} after {row[0] / 60.0:g} min of the heat-up {charge}"


ENTRY_WORDS = {
    "furnaces": lambda entry, row, units: f"the furnace {entry['name']}, {entry['plate_power']:g} W",
    "heat_ups": _heat_up,
    "holds": lambda entry, row, units: (f"the hold at {units.temperature(entry['temp_c'])}, on for "
                                        f"{100.0 * entry['on_share']:.0f} % of the time"),
    "crucibles": lambda entry, row, units: (f"the crucible {entry['name']}, "
                                            f"{units.mass(entry['water'], 3)} of water"),
    "plates": lambda entry, row, units: (
        f"the plate of {units.length(entry['thickness'])} {entry['alloy']} in {entry['mould']} that took "
        f"{units.time(entry['time'])}"),
    "freezing_points": lambda entry, row, units: (
        f"{units.temperature(entry['reading_c'])} of {entry['sensor']} at freezing {entry['metal']}"),
    "stock": lambda entry, row, units: f"{units.mass(entry['mass'], 3)} of {entry['alloy']} on the shelf",
    "usual": lambda entry, row, units: (
        f"{entry['alloy']} poured at {units.temperature(entry['pour_temp_c'])}"),
    "pours": lambda entry, row, units: f"the {entry['part']} in {entry['alloy']}",
    "settings": lambda entry, row, units: f"settings “{entry['name']}” of the {entry['part']}",
}


# ---- rows of the table: what, name, what the book says


def _furnaces(shop, units):
    for name in _sound(shop, "furnace", shop.furnace_names):
        own = shop.furnace(name)
        if own.fit is None:
            yield ("furnace", name, f"{own.plate_power:g} W by its nameplate; no heat-up yet"
                                     f"{_mark(own.entries)}")
            continue
        bands = own.fit.bands
        yield ("furnace", name, (
            f"gives {own.furnace.power:.0f} W, give or take {per_cent(bands['power'])} % (plate: "
            f"{own.plate_power:g} W); loses {significant(own.furnace.loss)} W for each kelvin above the "
            f"room, give or take {per_cent(bands['loss'])} %; from {_readings(own)}{_mark(own.entries)}"))


def _readings(own):
    count = len(own.names)
    return f"{count} readings, which the fit meets within {_middle_left_over(own):.0f} K as a rule"


def _middle_left_over(own):
    left = sorted(abs(each) for each in own.fit.left_over)
    return left[len(left) // 2]


def _crucibles(shop, units):
    for name in shop.crucible_names:
        entry = shop.crucible(name)
        yield ("crucible", name, (f"{units.volume(crucible_volume(entry), 3)} to the brim"
                                  f"{', for ' + entry['family'] if entry['family'] else ''}{_mark([entry])}"))


def _moulds(shop):
    for name in _sound(shop, "mould", shop.mould_names):
        own = shop.mould(name)
        plates = "1 plate" if len(own.entries) == 1 else f"{len(own.entries)} plates"
        yield ("mould", name, (
            f"{own.material}: draws heat as {100.0 * own.share:.0f} % of the data, give or take "
            f"{100.0 * own.fit.band * own.share:.0f} %; {significant(own.fit.heat_diffusivity, 3)} "
            f"J/(m2 K s^0.5); {plates}, which alone say {_signed(own.fit.left_over)}{_mark(own.entries)}"))


def _signed(shares):
    return ", ".join(f"{100.0 * each:+.0f} %" for each in shares)


def _sensors(shop, units):
    for name in _sound(shop, "sensor", shop.sensor_names):
        own = shop.sensor(name)
        fit = own.fit
        high = "high" if fit.offset >= 0.0 else "low"
        yield ("sensor", name, (
            f"reads {units.temperature_difference(abs(fit.offset))} too {high} at "
            f"{units.temperature(fit.centre_c)}, give or take "
            f"{units.temperature_difference(fit.offset_band)}; {len(own.entries)} freezing points"
            f"{_mark(own.entries)}"))


def _stock(shop, units):
    for name in dict.fromkeys(each["alloy"] for each in shop.book.of("stock")):
        entry = shop.stock_of(name)
        yield ("stock", name, f"{units.mass(entry['mass'], 3)}{_dated(entry)}{_mark([entry])}")


def _usual(shop, units):
    for name in dict.fromkeys(each["alloy"] for each in shop.book.of("usual")):
        entry = shop.usual_of(name)
        yield ("poured at", name, f"{units.temperature(entry['pour_temp_c'])}{_dated(entry)}{_mark([entry])}")


def _sound(shop, what, names):
    return [name for name in names if (what, name) not in shop.problems]


def _dated(entry):
    return f", {entry['date']}" if entry["date"] else ""


def _mark(entries):
    return f" ({MADE_UP})" if any(each.made_up for each in entries) else ""


# ---- pours


def pours_words(book, units):
    """What the pours say of the predictions: sentences, and a table of what each leaves over, as HTML."""
    parts = []
    for compared, thing, say in ((times_of(book), "The metal was all liquid after", units.time),
                                 (holes_of(book), "Holes came out", units.volume)):
        if compared is not None:
            parts += [markup.status(_bias_words(compared, thing, units), markup.TEXT),
                      _left_over(compared, say)]
    missing = [markup.paragraph(words) for words in _missing(book, units)]
    return "".join([*parts, *missing]) or markup.paragraph(
        "No pour has both a prediction and a measured value yet.")


def _bias_words(compared, thing, units):
    bias, count = compared.bias, len(compared.entries)
    of_what = "as long as" if thing.startswith("The") else "as large as"
    said = (f"{thing} {bias.ratio:.2f} times {of_what} predicted, give or take {bias.band:.2f}, over {count} "
            f"{'pour' if count == 1 else 'pours'}{_mark(compared.entries)}.")
    if bias.judged.wrong:
        named = "; or ".join(entry_words(compared.entries[at], None, units) for at in bias.judged.wrong)
        kept = "It is not used." if bias.judged.left_out is not None else "All are used."
        said += f" One does not agree with the others: {named}. {kept}"
    if bias.few:
        return f"{said} Nothing is corrected before {FEWEST} pours agree."
    if bias.corrects:
        return f"{said} Correct by that: the plans say so beside their numbers."
    return f"{said} The predictions may well be right, for 1.00 lies within: nothing is corrected."


def _left_over(compared, say):
    rows = [(f"{each['date'] or '-'}, {each['part']}, {each['alloy']}", say(predicted), say(measured),
             ("-" if left < 0.0 else "+") + say(abs(left)))
            for each, predicted, measured, left in zip(
                compared.entries, compared.predicted, compared.measured, compared.bias.left_over,
                strict=True)]
    return markup.table(("pour", "predicted", "measured", "left over by the fit"), rows)


def _missing(book, units):
    for entry in book.of("pours"):
        try:
            hole_of(entry)
        except InputError as error:
            yield f"{entry_words(entry, None, units)}: {sentence_of(error, units)}"
