"""The verdict in words: the defect, its place, its size, and why it is there."""

from castlab.units import METRIC

WORTH_NAMING = 0.15  # share of all defects below which a second hole is left out of the sentence
EMPTY_FEEDER = 0.5  # share of its volume that a feeder has given away when it counts as used up; judgement


def sentence(account, units=METRIC):
    """One sentence, two at most, about an account; `units` is METRIC or INCH_POUND of castlab.units."""
    if account.verdict == "sound" or not account.places:
        return _sound(account, units)
    start = _holes(account, units)
    if account.verdict == "marginal":
        start = "Marginal: " + start[0].lower() + start[1:]
    return f"{start}: {_reason(account, units)}."


def name_of(kind):
    """What a caster calls it."""
    return {
        "sink": "sink",
        "cavity": "closed cavity",
        "sponge": "sponge",
        "pipe_into_casting": "pipe into the casting",
    }[kind]


def _holes(account, units):
    sums = {}
    for place in account.places:
        sums[place.kind, place.block] = sums.get((place.kind, place.block), 0.0) + place.volume_m3
    total = sum(sums.values())
    largest = sorted(sums.items(), key=lambda item: -item[1])
    named = [item for item in largest if item[1] >= WORTH_NAMING * total][:2]
    return " and ".join(
        _hole(kind, block, volume, units, i == 0) for i, ((kind, block), volume) in enumerate(named)
    )


def _hole(kind, block, volume, units, first):
    a, size = ("A" if first else "a"), units.volume(volume)
    if kind == "sink":
        return f"{a} sink of {size} on top of the {block}"
    if kind == "cavity":
        return f"{a} closed cavity of {size} inside the {block}"
    if kind == "sponge":
        return (
            f"{'S' if first else 's'}ponge in the {block}, fine holes of {size} in all between the crystals"
        )
    return f"{a} pipe of {size} that reaches down into the {block}"


def _reason(account, units):
    main = account.places[0]
    froze, block = account.froze_s, main.block
    feeder = froze.get("feeder")
    own = units.time(froze[block])
    if main.kind == "sponge":
        return (
            "the temperature there is so even that liquid cannot travel between the crystals "
            "to where metal is missing"
        )
    if feeder is None:
        last = "it freezes last" if max(froze, key=froze.get) == block else "it is solid"
        unfed = "nothing above it is still liquid to feed it"
        return f"{last}, {own} after the pour, and {unfed}{_gate(account, units)}"
    if feeder < froze[block]:
        early = units.time(feeder)
        return f"the feeder freezes first, {early} after the pour, and the {block} stays liquid until {own}"
    if main.kind == "pipe_into_casting" or account.feeder_emptied > EMPTY_FEEDER:
        end = f"before the {block} is solid, {own} after the pour"
        return f"the feeder runs empty {end}; it holds too little metal"
    return f"the way from the feeder to it freezes before the {block} is solid, {own} after the pour"


def _gate(account, units):
    closed = account.gate_closed_s
    return f"; the gate is solid after {units.time(closed)}" if closed is not None else ""


def _sound(account, units):
    paid, froze = account.paid_m3, account.froze_s
    asked = f"the {units.volume(account.asked_m3)} that cooling and freezing ask for"
    flat = ""
    if paid["dimensional"] > 0.02 * account.asked_m3:
        flat = " The upper face goes down a little, which is a matter of size and not of soundness."
    if "feeder" in froze and paid["feeder"] > 0.1 * account.asked_m3:
        given, late = units.volume(paid["feeder"]), units.time(froze["feeder"])
        early = units.time(account.casting_froze_s)
        return (
            f"Sound: of {asked}, the feeder pays {given}; it is liquid until {late} after the pour, "
            f"the casting only until {early}.{flat}"
        )
    return f"Sound: gate and sprue pay for {asked}, before they are solid.{flat}"
