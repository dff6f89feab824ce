"""The course on one page: what `notebooks/lessons/00_start_here` is made of."""

import importlib
from dataclasses import replace

import ipywidgets as widgets

from castlab.teach.bench.lesson_lines import LINE, PAGE, page_words
from castlab.teach.course.kept_course import course_here
from castlab.teach.course.so_far import best_words, day_words, progress_words, what_next
from castlab.teach.course.the_lessons import LESSONS, contents_of
from castlab.teach.text import markup, pages
from castlab.teach.work.shown import Shown, button, guarded
from castlab.units import METRIC

SOMEBODY_ELSE = "Somebody else works here now"
SURE = ("Begin a record for somebody else? The present one is kept aside under another name, and nothing of "
        "it is lost.")
BEGUN = "A new record is begun. Click on the table above and press Shift+Enter to see it."


def print_lessons():
    """Print which lessons there are, and what each is about."""
    for lesson in LESSONS:
        print(f"{lesson.number:2d}. {lesson.title}: {lesson.about}")


class Course:
    """The lessons with their links, what is done, the best castings, and what comes next, as HTML.

    kept   a KeptCourse; when left out, the one beside the notebook that runs
    """

    def __init__(self, kept=None):
        self._kept = kept or course_here()

    def _repr_html_(self):
        """No widget: JupyterLab follows its links, and it is still there on another day."""
        record = self._kept.record
        contents = {lesson.name: _contents(lesson) for lesson in LESSONS}
        rows = [(lesson, progress_words(record.lesson(lesson.name), contents[lesson.name]),
                 [best_words(best, METRIC) for best in record.lesson(lesson.name).best.values()])
                for lesson in LESSONS]
        return pages.to_html("course.html", rows=rows, notes=self._kept.notes, name=record.name,
                             when=day_words(self._kept.now()), onward=what_next(record, contents))


class MyPage(Shown):
    """The student's name, the button that writes *my page*, and the way for another student to begin.

    kept   a KeptCourse; when left out, the one beside the notebook that runs
    """

    def __init__(self, kept=None):
        self._kept = kept or course_here()
        self._alert, self._said = widgets.HTML(), widgets.HTML()
        self._name = widgets.Text(description="Your name", value=self._kept.record.name,
                                  layout={"width": "420px"}, continuous_update=False)
        self._name.observe(guarded(self._named, self._alert), "value")
        self._page = self._button(PAGE, self._write)
        self._else = self._button(SOMEBODY_ELSE, lambda: self._ask(True))
        self._yes = self._button("Yes, begin a new record", self._begin_new)
        self._no = self._button("No", lambda: self._ask(False))
        row = widgets.HBox([self._page, self._else, self._yes, self._no], layout={"flex_flow": "row wrap"})
        self.widget = widgets.VBox([self._name, row, self._said, self._alert])
        self._ask(False)

    @property
    def words(self):
        """What it says, as plain text."""
        return markup.plain(self._said.value)

    def _button(self, words, action):
        return button(words, guarded(action, self._alert))

    def _say(self, words):
        self._said.value = markup.status(words, LINE)

    def _ask(self, asked):
        for each, offered in ((self._page, not asked), (self._else, not asked), (self._yes, asked),
                              (self._no, asked)):
            each.layout.display = "" if offered else "none"
        self._say(SURE if asked else "\n".join(self._kept.notes))

    def _named(self):
        name = self._name.value.strip()
        if name != self._kept.record.name:
            self._kept.keep(lambda record: replace(record, name=name))
            self._say("\n".join(self._kept.notes))

    def _write(self):
        self._say(page_words(self._kept))

    def _begin_new(self):
        record = self._kept.record
        begun = self._kept.begin_new(f"of {record.name or record.student[0]}")
        self._name.value = self._kept.record.name
        self._ask(False)
        if begun:
            self._say(BEGUN)


def _contents(lesson):
    return contents_of(importlib.import_module(f"castlab.teach.lessons.{lesson.name}"))
