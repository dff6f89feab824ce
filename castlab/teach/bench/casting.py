"""One computed casting as a bench shows it: from an account to picture, sentence and numbers.

Everything here is read off the computation; no rule of thumb has a say, and nothing is solved here but by
`solve_casting`.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from castlab.errors import InputError
from castlab.field.diagnosis import diagnose
from castlab.field.holes import middle_of_holes
from castlab.field.ledger import KINDS
from castlab.field.outcome import COARSE, FULL, pouring
from castlab.field.section import layer_at, plane_of, whole_section
from castlab.field.shrinkage import Shrinkage
from castlab.materials import flags
from castlab.plan import to_the_end
from castlab.rules.scatter import scatter_of_freezing_time
from castlab.teach.bench.filling import filling_numbers
from castlab.teach.picture import raster
from castlab.teach.picture.dots import LEAST_SPONGE
from castlab.teach.picture.scene import Label, Scene
from castlab.teach.text.sentence import sentence, worth_a_label

DRAWN_AS = {"feeder": raster.HARMLESS, "gate": raster.HARMLESS, "sink": raster.SINK, "cavity": raster.CAVITY,
            "sponge": raster.SPONGE, "pipe_into_casting": raster.PIPE}
NAMES = {"sink": "sink", "cavity": "shrinkage cavity", "sponge": "sponge",
         "pipe_into_casting": "pipe into the casting"}
OWN = "unfed: holes"
PAYERS = {"supplied by the pour": (255, 255, 255), "gate and sprue": (190, 205, 220),
          "feeder": (110, 140, 170), OWN: (200, 60, 0)}  # rising in grey, and the last one hatched
DRAW, DRAW_COLOUR = "lost as surface draw", (75, 90, 60)  # no hole: darker than all others, and plain
OFF_SECTION = ", off the section"
LEAST_PIPE = 0.05  # of what is asked; less pipe in a feeder gets no label
MOST = 0.6  # of the holes of a kind in a block; of one that is most of them the open middle is pointed at
KEPT = 0.05  # share of its metal that a cell may lack and still be metal in a picture
TOGETHER = 0.97  # of the last time: what is solid from then on counts as the last metal in a picture
NOTHING = 2e-4  # of the casting's volume; less is lost in the scatter of the data
GRID_ORDER = 1.3  # errors go with cell ** 1.3, as measured on the reference problem: convex corners
GRID_SAFETY = 1.25  # as of P. J. Roache, J. Fluids Engineering 116 (1994) 405, from memory
LEAST_GRID_ERROR = 0.006  # of a time: steps in time, and cells that happen to agree; judgement, tested
ONE_GRID_ERROR = 0.015  # where sections are so thin that there is no coarser grid; judgement, tested


def solve_casting(setup, look=FULL, rough=None):
    """The `Casting` of a setup, as closely as the `look` says; `rough`: that of a coarse look, where known.

    A casting solved more closely is made with the coarse look as well: the two tell how far cells err.
    """
    return to_the_end(solving_casting(setup, look, rough))


def solving_casting(setup, look=FULL, rough=None):
    """The same as `solve_casting`, giving way every few steps: a generator that returns the Casting."""
    account = yield from pouring(setup, look)
    if look == COARSE:
        return Casting(account)
    return Casting(account, time_and_cell(rough.run if rough else COARSE.freeze(setup)))


def time_and_cell(run):
    """The last time of a `run` (Freeze) [s], and the mean size [m] of the cell there."""
    there = cell_at(run.grid, run.last_place)
    sizes = [np.diff(edge)[number] for edge, number in zip(run.grid.edges, there, strict=True)]
    return run.last_time_s, float(np.exp(np.mean(np.log(sizes))))


def cell_at(grid, place):
    """Indices of the cell in which a place [m] lies."""
    return tuple(int(np.searchsorted(edge, at)) - 1 for edge, at in zip(grid.edges, place, strict=True))


@dataclass(frozen=True, eq=False)
class Casting:
    """A pour: who paid for its shrinkage, and what a coarse look at it said.

    account   the Shrinkage
    rough     last time [s] and cell there [m] of the coarse look; None where this is one itself
    """

    account: Shrinkage
    rough: tuple[float, float] | None = None

    @property
    def run(self):
        """When it froze: a Freeze."""
        return self.account.run

    @property
    def setup(self):
        """What was poured: a Setup."""
        return self.account.run.setup

    @cached_property
    def diagnosis(self):
        """Where its largest hole is, and why."""
        return diagnose(self.account)

    @property
    def verdict(self):
        """ "sound", "marginal" or "defective": see `Shrinkage.verdict`."""
        return self.account.verdict

    @property
    def sound(self):
        """Whether it has no hole that matters."""
        return self.verdict == "sound"

    @property
    def casting_paid_m3(self):
        """What the casting itself has to pay [m3]: the volume of all its holes."""
        return self.account.defect_m3

    def block_volume(self, *roles):
        """Metal in the blocks of these roles [m3]."""
        grid = self.run.grid
        here = np.any([grid.is_role(role) for role in roles], axis=0)
        return float(grid.metal_volume[here].sum())

    @property
    def metal_m3(self):
        """All metal in the mould [m3]."""
        return self.block_volume("casting", "feeder", "gate")

    @property
    def poured_kg(self):
        """Mass of all metal in the mould [kg]."""
        return self.setup.alloy.density_solid * self.metal_m3

    @property
    def yield_share(self):
        """Casting as a share of all metal in the mould."""
        return self.block_volume("casting") / self.metal_m3

    @property
    def has_feeder(self):
        """Whether it has a feeder, on top or at the side."""
        return any(block.role == "feeder" for block in self.setup.layout.blocks)

    def middle_time(self, name):
        """When the metal in the middle of a block had frozen [s]; nearest to it where a core is."""
        grid, blocks = self.run.grid, self.setup.layout.blocks
        block = self.setup.layout.block(name)
        own = (grid.block == blocks.index(block)) & (grid.metal > 0.0)
        return float(self.run.freeze_time_s[cell_at(grid, self._nearest(own, block.middle))])

    @cached_property
    def grid_error_s(self):
        """How far cells and steps may have moved the last time [s]; None for a coarse look.

        safety |t - t_coarse| / (r^1.3 - 1), r the ratio of the cells where the last metal was.
        """
        if self.rough is None:
            return None
        (time, cell), (rough, coarse) = time_and_cell(self.run), self.rough
        if coarse < 1.1 * cell:
            return ONE_GRID_ERROR * time
        seen = GRID_SAFETY * abs(rough - time) / ((coarse / cell) ** GRID_ORDER - 1.0)
        return max(seen, LEAST_GRID_ERROR * time)

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

    def plain_time(self, time, units):
        """A time of this casting [s] in two digits, in the unit of its last time."""
        return units.time(time, beside=self.run.last_time_s)

    def time_words(self, time, units):
        """A time of this casting [s], in the unit of its last time and as sure."""
        last = self.run.last_time_s
        if self.grid_error_s is None:
            return self.plain_time(time, units)
        return units.time_within(time, self.grid_error_s, last)

    @cached_property
    def section(self):
        """What the picture is made of."""
        account, grid = self.account, self.run.grid
        drawn_as = np.array([DRAWN_AS.get(kind, 0) for kind in KINDS] + [0])  # the last is for kind -1
        share = self.run.freeze_time_s / self.run.last_time_s
        kinds = drawn_as[account.kind]
        filled = grid.metal_volume / grid.volume
        x, y, (*layers, filled) = whole_section(grid, (share, account.void, kinds, filled), self.plane)
        return raster.Section(self.setup.layout, x, y, *layers, self.last_metal, self.plane, filled)

    @cached_property
    def plane(self):
        """Where the section lies along z [m]: in the middle, or where it shows the largest hole."""
        return plane_of(self.account)

    @cached_property
    def last_metal(self):
        """The last place [m], in the section where that is as late as any.

        If a hole took its metal, the nearest place of that body which kept it.
        """
        run, grid = self.run, self.run.grid
        place, latest = run.last_place, self._in_section(run.freeze_time_s >= TOGETHER * run.last_time_s)
        if latest.any():
            times = np.where(latest, run.freeze_time_s, 0.0)
            there = np.unravel_index(times.argmax(), grid.shape)
            place = tuple(float(centre[at]) for centre, at in zip(grid.centres, there, strict=True))
        body = (grid.block == grid.block[cell_at(grid, place)]) & (grid.metal > 0.0)
        kept = body & (self.account.void < KEPT)
        return self._nearest(kept, place) if kept.any() else place

    def _in_section(self, mask):
        """Of a mask of cells, those which the section shows."""
        shown, layer = np.zeros(mask.shape, dtype=bool), layer_at(self.run.grid, self.plane)
        shown[:, :, layer] = mask[:, :, layer]
        return shown

    def sentence(self, units):
        """What happened, where, how large and why."""
        return sentence(self.diagnosis, units)

    def numbers(self, units):
        """Pairs of name and words: when the last metal and the bodies' middles froze, who paid how much."""
        paid = self.account.paid_m3
        shown = [block.name for block in self.setup.layout.blocks if block.role in ("casting", "feeder")]
        return (
            ("last metal solid", self._last_words(units)),
            *((f"middle of the {name} frozen", self.time_words(self.middle_time(name), units))
              for name in shown),
            ("feed demand", units.volume(self.account.asked_m3)),
            ("supplied by pour and gate", self.volume_words(max(paid["pour"], 0.0) + paid["gate"], units)),
            ("supplied by the feeder", self.volume_words(paid["feeder"], units)),
            ("unfed: holes", self.volume_words(self.casting_paid_m3, units)),
            *self._unless_nothing(DRAW, paid["dimensional"], units),
            *self._unless_nothing("pushed back up the sprue, as it grows", -paid["pour"], units),
            ("metal in the mould", units.mass(self.poured_kg)),
            ("mould before the pour", units.temperature(self.setup.mould_temp_c)),
            *self._when_full(units),
            *filling_numbers(self.setup, units),
            *((self.setup.alloy.name, warning) for warning in flags(self.setup.alloy.name)),
        )

    def _when_full(self, units):
        """How hot the casting is when the mould is full, to ten degrees, for it is a rule; nothing where all
        is as hot as it was poured."""
        run = self.run
        if not run.cooled_on_its_way:
            return ()
        temps = run.temp_c[0][run.grid.is_role("casting").ravel()[run.metal_cells]]
        coldest, hottest = float(temps.min()), float(temps.max())
        one = hottest - coldest < 10.0  # asked before they are in the reader's units: all get the same text
        scale = units.temperatures
        words = " to ".join(units.temperature(scale.si(10.0 * round(scale.shown(temp) / 10.0)))
                            for temp in ([0.5 * (coldest + hottest)] if one else [coldest, hottest]))
        return (("casting when the mould is full", f"about {words}"),)

    def who_pays(self):
        """Parts of a bar: who supplied which share of what was asked for; none where metal grows, and
        whoever supplied nothing is no part."""
        paid = self.account.paid_m3
        supplied = paid["pour"], paid["gate"], paid["feeder"], paid["dimensional"], self.casting_paid_m3
        whole, (*others, own) = sum(supplied), PAYERS.items()
        if min(supplied) < 0.0 or whole <= 0.0:
            return ()
        return tuple((name, volume / whole, colour, name == OWN) for (name, colour), volume in
                     zip((*others, (DRAW, DRAW_COLOUR), own), supplied, strict=True) if self._counts(volume))

    def _unless_nothing(self, name, volume, units):
        """A row that stands only where there is something, so that who paid adds up to what was asked for."""
        return ((name, units.volume(volume)),) if self._counts(volume) else ()

    def volume_words(self, volume, units):
        """Words for a volume; what is lost in the scatter of the data is nothing."""
        return units.volume(volume) if self._counts(volume) else "nothing"

    def _counts(self, volume):
        return volume > NOTHING * self.account.casting_m3

    def labels(self, units):
        """Words in the picture: the last place, every defect with its size, and the harmless pipe."""
        last = Label(f"last to freeze: {units.time(self.run.last_time_s)}", self.last_metal)
        worth = () if self.sound else worth_a_label(self.account)
        defects = [self.hole_label(piece, NAMES[piece.kind], units) for piece in worth]
        return (*defects, last, *self._pipe_labels(), *self._sponge_labels(worth, units))

    def _sponge_labels(self, named, units):
        """Sponge that is drawn as dots, though too little to be named as a defect."""
        sponge = np.where(self.account.kind == KINDS.index("sponge"), self.account.void, 0.0)
        sponge = self._in_section(sponge > LEAST_SPONGE) * sponge
        if not sponge.any() or any(piece.kind == "sponge" for piece in named):
            return ()
        most = self._nearest(sponge >= 0.5 * sponge.max(), self.last_metal)
        volume = self.account.paid_m3["sponge"]
        words = f"a little sponge, {units.volume(volume)}" if self._counts(volume) else "a trace of sponge"
        return (Label(words, most, kind=raster.SPONGE),)

    def hole_label(self, piece, name, units):
        """A hole, called by that name, and where it is pointed at: the middle of a bent one may lie in sound
        metal or in sand, and some lie elsewhere than in the section."""
        holes, grid = self.account.void_of[piece.kind], self.run.grid
        block = [each.name for each in self.setup.layout.blocks].index(piece.block)
        own = np.where(grid.block == block, holes, 0.0)
        alone = piece.volume_m3 > MOST * float((own * grid.metal_volume).sum())
        shown = self._in_section(own > 0.1 * holes.max())
        off = "" if shown.any() else OFF_SECTION
        here = np.where(shown, own, 0.0) if shown.any() else own
        place = self._nearest(here >= (0.5 if alone else 0.1) * here.max(), piece.centre)
        words = f"{name} {units.volume(piece.volume_m3)}{off}"
        return Label(words, place, True, kind=None if off else DRAWN_AS[piece.kind], off=bool(off))

    def _nearest(self, mask, place):
        """The middle [m] of that one of the cells of a mask that lies nearest to a place [m]."""
        cells = np.argwhere(mask)
        at = np.array([centre[cells[:, axis]] for axis, centre in enumerate(self.run.grid.centres)])
        away = ((at - np.array(place)[:, None]) ** 2).sum(axis=0)
        return tuple(float(each) for each in at[:, np.argmin(away)])

    def _pipe_labels(self):
        grid, account = self.run.grid, self.account
        pipe = grid.is_role("feeder") & (account.kind == KINDS.index("feeder"))
        hole = np.where(pipe, account.void * grid.metal_volume, 0.0)
        shown = self._in_section(hole > 0.0) * account.void
        if hole.sum() <= LEAST_PIPE * abs(account.asked_m3) or not shown.any():
            return ()  # what is asked is less than 0 for a metal that grows
        place = self._nearest(shown >= 0.5 * shown.max(), middle_of_holes(grid, hole))
        return (Label("pipe (harmless)", place, kind=raster.HARMLESS),)


def casting_scene(setup, result, units):
    """What the picture shows: the result, or before it the bodies by their names."""
    if result is not None:
        return Scene(result.section, tuple(result.labels(units)))
    labels = tuple(Label(block.name, block.middle) for block in setup.layout.blocks)
    return Scene(raster.Section(setup.layout), labels)
