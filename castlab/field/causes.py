"""Why a casting has its hole: one cause out of a short list, read off the account."""

from castlab.errors import InputError

EMPTY_FEEDER = 0.5  # share of its volume that a feeder has given away when it counts as used up; judgement
CLEARLY = 0.15  # two times or shares that differ by this share are told apart by anyone who reads them off

CAUSES = {
    "no feeder": "nothing beside or above it is still liquid to feed it",
    "freezes first": "the feeder is frozen or stiff before it, and then has nothing to give",
    "runs empty": "the feeder holds too little metal and runs empty",
    "way closes": "the way from the feeder to it freezes too early",
    "uphill": "it lies higher than the metal in the feeder, and metal does not run uphill",
    "even": "the temperature there is so even that liquid cannot travel between the crystals",
}


def causes_of(account):
    """The causes that the largest hole can be put down to: keys of CAUSES, the likeliest first.

    More than one where the case is near a limit: what comes out with every limit moved by 15 % to either
    side is a good answer too.

    Parameters: `account` (Shrinkage) of a casting that is not sound. Raises InputError for one that is.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> causes_of(shrinkage(freeze(setup, cell=4e-3)))
    ('no feeder',)
    """
    if not account.places:
        raise InputError("casting", account.verdict, "it must have a hole for the hole to have a cause")
    found = [_by_times(account, EMPTY_FEEDER * (1.0 - shift), shift) for shift in (0.0, -CLEARLY, CLEARLY)]
    return tuple(dict.fromkeys((["uphill"] if _lies_uphill(account) else []) + found))


def cause_of(account):
    """The likeliest cause of the largest hole: a key of CAUSES. Raises InputError for a sound casting."""
    return causes_of(account)[0]


def is_clear(account):
    """Whether the cause can be told from times and volumes that are read off, and not only by a hair."""
    found = causes_of(account)
    return len(found) == 1 or found[0] == "uphill"


def _lies_uphill(account):
    """Whether a hole that no crystals keep apart lies higher than every feeder."""
    place, layout = account.places[0], account.run.grid.layout
    tops = [layout.up_sign * (body.high if layout.up_sign > 0 else body.low)[layout.up_axis]
            for body in layout.blocks if body.role == "feeder"]
    height = layout.up_sign * place.centre[layout.up_axis]
    return place.kind != "sponge" and bool(tops) and height > max(tops)


def _by_times(account, most_given, shift):
    """The cause by volumes and times, where a feeder counts as empty when it has given more than the share
    `most_given`, and all that is known of when it froze is moved by the share `shift`."""
    place = account.places[0]
    feeders = [body.name for body in account.run.grid.layout.blocks if body.role == "feeder"]
    if place.kind == "sponge":
        return "even"
    if not feeders:
        return "no feeder"
    if place.kind == "pipe_into_casting" or account.feeder_emptied > most_given:
        return "runs empty"
    drawn = account.defect_m3 - account.paid_m3["sponge"]
    feeder_froze = max(account.froze_s[name] for name in feeders)
    stiff = account.beside_feeder_m3 > 0.5 * (1.0 + shift) * drawn
    if stiff or feeder_froze * (1.0 + shift) < account.froze_s[place.block]:
        return "freezes first"
    return "way closes"
