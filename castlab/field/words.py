"""The verdict in words: the defect, its place, its size, and why it is there."""

from castlab.units import METRIC

WORTH_NAMING = 0.15  # share of all defects below which a second hole is left out of the sentence
TOGETHER = 0.03  # two times that differ by less are not told apart in words: they have two digits
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


def _named(account):
    """The holes worth naming, one of each kind and block, largest first: ((kind, block), volume [m3])."""
    sums = {}
    for place in account.places:
        sums[place.kind, place.block] = sums.get((place.kind, place.block), 0.0) + place.volume_m3
    total = sum(sums.values())
    largest = sorted(sums.items(), key=lambda item: -item[1])
    return [item for item in largest if item[1] >= WORTH_NAMING * total][:2] or largest[:1]


def _holes(account, units):
    named = _named(account)
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
    (kind, block), _ = _named(account)[0]
    if kind == "sponge":
        return (
            "the temperature there is so even that liquid cannot travel between the crystals "
            "to where metal is missing"
        )
    feeder = _feeder_froze(account)
    own = units.time(account.froze_s[block])
    if feeder is None:
        return _no_feeder(account, block, own) + _gate(account, units)
    if kind == "pipe_into_casting" or account.feeder_emptied > EMPTY_FEEDER:
        return _empty(account) + _too_early(account, block, units, "; it also")
    if feeder < account.froze_s[block]:
        return "the feeder" + _too_early(account, block, units, "")
    drawn = account.defect_m3 - account.paid_m3["sponge"]
    if account.beside_feeder_m3 > 0.5 * drawn:
        return (
            f"the feeder is stiff with crystals sooner than the {block}, which then gives up its own liquid; "
            f"the {block} is solid {own} after the pour"
        )
    return f"the way from the feeder to it freezes before the {block} is solid, {own} after the pour"


def _no_feeder(account, block, own):
    froze = account.froze_s
    it = "it" if len({name for (_, name), _ in _named(account)}) == 1 else f"the {block}"
    when = f"stays liquid until {own} after the pour"
    if max(froze, key=froze.get) == block:
        when = f"freezes last, {own} after the pour"
    return f"{it} {when}, and nothing above it is still liquid to feed it"


def _empty(account):
    given = round(100 * account.feeder_emptied)
    return (
        f"the feeder runs empty and holds too little metal: it gives {given} %, the rest freezes on its walls"
    )


def _too_early(account, block, units, start):
    """That the feeder freezes before the block, or with it."""
    feeder, own = _feeder_froze(account), account.froze_s[block]
    late = units.time(own)
    if feeder < (1.0 - TOGETHER) * own:
        early = units.time(feeder)
        return f"{start} freezes first, {early} after the pour, and the {block} stays liquid until {late}"
    if start:  # it runs empty; that it freezes with the block explains nothing more
        return ""
    return f" freezes together with the {block}, {late} after the pour; it must stay liquid longer"


def _feeder_froze(account):
    """When the last feeder was solid [s]; None without a feeder."""
    feeders = [body.name for body in account.run.grid.layout.blocks if body.role == "feeder"]
    return max((account.froze_s[name] for name in feeders), default=None)


def _gate(account, units):
    closed = account.gate_closed_s
    names = [body.name for body in account.run.grid.layout.blocks if body.role == "gate"]
    first = next((name for name in names if account.froze_s[name] == closed), None)
    return f"; the {first} is solid after {units.time(closed)}" if first else ""


def _sound(account, units):
    paid, size = account.paid_m3, units.volume
    if account.asked_m3 <= 0.0:
        grown = size(-account.asked_m3)
        return f"Sound: this metal grows as it freezes, by {grown} in all, and asks for no feed."
    asked = f"the {size(account.asked_m3)} that cooling and freezing ask for"
    flat = ""
    if paid["dimensional"] > 0.02 * account.asked_m3:
        flat = " The upper face goes down a little, which is a matter of size and not of soundness."
    if paid["feeder"] > 0.1 * account.asked_m3:
        given = size(paid["feeder"])
        return f"Sound: of {asked}, the feeder pays {given}{_in_time(account, units)}.{flat}"
    given = paid["gate"] + paid["pour"] + paid["feeder"]
    if given > 0.9 * account.asked_m3:
        return f"Sound: gate and sprue pay for {asked}, before they are solid.{flat}"
    return f"Sound: of {asked}, gate and sprue pay {size(given)}, before they are solid.{flat}"


def _in_time(account, units):
    feeder, casting = _feeder_froze(account), account.casting_froze_s
    if (1.0 - TOGETHER) * feeder < casting:
        return ", though it stays liquid hardly longer than the casting"
    late, early = units.time(feeder), units.time(casting)
    return f"; it is liquid until {late} after the pour, the casting only until {early}"
