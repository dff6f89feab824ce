"""One casting on its cells and on half of them: is the grid error honest that is stated beside its time?

Other processes import this module, so it loads no widgets and no drawing library.
"""

from castlab.field.freeze import freeze
from castlab.field.grid import natural_cell
from castlab.teach.bench.casting import solve


def stated_error(setup):
    """(time, stated grid error, time on half the cells) [s] until the last metal of a `setup` is solid."""
    cell = natural_cell(setup.layout, 2e-3)
    casting = solve(setup, cell)
    return casting.run.last_time_s, casting.grid_error_s, freeze(setup, 0.5 * cell).last_time_s
