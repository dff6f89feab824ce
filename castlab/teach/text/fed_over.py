"""How far a casting was fed through the mush, in words. Nothing is computed here."""

from castlab.field.sponge import NOT_SHOWN_BELOW
from castlab.units import METRIC, said

NAME = "feeding distance"  # of the number, beside which the words stand
NOT_YET = "said when the sliders rest"


def fed_over(path, units=METRIC):
    """Words about a `path`, the FeedingPath of an account, or None of a quick look; `units` is METRIC or
    INCH_POUND of castlab.units.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> from castlab.field.feeding_path import feeding_path
    >>> layout = parts.eye_plate(feeder_width=0.044, feeder_height=0.066)
    >>> run = freeze(Setup(layout, alloy("A356"), mould("green sand"), pour_temp_c=700.0), cell=6e-3)
    >>> fed_over(feeding_path(run)).split(",")[0]
    'fed all along'
    """
    if path is None:
        return NOT_YET
    if path.why_not:
        return f"none: {said(path.why_not, units)}"
    pores = f"fine pores of {units.volume(path.pores_m3)} in all, up to {100.0 * path.worst:.1f} % of a place"
    if path.fed_over is None:
        return f"no feeder; {pores}" if path.worst else "no feeder"
    over = f"{path.fed_over:.1f} thicknesses from the feeder"
    if not path.worst:
        return f"fed all along, {over}"
    counts = f", sound over {path.sound_over:.1f}" if path.worst >= NOT_SHOWN_BELOW else ""
    return f"free of pores over {over}{counts}; {pores}"
