"""A picture that is as large as the sliders can make the casting, and grows where a menu makes it larger."""

from castlab.errors import InputError
from castlab.teach.bench.controls import all_ends
from castlab.teach.picture import raster
from castlab.teach.picture.picture import Picture
from castlab.units import METRIC


class FittedPicture:
    """`fit` it once to what the sliders can make; then `show(scene)` and `png()`, as of a `Picture`.

    So a casting keeps its scale while a slider moves, and a bench never shows half of one.
    """

    def __init__(self):
        self._picture, self._units = None, METRIC

    def fit(self, setup_of, controls):
        """Make room for all that the length sliders among the `controls` can make, while the menus stand as
        they do; `setup_of`: values -> Setup."""
        values = {name: control.value for name, control in controls.items()}
        lengths = [(name, *control.range()[::2]) for name, control in controls.items()
                   if control.slider.kind == "length"]
        layouts = []
        for ends in all_ends(lengths):
            try:
                layouts.append(setup_of(values | ends).layout)
            except InputError:
                continue  # the bench says so when a slider gets there
        if layouts:
            low, high = raster.bounds(layouts)
            if self._picture is None or not self._picture.fits(low, high):
                self._picture = Picture(low, high, self._units)

    def show(self, scene):
        """Draw a scene, with more room where it needs that."""
        low, high = raster.bounds([scene.section.layout], margin=0.0)
        picture = self._picture
        if picture is None:
            self._picture = Picture(low, high, self._units)
        elif not picture.holds(low, high):
            corners = zip(picture.low, low, strict=True), zip(picture.high, high, strict=True)
            low, high = (tuple(map(pick, ends)) for pick, ends in zip((min, max), corners, strict=True))
            self._picture = Picture(low, high, self._units)
        return self._picture.show(scene)

    def png(self):
        """The picture as bytes of a PNG file."""
        return self._picture.png()

    def speak(self, units):
        """Change the scale bar to other units."""
        self._units = units
        if self._picture is not None:
            self._picture.speak(units)
