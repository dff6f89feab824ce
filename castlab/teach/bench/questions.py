"""Questions that are asked before the result is shown, and tasks whose answers are checked.

Nothing here knows an answer. A question or task is given a function that reads the answer off the computed
casting, and that says why.
"""

from functools import wraps
from random import Random

import ipywidgets as widgets

from castlab.errors import InputError, require_known, require_number
from castlab.teach.bench.checked import Checked, Prediction
from castlab.teach.bench.lesson_memory import memory_of
from castlab.teach.bench.patient_check import PatientCheck
from castlab.teach.bench.touch import drawing_of, touch
from castlab.teach.course.the_lessons import asks_for_a_task
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.shown import Shown
from castlab.units import METRIC

NOT_YET = "You have not said what you expect yet. Do it above; the answer then appears here."
SHOWN = "The result was shown without a prediction. Press “Predict again” to hide it and predict."
BRING, PUT_BACK = "Bring the bench here", "Put the bench back"
FEEDBACK = f"font-size:16px; line-height:1.4; min-height:24px; {markup.WIDTH}"


def key_of(answer, choices):
    """The key of an answer, given by its key or by its words, among the choices, {key: words}."""
    key = next((key for key, words in choices.items() if answer == words), answer)
    return require_known("answer", key, choices)


# Long answers go on in a second line where the screen is narrow.
ANSWERS = """<style>
.castlab-answers label { display: flex; flex-flow: row-reverse; justify-content: flex-end; height: auto;
  white-space: normal; }
.castlab-answers input { flex: none; }
</style>"""


def radio_of(choices):
    """The choices as buttons, none of them pressed yet."""
    options = [(words, key) for key, words in choices.items()]
    layout = {"width": "max-content", "max_width": "100%"}
    return widgets.RadioButtons(options=options, value=None, layout=layout).add_class("castlab-answers")


def shuffle(radio, seed):
    """Put the buttons of a `radio_of` in the order that belongs to a seed; none of them is pressed then."""
    options = list(radio.options)
    Random(seed).shuffle(options)
    radio.options, radio.value = options, None


def slip_in(given, slips, share=0.0, within=0.0):
    """What is said of the slip of thought that explains a wrong number; "" where no known slip does.

    given    the number that was typed
    slips    pairs of the number to which a slip leads and what is said of it, the likeliest first
    share    how far off a number may be to be put down to a slip, as a share of the slip's
    within   the same in the number's own unit; the two add up

    >>> slips = (6.25, "Times go with the square."), (0.4, "Turned round.")
    >>> slip_in(0.41, slips, share=0.08), slip_in(3.0, slips, share=0.08)
    ('Turned round.', '')
    """
    return next((words for number, words in slips if abs(given - number) <= within + share * number), "")


def chosen(answer, right, slips, why):
    """The Checked of an answer that was chosen; before the reason, what a wrong choice forgets: `slips`."""
    slip = "" if answer == right else slips.get(answer, "")
    return Checked(answer == right, f"{slip} {why}".strip())


def is_near(given, right, share):
    """Whether a typed number differs from the right one by at most this share of it."""
    return abs(given - right) <= share * right


