"""Everything for the part at hand on one page: verdict, how sure, cures, window, melt, sheet, shop's book."""

import ipywidgets as widgets

from castlab.errors import require_known
from castlab.field.parts import PARTS
from castlab.teach.bench.ready_made import bench_for
from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.melt.pour_sheet_page import PourSheet
from castlab.teach.panels.cure_table import CureTable
from castlab.teach.panels.sensitivity import HowSure
from castlab.teach.panels.window_map import WindowMap
from castlab.teach.shop.book_file import BookFile, BookOfPage
from castlab.teach.shop.pour_panel import PourPanel
from castlab.teach.shop.settings_panel import SettingsPanel, put_on
from castlab.teach.shop.shop_panel import ShopPanel
from castlab.teach.text import markup
from castlab.teach.text.cautions import cautions_at
from castlab.teach.work.alone import LOCK
from castlab.teach.work.shown import Shown

HEADINGS = ("The casting", "How sure is the verdict?", "Cures, side by side", "A map of two sliders",
            "The melt", "The pour sheet", "After the pour", "The shop's own book")


class Workbench(Shown):
    """A menu of parts, and for the part chosen one bench with all its sliders and what belongs under it.

    `bench`, `melt`, `sure`, `cures`, `window`, `sheet`, `pours` and `shop` are those of the part that is
    chosen now; what was set and found for another part is there again when that one is chosen. `book` is the
    shop's own, my_shop.json in the folder, and `settings` keeps in it where the sliders stand.
    """

    def __init__(self, part="eye plate", folder="."):
        self._folder, self._pages, self.part = folder, {}, None
        self.book = BookFile(folder)
        self._menu = widgets.Dropdown(options=list(PARTS), value=require_known("part", part, PARTS),
                                      description="part", layout={"width": "320px"})
        self._menu.observe(lambda _: self.choose(self._menu.value), "value")
        self._shown, top = widgets.VBox(), widgets.VBox()
        self.widget = widgets.VBox([self._menu, top, self._shown])
        self.choose(part)
        self.settings = SettingsPanel(self, self.book)
        top.children = [self.settings.widget]

    def choose(self, part):
        """Take another part: as it stood when it was last chosen, with the melt's sliders as they are now."""
        with LOCK:
            self._menu.value = require_known("part", part, PARTS)
            if part == self.part:
                return
            before, self.part = self.part and (self.melt.values, self.bench.units), part
            if before:
                self._page.book.awake = False
                self.bench.forget()
            if part not in self._pages:
                self._pages[part] = _Page(part, self.book, self._folder)
            self._page = page = self._pages[part]
            page.book.awake = True
            (self.bench, self.melt, self.sure, self.cures, self.window, self.sheet, self.pours,
             self.shop) = page.every
            if before:
                put_on(self.melt, before[0])
                self.bench.speak(before[1])
            self._shown.children = page.rows


class _Page:
    """All that belongs to a part: `every` bench and panel, and the `rows` that show them."""

    def __init__(self, part, book, folder):
        self.book = book = BookOfPage(book)
        bench = bench_for(part, book=book)
        melt = melt_bench(bench, book)
        sure = HowSure(bench, part)
        self.every = (bench, melt, sure, CureTable(bench, part),
                      WindowMap(bench, "feeder_width", "feeder_height"),
                      PourSheet(bench, melt, folder, lambda: sure.known),
                      PourPanel(part, bench, melt, book, folder), ShopPanel(bench, book))
        shown = (bench, *self.every[2:5], melt, *self.every[5:])
        titles = (widgets.HTML(f"<h3>{markup.safe(words)}</h3>") for words in HEADINGS)
        both = [row for title, each in zip(titles, shown, strict=True) for row in (title, each.widget)]
        cautions = " ".join(cautions_at("top of the workbench"))
        self.rows = [widgets.HTML(markup.paragraph(cautions)), *both]
