"""The bench: sliders, a picture, a sentence, and between them one walk.

    slider values -> Setup -> result (kept or computed) -> picture + sentence + numbers

While a slider moves a coarse answer comes at once. When it has rested for a moment the full one is computed,
in slices between which the next move is heard. What goes wrong is shown on the bench and raised again.

Jupyter may hand the messages of sliders to a second thread while a cell runs in the first, so everything
that a bench does, it does alone: one lock for all benches, because the drawing library has fonts in common.
"""

import asyncio
import inspect
import time
from contextlib import contextmanager, suppress
from dataclasses import replace

import ipywidgets as widgets

from castlab.errors import InputError, require_known
from castlab.field.outcome import COARSE, FULL
from castlab.plan import to_the_end
from castlab.teach.bench.bars import bars_of
from castlab.teach.bench.bench_screen import mark_of, on_screen
from castlab.teach.bench.cache import Cache
from castlab.teach.bench.casting import casting_scene, solving_casting
from castlab.teach.bench.controls import control_of, image, in_groups, units_switch
from castlab.teach.bench.film import FilmPlace
from castlab.teach.bench.fitted_picture import FittedPicture
from castlab.teach.bench.held import differences
from castlab.teach.picture.picture import WIDTH
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.alone import LOCK, alone
from castlab.teach.work.shown import Shown, button, guarded
from castlab.units import METRIC

REST_SECONDS = 0.2  # a slider that has not moved for so long is at rest
SLICE_SECONDS = 0.03  # so long the full answer is computed at a stretch
PAUSE_SECONDS = 0.003  # ... and then so long it is waited for the next move
HIDDEN = "The result is hidden. First say what you expect; then it appears here."
ROUGH = "quick answer; the full one follows when the slider rests"
HELD_SHARE = 0.55  # size of the held picture beside its numbers