class Question(Shown):
    """Asks what will happen, hides the bench's result until it is answered, then compares.

    bench     the `Bench` whose result it is about
    text      the question, about the setup as it stands on the bench
    choices   {key: words} of the possible answers
    judge     function: (result, units) -> (key of the right choice, why); reads both off the result
    slips     function: (result, units) -> {choice: words}: which thought leads to that choice when it is
              wrong, and what it forgets. The sliders may stand anywhere, so what is not always so is read off
              the result; "" where there is nothing true to say
    places    function: Setup -> {choice: (name, points (x, y) [m])} of those choices that are places: the
              part is drawn above the choices, and they can be touched there; `nowhere` draws it alone
    """

    def __init__(self, bench, text, choices, judge, slips, places=None):
        self.bench, self.text, self._choices = bench, text, dict(choices)
        self._judge, self._slips, self._places = judge, slips, places
        self.record = []  # every Prediction made, in order
        self._listeners = []
        self._build(text)
        bench.when_revealed(self._refresh)
        bench.when_moved(self._follow_units)
        if places:
            bench.when_moved(self._draw_part)
        bench.hide()

    @property
    def answered(self):
        """Whether the result that is shown was predicted."""
        return self._current is not None

    def answer(self, choice):
        """Record a prediction, by its key or its words, show the result, and return it as `Checked`.

        Raises InputError for what is not one of the choices, and when the setup cannot be cast.
        """
        self._current = self._predicted(key_of(choice, self._choices))
        self.record.append(self._current)
        self.bench.reveal()
        for listener in self._listeners:
            listener(self._current)
        return self._current.checked

    def again(self):
        """Hide the result and ask once more, for the sliders as they stand now."""
        self._current, self._radio.value = None, None
        self.bench.hide()
        self._refresh()

    def words_of(self, choice):
        """The words of a choice, by its key; the key itself where the question has no such choice."""
        return self._choices.get(choice, choice)

    def when_answered(self, listener):
        """Call `listener(prediction)` each time that a prediction has been made and compared."""
        self._listeners.append(listener)

    def shuffle(self, seed):
        """Let the choices stand in the order that belongs to a seed, a text or a number."""
        shuffle(self._radio, seed)

    def take_back(self, record, shown):
        """Go on from an earlier day: the Predictions made by then, and whether the last is what is shown."""
        self.record = [each for each in record if each.said in self._choices]
        self._current = self.record[-1] if shown and self.record else None
        self._radio.value = self._current.said if self._current else None
        self._refresh()

    def verdict(self):
        """The widget that says, once the question has been answered, whether that was right, and why."""
        return self._verdict

    @property
    def verdict_text(self):
        """The verdict as plain text."""
        return markup.plain(self._verdict.value)

    def _predicted(self, key):
        """This choice beside what the computation says of the bench as it stands, in its units."""
        result, units = self.bench.solve(), self.bench.units
        right_key, why = self._judge(result, units)
        if key != right_key:
            slip = self._slips(result, units)[key]
            why = "\n".join(filter(None, (self._both(key, right_key), slip, why)))
        return Prediction(self.bench.values, key, Checked(key == right_key, why), units)

    def _follow_units(self):
        """The verdict once more in other units, as long as the bench stands where it was given."""
        now, bench = self._current, self.bench
        if now and now.units is not bench.units and now.values == bench.values:
            self._current = self.record[-1] = self._predicted(now.said)
            self._refresh()

    def _refresh(self):
        if self.bench.hidden:
            words = NOT_YET
        elif self._current is None:
            words = SHOWN
        else:
            found = self._current.checked
            words = f"You were {'right' if found.right else 'not right'}. {found.why} {self._tally()}"
        self._verdict.value = markup.status(words, FEEDBACK)
        self._said.value = markup.status(self._thanks(), FEEDBACK)
        self._radio.disabled = self._button.disabled = not self.bench.hidden
        if self._places:
            self.part.asking = self.bench.hidden

    def _draw_part(self):
        """The part as it stands on the bench, until it has been predicted."""
        if self.bench.hidden and self.bench.error is None:
            setup = self.bench.setup()
            self.part.drawing = drawing_of(setup, self._places(setup), self._choices)

    def _touched(self):
        if self.part.chosen in self._choices:
            self._radio.value = self.part.chosen

    def _thanks(self):
        if self.bench.hidden:
            return ""
        if self._current is None:
            return "The result is shown, without a prediction."
        return f"Recorded. You expect: {self._choices[self._current.said]}. Now look at the bench."

    def _both(self, key, right_key):
        expected, computed = (self._choices[each] for each in (key, right_key))
        return f"You expected: {expected}. The computation says: {computed}."

    def _tally(self):
        right = sum(each.checked.right for each in self.record)
        return f"So far {right} of {len(self.record)} right." if len(self.record) > 1 else ""

    def _build(self, text):
        self._current, self._radio = None, radio_of(self._choices)
        self._button = self.bench.button("This is what I expect", self._pressed)
        again = self.bench.button("Predict again", self.again)
        self._said, self._verdict = widgets.HTML(), widgets.HTML(markup.status(NOT_YET, FEEDBACK))
        words, buttons = widgets.HTML(markup.paragraph(text) + ANSWERS), widgets.HBox([self._button, again])
        self.part = touch() if self._places else None
        if self.part:
            self.part.observe(self.bench.guarded(self._touched), "chosen")
            self._radio.observe(lambda change: self.part.set_trait("chosen", change["new"] or ""), "value")
        parts = [words, self.part, self._radio, buttons, self._said]
        self.widget = widgets.VBox([each for each in parts if each])

    def _pressed(self):
        if self._radio.value is None:
            self._said.value = markup.status("Choose one of the answers first.", FEEDBACK)
            return
        try:
            self.answer(self._radio.value)
        except InputError as error:
            words = f"Change the sliders first. {sentence_of(error, self.bench.units)}"
            self._said.value = markup.status(words, FEEDBACK)


