"""A lesson that remembers: what is predicted, answered and moved is kept at once, and can be gone on with.

In a notebook, whatever a lesson makes (`same_in_a_kernel`, `@task`) is handed to the memory of that lesson; a
plain program keeps nothing.
"""

from dataclasses import replace
from functools import cache

from IPython import get_ipython

from castlab.errors import InputError
from castlab.teach.bench.casting import Casting
from castlab.teach.bench.checked import Checked, Prediction
from castlab.teach.bench.lesson_lines import Line, Welcome
from castlab.teach.course.kept_course import course_here
from castlab.teach.course.known_best import known_best, to_beat
from castlab.teach.course.record import Best, Said, Stood, Tried
from castlab.teach.course.so_far import units_named, where_you_stand
from castlab.teach.course.the_lessons import contents_of, lesson_named_in
from castlab.teach.sliders.part_sliders import PART
from castlab.teach.sliders.slider import words_of

NOT_THE_PART = ("turn",)  # it stands among the part's sliders, and is the founder's to choose
ORDERED = ("alloy", "mould")  # whoever changes these casts something else
the_course = cache(course_here)


def memory_of(dotted):
    """The LessonMemory of the lesson whose module has this name; None for no lesson, and in a program."""
    if get_ipython() is None or lesson_named_in(dotted)[0] is None:
        return None
    return _memory_of(dotted)


@cache
def _memory_of(dotted):
    return LessonMemory(the_course(), *lesson_named_in(dotted))


