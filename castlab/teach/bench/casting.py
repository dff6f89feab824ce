"""One computed casting as a bench shows it: from a setup to picture, sentence and numbers.

Everything here is read off the computation; no rule of thumb has a say.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from castlab.errors import InputError
from castlab.field import words
from castlab.field.freeze import QUICK, Freeze, freeze
from castlab.field.grid import natural_cell
from castlab.field.layout import Setup
from castlab.field.outcome import COARSE_CELL, FULL_CELL
from castlab.field.shrinkage import DEFECTS, KINDS, Shrinkage, shrinkage
from castlab.materials import flags
from castlab.rules.scatter import scatter_of_freezing_time
from castlab.teach.bench.cache import SMALL_BYTES, Cache
from castlab.teach.picture import raster
from castlab.teach.picture.scene import Label

DRAWN_AS = {"feeder": raster.HARMLESS, "gate": raster.HARMLESS, "sink": raster.SINK, "cavity": raster.CAVITY,
            "sponge": raster.SPONGE, "pipe_into_casting": raster.PIPE}
NAMES = {"sink": "sink", "cavity": "cavity", "sponge": "sponge", "pipe_into_casting": "pipe into the casting"}
LEAST_PIPE = 0.05  # of what is asked; less pipe in a feeder gets no label
NOTHING = 2e-4  # of the casting's volume; less is lost in the scatter of the data
GRID_ORDER = 1.3  # errors go with cell ** 1.3, as measured on the reference problem: convex corners
GRID_SAFETY = 1.25  # as of P. J. Roache, J. Fluids Engineering 116 (1994) 405, from memory
LEAST_GRID_ERROR = 0.005  # of a time: steps in time, and cells that happen to agree; judgement, tested
ONE_GRID_ERROR = 0.015  # where sections are so thin that there is no coarser grid; judgement, tested
QUICK_LOOKS = Cache(2000 * SMALL_BYTES)  # last time and cell of quick looks, by setup: the other of two grids


def cells_for(setup):
    """Cell sizes [m] while a slider moves and at rest; at rest finer where a section is thin."""
    return COARSE_CELL, natural_cell(setup.layout, FULL_CELL)


def solve(setup, cell=FULL_CELL):
    """Freeze a setup on cells of that size [m] and account for its shrinkage.

    Cells larger than those at rest are for a quick look, and so are the steps in time.
    """
    quick = is_quick(setup, cell)
    run = freeze(setup, cell, QUICK if quick else 1.0)
    if quick:
        QUICK_LOOKS.get((setup, cell), lambda: time_and_cell(run))
    return Casting(setup, run, shrinkage(run))


def is_quick(setup, cell):
    """Whether cells of that size [m] are coarser than those of an answer."""
    return cell > 1.01 * natural_cell(setup.layout, FULL_CELL)


def time_and_cell(run):
    """The last time of a `run` (Freeze) [s], and the mean size [m] of the cell there."""
    there = cell_at(run.grid, run.last_place)
    sizes = [np.diff(edge)[number] for edge, number in zip(run.grid.edges, there, strict=True)]
    return run.last_time_s, float(np.exp(np.mean(np.log(sizes))))


def cell_at(grid, place):
    """Numbers of the cell that a place [m] lies in."""
    return tuple(int(np.searchsorted(edge, at)) - 1 for edge, at in zip(grid.edges, place, strict=True))


@dataclass(frozen=True, eq=False)
class Casting:
    """A setup, when it froze, and who paid for its shrinkage."""

    setup: Setup
    run: Freeze
    account: Shrinkage

    @property
    def sound(self):
        """Whether it has no hole that matters."""
        return self.account.verdict == "sound"

    @property
    def worst_place(self):
        """The largest defect; None when the casting is sound."""
        return None if self.sound else next(iter(self.account.places), None)

    @property
    def casting_paid_m3(self):
        """What the casting itself pays [m3]: all defects together."""
        return sum(self.account.paid_m3[kind] for kind in DEFECTS)

    def block_volume(self, *roles):
        """Metal in the blocks of these roles [m3]."""
        grid = self.run.grid
        here = np.any([grid.is_role(role) for role in roles], axis=0)
        return float(grid.metal_volume[here].sum())

    @property
    def yield_share(self):
        """Casting as a share of all metal in the mould."""
        return self.block_volume("casting") / self.block_volume("casting", "feeder", "gate")

    def middle_time(self, name):
        """When the metal in the middle of a block had frozen [s]; nearest to it where a core is."""
        grid, blocks = self.run.grid, self.setup.layout.blocks
        block = self.setup.layout.block(name)
        own = (grid.block == blocks.index(block)) & (grid.metal > 0.0)
        middle = [0.5 * (low + high) for low, high in zip(block.low, block.high, strict=True)]
        return float(self.run.freeze_time_s[cell_at(grid, self._nearest(own, middle))])

    @cached_property
    def grid_error_s(self):
        """How far cells and steps may have moved the last time [s]; None for a quick look.

        safety |t - t_coarse| / (r^1.3 - 1), r the ratio of the cells where the last metal was: what the quick
        look, which the bench had while the slider moved, tells of the cells of this one.
        """
        if is_quick(self.setup, self.run.grid.cell):
            return None
        time, cell = time_and_cell(self.run)
        rough, coarse = self._quick_look()
        if coarse < 1.1 * cell:
            return ONE_GRID_ERROR * time
        seen = GRID_SAFETY * abs(rough - time) / ((coarse / cell) ** GRID_ORDER - 1.0)
        return max(seen, LEAST_GRID_ERROR * time)

    def _quick_look(self):
        """Last time [s] and cell [m] of a quick look: kept, else computed."""
        key = self.setup, COARSE_CELL
        return QUICK_LOOKS.get(key, lambda: time_and_cell(freeze(*key, QUICK)))

    @property
    def property_error_s(self):
        """How far the ranges of the properties move the last time [s]; None for a material without ranges."""
        try:
            share = scatter_of_freezing_time(self.setup.alloy, self.setup.mould, self.setup.pour_temp_c)
        except InputError:
            return None
        return share * self.run.last_time_s

    def _last_words(self, units):
        """The last time and how sure it is, such as "226 s (cells ±3 s, properties ±45 s)"."""
        if self.grid_error_s is None:
            return units.time(self.run.last_time_s)
        last = self.run.last_time_s
        errors = ("cells", self.grid_error_s, 1), ("properties", self.property_error_s, 2)
        words = [f"{name} ±{units.time(error, digits, last)}" for name, error, digits in errors if error]
        return f"{units.time_within(last, self.grid_error_s)} ({', '.join(words)})"

    def time_words(self, time, units):
        """A time of this casting [s], in the unit of its last time and as sure."""
        last = self.run.last_time_s
        if self.grid_error_s is None:
            return units.time(time, beside=last)
        return units.time_within(time, self.grid_error_s, last)

    @cached_property
    def section(self):
        """What the picture is made of."""
        account, grid = self.account, self.run.grid
        drawn_as = np.array([DRAWN_AS.get(kind, 0) for kind in KINDS] + [0])  # the last is for kind -1
        share = self.run.freeze_time_s / self.run.last_time_s
        return raster.Section(self.setup.layout, *grid.edges, share, account.void, drawn_as[account.kind],
                              self.last_metal)

    @cached_property
    def last_metal(self):
        """The last place [m]; if a hole took its metal, the nearest place of that body which kept it."""
        grid, place = self.run.grid, self.run.last_place
        body = (grid.block == grid.block[cell_at(grid, place)]) & (grid.metal > 0.0)
        kept = body & (self.account.void < raster.MOSTLY_VOID)
        return self._nearest(kept, place) if kept.any() else place

    def sentence(self, units):
        """What happened, where, how large and why."""
        return words.sentence(self.account, units)

    def numbers(self, units):
        """Pairs of name and words: when the last metal and the bodies' middles froze, who paid how much."""
        paid = self.account.paid_m3
        shown = [block.name for block in self.setup.layout.blocks if block.role in ("casting", "feeder")]
        return (
            ("last metal solid", self._last_words(units)),
            *((f"middle of the {name} frozen", self.time_words(self.middle_time(name), units))
              for name in shown),
            ("volume asked for", units.volume(self.account.asked_m3)),
            ("paid by pour and gate", self._volume(paid["pour"] + paid["gate"], units)),
            ("paid by the feeder", self._volume(paid["feeder"], units)),
            ("paid by the casting", self._volume(self.casting_paid_m3, units)),
            *self._faces_that_go_down(units),
            ("metal in the mould", units.mass(self._metal_mass())),
            ("mould before the pour", units.temperature(self.setup.mould_temp_c)),
            *((self.setup.alloy.name, warning) for warning in flags(self.setup.alloy.name)),
        )

    def _faces_that_go_down(self, units):
        """What is paid without a hole, so that who paid adds up to what was asked for."""
        words = self._volume(self.account.paid_m3["dimensional"], units)
        return () if words == "nothing" else (("paid by faces that go down a little", words),)

    def _volume(self, volume, units):
        """Words for a volume; what is lost in the scatter of the data is nothing."""
        return units.volume(volume) if volume > NOTHING * self.account.casting_m3 else "nothing"

    def _metal_mass(self):
        return self.setup.alloy.density_solid * self.block_volume("casting", "feeder", "gate")

    def labels(self, units):
        """Words in the picture: the last place, every defect with its size, and the harmless pipe."""
        last = Label(f"last: {units.time(self.run.last_time_s)}", self.last_metal)
        worth = () if self.sound else [place for place in self.account.places
                                       if place.volume_m3 > words.WORTH_ADDING * self.casting_paid_m3]
        defects = [Label(f"{NAMES[place.kind]} {units.volume(place.volume_m3)}", self._in_hole(place), True)
                   for place in worth]
        return (*defects, last, *self._pipe_labels())

    def _in_hole(self, place):
        """Where a hole is pointed at [m]: the middle of a bent one may lie in sound metal or in sand."""
        holes = self.account.void_of[place.kind]
        return self._nearest(holes > 0.1 * holes.max(), place.centre)

    def _nearest(self, mask, place):
        """The middle [m] of that one of the cells of a mask that lies nearest to a place [m]."""
        cells = np.argwhere(mask)
        at = np.array([centre[cells[:, axis]] for axis, centre in enumerate(self.run.grid.centres)])
        away = ((at - np.array(place)[:, None]) ** 2).sum(axis=0)
        return tuple(float(each) for each in at[:, np.argmin(away)])

    def _pipe_labels(self):
        section, volume = self.section, self.run.grid.metal_volume
        hole = np.where(section.void_kind == raster.HARMLESS, section.void * volume, 0.0)
        hole = np.where(self.run.grid.is_role("feeder"), hole, 0.0)
        if hole.sum() <= LEAST_PIPE * abs(self.account.asked_m3):  # less than 0 for a metal that grows
            return ()
        x, y = self.run.grid.centres
        middle = np.dot(hole.sum(axis=1), x) / hole.sum(), np.dot(hole.sum(axis=0), y) / hole.sum()
        return (Label("pipe (harmless)", middle),)