class Task(Shown):
    """Something to find out or to build on the bench, checked against the computed casting.

    bench     the `Bench` that it is done on
    text      what to do
    check     function: (bench, answer) -> Checked. `answer` is the number or choice given; None for a task
              that is done by moving the sliders
    choices   {key: words} for a task that is answered by choosing
    number    words beside the field of a task that is answered with a number
    """

    def __init__(self, bench, text, check, choices=None, number=""):
        if choices and number:
            raise InputError("task", "choices and number", "a task takes one kind of answer")
        self.bench, self.text, self._check = bench, text, check
        self._choices, self._number = dict(choices or {}), number
        self.done, self._checked, self._listeners = False, None, []
        self._build(text)
        bench.when_moved(self._follow_units)

    def check(self, answer=None):
        """Check an answer, show what is found under the task, and return it as `Checked`.

        Raises InputError for an answer that is not one of the choices, or not a number.
        """
        answer = self._understood(answer)
        return self._take(answer, self._check(self.bench, answer))

    def _take(self, answer, found):
        """Show what a check has found, and tell those who listen."""
        self._checked = answer, self.bench.values, self.bench.units
        self.done = self.done or found.right
        self._feedback.value = markup.status(str(found), FEEDBACK)
        for listener in self._listeners:
            listener(answer, found)
        return found

    @property
    def on_the_sliders(self):
        """Whether it is done by moving the sliders, not by choosing or typing."""
        return self._input is None

    def words_of(self, answer):
        """An answer in words: those of a choice, or the number that was typed; "" where there is none."""
        return "" if answer is None else str(self._choices.get(answer, answer))

    def when_checked(self, listener):
        """Call `listener(answer, found)` each time that an answer has been checked."""
        self._listeners.append(listener)

    def shuffle(self, seed):
        """Let the choices, where there are any, stand in the order that belongs to a seed."""
        if self._choices:
            shuffle(self._input, seed)

    def take_back(self, answer, found, values, units, done):
        """Go on from an earlier day: the last answer, what was found then, on which bench, and whether the
        task was ever done. Without a `found` it was not tried yet."""
        self.done = done
        known = not self._choices or answer is None or answer in self._choices
        self._checked = (answer, values, units) if found and known else None
        self._feedback.value = markup.status(str(found) if found else "", FEEDBACK)
        if self._choices and known:
            self._input.value = answer
        elif self._number:
            self._input.value = "" if answer is None else f"{answer:g}"

    def forget(self):
        """As if it had never been tried."""
        self._patient.stop()
        self.take_back(None, None, {}, METRIC, False)

    def _follow_units(self):
        """The same once more in other units. A number that was typed is one of the old units: it stays."""
        if self._checked and not self._number:
            answer, values, units = self._checked
            if units is not self.bench.units and values == self.bench.values:
                self.check(answer)

    @property
    def feedback(self):
        """What the last check said, as plain text."""
        return markup.plain(self._feedback.value)

    def _understood(self, answer):
        if self._choices:
            return key_of(answer, self._choices)
        return require_number("answer", answer) if self._number else None

    def _build(self, text):
        self._feedback = widgets.HTML(markup.status("", FEEDBACK))
        self._input = self._make_input()
        button = self.bench.button("Check", self._pressed)
        self._bring = self.bench.button(BRING, self._bring_or_put_back)
        row = widgets.HBox([*([self._input] if self._input else []), button, self._bring],
                           layout={"align_items": "flex-end"})
        self._patient, words = PatientCheck(self.bench), widgets.HTML(markup.paragraph(text) + ANSWERS)
        self.widget = widgets.VBox([words, row, self._patient.widget, self._feedback])

    def _bring_or_put_back(self):
        """Show the bench under the task as well: a second view of the same one."""
        shown, bench = self.widget.children, self.bench.widget
        here = bench in shown
        self.widget.children = tuple(each for each in shown if each is not bench) if here else (*shown, bench)
        self._bring.description = BRING if here else PUT_BACK

    def _make_input(self):
        if self._choices:
            return radio_of(self._choices)
        if self._number:
            return widgets.Text(description=self._number, placeholder="a number", layout={"width": "320px"},
                                style={"description_width": "initial"})
        return None

    def _pressed(self):
        """An answer that cannot be read is no error: it is said in the feedback."""
        answer = self._input.value if self._input else None
        if self._input and not answer:
            self._feedback.value = markup.status("Give an answer first.", FEEDBACK)
            return
        self._feedback.value = markup.status("", FEEDBACK)
        try:
            answer = self._understood(answer.replace(",", ".") if self._number else answer)
        except InputError as error:
            self._say(None, error)
        else:
            self._patient.start(lambda: self._check(self.bench, answer),
                                lambda found: self._say(answer, found))

    def _say(self, answer, found):
        """What a check has found, or why nothing can be checked."""
        if isinstance(found, InputError):
            self._feedback.value = markup.status(sentence_of(found, self.bench.units), FEEDBACK)
        else:
            self._take(answer, found)


def task(text, choices=None, number=""):
    """Decorator that makes a check, (bench, answer) -> Checked, into a function from a bench to its Task.

    `text`, `choices` and `number` are those of `Task`. The function also takes what has a `bench`, such as
    the sawn casting of lesson 10; the check then gets that in place of the bench.

    >>> @task("Make the plate 10 mm thick.")
    ... def task_thickness(bench, _):
    ...     return Checked(bench.values["thickness"] == 0.010, bench.sentence)
    >>> from castlab.teach.bench.ready_made import eye_plate_bench
    >>> task_thickness(eye_plate_bench(thickness=0.010)).check().right
    True
    """
    def of_check(check):
        @wraps(check, assigned=("__module__", "__name__", "__doc__"))
        def on(place):
            made = Task(getattr(place, "bench", place), text, lambda _, answer: check(place, answer), choices,
                        number)
            memory = memory_of(check.__module__)
            if memory:
                memory.add_task(check.__name__, made)
            return made
        del on.__wrapped__  # help shows what is called: a function of the bench alone
        return asks_for_a_task(on)
    return of_check
