"""How far a casting was fed through the mush, in words. Nothing is computed here."""

from castlab.units import METRIC, said


def fed_over(path, units=METRIC):
    """One sentence about a `path` (FeedingPath); `units` is METRIC or INCH_POUND of castlab.units.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> from castlab.field.feeding_path import feeding_path
    >>> layout = parts.eye_plate(feeder_width=0.044, feeder_height=0.066)
    >>> run = freeze(Setup(layout, alloy("A356"), mould("green sand"), pour_temp_c=700.0), cell=6e-3)
    >>> fed_over(feeding_path(run)).split(":")[0]
    'Through the mush it is fed all along'
    """
    if path.why_not:
        return f"No feeding distance: {said(path.why_not, units)}."
    pores = f"{units.volume(path.pores_m3)} in all, up to {100.0 * path.worst:.1f} % of a place"
    if path.fed_over is None:
        found = f"fine pores of {pores}" if path.worst else "no fine pores"
        return f"No feeding distance: there is no feeder. What suction could not bring: {found}."
    if not path.worst:
        return f"Through the mush it is fed all along: {path.fed_over:.1f} thicknesses from the feeder."
    return f"Through the mush it is fed over {path.fed_over:.1f} thicknesses; beyond lie fine pores, {pores}."
