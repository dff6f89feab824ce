"""The feeders, gates and chills on a part of one's own: a row for each, to be moved, sized or taken away."""

import ipywidgets as widgets

from castlab.errors import require_between, require_number
from castlab.field.placed import MOST_OF_A_KIND, rigging_of, sizes_of
from castlab.teach.sliders.own_sliders import SIDES
from castlab.teach.text import markup
from castlab.teach.work.shown import Shown, button, menu
from castlab.units import METRIC

SIZES = {
    "feeder": ("width", "height", "neck"),
    "gate": ("thickness", "width"),
    "chill": ("thickness", "width", "length"),
}
DECIMALS = 3
LOST = "This way up there is no free face for {}: move what is named, or remove it."


class RiggingTable(Shown):
    """What stands on the part: `sizes` are the names and values that a Design takes."""

    def __init__(self, guarded, when_changed):
        self._guarded, self._when_changed, self._units = guarded, when_changed, METRIC
        self.sizes, self._quiet = {}, False
        self.widget = widgets.VBox()

    def put(self, kind, what):
        """One more feeder, gate or chill. Raises InputError where there are as many as can be."""
        used = rigging_of(self.sizes)[kind]
        number = next(each for each in range(1, len(used) + 2) if each not in used)
        require_between(f"{kind}s", number, 1, MOST_OF_A_KIND)
        self.show(self.sizes | sizes_of(kind, number, what))
        self._when_changed()

    def remove(self, kind, number):
        """Take one away."""
        self.show(
            {name: value for name, value in self.sizes.items() if not name.startswith(f"{kind}_{number}_")}
        )
        self._when_changed()

    def change(self, kind, number, name, value):
        """Give one of them another size or place [m], or another side."""
        self.sizes = self.sizes | {f"{kind}_{number}_{name}": value}
        self._when_changed()

    def show(self, sizes):
        """Put these names and values into the table."""
        self.sizes = dict(sizes)
        self.widget.children = [
            self._row(kind, number, what)
            for kind, numbers in rigging_of(sizes).items()
            for number, what in numbers.items()
        ]

    def tell_lost(self, lost):
        """Say which of them find no free face since the part was turned, and offer to remove them."""
        if not lost:
            return
        names = " and ".join(f"{kind} {number}" for kind, number in lost)
        words = widgets.HTML(markup.status(LOST.format(names), markup.TEXT))
        remove = button(f"Remove {names}", self._guarded(lambda: [self.remove(*each) for each in lost]))
        self.widget.children = [words, remove, *self.widget.children]

    def speak(self, units):
        """Show lengths in these units."""
        self._units = units
        self.show(self.sizes)

    def _row(self, kind, number, what):
        label = widgets.HTML(f"<b>{kind}&nbsp;{number}</b>", layout={"width": "72px", "flex": "0 0 auto"})
        side = menu("", SIDES[kind], what.side, "86px")
        side.observe(self._guarded(lambda: self.change(kind, number, "side", side.value)), "value")
        numbers = [self._number(kind, number, what, name) for name in ("x", "y", "z", *SIZES[kind])]
        away = button("Remove", self._guarded(lambda: self.remove(kind, number)))
        return widgets.HBox([label, side, *numbers, away], layout={"flex_flow": "row wrap"})

    def _number(self, kind, number, what, name):
        scale = self._units.lengths
        field = widgets.FloatText(
            value=round(scale.shown(getattr(what, name)), DECIMALS),
            description=name,
            continuous_update=False,
            style={"description_width": "initial"},
            layout={"width": "88px" if len(name) == 1 else "126px"},
        )

        def typed():
            value = round(scale.si(require_number(f"{name} of {kind} {number}", field.value)), 6)
            self.change(kind, number, name, value)

        field.observe(self._guarded(typed), "value")
        return field
