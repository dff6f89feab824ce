"""Nothing on the page of the part at hand is shown for a state that is not the bench's: 200 random states."""

import random

import pytest
from light_bench import light_bench
from random_states import drawn

from castlab.field.cures import Cure
from castlab.field.outcome import Outcome
from castlab.teach.bench.computed_for import as_it_stands
from castlab.teach.melt import pour_sheet_page
from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.melt.pour_sheet import Sheet
from castlab.teach.melt.pour_sheet_page import PourSheet
from castlab.teach.panels.cure_table import CureTable
from castlab.teach.panels.sensitivity import HowSure
from castlab.teach.panels.window_map import WindowMap
from castlab.teach.text import markup

STATES, PLACES = 200, 5  # few places, so that the bench comes back to each
SIZES = ("boss", "core", "feeder_width", "feeder_height", "pour_temp_c")
SOUND = Outcome("sound", froze_s=200.0, casting_kg=0.7, poured_kg=0.9)
CURE = Cure("core", "core in the boss", 0.024, (("core", 0.024),), (), SOUND, -0.1, "")


@pytest.mark.slow
def test_two_hundred_states_and_all_panels(tmp_path, monkeypatch):
    part = light_bench("eye plate", *SIZES)
    melt = melt_bench(part)
    melt.reveal()
    part.reveal()
    sheet = PourSheet(part, melt, tmp_path)
    sure, table = HowSure(part, "eye plate"), CureTable(part, "eye plate")
    window = WindowMap(part, "feeder_width", "boss", count=2)

    def others():
        return {name: value for name, value in part.values.items() if name not in ("feeder_width", "boss")}

    mapped = others()
    made = Sheet("Pour sheet", "Pour.", True, (), (), (), ())
    monkeypatch.setattr(pour_sheet_page.PourSheet, "_made", lambda self: (made, ()))

    def answer_how_sure():
        sure._asked = as_it_stands(part)
        sure._show([SOUND] * 8)

    # what a press makes, whether it is shown in grey, and of which benches it is
    panels = {
        "sheet": (sheet.fill, lambda: sheet._page.value, (part, melt)),
        "how sure": (answer_how_sure, lambda: sure._words.value, (part,)),
        "cures": (lambda: table.show([CURE]), lambda: table._table.value, (part,)),
    }
    dice, stood = random.Random(20), {}
    places = {bench: [drawn(bench, list(bench.controls), dice) for _ in range(PLACES)]
              for bench in (part, melt)}
    seen = {True: 0, False: 0}
    for _ in range(STATES):
        moved = dice.choice((part, part, melt))
        moved.set(**dice.choice(places[moved]))
        name = dice.choice((*panels, None, None))
        if name:
            press, _, benches = panels[name]
            press()
            stood[name] = [bench.values for bench in benches]
        for name, values in stood.items():
            _, html, benches = panels[name]
            here = [bench.values for bench in benches] == values
            tried = name == "cures" and part.values in table._cured
            assert (markup.OUTDATED not in html()) == (here or tried), (name, values)
            seen[here] += 1
        assert ("other settings" in window.sentence) == (others() != mapped)
    assert min(seen.values()) > STATES // 4  # it came back often enough to be seen both ways
