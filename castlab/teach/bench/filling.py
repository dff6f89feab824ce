"""Does the thinnest section fill? Nothing here computes flow, so it is a rule of thumb that says so."""

from dataclasses import replace

from castlab.field.grid_lines import thinnest_section
from castlab.rules.filling import running_time
from castlab.units import METRIC

MISRUN = "misrun"  # the verdict on a casting that did not fill: nobody pays for metal that never arrived
MAY_NOT_FILL = "may not fill, by a rule of thumb"


def fills(setup):
    """Whether the thinnest section of the casting stays open to running metal as long as the pour takes.

    running_time(thinnest section) >= pouring time

    Parameters: `setup` (Setup). A wall of thickness s keeps metal running as long as a round channel of
    radius s: both have the modulus s / 2. A rule, good to a factor of two: it knows neither the way of the
    metal through the mould, nor surface tension, nor oxide skins. Source: `castlab.rules.filling`.

    Worked with `castlab.rules.filling`: in an iron die at 250 deg C A356 of 680 deg C runs 2.67 s in a wall
    of 6 mm and 5.3 s in one of 12 mm; the pour takes 3 s.

    >>> from castlab import Setup, alloy, mould, parts
    >>> def poured(thickness):
    ...     return Setup(parts.eye_plate(thickness), alloy("A356"), mould("cast-iron die"), 680.0)
    >>> fills(poured(0.012)), fills(poured(0.006))
    (True, False)
    """
    return running_s(setup) >= setup.pour_time_s


def running_s(setup):
    """How long metal runs in the thinnest section of the casting before it stops [s]; see `fills`."""
    around = replace(setup.mould, start_temp_c=setup.mould_temp_c)
    return running_time(thinnest_section(setup.layout), setup.alloy, around, setup.pour_temp_c)


def filling_numbers(setup, units):
    """A pair of name and words where the rule expects a misrun; nothing where it does not.

    >>> from castlab import Setup, alloy, mould, parts
    >>> thin = Setup(parts.eye_plate(0.006), alloy("A356"), mould("cast-iron die"), 680.0)
    >>> ((_, words),) = filling_numbers(thin, METRIC)
    >>> words.split("; ")
    ['metal runs 2.7 s in the thinnest section, the pour takes 3.0 s', 'all else is for a full mould']
    """
    if fills(setup):
        return ()
    runs, takes = units.time(running_s(setup)), units.time(setup.pour_time_s)
    return ((MAY_NOT_FILL, f"metal runs {runs} in the thinnest section, the pour takes {takes}; all else is "
                           "for a full mould"),)


def misrun_words(setup):
    """Why the rule expects a misrun."""
    runs, takes = METRIC.time(running_s(setup)), METRIC.time(setup.pour_time_s)
    return (f"by a rule of thumb, metal stops running in the thinnest section after {runs}, "
            f"and the pour takes {takes}")
