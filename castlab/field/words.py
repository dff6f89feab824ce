"""The verdict in words: the defect, its place, its size, and why it is there."""

from scipy import ndimage

from castlab.field.layout import line_spans
from castlab.units import METRIC

WORTH_NAMING = 0.15  # share of all defects below which a second hole gets no words of its own
WORTH_ADDING = 0.05  # ... and below which what is not named is left out, and a hole has no label
TOGETHER = 0.03  # two times that differ by less are not told apart in words: they have two digits
EMPTY_FEEDER = 0.5  # share of its volume that a feeder has given away when it may count as used up; judgement
NEARLY_EMPTY = 0.8  # ... and from which on it does, whatever else there is; judgement
FILLET_M = 5e-3  # less metal on a block is the foot of a fillet and hides no sink; judgement
MOSTLY = 0.5  # share of what is drawn from which on a cause is named as the one
ONE = {"sink": "sink", "cavity": "closed cavity", "pipe_into_casting": "pipe"}
SEVERAL = {"sink": "sinks", "cavity": "closed cavities", "pipe_into_casting": "pipes"}


def sentence(account, units=METRIC):
    """One sentence, two at most, about an `account`; `units` is METRIC or INCH_POUND of castlab.units.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> "on top of the boss" in sentence(shrinkage(freeze(setup, cell=4e-3)))
    True
    """
    if account.verdict == "sound":
        return _sound(account, units)
    if not account.places:
        return f"Marginal: many small holes, {units.volume(account.defect_m3)} in all, none of them large."
    start = _holes(account, units)
    if account.verdict == "marginal":
        start = "Marginal: " + start[0].lower() + start[1:]
    return f"{start}: {_reason(account, units)}."


def name_of(kind):
    """What a caster calls a hole of that `kind`.

    >>> name_of("cavity")
    'closed cavity'
    """
    return {
        "sink": "sink",
        "cavity": "closed cavity",
        "sponge": "sponge",
        "pipe_into_casting": "pipe into the casting",
    }[kind]


def the(block):
    """A block in a sentence: a number takes no article.

    >>> the("boss"), the("step 4")
    ('the boss', 'step 4')
    """
    return block if block[-1].isdigit() else f"the {block}"


def _named(account):
    """The holes worth naming, one of each kind and block, largest first: ((kind, block), volume [m3])."""
    sums = {}
    for place in account.places:
        sums[place.kind, place.block] = sums.get((place.kind, place.block), 0.0) + place.volume_m3
    total = sum(sums.values())
    largest = sorted(sums.items(), key=lambda item: -item[1])
    return [item for item in largest if item[1] >= WORTH_NAMING * total][:2] or largest[:1]


def _not_named(account):
    """Volume of all other holes [m3], or 0 where it is not worth a word."""
    total = sum(place.volume_m3 for place in account.places)
    rest = total - sum(volume for _, volume in _named(account))
    return rest if rest > WORTH_ADDING * total else 0.0


def _holes(account, units):
    named = _named(account)
    holes = [_hole(account, *hole, units.volume(volume)) for hole, volume in named]
    holes[0] = holes[0][0].upper() + holes[0][1:]
    if rest := _not_named(account):
        holes.append(f"{units.volume(rest)} in other holes")
    *first, last = holes
    return f"{', '.join(first)} and {last}" if first else last


def _hole(account, kind, block, size):
    if kind == "sponge":
        return f"sponge in {the(block)}, fine holes of {size} in all between the crystals"
    several = _how_many(account, kind, block) > 1
    what = f"{SEVERAL[kind]} of {size} in all" if several else f"a {ONE[kind]} of {size}"
    if kind == "sink":
        return f"{what} {_where_it_sinks(account, block)} {the(block)}"
    if kind == "cavity":
        return f"{what} inside {the(block)}"
    return f"{what} that {'reach' if several else 'reaches'} down into {the(block)}"


def _how_many(account, kind, block):
    """How many holes of a kind a block has, the smallest left out."""
    least = WORTH_ADDING * sum(place.volume_m3 for place in account.places)
    return sum((place.kind, place.block) == (kind, block) and place.volume_m3 > least
               for place in account.places)


