"""What one pour tells whoever saws it: that it is sound, or the one cause that it fails by.

Other processes import this module, so it loads no widgets.
"""

from castlab.errors import InputError
from castlab.field.causes import CLEARLY, EMPTY_FEEDER, cause_of, is_clear
from castlab.field.freeze import freeze
from castlab.field.grid import natural_cell
from castlab.field.outcome import COARSE_CELL, FULL_CELL
from castlab.field.shrinkage import shrinkage

SOUND, UNCLEAR, REFUSED = "sound", "unclear", "refused"
LEAST_HOLE, LEAST_SPONGE = 0.6e-2, 0.2e-2  # shares of the casting that are seen on a sawn face; judgement
# What the bench says afterwards must name the same cause, in these words of castlab.field.words.
SAID = {"freezes first": "the feeder freezes first", "runs empty": "the feeder runs empty",
        "way closes": "the neck freezes first"}
ONE_KIND = 0.7  # of all holes that must have the cause asked for; else two causes would be right


def look(setup, full):
    """Pour a `setup` (Setup), on `full` cells or on coarse ones, and say what the cut tells.

    Returns SOUND; a key of CAUSES when it fails by that cause clearly and by no other; UNCLEAR when it has
    other holes; REFUSED when it cannot be cast.

    >>> from castlab import Setup, alloy, mould, parts
    >>> look(Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0), full=False)
    'no feeder'
    """
    try:
        account = account_of(setup, full)
        if account.verdict == "sound":
            return SOUND
        cause = cause_of(account) if account.places else ""
        return cause if cause and tells(account, cause) else UNCLEAR
    except InputError:
        return REFUSED


def account_of(setup, full=True):
    """Who pays for the shrinkage, on full cells or on coarse ones."""
    return shrinkage(freeze(setup, natural_cell(setup.layout, FULL_CELL if full else COARSE_CELL)))


def tells(account, cause):
    """Whether there is a hole to be seen, and that this is its cause can be told from what is read off."""
    least = LEAST_SPONGE if cause == "even" else LEAST_HOLE
    alike = sum(place.volume_m3 for place in account.places if (place.kind == "sponge") == (cause == "even"))
    told = account.defect_share > least and alike > ONE_KIND * account.defect_m3
    return (told and is_clear(account) and SAID.get(cause, "") in account.sentence
            and told_by_times(account, cause))


def told_by_times(account, cause):
    """Whether times and the feeder's hollow tell it. A feeder that is stiff but not solid shows no time."""
    feeders = [body.name for body in account.run.grid.layout.blocks if body.role == "feeder"]
    if cause not in ("freezes first", "way closes"):
        return True
    feeder = max(account.froze_s[name] for name in feeders)
    holed = account.froze_s[account.places[0].block]
    if account.feeder_emptied > EMPTY_FEEDER * (1.0 - CLEARLY):
        return False
    return feeder * (1.0 + CLEARLY) < holed if cause == "freezes first" else feeder > holed * (1.0 + CLEARLY)
