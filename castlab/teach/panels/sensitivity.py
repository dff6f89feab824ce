"""How sure is the verdict? The casting on a bench, poured eight times with its data low or high."""

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.field.outcome import outcome_of
from castlab.field.sure import POUR_BAND_K, across_bands, tipped_by
from castlab.plan import map_over
from castlab.teach.bench.bench import HIDDEN
from castlab.teach.bench.computed_for import as_it_stands
from castlab.teach.sliders.to_design import design_of
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown
from castlab.units import METRIC, said

BUTTON = "How sure?"
ASK = "How sure is that? Press the button: the same casting is poured eight times with its data low or high."
SURE_FROM = 7  # sound so often or more counts as sure, and sound once or less as surely not; judgement
NOTE = ("The mould's conductivity, the latent heat and the contraction go to the ends of the bands in the "
        "data, the pour {} down or up.")


class HowSure(Shown):
    """A button, a progress bar and a sentence, under the bench of a part: `HowSure(bench, "eye plate")`.

    `widget` goes under the bench; `wait()` is for tests and number cells.
    """

    def __init__(self, bench, part):
        self._bench, self._part, self._work = bench, part, Work()
        self._outcomes, self._asked, self._refused = (), as_it_stands(bench), None
        self._words = widgets.HTML()
        button = bench.button(BUTTON, self.ask)
        button.layout.flex = "0 0 auto"
        row = widgets.HBox([button, self._words], layout={"align_items": "center"})
        self.widget = widgets.VBox([row, self._work.widget])
        self._write()
        bench.when_moved(self._follow)

    @property
    def words(self):
        """What it says, as plain text."""
        return markup.plain(self._words.value)

    @property
    def known(self):
        """What `in_short` says of the casting as it stands on the bench; None where nobody has asked."""
        return in_short(self._outcomes, self._bench.units) if self._asked.holds else None

    def ask(self):
        """Pour the casting as it stands on the bench eight times; the words appear when it is done."""
        asked = as_it_stands(self._bench)
        if self._bench.hidden:
            self._refuse(HIDDEN, asked)
            return
        try:
            design = design_of(self._part, asked.values)
            design.setup()
        except InputError as error:
            self._refuse(f"This cannot be cast. {sentence_of(error, self._bench.units)}", asked)
            return
        self._outcomes, self._asked, self._refused = (), asked, None
        self._work.start(map_over(outcome_of, across_bands(design)), on_done=self._show)
        self._write()

    def wait(self, timeout=None):
        """Wait for the end of the work; returns the words."""
        self._work.wait(timeout)
        return self.words

    def _show(self, outcomes):
        self._outcomes = tuple(outcomes)
        self._write()

    def _refuse(self, words, asked):
        """Say why there is no answer, until the bench stands elsewhere."""
        self._refused = asked
        self._say(words)

    def _follow(self):
        if self._refused is None or not self._refused.holds:
            self._refused = None
            self._write()

    def _write(self):
        """What is known and for which state, or what is being computed, or what the button does."""
        if self._outcomes:
            words, note = in_words(self._outcomes, self._bench.units), self._asked.note("This answer", BUTTON)
            if note:
                self._words.value = markup.outdated(note, markup.paragraph(words))
            else:
                self._say(words)
        else:
            running = self._work.running
            self._say(self._asked.note("The answer to come", BUTTON) if running else ASK)

    def _say(self, words):
        self._words.value = markup.status(words, markup.TEXT)


def in_words(outcomes, units=METRIC, note=NOTE):
    """Such as "Sound in 5 of 8: marginal. What tips it most is contraction: high opens the hole."

    Parameters: `outcomes` of the eight pours of `across_bands`, in order; a `note` on what the eight are.
    """
    refused = next((each.refused for each in outcomes if each.refused), "")
    if refused:
        return f"One of the eight cannot be cast: {said(refused, units)}."
    sound = _sound(outcomes)
    words = f"Sound in {sound} of 8{': nearly sure to fail' if sound < SURE_FROM else ''}."
    if 8 - SURE_FROM < sound < SURE_FROM:
        thing, end = tipped_by([each.defect_share for each in outcomes])
        words = f"Sound in {sound} of 8: marginal. What tips it most is {thing}: {end} makes the hole."
    elif sound == 0:
        words = "Sound in 0 of 8: it has its hole whatever the data."
    return f"{words} {note.format(units.temperature_difference(POUR_BAND_K))}".strip()


def in_short(outcomes, units):
    """In how many of the eight `outcomes` it was sound, in words without the note, and whether it is surely
    sound; None of no outcomes."""
    return (in_words(outcomes, units, note=""), _sound(outcomes) >= SURE_FROM) if outcomes else None


def _sound(outcomes):
    return sum(each.sound for each in outcomes)