def _where_it_sinks(account, block):
    """On top of a block, unless metal lies on it there, or it is in the corner at its foot."""
    layout, own = account.run.grid.layout, account.run.grid.layout.block(block)
    place = _place(account, "sink", block)
    for body in layout.blocks:
        if body.is_metal and abs(_bottom(layout, body) - _top(layout, own)) < 1e-6:
            heights = line_spans(body, place.centre[0])
            if sum(high - low for low, high in heights) > FILLET_M:
                return "that reaches down into"
    height = layout.up_sign * place.centre[layout.up_axis]
    return "on top of" if 2.0 * height > _bottom(layout, own) + _top(layout, own) else "at the foot of"


def _place(account, kind, block):
    """The largest of the holes of one kind in one block."""
    return next(place for place in account.places if (place.kind, place.block) == (kind, block))


def _reason(account, units):
    (kind, block), _ = _named(account)[0]
    if kind == "sponge":
        return (
            "the temperature there is so even that liquid cannot travel between the crystals "
            "to where metal is missing"
        )
    if not _blocks(account, "feeder"):
        return _no_feeder(account, block, units)
    layout, place = account.run.grid.layout, _place(account, kind, block)
    if layout.up_sign * place.centre[layout.up_axis] > feeder_top(account):
        uphill = "it lies higher than the metal in the feeder, and metal does not run uphill"
        return uphill + _gate(account, units)
    early = _too_early(account, block, units)
    used_up = account.feeder_emptied > EMPTY_FEEDER and (
        _feeder_froze(account) < account.froze_s[block]
        or account.beside_feeder_m3 > MOSTLY * _drawn(account)
        or account.feeder_emptied > NEARLY_EMPTY
    )
    if used_up or (kind == "pipe_into_casting" and not early):
        also = f"; {early}" if early else ""
        return _empty(account) + also
    return early or _feeder_did_not_help(account, kind, block, units)


def _no_feeder(account, block, units):
    froze = account.froze_s
    alone = len({name for (_, name), _ in _named(account)}) == 1 and not _not_named(account)
    it = "it" if alone else the(block)
    when = f"stays liquid until {units.time(froze[block])} after the pour"
    if max(froze, key=froze.get) == block:
        when = f"freezes last, {units.time(froze[block])} after the pour"
    gate = min(_blocks(account, "gate"), key=froze.get, default=None)
    if gate and froze[gate] > froze[block]:
        why = "the way from gate and sprue to it closes sooner"
        return f"{it} {when}, and {why}{_chilled(account, block, units)}"
    if gate and units.time(froze[gate]) == units.time(froze[block]):
        together = f"{it} {when}, together with the {gate}, which must stay liquid longer"
        return together + _chilled(account, block, units)
    where = "above it" if not _later_and_higher(account, block) else "outside the casting"
    if gate and max(froze[name] for name in _blocks(account, "gate")) > froze[block]:
        return (
            f"{it} {when}, but the {gate} is solid after {units.time(froze[gate])} and lets nothing through"
            f"{_chilled(account, block, units)}"
        )
    return (
        f"{it} {when}, and nothing {where} is still liquid to feed it{_gate(account, units)}"
        f"{_chilled(account, block, units)}"
    )


def _later_and_higher(account, block):
    """Whether metal that lies higher than a block freezes after it."""
    layout = account.run.grid.layout
    top, own = _top(layout, layout.block(block)), account.froze_s[block]
    return any(
        _top(layout, layout.block(name)) > top and time > own for name, time in account.froze_s.items()
    )


