"""A diagnosis in words: the defect, its place, its size, and why it is there. Nothing is decided here."""

from castlab.field.diagnosis import TOGETHER, told_before
from castlab.field.holes import the
from castlab.units import METRIC

WORTH_NAMING = 0.15  # share of all defects below which a second hole gets no words of its own
WORTH_ADDING = 0.05  # ... and below which what is not named is left out, and a hole has no label
DEEP_M = 5e-3  # an open hollow that reaches farther down has its depth said
CLOSE_BY = 0.5  # thicknesses from the feeder; pores that begin nearer lie beside it
ONE = {"sink": "sink", "cavity": "shrinkage cavity", "pipe_into_casting": "pipe"}
SEVERAL = {"sink": "sinks", "cavity": "shrinkage cavities", "pipe_into_casting": "pipes"}
WHERE_IT_SINKS = {
    "on top": "on top of",
    "under a body": "that reaches down into",
    "at the foot": "at the foot of",
}


def sentence(diagnosis, units=METRIC):
    """One sentence, two at most, about a `diagnosis`; `units` is METRIC or INCH_POUND of castlab.units.

    >>> from castlab import Setup, alloy, diagnose, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> "on top of the boss" in sentence(diagnose(shrinkage(freeze(setup, cell=4e-3))))
    True
    """
    account = diagnosis.account
    if account.verdict == "sound":
        return _sound(diagnosis, units) + _fine_pores(account)
    if diagnosis.hole is None:
        return f"Marginal: many small holes, {units.volume(account.defect_m3)} in all, none of them large."
    start = _holes(diagnosis, units)
    if account.verdict == "marginal":
        start = "Marginal: " + start[0].lower() + start[1:]
    return f"{start}: {_reason(diagnosis, units)}."


def worth_a_label(account):
    """The pieces of the holes of an `account` that are large enough for a label in a picture.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> [piece.kind for piece in worth_a_label(shrinkage(freeze(setup, cell=4e-3)))]
    ['sink']
    """
    least = WORTH_ADDING * account.defect_m3
    return [piece for piece in account.places if piece.volume_m3 > least or piece.harm >= 1.0]


# ---- the holes


def _named(diagnosis):
    """The holes worth naming, largest first; a shrinkage cavity or sponge that is not sound is one, however
    small."""
    largest = [diagnosis.hole, *diagnosis.others]
    total = sum(hole.volume_m3 for hole in largest)
    named = [hole for hole in largest if hole.volume_m3 >= WORTH_NAMING * total][:2] or largest[:1]
    for kind in ("cavity", "sponge"):
        unseen = [hole for hole in largest if hole.kind == kind and hole.harm >= 1.0]
        named += [] if any(hole in named for hole in unseen) else unseen[:1]
    return named


def _not_named(diagnosis):
    """Volume of all other holes [m3], or 0 where it is not worth a word."""
    total = sum(hole.volume_m3 for hole in (diagnosis.hole, *diagnosis.others))
    rest = total - sum(hole.volume_m3 for hole in _named(diagnosis))
    return rest if rest > WORTH_ADDING * total else 0.0


def _holes(diagnosis, units):
    holes = [_hole(diagnosis, hole, units) for hole in _named(diagnosis)]
    holes[0] = holes[0][0].upper() + holes[0][1:]
    if rest := _not_named(diagnosis):
        holes.append(f"{units.volume(rest)} in other holes")
    return listed(holes)


def listed(words):
    """Words one after the other.

    >>> listed(["a sink", "a pipe", "sponge"])
    'a sink, a pipe and sponge'
    """
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def _hole(diagnosis, hole, units):
    block, size = the(hole.block), units.volume(hole.volume_m3)
    if hole.kind == "sponge":
        return f"sponge in {block}, fine holes of {size} in all between the crystals"
    several = _how_many(diagnosis, hole) > 1
    what = f"{SEVERAL[hole.kind]} of {size} in all" if several else f"a {ONE[hole.kind]} of {size}"
    if hole.kind == "cavity":
        return f"{what} inside {block}"
    deep = f" ({units.length(hole.depth_m, 2)} deep)" if hole.depth_m > DEEP_M and not several else ""
    if hole.kind == "sink":
        return f"{what} {WHERE_IT_SINKS[diagnosis.where_it_sinks(hole)]} {block}{deep}"
    return f"{what} that {'reach' if several else 'reaches'} down into {block}{deep}"