class Bench(Shown):
    """A casting with sliders, its picture and what is said of it. A lesson brings its sliders and words.

    sliders    `Slider`s, in the order in which they stand
    setup_of   function: dict of values (SI) -> Setup; raises InputError for what cannot be cast
    solve      function: (Setup, Look, result of the first look where it is kept) -> a result with `section`,
               `sentence(units)`, `numbers(units)` (pairs of name and words) and `labels(units)`; where that
               takes long, a generator that gives way now and then and returns it
    follows    {name: function}: when that slider moves, values -> {other name: (low, high, value)}
    picture    what draws the scenes, with `show(scene)`, `png()` and `speak(units)`; when left out, a
               `FittedPicture`
    scene_of   function: (setup, result or None while it is hidden, units) -> scene, a dataclass with a
               field `greyed`; when left out, the section of a casting
    sentence_of, numbers_of   functions: (result, units) -> what is said; when left out, what the result says
    verdict_of   function: result -> "sound", "marginal", "defective", "misrun" or None for no mark at the
               sentence; when left out, what the result says, where it does
    drawing_of   function: (values, result, units) -> HTML of a curve or the like, beside the numbers
    looks      while a slider moves, and at rest
    from_book_of   function: values -> what the shop's own book says to them, where a bench reads one
    hidden     whether a `Question` will hide its first answer, which then is not waited for
    """

    def __init__(self, sliders, setup_of, solve=solving_casting, follows=None, picture=None, scene_of=None,
                 sentence_of=None, numbers_of=None, verdict_of=None, drawing_of=None, looks=(COARSE, FULL),
                 from_book_of=None, hidden=False):
        self._setup_of, self._solve, self._looks, self._from_book_of = setup_of, solve, looks, from_book_of
        self._scene_of = scene_of or casting_scene
        self._sentence_of = sentence_of or (lambda result, units: result.sentence(units))
        self._numbers_of = numbers_of or (lambda result, units: result.numbers(units))
        self._verdict_of = verdict_of or (lambda result: getattr(result, "verdict", None))
        self._drawing_of = drawing_of or (lambda values, result, units: "")
        self._follows, self._cache = follows or {}, Cache()
        self.units, self.hidden, self.error, self.called = METRIC, hidden, None, "bench"
        self.hidden_words, self._may_show = HIDDEN, True
        self._result = self._solved = self._scene = self._held = None
        self._moves, self._quiet = 0, False
        self._listeners, self._move_listeners, self._rest_listeners = [], [], []
        self.controls = {slider.name: control_of(slider) for slider in sliders}
        self.first_values = self.values
        self._picture = picture or FittedPicture()
        self._fit_picture()
        self._build()
        self.settle()

    # ---- for tests, number cells, questions and tasks

    @property
    def values(self):
        """The present values of all sliders and menus, SI."""
        return {name: control.value for name, control in self.controls.items()}

    @property
    def from_book(self):
        """What the shop's own book says to the present values; None where no book is read."""
        return self._from_book_of(self.values) if self._from_book_of else None

    @property
    def sentence(self):
        """What the bench says now, as plain text."""
        return markup.plain(self._sentence.value)

    @property
    def bars(self):
        """The bars under the picture, as HTML."""
        return self._bars.value

    @property
    def alert(self):
        """What went wrong in the last callback, as plain text; empty when nothing did."""
        return markup.plain(self._alert.value)

    @property
    @alone
    def result(self):
        """The full result of the present values; None while it is hidden or cannot be computed."""
        if not self.hidden:  # else what is computed meanwhile goes on
            self.settle()
        return None if self.hidden or self.error else self._result

    @property
    @alone
    def numbers(self):
        """Pairs of name and words of the full result; none while it is hidden or cannot be computed."""
        result = self.result
        return tuple(self._numbers_of(result, self.units)) if result else ()

    @alone
    def set(self, **values):
        """Move sliders by name, SI, wait for the full answer, and return the bench.

        Raises InputError for an unknown name or a value outside the slider's range.
        """
        for name in values:
            require_known("slider", name, self.controls)
        try:
            self._move(values)
        finally:
            self.settle()
        return self

    @alone
    def settle(self):
        """Show the full answer for the present values now, without waiting for the sliders to rest."""
        self._moves += 1  # what waits for rest need not come any more
        self._draw(full=True)
        shown = None if self.hidden or self.error else self._result
        for listener in self._rest_listeners:
            listener(shown)

    @alone
    def solve(self, **changes):
        """The full result for the present values with some changed; the screen stays as it is."""
        return self._answer(self.setup(**changes), full=True)[0]

    def glance(self, **changes):
        """As `solve`, with a quick look: to try out many values."""
        return self._seen(self.setup(**changes), self._looks[0])

    def keep(self, setup, look, result):
        """Keep a result that was computed elsewhere: a bench that comes to this setup shows it."""
        self._cache.get((setup, look), lambda: result)

    @contextmanager
    def taking_no_look(self):
        """As long as this lasts nothing is computed: what would be raises NotKept, with setup and look."""
        with LOCK, self._cache.only_kept():
            yield

    def setup(self, **changes):
        """The setup of the present values with some changed. Raises InputError for what cannot be cast."""
        return self._setup_of(self.values | changes)

    def print_numbers(self):
        """Print the sentence and the numbers of the present state."""
        numbers = self.numbers
        print(self.sentence)
        for name, words in numbers:
            print(f"{name}: {words}")

    def when_revealed(self, listener):
        """Call `listener()` each time that the result is revealed."""
        self._listeners.append(listener)

    def when_moved(self, listener):
        """Call `listener()` after each redraw: a slider moved, the result hidden or shown, other units."""
        self._move_listeners.append(listener)

    def when_rested(self, listener):
        """Call `listener(result)` each time that the full answer is shown; None for one that is hidden or
        cannot be cast."""
        self._rest_listeners.append(listener)

    @property
    def png(self):
        """The picture as it is shown now: bytes."""
        return bytes(self._image.value)

    def say_below(self, words):
        """Say something of the bench below it, or nothing."""
        self._below.value = markup.paragraph(words) if words else ""

    def stand_below(self, widget):
        """Put another widget under the bench."""
        self._others.children = (*self._others.children, widget)

    @alone
    def draw_beside(self):
        """Make the drawing beside the numbers anew: what it knows has changed."""
        result = None if self.hidden or self.error else self._result
        drawn = self._drawing_of(self._solved, result, self.units) if result else ""
        self._drawing.value, self._drawing.layout.display = drawn, "" if drawn else "none"

    @alone
    def take_back(self, values, units, shown):
        """Stand as on an earlier day: a quick answer at once, the full one as after any move.

        A value that no slider here can take, because the lesson has changed since, is left out.
        """
        self.hidden = True
        known = [name for name in self.controls if name in values]
        for name in sorted(known, key=lambda name: name not in self._follows):
            with suppress(InputError):
                self._move({name: values[name]})
        self.speak(units)
        self.hidden = not shown
        self._draw(full=False)
        self._settle_later()
        for listener in self._listeners if shown else ():
            listener()

    # ---- what the buttons do

    @alone
    def hide(self, words=HIDDEN, may_show=True):
        """Hide the result and show these words until `reveal`; `may_show` offers a button that reveals it."""
        self.hidden, self.hidden_words, self._may_show = True, words, may_show
        self.settle()
        self._settle_later()  # so that the answer is there when it is shown

    @alone
    def reveal(self):
        """Show the result from now on."""
        self.hidden = False
        self.settle()
        for listener in self._listeners:
            listener()

    @alone
    def speak(self, units):
        """Show lengths, temperatures, volumes and masses in these units."""
        self.units = units
        with self._keeping_quiet():
            self._units.value = units
            for control in self.controls.values():
                control.speak(units)
        self._picture.speak(units)
        self._draw_held()
        self.settle()

    @alone
    def start_again(self):
        """Set every slider back to where it stood at first."""
        self._move(self.first_values)
        self.settle()

    @alone
    def take_up(self, ranges, values):
        """Change over to another casting; `setup_of` must describe that one already.

        ranges   {slider: (low, high)} of the sliders that get another range, SI
        values   of all sliders, SI; from now on `start_again` goes back to these
        """
        with self._keeping_quiet():
            for name, (low, high) in ranges.items():
                self.controls[name].move_range(low, high, values[name])
        self.let_go()
        self._move(values)
        self.first_values = self.values
        self._fit_picture()
        self.settle()

    @alone
    def offer(self, name, options):
        """Let a menu offer other names; one that is chosen and still offered stays. The slider's first value
        must be among them."""
        control = self.controls[name]
        with self._keeping_quiet():
            before = control.value
            control.offer(tuple(options))
            if control.value != before:
                self._follow(name)

    @alone
    def forget(self):
        """Drop all kept results, for a bench that is not shown for a while: they take much memory."""
        self._cache = Cache()

    @alone
    def hold(self):
        """Keep the present state below the bench, to compare later ones with it."""
        if self.result:
            self._held = self._solved, self._result  # a slider may have moved on meanwhile
            self._draw_held()
            self._compare()

    @alone
    def let_go(self):
        """Drop the state that was kept to compare with."""
        self._held = None
        self._compare()

    # ---- the walk

    def _answer(self, setup, full):
        """A result, and whether it is a rough one. A full one that is kept is as quick as a rough one."""
        first, rest = self._looks[0], self._looks[-1]
        look = rest if full or (setup, rest) in self._cache else first
        return self._seen(setup, look), look != rest

    def _seen(self, setup, look):
        return self._cache.get((setup, look), lambda: to_the_end(self.looking(setup, look)))

    def looking(self, setup, look):
        """A result, giving way while it is computed: a generator."""
        found = self._solve(setup, look, self._cache.kept((setup, self._looks[0])))
        return (yield from found) if inspect.isgenerator(found) else found

    def _draw(self, full):
        try:
            values = self.values
            setup = self._setup_of(values)
            result, rough = (None, False) if self.hidden else self._answer(setup, full)
        except InputError as error:
            self._refuse(error)
            return
        self.error, self._result, self._solved = None, result, values
        self._scene = self._scene_of(setup, result, self.units)
        self._image.value = self._picture.show(self._scene).png()
        self._say(self._sentence_of(result, self.units) if result else self.hidden_words)
        self._say_more(result, rough)
        self._compare()
        self._tell_moved()

    def _refuse(self, error):
        """What cannot be cast: the reason instead of the sentence, and the last good picture in grey."""
        self.error = error
        if self._scene is not None:
            self._image.value = self._picture.show(replace(self._scene, greyed=True)).png()
        self._say(f"This cannot be cast. {sentence_of(error, self.units)}")
        self._say_more(None, rough=False)
        self._tell_moved()

    def _tell_moved(self):
        for listener in self._move_listeners:
            listener()

    def _say(self, words):
        self._sentence.value = markup.status(words)
        self._alert.value = ""
        self._show_button.layout.display = "" if self.hidden and self._may_show else "none"
        self._hold_button.disabled = self.hidden or self.error is not None

    def _say_more(self, result, rough):
        """Mark, bars, numbers and drawing of a result; none of them without one."""
        pairs = self._numbers_of(result, self.units) if result else ()
        verdict = self._verdict_of(result) if result else None
        self.film_place.follow(result, verdict, self.units)
        self._mark.value, self._bars.value = mark_of(verdict, rough), bars_of(result, verdict, self.units)
        self._numbers.value = markup.numbers(pairs, ROUGH if rough else "")
        self.draw_beside()

    def _draw_held(self):
        if self._held is not None:
            scene = self._scene_of(None, self._held[1], self.units)
            self._held_image.value = self._picture.show(scene).png()

    def _compare(self):
        held = self._held
        self._held_box.layout.display = "none" if held is None or self.hidden else ""
        self._let_go_button.disabled = held is None
        if held is None or self.hidden:
            return
        states = ((values, self._numbers_of(result, self.units))
                  for values, result in (held, (self.values, self._result)))
        rows = differences([control.slider for control in self.controls.values()], *states, self.units)
        self._held_words.value = markup.comparison(rows, self._sentence_of(held[1], self.units))

    # ---- moves and time

    def _move(self, values):
        """Set several sliders as one move; those that others follow go first."""
        with self._keeping_quiet():
            for name in sorted(values, key=lambda name: name not in self._follows):
                self.controls[name].value = values[name]
                self._follow(name)
        self._fit_for(values)

    def _follow(self, name):
        if name in self._follows:
            for other, (low, high, value) in self._follows[name](self.values).items():
                if other in self.controls:
                    self.controls[other].move_range(low, high, value)

    def _moved(self, name):
        if self._quiet:
            return
        with self._keeping_quiet():
            self.controls[name].snap()
            self._follow(name)
        self._fit_for([name])
        self._draw(full=False)
        self._settle_later()

    def _settle_later(self):
        """The newest move wins. Without a running loop (a plain program) `settle` is called by hand."""
        self._moves += 1
        move = self._moves
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            return
        loop.call_later(REST_SECONDS, self.guarded(lambda: self._go_on(loop, move, self._settling())))

    def _go_on(self, loop, move, work):
        """A slice of the full answer, then the next after a pause, unless a move came meanwhile."""
        if move != self._moves:
            return
        until = time.perf_counter() + SLICE_SECONDS
        for _ in work:
            if time.perf_counter() > until:
                loop.call_later(PAUSE_SECONDS, self.guarded(lambda: self._go_on(loop, move, work)))
                return

    def _settling(self):
        """As `settle`, giving way while the full answer is computed: a generator."""
        with suppress(InputError):  # settling says so
            setup, look = self._setup_of(self.values), self._looks[-1]
            if (setup, look) not in self._cache:
                self.keep(setup, look, (yield from self.looking(setup, look)))
        yield
        self.settle()

    @contextmanager
    def _keeping_quiet(self):
        """Sliders that are moved from here are one move, not many."""
        before, self._quiet = self._quiet, True
        try:
            yield
        finally:
            self._quiet = before

    def guarded(self, action):
        """The one wrapper of all callbacks: an error is shown on the bench, then raised for tests to see."""
        return guarded(action, self._alert)

    # ---- widgets

    def _fit_for(self, moved):
        if any(self.controls[name].slider.kind == "choice" for name in moved):
            self._fit_picture()

    def _fit_picture(self):
        if isinstance(self._picture, FittedPicture):
            self._picture.fit(self._setup_of, self.controls)

    def _build(self):
        self._image, self._held_image = image(WIDTH), image(int(WIDTH * HELD_SHARE))
        self._sentence, self._numbers, self._alert, self._held_words = (widgets.HTML() for _ in range(4))
        self._mark, self._bars, self._drawing, self._below = (widgets.HTML() for _ in range(4))
        self._others = widgets.VBox()
        self._held_box = widgets.HBox([self._held_image, self._held_words], layout={"display": "none"})
        for name, control in self.controls.items():
            control.widget.observe(self.guarded(lambda name=name: self._moved(name)), "value")
        self.film_place, self.sliders = FilmPlace(self), in_groups(self.controls.values())
        self.widget = on_screen(
            self.sliders, len(self.controls), self._alert, self._image, self._mark, self._sentence,
            self._bars, self._make_buttons(), self._numbers, self._drawing,
            [self._others, self.film_place.widget, self._held_box, self._below])

    def _make_buttons(self):
        self._show_button = self.button("Show without predicting", self.reveal)
        self._hold_button = self.button("Hold this one to compare", self.hold)
        self._let_go_button = self.button("Let the held one go", self.let_go)
        again = self.button("Start again", self.start_again)
        self._units = units_switch(self.guarded(self._units_chosen))
        buttons = [self._show_button, self.film_place.button, again, self._hold_button, self._let_go_button]
        return widgets.HBox([*buttons, self._units], layout={"flex_flow": "row wrap"})

    def _units_chosen(self):
        if not self._quiet:
            self.speak(self._units.value)

    def button(self, words, action):
        """A button with these words that does `action()`, guarded; for what stands around the bench."""
        return button(words, self.guarded(action))
