"""Why a casting has its hole: one cause out of a short list, read off the account."""

from collections import Counter

from castlab.errors import InputError
from castlab.field import words
from castlab.field.words import EMPTY_FEEDER

CLEARLY = 0.15  # two times or shares that differ by this share are told apart by anyone who reads them off

CAUSES = {
    "no feeder": "nothing beside or above it is still liquid to feed it",
    "freezes first": "the feeder is frozen or stiff before it, and then has nothing to give",
    "runs empty": "the feeder holds too little metal and runs empty",
    "way closes": "the way from the feeder to it freezes too early",
    "uphill": "it lies higher than the metal in the feeder, and metal does not run uphill",
    "even": "the temperature there is so even that liquid cannot travel between the crystals",
}


def main_hole(account):
    """The largest `Place` of the kind of hole and the block that have most: what the sentence names first.

    Parameters: `account` (Shrinkage). Raises InputError for a casting without a hole.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> place = main_hole(shrinkage(freeze(setup, cell=4e-3)))
    >>> place.kind, place.block
    ('sink', 'boss')
    """
    if not account.places:
        raise InputError("casting", account.verdict, "it must have a hole for the hole to have a cause")
    sums = Counter()
    for place in account.places:
        sums[place.kind, place.block] += place.volume_m3
    (named, _), *_ = sums.most_common()
    return next(place for place in account.places if (place.kind, place.block) == named)


def causes_of(account):
    """The causes that the main hole can be put down to: keys of CAUSES, the likeliest first.

    More than one where the case is near a limit: what comes out with every limit moved by 15 % to either
    side is a good answer too.

    Parameters: `account` (Shrinkage) of a casting that is not sound. Raises InputError for one that is.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> causes_of(shrinkage(freeze(setup, cell=4e-3)))
    ('no feeder',)
    """
    place = main_hole(account)
    found = [_cause(account, place, shift) for shift in (0.0, -CLEARLY, CLEARLY)]
    return tuple(dict.fromkeys(found))


def cause_of(account):
    """The likeliest of `causes_of`, whose parameter `account` and errors are its own.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> cause_of(shrinkage(freeze(setup, cell=4e-3)))
    'no feeder'
    """
    return causes_of(account)[0]


def is_clear(account):
    """Whether the cause can be told from times and volumes that are read off, and not only by a hair.

    Parameters: `account` (Shrinkage) of a casting that is not sound.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> is_clear(shrinkage(freeze(setup, cell=4e-3)))
    True
    """
    return len(causes_of(account)) == 1


def _cause(account, place, shift):
    """The cause, in the order in which `words` reasons, with its limits moved by the share `shift`."""
    layout, froze = account.run.grid.layout, account.froze_s
    feeders = [body.name for body in layout.blocks if body.role == "feeder"]
    if place.kind == "sponge":
        return "even"
    if not feeders:
        return "no feeder"
    if layout.up_sign * place.centre[layout.up_axis] > words.feeder_top(account):
        return "uphill"
    first, last, own = min(feeders, key=froze.get), max(feeders, key=froze.get), froze[place.block]
    drawn = account.defect_m3 - account.paid_m3["sponge"]
    stiff = account.beside_feeder_m3 > words.MOSTLY * (1.0 + shift) * drawn
    too_early, closes = (froze[name] * (1.0 + shift) < own for name in (last, first))
    given = account.feeder_emptied / (1.0 - shift)
    used_up = given > EMPTY_FEEDER and (too_early or stiff or given > words.NEARLY_EMPTY)
    if used_up or (place.kind == "pipe_into_casting" and not closes):
        return "runs empty"
    if closes and not too_early:
        return "way closes"
    if too_early or stiff:
        return "freezes first"
    if account.past_feeder_m3 > words.MOSTLY * drawn:
        low = words.feeder_level(account) <= words.top_of(account, place.block)
        return "uphill" if low else "freezes first"
    return "way closes"