def _how_many(diagnosis, hole):
    """Of how many pieces a hole is, the smallest left out."""
    least = WORTH_ADDING * sum(each.volume_m3 for each in (diagnosis.hole, *diagnosis.others))
    return sum(piece.volume_m3 > least for piece in hole.pieces)


# ---- why


def _time(diagnosis, seconds, units):
    """A time in the unit of the last one of the casting, so that times beside each other can be compared."""
    return units.time(seconds, beside=max(diagnosis.account.froze_s.values()))


def _reason(diagnosis, units):
    """The finding, in half a sentence."""
    finding = diagnosis.finding
    if finding == "even":
        beyond = _fed_over(diagnosis)
        return (f"{beyond}the temperature {'' if beyond else 'there '}is so even that liquid cannot travel "
                "between the crystals to where metal is missing")
    if not diagnosis.bodies("feeder"):
        return _no_feeder(diagnosis, units) + _chilled(diagnosis, units)
    if finding == "above the feeder":
        uphill = "it lies higher than the metal in the feeder, and metal does not run uphill"
        return uphill + _gate(diagnosis, units)
    early = _too_early(diagnosis, units)
    if finding == "runs empty":
        return _empty(diagnosis) + (f"; {early}" if early else "")
    return early or _feeder_did_not_help(diagnosis, units)


def _fed_over(diagnosis):
    """How far from the feeder the fine pores begin to count; nothing where it does not reach, or nobody
    asked."""
    path = diagnosis.account.path
    if path is None or not path.worst or (path.sound_over or 0.0) < CLOSE_BY:
        return ""
    return f"it is sound over {path.sound_over:.1f} thicknesses from the feeder; beyond, on the centre line, "


def _no_feeder(diagnosis, units):
    froze, block = diagnosis.account.froze_s, diagnosis.hole.block
    own = _time(diagnosis, diagnosis.hole_froze_s, units)
    alone = len({hole.block for hole in _named(diagnosis)}) == 1 and not _not_named(diagnosis)
    it, gate = "it" if alone else the(block), diagnosis.first("gate")
    when = f"stays liquid until {own} after the pour"
    if max(froze, key=froze.get) == block:
        when = f"freezes last, {own} after the pour"
    if diagnosis.finding == "way from the gate closes":
        return f"{it} {when}, and the feed path from gate and sprue to it closes sooner"
    if diagnosis.finding == "together with the gate":
        return f"{it} {when}, together with the {gate}, which must stay liquid longer"
    if diagnosis.finding == "gate lets nothing through":
        shut = f"the {gate} is solid after {_time(diagnosis, froze[gate], units)} and lets nothing through"
        return f"{it} {when}, but {shut}"
    where = "outside the casting" if diagnosis.is_fed_from_higher else "above it"
    return f"{it} {when}, and nothing {where} is still liquid to feed it{_gate(diagnosis, units)}"


def _feeder_did_not_help(diagnosis, units):
    """The feeder is liquid for longer than the block and holds metal enough, and yet there is a hole."""
    block, own = the(diagnosis.hole.block), _time(diagnosis, diagnosis.hole_froze_s, units)
    solid = f"{block} is solid {own} after the pour"
    if diagnosis.finding == "no air in the feeder":
        closed = ("the feeder is stiff above what is still liquid in it: no air presses on that, so it stays "
                  "there")
        return f"{closed}, and {block} gives its own metal instead; {solid}"
    if diagnosis.finding == "both go down":
        return f"the metal in the feeder stands no higher than {block} by then, so both go down; {solid}"
    if diagnosis.finding == "stiff":
        stiff = f"the feeder is stiff with crystals sooner than {block}"
        return f"{stiff}, which then gives up its own liquid; {solid}"
    way = f"the feed path from the feeder to it freezes before {block} is solid, {own} after the pour"
    shut = diagnosis.way_shut_by_chill
    if shut is None:
        return way
    late = _time(diagnosis, shut[1], units)
    return f"{way}; beside the chill the feed path from {the(shut[0])} to it is solid after {late}"


