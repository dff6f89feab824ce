"""Everything for the part at hand on one page: verdict, how sure, cures, window, melt, pour sheet."""

import ipywidgets as widgets

from castlab.errors import require_known
from castlab.field.parts import PARTS
from castlab.teach.bench.ready_made import bench_for
from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.melt.pour_sheet_page import PourSheet
from castlab.teach.panels.cure_table import CureTable
from castlab.teach.panels.sensitivity import HowSure
from castlab.teach.panels.window_map import WindowMap
from castlab.teach.text import markup
from castlab.teach.work.alone import LOCK
from castlab.teach.work.shown import Shown

CAUTION = ("What you see here is for teaching and planning, never for a load-bearing or safety part. Before "
           "metal is melted: local codes, the makers' instructions and qualified practice come first.")
HEADINGS = ("The casting", "How sure is the verdict?", "Cures, side by side", "A map of two sliders",
            "The melt", "The pour sheet")


class Workbench(Shown):
    """A menu of parts, and for the part chosen one bench with all its sliders and what belongs under it.

    `bench`, `melt`, `sure`, `cures`, `window` and `sheet` are those of the part that is chosen now.
    """

    def __init__(self, part="eye plate", folder="."):
        self._folder = folder
        self._menu = widgets.Dropdown(options=list(PARTS), value=require_known("part", part, PARTS),
                                      description="part", layout={"width": "320px"})
        self._menu.observe(lambda _: self.choose(self._menu.value), "value")
        self._shown = widgets.VBox()
        self.widget = widgets.VBox([self._menu, self._shown])
        self.choose(part)

    def choose(self, part):
        """Take another part; everything begins anew for it."""
        with LOCK:
            self._menu.value = require_known("part", part, PARTS)
            self.bench = bench_for(part)
            self.melt = melt_bench(self.bench)
            self.sure, self.cures = HowSure(self.bench, part), CureTable(self.bench, part)
            self.window = WindowMap(self.bench, "feeder_width", "feeder_height")
            self.sheet = PourSheet(self.bench, self.melt, self._folder)
            below = (self.sure, self.cures, self.window, self.melt, self.sheet)
            rows = [each.widget for each in (self.bench, *below)]
            titles = (widgets.HTML(f"<h3>{markup.safe(words)}</h3>") for words in HEADINGS)
            both = [each for pair in zip(titles, rows, strict=True) for each in pair]
            self._shown.children = [widgets.HTML(markup.paragraph(CAUTION)), *both]
