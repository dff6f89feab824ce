"""The map of two sizes of a part of one's own: what becomes of the casting over them."""

from types import SimpleNamespace

import ipywidgets as widgets

from castlab.errors import require_known
from castlab.field.cure_kinds import usual_sizes
from castlab.teach.panels.window_map import Mapped, WindowMap
from castlab.teach.sliders.own_sliders import sliders_of_own
from castlab.teach.sliders.part_sliders import FEEDING, metal_sliders
from castlab.teach.text import markup
from castlab.teach.work.shown import Shown

COUNT = 9  # values of each size
OPEN = "Lay out a map"
INTRO = ("A map shows what becomes of the casting over two sizes of bodies, feeders, gates or chills, or "
         "over one and the pour. It goes when something else is put on the part.")
NOT_DRAWN = "There is no map of a part that cannot be drawn."
ONE_SIZE = "A map needs two sizes: put a feeder, a gate or a chill on the part first."


class SizesMap(Shown):
    """`SizesMap(desk)`: the map of a desk for own parts; `map` is the WindowMap that is shown, None before it
    was laid out. Its sizes reach as far as sliders for them would.
    """

    def __init__(self, desk, count=COUNT):
        self._desk, self._count, self.map = desk, count, None
        self._intro = widgets.HTML(markup.paragraph(INTRO))
        self._open = desk.button(OPEN, self.lay_out)
        self._words = widgets.HTML()
        self.widget = widgets.VBox()
        desk.when_moved(self._follow)
        self._close()

    @property
    def words(self):
        """What is said where no map is shown, as plain text."""
        return markup.plain(self._words.value)

    def lay_out(self):
        """Lay out the map of the part as it stands; the sizes of feeders come first."""
        part = self._desk.whole_part
        if part is None:
            self._words.value = markup.status(NOT_DRAWN, markup.TEXT)
            return
        bench = _SizesOfPart(self._desk, part)
        names = sorted(bench.controls, key=lambda name: bench.controls[name].slider.group != FEEDING)
        if len(names) < 2:
            self._words.value = markup.status(ONE_SIZE, markup.TEXT)
            return
        self.map = WindowMap(bench, *names[:2], self._count)
        self.widget.children = [self.map.widget]

    def _close(self):
        if self.map is not None:
            self.map.work.stop()
        self.map, self._words.value = None, ""
        self.widget.children = [self._intro, widgets.HBox([self._open]), self._words]

    def _follow(self):
        """The map moves with the desk, as long as it is a map of what stands there."""
        part = self._desk.whole_part
        if self.map is None:
            return
        if part is not None and self.map.bench.reaches_to(part):
            self.map.bench.moved()
        else:
            self._close()


class _SizesOfPart(Mapped):
    """A `Mapped`: a part on its desk, with a control for each of its sizes and the pour."""

    called, hidden = "part", False

    def __init__(self, desk, part):
        self._desk, self._listeners = desk, []
        self.guarded, self.button, self.when_moved = desk.guarded, desk.button, self._listeners.append
        sliders = [*sliders_of_own(part), self._pour()]
        self.controls = {slider.name: SimpleNamespace(slider=slider, low=slider.low, high=slider.high)
                         for slider in sliders if slider.kind != "choice"}

    @property
    def units(self):
        return self._desk.units

    @property
    def values(self):
        """All that the casting depends on."""
        part, asked = self._desk.whole_part, self._desk.design()
        drawn = [(each.name, each.shape, each.at, each.axis, each.corners, each.taken_away, each.mesh)
                 for each in part.bodies]
        poured = {"alloy": asked.alloy.name, "mould": asked.mould.name, "pour_temp_c": asked.pour_temp_c}
        return usual_sizes(part) | poured | {"drawn": drawn}

    def setup(self, **values):
        return self._desk.design().change(**values).setup()

    def set(self, **values):
        for name in values:
            require_known("size", name, self.controls)
        self._desk.put(values)

    def reaches_to(self, part):
        """Whether the controls are those of the part as it stands now, and reach so far."""
        now = {slider.name: slider.value for slider in sliders_of_own(part) if slider.kind != "choice"}
        now["pour_temp_c"] = self._desk.design().pour_temp_c
        pour = self._pour()
        ends = self.controls["pour_temp_c"]
        return ((pour.low, pour.high) == (ends.low, ends.high) and now.keys() == self.controls.keys()
                and all(self.controls[name].low <= value <= self.controls[name].high
                        for name, value in now.items()))

    def moved(self):
        for listener in self._listeners:
            listener()

    def _pour(self):
        return next(slider for slider in metal_sliders(self._desk.alloy) if slider.name == "pour_temp_c")