def _chilled(diagnosis, units):
    """What a chill has to do with it where there is no feeder."""
    froze, cold = diagnosis.account.froze_s, diagnosis.beside_chill
    sooner = [name for name in cold if froze[name] < (1.0 - TOGETHER) * diagnosis.hole_froze_s]
    if diagnosis.hole.block not in cold and sooner:
        first = min(sooner, key=froze.get)
        early = _time(diagnosis, froze[first], units)
        return f"; the chill lets {the(first)} freeze before it, {early} after the pour, but brings no metal"
    return "; a chill brings no metal" if cold else ""


def _empty(diagnosis):
    given = round(100 * diagnosis.feeder_gave)
    rest = ", the rest freezes on its walls" if given < 98 else ""
    return f"the feeder runs empty and holds too little metal: it gives {given} %{rest}"


def _too_early(diagnosis, units):
    """That feeder or neck freezes before the block, or with it; nothing where it does not."""
    name, block = diagnosis.first("feeder"), the(diagnosis.hole.block)
    late = _time(diagnosis, diagnosis.hole_froze_s, units)
    how, long = diagnosis.early(), diagnosis.neck_made_longer_m
    held = f"; the sleeve holds the feeder off, so the neck is {units.length(long)} long" if long else ""
    if how == "solid first":
        early = _time(diagnosis, diagnosis.account.froze_s[name], units)
        first = f"the {name} freezes first, {early} after the pour"
        return f"{first}, and {block} stays liquid until {late}{held}"
    if how == "solid together":
        both = f"the {name} freezes together with {block}, {late} after the pour"
        return f"{both}; it must stay liquid longer{held}"
    return ""


def _gate(diagnosis, units):
    first = diagnosis.first("gate")
    if first is None:
        return ""
    return f"; the {first} is solid after {_time(diagnosis, diagnosis.account.froze_s[first], units)}"


# ---- sound


def _sound(diagnosis, units):
    account, size = diagnosis.account, units.volume
    paid = account.paid_m3
    if account.asked_m3 <= 0.0:
        grown = size(-account.asked_m3)
        return f"Sound: this metal grows as it freezes, by {grown} in all, and asks for no feed."
    asked = f"the {size(account.asked_m3)} of feed metal needed"
    flat = ""
    if paid["dimensional"] > 0.02 * account.asked_m3:
        flat = " The upper face goes down a little, which is a matter of size and not of soundness."
    gate, given = paid["gate"] + paid["pour"], size(paid["feeder"])
    if -paid["pour"] > 0.1 * account.asked_m3:
        grows = f"later it grows as it freezes, and pushes {size(-paid['pour'])} back up the sprue"
        giver = (f"the feeder supplies {given}" if paid["feeder"] > paid["gate"] else
                 f"gate and sprue supply {size(paid['gate'])}")
        return f"Sound: {giver} while the metal cools; {grows}.{flat}"
    if paid["feeder"] > 0.1 * account.asked_m3:
        if gate > paid["feeder"]:
            return f"Sound: of {asked}, gate and sprue supply {size(gate)} and the feeder {given}.{flat}"
        return f"Sound: of {asked}, the feeder supplies {given}{_in_time(diagnosis, units)}.{flat}"
    given = gate + paid["feeder"]
    if given > 0.9 * account.asked_m3:
        return f"Sound: gate and sprue supply {asked}, before they are solid.{flat}"
    return f"Sound: of {asked}, gate and sprue supply {size(given)}, before they are solid.{flat}"


def _fine_pores(account):
    """What the way through the mush left unfed, where that is not worth more than a word."""
    path = account.path
    if path is None or not path.worst:
        return ""
    far = path.fed_over is not None and path.fed_over >= CLOSE_BY
    where = f"beyond {path.fed_over:.1f} thicknesses from the feeder" if far else "on the centre line"
    return (f" Fine pores remain {where}, up to {100.0 * path.worst:.1f} % at the worst place: too few to "
            "count here, but an X-ray may show them.")


def _in_time(diagnosis, units):
    feeder, casting = diagnosis.feeder_froze_s, diagnosis.account.casting_froze_s
    late, early = (_time(diagnosis, each, units) for each in (feeder, casting))
    if feeder < (1.0 - TOGETHER) * casting:
        return f", though it is solid {late} after the pour and the casting only after {early}"
    if told_before(casting, feeder):
        return f"; it is liquid until {late} after the pour, the casting only until {early}"
    return ", though it is solid at nearly the same time as the casting"