def _feeder_did_not_help(account, kind, block, units):
    """The feeder is liquid for longer than the block and holds metal enough, and yet there is a hole."""
    drawn = _drawn(account)
    solid = f"{the(block)} is solid {units.time(account.froze_s[block])} after the pour"
    if account.past_feeder_m3 > MOSTLY * drawn:
        why = f"the metal in the feeder stands no higher than {the(block)} by then, so both go down"
        if feeder_level(account) > top_of(account, block):
            closed = "the feeder is stiff above what is still liquid in it and lets no air in"
            why = f"{closed}, so {the(block)} gives its own metal instead"
        return f"{why}; {solid}"
    if account.beside_feeder_m3 > MOSTLY * drawn:
        stiff = f"the feeder is stiff with crystals sooner than {the(block)}"
        return f"{stiff}, which then gives up its own liquid; {solid}"
    own = units.time(account.froze_s[block])
    way = f"the way from the feeder to it freezes before {the(block)} is solid, {own} after the pour"
    return way + _shut_by_chill(account, kind, block, units)


def _chilled(account, block, units):
    """What a chill has to do with it where there is no feeder."""
    froze, cold = account.froze_s, _beside_chill(account)
    sooner = [name for name in cold if froze[name] < (1.0 - TOGETHER) * froze[block]]
    if block not in cold and sooner:
        first = min(sooner, key=froze.get)
        early = units.time(froze[first])
        return f"; the chill lets {the(first)} freeze before it, {early} after the pour, but brings no metal"
    return "; a chill brings no metal" if cold else ""


def _shut_by_chill(account, kind, block, units):
    """That the way to the block is solid beside a chill before the hole is, if it is so."""
    cold = _beside_chill(account)
    ways = {name: _way_closed(account, name, block) for name in cold}
    ways = {name: closed for name, closed in ways.items() if closed > 0.0}
    if block in cold or not ways or max(ways.values()) > _place(account, kind, block).frozen_s:
        return ""
    last = max(ways, key=ways.get)
    return f"; beside the chill the way from {the(last)} to it is solid after {units.time(ways[last])}"


def _beside_chill(account):
    """Names of the blocks of the casting that touch a chill."""
    layout = account.run.grid.layout
    chills = [body for body in layout.blocks if body.role == "chill"]
    return [
        name
        for name in _blocks(account, "casting")
        if any(_touch(layout.block(name), chill) for chill in chills)
    ]


def _way_closed(account, first, second):
    """When the cells of one block that lie against another were all solid [s]; 0 where there are none."""
    run, blocks = account.run, account.run.grid.layout.blocks
    here, there = (
        run.grid.block == next(i for i, body in enumerate(blocks) if body.name == name)
        for name in (first, second)
    )
    beside = here & ndimage.binary_dilation(there) & (run.grid.metal > 0.0)
    return float(run.freeze_time_s[beside].max(initial=0.0))


def _touch(first, second):
    """Whether two blocks share a stretch of a face."""
    pairs = zip(first.low, first.high, second.low, second.high, strict=True)
    shared = [min(h1, h2) - max(l1, l2) for l1, h1, l2, h2 in pairs]
    return min(shared) > -1e-6 and sum(length > 1e-6 for length in shared) == len(shared) - 1


def _empty(account):
    given = round(100 * account.feeder_emptied)
    rest = ", the rest freezes on its walls" if given < 98 else ""
    return f"the feeder runs empty and holds too little metal: it gives {given} %{rest}"


def _too_early(account, block, units):
    """That feeder or neck freezes before the block, or with it; nothing where it does not."""
    name, own = min(_blocks(account, "feeder"), key=account.froze_s.get), account.froze_s[block]
    closed = account.froze_s[name]
    late, early = units.time(own), units.time(closed)
    if closed < (1.0 - TOGETHER) * own and early != late:
        return f"the {name} freezes first, {early} after the pour, and {the(block)} stays liquid until {late}"
    if closed < own and account.beside_feeder_m3 > MOSTLY * _drawn(account):
        both = f"the {name} freezes together with {the(block)}, {late} after the pour"
        return f"{both}; it must stay liquid longer"
    return ""


def _drawn(account):
    """What the casting lost in holes that a feeder is there to prevent [m3]."""
    return account.defect_m3 - account.paid_m3["sponge"]


def _blocks(account, role):
    """Names of the blocks of one role that hold metal."""
    layout = account.run.grid.layout
    return [body.name for body in layout.blocks if body.role == role and body.name in account.froze_s]


