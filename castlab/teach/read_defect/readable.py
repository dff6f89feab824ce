"""What one pour tells whoever saws it: that it is sound, or the one cause that it fails by.

Other processes import this module, so it loads no widgets.
"""

from castlab.errors import InputError
from castlab.field.diagnosis import CLEARLY, EMPTY_FEEDER, diagnose
from castlab.field.outcome import pouring
from castlab.plan import giving_way

SOUND, UNCLEAR, REFUSED = "sound", "unclear", "refused"
LEAST_HOLE, LEAST_SPONGE = 0.6e-2, 0.2e-2  # shares of the casting that are seen on a sawn face; judgement
ONE_KIND = 0.7  # of all holes that must have the cause asked for; else two causes would be right


@giving_way
def cut_tells(setup, look):
    """Pour a `setup` (Setup), as closely as the `look` says, and say what the cut tells.

    Returns SOUND; a key of CAUSES when it fails by that cause clearly and by no other; UNCLEAR when it has
    other holes; REFUSED when it cannot be cast.

    >>> from castlab import Setup, alloy, mould, parts
    >>> from castlab.field.outcome import COARSE
    >>> cut_tells(Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0), COARSE)
    'no feeder'
    """
    try:
        account = yield from pouring(setup, look)
    except InputError:
        return REFUSED
    if account.verdict == "sound":
        return SOUND
    diagnosis = diagnose(account)
    return diagnosis.cause if is_told(diagnosis) else UNCLEAR


def is_told(diagnosis):
    """Whether there is a hole to be seen, and its cause can be told from what is read off."""
    account, even = diagnosis.account, diagnosis.cause == "even"
    least = LEAST_SPONGE if even else LEAST_HOLE
    alike = sum(hole.volume_m3 for hole in account.holes if (hole.kind == "sponge") == even)
    seen = account.defect_share > least and alike > ONE_KIND * account.defect_m3
    return seen and diagnosis.is_clear and told_by_times(diagnosis)


def told_by_times(diagnosis):
    """Whether times and the feeder's hollow tell it. A feeder that is stiff but not solid shows no time."""
    if diagnosis.cause not in ("freezes first", "way closes"):
        return True
    if diagnosis.finding != "solid first" or diagnosis.feeder_gave > EMPTY_FEEDER * (1.0 - CLEARLY):
        return False
    feeder, holed = diagnosis.feeder_froze_s, diagnosis.hole_froze_s
    if diagnosis.cause == "freezes first":
        return feeder * (1.0 + CLEARLY) < holed
    return feeder > holed * (1.0 + CLEARLY)