class LessonMemory:
    """What one lesson keeps, and how it comes back.

    course   the KeptCourse
    lesson   the Lesson
    module   its module
    """

    def __init__(self, course, lesson, module):
        self.course, self.lesson, self._module = course, lesson, module
        self._beginnings, self._tasks, self._lines, self._looked = {}, {}, {}, {}
        self._coming_back, self._continued = set(), False
        self.open()
        self.welcome = Welcome(self)

    def open(self):
        """Take what is kept now for what was done before this session."""
        self.earlier = self.record

    @property
    def record(self):
        """What is kept of this lesson: a LessonRecord."""
        return self.course.record.lesson(self.lesson.name)

    @property
    def contents(self):
        """What the lesson asks for."""
        return contents_of(self._module)

    @property
    def continued(self):
        """Whether it has been gone on with from an earlier day."""
        return self._continued

    # ---- what a lesson makes is handed over here

    def add_beginning(self, name, benches, question, table):
        """Benches and their question, and in lesson 10 the table, as the function `name` made them."""
        beginning = self._beginnings[name] = _Beginning(name, benches, question, table)
        question.shuffle(self._seed(name))
        for key, bench in beginning.benches.items():
            first = self._stood(bench, question)
            bench.when_rested(lambda result, key=key, bench=bench, first=first:
                              self._rested(beginning, key, bench, first, result))
            if table is None:
                self._show_best(key, bench)
        question.when_answered(lambda prediction: self._answered(name, question, prediction))
        if table is not None:
            table.when_changed(lambda: self._table_changed(name, table))
        self._add_line(name, question)
        if name == self.contents.predictions[0]:
            question.widget.children = (self.welcome.widget, *question.widget.children)
        if self._continued:
            self._bring_back(beginning)

    def add_task(self, name, task):
        """A task as the function `name` made it; when its cell is run again, it goes on from there."""
        again = name in self._tasks
        self._tasks[name] = task
        task.shuffle(self._seed(name))
        task.when_checked(lambda answer, found: self._checked(name, task, answer, found))
        self._add_line(name, task)
        if self._continued or again:
            self._bring_task_back(name, task)

    def _seed(self, name):
        return f"{self.course.record.seed} {self.lesson.name} {name}"

    def _add_line(self, name, place):
        line = self._lines[name] = Line(self, place.bench)
        place.widget.children = (*place.widget.children, line.widget)

    def show_last_time(self, name):
        """Leave words under the first cell that makes a bench, for when the notebook is opened again."""
        if name == self.contents.predictions[0]:
            self.welcome.show_last_time()

    # ---- Continue, and Start anew

    def go_on(self):
        """Bring everything back to where it was when the lesson was opened."""
        self._continued = True
        for beginning in self._beginnings.values():
            self._bring_back(beginning)
        for name, task in self._tasks.items():
            self._bring_task_back(name, task)

    def start_anew(self):
        """Forget what was said, tried and moved, and set all back; what there is to beat stays."""
        self._keep(lambda lesson: lesson.afresh())
        self.open()
        self._continued = False
        for beginning in self._beginnings.values():
            self._coming_back.add(beginning.name)
            beginning.begin_again()
            self._coming_back.discard(beginning.name)
        for task in self._tasks.values():
            task.forget()
        for line in self._lines.values():
            line.say("")
        self._looked = {}

    def _bring_back(self, beginning):
        name, table = beginning.name, self.earlier.table.get(beginning.name)
        self._coming_back.add(name)
        done = [prediction_of(said) for said in self.record.said.get(name, ())]

        def stand():
            beginning.take_back(done, self.earlier.stood)
            self._coming_back.discard(name)

        try:
            if beginning.table is None or table is None:
                stand()
            else:
                beginning.table.take_back(table, stand)
        except InputError:  # a number that no casting has: then the lesson's first one lies there
            stand()

    def _bring_task_back(self, name, task):
        tried = self.record.tried.get(name)
        if tried is not None:
            found = Checked(tried.right, tried.why)
            task.take_back(tried.answer, found, tried.values, units_named(tried.units), tried.done)

    # ---- what happens is kept

    def _keep(self, change):
        self.course.keep_lesson(self.lesson.name, change)
        self.welcome.follow()

    def _rested(self, beginning, key, bench, first, result):
        """A bench shows its full answer: where it stands is kept, and whether that is the best so far."""
        if beginning.name in self._coming_back:
            return
        stood = self._stood(bench, beginning.question)
        if stood != self.record.stood.get(key, first):
            self._keep(lambda lesson: replace(lesson, stood=lesson.stood | {key: stood}))
        if beginning.table is None:
            self._count_look(bench, result)
            self._compare_with_best(key, bench, result)

    def _stood(self, bench, question):
        predicted = question.answered and question.bench is bench
        return Stood(bench.values, bench.units.name, not bench.hidden, predicted)

    def _answered(self, name, question, prediction):
        choice, checked = prediction.said, prediction.checked
        said = Said(question.text, choice, question.words_of(choice), checked.right, checked.why,
                    question.bench.sentence, prediction.values, prediction.units.name, self.course.now())
        self._keep(lambda lesson: replace(lesson, said=lesson.said | {
            name: (*lesson.said.get(name, ()), said)}))
        self.course.keep_picture(f"{self.lesson.name} {name}", question.bench.png)
        self._say_where(name, "")

    def _checked(self, name, task, answer, found):
        bench = task.bench
        tried = Tried(task.text, answer, task.words_of(answer), found.right, found.why, bench.sentence,
                      bench.values, bench.units.name, self.course.now(), found.right)
        looks = self._looks_at(bench) if task.on_the_sliders and found.right and not bench.hidden else 0

        def changed(lesson):
            before = lesson.tried.get(name)
            done = found.right or bool(before and before.done)
            fewest = lesson.fewest
            if looks:
                fewest = fewest | {name: min(looks, fewest.get(name, looks))}
            return replace(lesson, tried=lesson.tried | {name: replace(tried, done=done)}, fewest=fewest)

        self._keep(changed)
        if found.right:
            self.course.keep_picture(f"{self.lesson.name} {name}", bench.png)
        self._say_where(name, looks_words(looks, self.record.fewest.get(name)) if looks else "", found.right)

    def _table_changed(self, name, table):
        if name not in self._coming_back:
            stands = table.stands
            self._keep(lambda lesson: replace(lesson, table=lesson.table | {name: stands}))

    def _say_where(self, name, words, done=True):
        """Under what was just answered, and nowhere else: how far the lesson is."""
        for line in self._lines.values():
            line.say("")
        if done:
            stand = where_you_stand(self.lesson, self.record, self.contents)
            self._lines[name].say(f"{words}\n{stand}".strip())

    # ---- something to beat

    def _count_look(self, bench, result):
        """Each different setting that was shown in full is a look; *Start again* begins to count anew."""
        if bench.values == bench.first_values:
            self._looked[bench] = set()
        elif result is not None:
            self._looks_at(bench)

    def _looks_at(self, bench):
        """How many looks there were by now, this one among them; the bench as it stood at first is free."""
        seen = self._looked.setdefault(bench, set())
        seen.add(tuple(bench.values.items()))
        return len(seen)

    def _compare_with_best(self, key, bench, result):
        best, moved = self.record.best.get(key), bench.values != bench.first_values
        if moved and compares(self._module, result) and as_ordered(bench):
            now = Best(float(result.poured_kg), bench.values, moved_words(bench), self.course.now())
            if lighter(now, best) is now:
                self._keep(lambda lesson: replace(lesson, best=lesson.best | {
                    key: lighter(now, lesson.best.get(key))}))
                self.course.keep_picture(f"{self.lesson.name} {key} best", bench.png)
        self._show_best(key, bench)

    def _show_best(self, key, bench):
        best, known = self.record.best.get(key), known_best(self.lesson.name, key)
        bench.say_below(to_beat(best, None if bench.hidden else known, bench.units))


