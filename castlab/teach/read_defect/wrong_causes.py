"""Why a cause that was named for a sawn casting is not the one: what the evidence says against it."""

from castlab.field.holes import the
from castlab.teach.read_defect.evidence import LOOKS

FINE = "fine holes between the crystals"
NO_HOLE = "That would leave a hole, and this casting has none that matters."


def slips(result, units):
    """What each wrong cause overlooks, in words, by its key; `result` is the computed casting."""
    account, diagnosis = result.account, result.diagnosis
    if diagnosis.hole is None:
        return dict.fromkeys(("no feeder", "freezes first", "runs empty", "way closes", "uphill", "even"),
                             NO_HOLE) | {"none": ""}
    of_feeder = with_feeder(result, units) if diagnosis.feeder_froze_s else NO_FEEDER
    look = LOOKS[diagnosis.hole.kind]
    return of_feeder | {
        "even": f"That leaves {FINE}, like a sponge. The saw shows no sponge but "
                f"{'an' if look[0] == 'o' else 'a'} {look}.",
        "none": f"Look at the sawn face: {100 * account.defect_share:.1f} % of the casting is missing.",
    }


NO_FEEDER = {
    "no feeder": f"It had none, but a feeder is no help against {FINE}: liquid does not get there.",
    "freezes first": "Look into the scrap: there was no feeder that could freeze first.",
    "runs empty": "Look into the scrap: there was no feeder that could run empty.",
    "way closes": "Look into the scrap: there was no feeder, so no way from it could close.",
    "uphill": "Look into the scrap: there was no feeder that could stand lower than the hole.",
}


def with_feeder(result, units):
    """The same for a casting that stood with a feeder."""
    diagnosis = result.diagnosis
    feeder, own, hole = diagnosis.feeder_froze_s, diagnosis.hole_froze_s, diagnosis.hole
    given = f"{100 * diagnosis.feeder_gave:.0f} % of itself"
    times = f"the feeder was solid after {units.time(feeder)}, {the(hole.block)} after {units.time(own)}"
    sooner = feeder < own
    return {
        "no feeder": "A casting without a feeder looks so, but look into the scrap: there was one, of "
                     f"{units.volume(result.block_volume('feeder'))}.",
        "freezes first": f"It did freeze first, but {otherwise(diagnosis.cause, given)}." if sooner else
                         f"Compare the times: {times}.",
        "runs empty": f"Look at the feeder in the scrap: it gave {given}, and kept the rest.",
        "way closes": f"A way counts only as long as there is liquid behind it, and {times}." if sooner else
                      f"A way does close in the end, but {otherwise(diagnosis.cause, given)}.",
        "uphill": uphill(result, hole, units),
    }


def otherwise(cause, given):
    """What speaks for the cause that it was, in half a sentence."""
    return {
        "freezes first": f"the feeder was stiff before that, and had given {given}",
        "runs empty": f"the feeder had given {given} by then",
        "way closes": f"the feeder gave only {given}: the rest did not get out",
        "even": f"the saw shows {FINE}, to which no liquid gets",
        "uphill": "the hole lies higher than the metal that was left in the feeder",
    }[cause]


def uphill(result, hole, units):
    """How high the feeder's metal stood over the hole."""
    above = result.diagnosis.feeder_top - result.diagnosis.height(hole.middle)
    if above <= 0.0:
        return f"It does lie higher than the feeder, but these are {FINE}: height does not make them."
    above = units.length(above, 2)
    return f"Compare the heights: at first the metal in the feeder stood {above} above the hole."