def _feeder_froze(account):
    """When the feeder itself was solid [s]: the last of its bodies."""
    return max(account.froze_s[name] for name in _blocks(account, "feeder"))


def feeder_top(account):
    """How high the feeder's metal stood at first [m]; `account` is that of a casting with a feeder.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> fed = parts.eye_plate(feeder_width=0.05, feeder_height=0.06)
    >>> account = shrinkage(freeze(Setup(fed, alloy("ZA-12"), mould("green sand"), 475.0), cell=4e-3))
    >>> round(feeder_top(account) - top_of(account, "boss"), 6)
    0.06
    """
    return max(top_of(account, name) for name in _blocks(account, "feeder"))


def feeder_level(account):
    """How high its metal stands at last [m], had it gone down evenly; `account` as for `feeder_top`.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> fed = parts.eye_plate(feeder_width=0.05, feeder_height=0.06)
    >>> account = shrinkage(freeze(Setup(fed, alloy("ZA-12"), mould("green sand"), 475.0), cell=4e-3))
    >>> top_of(account, "boss") < feeder_level(account) < feeder_top(account)
    True
    """
    layout = account.run.grid.layout
    bodies = [layout.block(name) for name in _blocks(account, "feeder")]
    highest = max(bodies, key=lambda body: _top(layout, body))
    top = _top(layout, highest)
    return top - account.feeder_emptied * (top - _bottom(layout, highest))


def top_of(account, block):
    """Height of the upper face of a block [m]; `block` is its name in the layout of the `account`.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(boss=0.04), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> top_of(shrinkage(freeze(setup, cell=4e-3)), "boss")
    0.02
    """
    layout = account.run.grid.layout
    return _top(layout, layout.block(block))


def _top(layout, body):
    """Height of a body's upper face [m]."""
    return max(layout.up_sign * body.low[layout.up_axis], layout.up_sign * body.high[layout.up_axis])


def _bottom(layout, body):
    return min(layout.up_sign * body.low[layout.up_axis], layout.up_sign * body.high[layout.up_axis])


def _gate(account, units):
    first = min(_blocks(account, "gate"), key=account.froze_s.get, default=None)
    return f"; the {first} is solid after {units.time(account.froze_s[first])}" if first else ""


def _sound(account, units):
    paid, size = account.paid_m3, units.volume
    if account.asked_m3 <= 0.0:
        grown = size(-account.asked_m3)
        return f"Sound: this metal grows as it freezes, by {grown} in all, and asks for no feed."
    asked = f"the {size(account.asked_m3)} that cooling and freezing ask for"
    flat = ""
    if paid["dimensional"] > 0.02 * account.asked_m3:
        flat = " The upper face goes down a little, which is a matter of size and not of soundness."
    gate = paid["gate"] + paid["pour"]
    if paid["feeder"] > 0.1 * account.asked_m3:
        given, back = size(paid["feeder"]), paid["feeder"] - account.asked_m3
        if back > 0.0:
            grows = f"later it grows as it freezes, and gives {size(back)} back"
            return f"Sound: the feeder pays {given} while the metal cools; {grows}.{flat}"
        if gate > paid["feeder"]:
            return f"Sound: of {asked}, gate and sprue pay {size(gate)} and the feeder {given}.{flat}"
        return f"Sound: of {asked}, the feeder pays {given}{_in_time(account, units)}.{flat}"
    given = gate + paid["feeder"]
    if given > 0.9 * account.asked_m3:
        return f"Sound: gate and sprue pay for {asked}, before they are solid.{flat}"
    return f"Sound: of {asked}, gate and sprue pay {size(given)}, before they are solid.{flat}"


def _in_time(account, units):
    feeder, casting = _feeder_froze(account), account.casting_froze_s
    late, early = units.time(feeder), units.time(casting)
    if feeder < (1.0 - TOGETHER) * casting:
        return f", though it is solid {late} after the pour and the casting only after {early}"
    if (1.0 - TOGETHER) * feeder < casting or late == early:
        return ", though it is solid at nearly the same time as the casting"
    return f"; it is liquid until {late} after the pour, the casting only until {early}"