class _Beginning:
    """What one function of a lesson made: benches, the question about one of them, and perhaps a table."""

    def __init__(self, name, benches, question, table):
        self.name, self.question, self.table = name, question, table
        self.benches = benches_by_key(name, benches)
        self._hidden = [(bench, bench.hidden_words) for bench in benches if bench.hidden]

    def take_back(self, predictions, stood):
        """Stand as before: the question first, so that what is shown with its bench finds it answered."""
        shown = any(key in stood and stood[key].shown and stood[key].predicted
                    for key, bench in self.benches.items() if bench is self.question.bench)
        self.question.take_back(predictions, shown)
        for key, bench in self.benches.items():
            if key in stood:
                bench.take_back(stood[key].values, units_named(stood[key].units), stood[key].shown)

    def begin_again(self):
        """As it was at first, with nothing predicted."""
        for bench in self.benches.values():
            bench.start_again()
            bench.let_go()
        self.question.record.clear()
        self.question.again()
        for bench, words in self._hidden:
            bench.hide(words)


def prediction_of(said):
    """A Said of the record as the Prediction that it was."""
    return Prediction(said.values, said.choice, Checked(said.right, said.why), units_named(said.units))


def benches_by_key(name, benches):
    """{key under which it is kept: bench} of the benches that the function `name` of a lesson made."""
    return {f"{name} {number}" if number > 1 else name: bench for number, bench in enumerate(benches, 1)}


def compares(module, result):
    """Whether a result of a lesson's `module` is a casting that may be the lightest: sound, and whole."""
    whole = getattr(module, "comes_out_whole", lambda result: True)  # where filling is a question
    return isinstance(result, Casting) and result.sound and whole(result)


def is_ordered(control):
    """Whether a slider sets part, alloy or mould: whoever moves it casts something else."""
    slider = control.slider
    return slider.name in ORDERED or slider.group == PART and slider.name not in NOT_THE_PART


def as_ordered(bench):
    """Whether part, alloy and mould are those with which the bench began: only then masses compare."""
    first, now = bench.first_values, bench.values
    return all(now[name] == first[name] for name, control in bench.controls.items() if is_ordered(control))


def moved_words(bench):
    """Where the sliders stand that are not where they stood at first."""
    first, now = bench.first_values, bench.values
    return ", ".join(f"{control.slider.label} {words_of(control.slider, now[name], bench.units)}"
                     for name, control in bench.controls.items() if now[name] != first[name])


def lighter(one, other):
    """The Best with less metal; the other one where they weigh the same."""
    return one if other is None or one.mass_kg < other.mass_kg * (1.0 - 1e-6) else other


def looks_words(looks, fewest):
    """With how many looks a task was done, beside the fewest so far."""
    times = f"{looks} look{'' if looks == 1 else 's'} at the bench"
    if looks > fewest:
        return f"Done, with {times}; your fewest are {fewest}."
    return f"Done, with {times}: your fewest so far. “Start again” on the bench counts from the beginning."
