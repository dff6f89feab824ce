"""Why a casting has its hole: one cause out of a short list, read off the account."""

from castlab.errors import InputError

EMPTY_FEEDER = 0.5  # share of its volume that a feeder has given away when it counts as used up; judgement
CLEARLY = 0.15  # two times or shares that differ by this share are told apart by anyone who reads them off

CAUSES = {
    "no feeder": "nothing beside or above it is still liquid to feed it",
    "freezes first": "the feeder freezes before it, and then has nothing to give",
    "runs empty": "the feeder holds too little metal and runs empty",
    "way closes": "the way from the feeder to it freezes too early",
    "uphill": "it lies higher than the metal in the feeder, and metal does not run uphill",
    "even": "the temperature there is so even that liquid cannot travel between the crystals",
}


def cause_of(account):
    """The cause of the largest hole: a key of CAUSES.

    Parameters: `account` (Shrinkage) of a casting that is not sound. Raises InputError for one that is.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> cause_of(shrinkage(freeze(setup, cell=4e-3)))
    'no feeder'
    """
    return _cause(account, account.feeder_emptied - EMPTY_FEEDER, 0.0)


def is_clear(account):
    """Whether the cause can be told from times and volumes that are read off, and not only by a hair.

    True when the answer stays the same with every limit moved by 15 % to either side.
    """
    cause = cause_of(account)
    emptied = account.feeder_emptied - EMPTY_FEEDER
    moved = (_cause(account, emptied + share * EMPTY_FEEDER, share) for share in (-CLEARLY, CLEARLY))
    return all(each == cause for each in moved)


def _cause(account, emptied, later):
    """The cause, where the feeder counts as empty for `emptied` above 0, and as frozen by the share `later`
    of the time later than it was."""
    if not account.places:
        raise InputError("casting", account.verdict, "it must have a hole for the hole to have a cause")
    place, layout = account.places[0], account.run.grid.layout
    feeders = [body for body in layout.blocks if body.role == "feeder"]
    if place.kind == "sponge":
        return "even"
    if not feeders:
        return "no feeder"
    axis, sign = layout.up_axis, layout.up_sign
    tops = [sign * (body.high if sign > 0 else body.low)[axis] for body in feeders]
    if sign * place.centre[axis] > max(tops):
        return "uphill"
    if place.kind == "pipe_into_casting" or emptied > 0.0:
        return "runs empty"
    largest = max(feeders, key=lambda body: body.high[0] - body.low[0])
    if account.froze_s[largest.name] * (1.0 + later) < account.froze_s[place.block]:
        return "freezes first"
    return "way closes"
