"""Which pages there are: for the main bench of a lesson three sliders, and where each of them can stand."""

import importlib
import itertools
from dataclasses import dataclass

from castlab.teach.course.the_lessons import lesson_of
from castlab.teach.lessons.feeders import BESIDE, BOSS, PLATE


def _mm(*sizes):
    return tuple(round(1e-3 * size, 6) for size in sizes)


@dataclass(frozen=True)
class TouchPage:
    """The page of a lesson's main bench.

    name    of the lesson's module
    stops   (name of a slider, the values at which it can stand [SI or words]) of three sliders; all others
            stand where the bench has them at first
    """

    name: str
    stops: tuple

    @property
    def lesson(self):
        """The Lesson."""
        return lesson_of(self.name)

    @property
    def file(self):
        """The name of the file, such as "01_first_casting.html"."""
        return self.lesson.file.replace(".ipynb", ".html")

    def bench(self, units):
        """The lesson's main bench, with its result shown, in these units."""
        bench, _ = importlib.import_module(f"castlab.teach.lessons.{self.name}").begin()
        bench.reveal()
        bench.speak(units)
        return bench

    def states(self):
        """Where the three sliders stand in each state, {name: value}; the last slider moves first."""
        names = [name for name, _ in self.stops]
        return [dict(zip(names, values, strict=True))
                for values in itertools.product(*(values for _, values in self.stops))]


PAGES = (
    TouchPage("first_casting", (
        ("thickness", _mm(6, 12, 18, 24)), ("boss", _mm(26, 32, 40, 52)),
        ("feeder_width", _mm(0, 16, 24, 36, 48)))),
    TouchPage("modulus_and_freezing_order", (
        ("thickness", _mm(6, 8, 10, 14, 20)), ("rim", _mm(6, 8, 10, 14, 20)), ("hub", _mm(26, 40, 60)))),
    TouchPage("heavy_sections", (
        ("thickness", _mm(6, 8, 10, 13, 16)), ("rib", _mm(5, 7, 10, 12, 14)), ("fillet", _mm(0, 3, 5, 8)))),
    TouchPage("feeders", (
        ("feeder_place", (PLATE, BOSS, BESIDE)), ("feeder_width", _mm(0, 16, 24, 32, 40, 56)),
        ("feeder_height", _mm(20, 30, 40, 60, 80)))),
    TouchPage("cures_without_a_feeder", (
        ("gate_thickness", _mm(4, 12, 20, 28, 36)), ("chill_thickness", _mm(0, 8, 12, 20, 40)),
        ("core", _mm(0, 8, 16, 24)))),
    TouchPage("superheat_and_filling", (
        ("thickness", _mm(3, 4, 6, 9, 12)), ("pour_temp_c", (450.0, 480.0, 510.0, 540.0)),
        ("gate_width", _mm(5, 9, 15, 25, 40)))),
)
