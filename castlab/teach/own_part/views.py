"""How a part of one's own is looked at: three sections through a point, its holes one by one, X-ray films."""

import ipywidgets as widgets

from castlab.field.x_ray import hollows, shadows
from castlab.teach.own_part.cut_away import WIDE, cut_away
from castlab.teach.own_part.in_words import film_words, hole_words, place_words
from castlab.teach.own_part.three_views import WIDTH, film_views, three_views
from castlab.teach.text import markup
from castlab.teach.work.shown import Shown, button
from castlab.units import METRIC

STEP_M = 0.5e-3
MOST_HOLES = 6
CUT_WIDE = 3 * WIDE // 2  # pixels on the screen
CUT_WORDS = ("The quarter to the right of {} and before it is cut away. Skin is grey, the cuts show the "
             "order of freezing as the sections do, and holes are red.")


class Views(Shown):
    """The picture of a part, and behind it films and holes once it was poured: `show`, then `look_at`.

    `guarded` is the wrapper of all callbacks; `films` is what goes below the list of hot spots.
    """

    def __init__(self, guarded):
        self._guarded, self._quiet, self._shown = guarded, False, None
        self.units, self.account = METRIC, None
        self._image, self._film = (_picture() for _ in range(2))
        self._image_words = widgets.HTML()
        self._film_words, self._holes = widgets.HTML(), widgets.VBox()
        self._cut, self._cut_words = _picture(CUT_WIDE), widgets.HTML()
        cut = button("Cut it away here", guarded(self._cut_away))
        self._point = [
            widgets.FloatSlider(description=f"cut at {axis}", layout={"width": "300px", "flex": "0 0 auto"})
            for axis in "xyz"
        ]
        for slider in self._point:
            slider.observe(guarded(self._draw), "value")
        point = widgets.HBox(self._point, layout={"flex_flow": "row wrap"})
        self.widget = widgets.VBox([self._image, point, self._image_words])
        self.films = widgets.VBox(
            [self._holes, self._film, self._film_words, self._cut, beside(self._cut_words, cut)]
        )

    @property
    def point(self):
        """Through which place [m] the sections go."""
        return tuple(self.units.lengths.si(slider.value) for slider in self._point)

    @property
    def png(self):
        """The sections as they are shown now: bytes."""
        return bytes(self._image.value)

    @property
    def words(self):
        """What stands below the pictures, as plain text."""
        shown = self._image_words, self._film_words, self._cut_words
        return " ".join(markup.plain(each.value) for each in shown)

    def show(self, layout, account=None, greyed=False):
        """Show a layout, or anything with `blocks`; with an `account` (Shrinkage) of it, what came out."""
        self._shown = layout, greyed
        if account is not self.account:
            self.account = account
            self._shadows = shadows(account) if account else None
            self._list_holes()
        self._draw()

    def fit(self, extent):
        """Let the sections go through any place between these corners [m]."""
        before, self._quiet = self._quiet, True
        for slider, low, high in zip(self._point, *extent, strict=True):
            low, high = self.units.lengths.shown(low), self.units.lengths.shown(high)
            slider.max = max(high, slider.max)
            slider.min, slider.max = low, high
            slider.step = self.units.lengths.shown(STEP_M)
        self._quiet = before

    def look_at(self, place):
        """Lead the sections through a place [m]."""
        self._quiet = True
        for slider, at in zip(self._point, place, strict=True):
            slider.value = min(max(self.units.lengths.shown(at), slider.min), slider.max)
        self._quiet = False
        self._draw()
        self._cut_away()

    def speak(self, units, extent):
        """Say all lengths in these units."""
        place, self.units = self.point, units
        if extent:
            self.fit(extent)
        self._list_holes()
        self.look_at(place)

    def _draw(self):
        if self._quiet or self._shown is None:
            return
        layout, greyed = self._shown
        self._image.value = three_views(layout, self.point, self.account, self.units, greyed)
        what = "The order of freezing" if self.account else "The part"
        words = f"{what}, cut at {place_words(self.point, self.units)}: from the front, the right, and above."
        self._image_words.value = markup.paragraph(words)
        self.films.layout.display = "" if self.account else "none"
        if self.account:
            self._film.value = film_views(self.account, self._shadows, self.point)
            self._film_words.value = markup.paragraph(film_words(self._shadows, self.units))

    def _cut_away(self):
        if self.account is not None:
            self._cut.value = cut_away(self.account, self.point)
            self._cut_words.value = markup.paragraph(CUT_WORDS.format(place_words(self.point, self.units)))

    def _list_holes(self):
        if self.account is None:
            self._holes.children = ()
            return
        found = hollows(self.account)[:MOST_HOLES]
        rows = [self._row(number, hollow) for number, hollow in enumerate(found, 1)]
        none = widgets.HTML(markup.paragraph("There is no hole in the casting."))
        self._holes.children = rows or [none]

    def _row(self, number, hollow):
        look = button("Look there", self._guarded(lambda: self.look_at(hollow.middle)))
        return words_and_buttons(f"{number}. {hole_words(hollow, self.units)}", look)


def words_and_buttons(words, *buttons):
    """Words, and beside them buttons that are never cut off."""
    return beside(widgets.HTML(markup.paragraph(words)), *buttons)


def beside(said, *buttons):
    """The same for words that change."""
    for each in buttons:
        each.layout.flex = "0 0 auto"
    said.layout.flex, said.layout.width = "1 1 300px", "auto"
    return widgets.HBox([said, *buttons], layout={"align_items": "center", "flex_flow": "row wrap"})


def _picture(wide=WIDTH):
    return widgets.Image(format="png", layout={"width": f"{wide}px", "max_width": "100%", "height": "auto"})
