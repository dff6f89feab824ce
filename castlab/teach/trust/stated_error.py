"""One casting on its cells and on half of them: is the grid error honest that is stated beside its time?

Other processes import this module, so it loads no widgets and no drawing library.
"""

from castlab.field.freeze import freeze
from castlab.field.outcome import FULL
from castlab.teach.bench.casting import solve_casting


def stated_error(setup):
    """(time, stated grid error, time on half the cells) [s] until the last metal of a `setup` is solid."""
    casting, finer = solve_casting(setup), freeze(setup, 0.5 * FULL.cell_in(setup.layout))
    return casting.run.last_time_s, casting.grid_error_s, finer.last_time_s
