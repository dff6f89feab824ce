"""What a lesson says about itself: on top what was done before, and under each answer where one stands."""

from datetime import datetime

import ipywidgets as widgets
from IPython.display import HTML, display, update_display

from castlab.teach.bench.safe_keys import safe_keys
from castlab.teach.course.my_page import FILE, write_my_page
from castlab.teach.course.so_far import last_time
from castlab.teach.text import markup, pages
from castlab.teach.work.shown import Shown, button, guarded

LINE = f"font-size:16px; line-height:1.4; {markup.WIDTH}"
FRAME = f"{LINE}; border:1px solid #757575; border-radius:4px; padding:6px 10px; margin:0 0 8px 0"
CONTINUE, ANEW = "Continue where I was", "Start this lesson anew"
SURE = ("Start lesson {} anew? What you said and tried in it is forgotten, and its benches go back to where "
        "they stood at first. Your best castings stay.")
BACK = "Everything stands as you left it."
ME, NOT_ME = "That is me", "I am somebody else"
PAGE = "Write my page"
# While the lesson runs, what a closed one shows is hidden.
HIDE_LAST_TIME = "<style>.castlab-last-time { display: none; }</style>"


class Line(Shown):
    """Words under an answer, and the button that writes the page; nothing while there are no words."""

    def __init__(self, memory, bench):
        self._memory, self._words = memory, widgets.HTML()
        self._page = button(PAGE, bench.guarded(self._write))
        self.widget = widgets.VBox([self._words, widgets.HBox([self._page])])
        self.say("")

    @property
    def words(self):
        """What it says, as plain text."""
        return markup.plain(self._words.value)

    def say(self, words):
        """Say this, or nothing."""
        self._words.value = markup.status(words, LINE)
        self.widget.layout.display = "" if words else "none"

    def _write(self):
        self.say(page_words(self._memory.course))


def page_words(course):
    """Write *my page* and say so, or why not."""
    if course.folder is None:
        return f"Not written. {' '.join(course.notes)}"
    course.look_again()
    try:
        write_my_page(course.record, course.folder, course.picture)
    except OSError as error:
        return f"Not written. {FILE}: {error.strerror or type(error).__name__}."
    return f"Written: {FILE}, beside the lessons. Open it in a browser to read, print or hand it in."


class Welcome(Shown):
    """On top of a lesson: what was done before, *Continue*, *Start anew*, and what is wrong with the record.

    memory   the LessonMemory
    """

    def __init__(self, memory):
        self._memory, self._asked, self._done = memory, False, ""
        self._left = None  # what was left in the notebook for the next time
        self._alert, self._words = widgets.HTML(), widgets.HTML()
        self._go_on = self._button(CONTINUE, self._continue)
        self._anew = self._button(ANEW, lambda: self._ask(True))
        self._yes = self._button("Yes, start anew", self._start_anew)
        self._no = self._button("No", lambda: self._ask(False))
        self._me, self._not_me = self._button(ME, self._it_is_me), self._button(NOT_ME, self._it_is_not_me)
        self._page = self._button(PAGE, self._write)
        self._buttons = (self._go_on, self._anew, self._yes, self._no, self._me, self._not_me, self._page)
        row = widgets.HBox(self._buttons, layout={"flex_flow": "row wrap"})
        style = widgets.HTML(HIDE_LAST_TIME, layout={"display": "none"})
        self.widget = widgets.VBox([style, safe_keys(), self._alert, self._words, row])
        self.follow()

    @property
    def words(self):
        """What it says, as plain text."""
        return markup.plain(self._words.value)

    @property
    def buttons(self):
        """The words on the buttons that are shown."""
        return [each.description for each in self._buttons if each.layout.display != "none"]

    def follow(self):
        """Say what there is to say now, and offer the buttons that do something."""
        memory = self._memory
        other, begun = bool(memory.course.other_student), memory.record.begun
        back = memory.earlier.begun and not memory.continued and not other
        lines = list(memory.course.notes)
        if self._asked:
            lines.append(SURE.format(memory.lesson.number))
        elif back:
            lines += last_time(memory.earlier, memory.contents, datetime.now())
        if self._done:
            lines.append(self._done)
        self._words.value = markup.status("\n".join(lines), FRAME) if lines else ""
        for each, offered in ((self._go_on, back and not self._asked), (self._yes, self._asked),
                              (self._no, self._asked), (self._me, other), (self._not_me, other),
                              (self._anew, begun and not self._asked and not other),
                              (self._page, begun and not self._asked and not other)):
            each.layout.display = "" if offered else "none"
        self._update_last_time()

    # ---- what stands there when the lesson is opened again and does not run yet

    def show_last_time(self):
        """Leave words in the notebook that are read when it is opened again, until it runs; none where
        nothing is kept."""
        if self._memory.course.folder is None:
            return
        self._left = self._last_time()
        display(HTML(self._left), display_id=self._display_id)

    def _update_last_time(self):
        if self._left not in (None, self._last_time()):
            self._left = self._last_time()
            update_display(HTML(self._left), display_id=self._display_id)

    @property
    def _display_id(self):
        return f"castlab last time {self._memory.lesson.name}"

    def _last_time(self):
        memory = self._memory
        lines = last_time(memory.record, memory.contents) if memory.record.begun else []
        return pages.to_html("last_time.html", lines=lines)

    # ---- buttons

    def _button(self, words, action):
        return button(words, guarded(action, self._alert))

    def _continue(self):
        self._memory.go_on()
        self._done = BACK
        self.follow()

    def _write(self):
        self._done = page_words(self._memory.course)
        self.follow()

    def _ask(self, asked):
        self._asked, self._done = asked, ""
        self.follow()

    def _start_anew(self):
        self._asked, self._done = False, ""
        self._memory.start_anew()
        self.follow()

    def _it_is_me(self):
        self._memory.course.take_over()
        self._memory.open()
        self.follow()

    def _it_is_not_me(self):
        course = self._memory.course
        course.begin_new(f"of {course.other_student}")
        self._memory.open()
        self.follow()
