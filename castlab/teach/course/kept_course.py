"""The record of the course as it is kept beside the lessons: read when a lesson opens, written at once.

Two windows are two kernels, so what is kept is always a change of what stands in the file at that moment.
Nothing that goes wrong with the file ends a lesson: it is said, and the lesson goes on.
"""

import getpass
import sys
import zlib
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from castlab.errors import InputError
from castlab.teach.course.record import LONGEST_PAUSE_S, CourseRecord, OtherVersion, record_of, text_of
from castlab.teach.work.kept_file import change_text, read_text, set_aside

FILE = "my_course.json"
PICTURES = "my_course_pictures"  # a folder beside it
PNG_BEGINS, PNG_ENDS = b"\x89PNG", b"IEND\xaeB\x60\x82"
BROWSER_FILES = Path("/drive")  # where JupyterLite's kernel has the files on the left, when it can reach them
OWN_FOLDER = Path(__file__).resolve().parents[3] / "notebooks"
IN_OWN_FOLDER = ("Nothing is kept here: this folder holds the course's own lessons. Work in your copy of "
                 "them, the folder my_lessons.")
IN_THE_BROWSER_ALONE = ("Nothing that you do is kept: in this window Python finds no way to the files on the "
                        "left, as may be in a private window. The lesson goes on. All is gone when the page "
                        "is closed, and nothing can be handed in.")
NOT_KEPT = ("What you do now is not kept: {}. The lesson goes on, and each thing that you do tries again "
            "to keep all.")
ASIDE = "{} It was kept aside as “{}”, and a new record begun."
NOT_ASIDE = "{} It was left as it is, and nothing is kept now. The lesson goes on."
DAMAGED = "The record of what you did, {}, is damaged."
OTHER_VERSION = "The record of what you did, {}, was written by another version of castlab."
OTHER_STUDENT = ("The record in this folder is of another student, {}. Until you say who you are, nothing is "
                 "written.")


class KeptCourse:
    """What a student did, in memory and in the file `my_course.json` of a folder.

    folder    beside the lessons; None keeps it in memory alone
    login     the name under which the student has logged in on this computer
    clock     function that says what time it is, a datetime
    opening   a sentence that is said before all others

    `record` is the CourseRecord as it is now; `notes` are sentences about the file that a student must read.
    """

    def __init__(self, folder, login, clock=datetime.now, opening=""):
        self._path = None if folder is None else Path(folder) / FILE
        self._login, self._clock = login, clock
        self._last_act = clock()
        self._waiting = []  # changes that could not be written yet
        self._opening, self._trouble, self.other_student = opening, "", ""
        self.record = CourseRecord((login,), seed_of(login, folder))
        if self._path is not None:
            self._open()

    @property
    def folder(self):
        """Where it is kept; None where it is in memory alone."""
        return self._path and self._path.parent

    @property
    def notes(self):
        """Sentences about the file: what was found when it was opened, and whether it can be written."""
        other = OTHER_STUDENT.format(self.other_student) if self.other_student else ""
        return tuple(filter(None, (self._opening, other, self._trouble)))

    def now(self):
        """What time it is, as it is kept: "2026-11-30T18:40:05"."""
        return self._clock().isoformat(timespec="seconds")

    def keep(self, change):
        """Change the record, at once in memory and in the file.

        change   function: CourseRecord -> CourseRecord; it may be asked again, of what another window wrote
        """
        self.record = change(self.record)
        self._waiting.append(change)
        self._write()

    def keep_lesson(self, name, change):
        """The same of one lesson, LessonRecord -> LessonRecord; the time since the last act is added."""
        now = self._clock()
        gone = min(max((now - self._last_act).total_seconds(), 0.0), LONGEST_PAUSE_S)
        self._last_act, said = now, self.now()

        def changed(record):
            lesson = change(record.lesson(name))
            spent = round(lesson.seconds + gone, 1)
            return record.with_lesson(name, replace(lesson, last=said, seconds=spent))

        self.keep(changed)

    def look_again(self):
        """Read what other windows have kept since."""
        if self._path is not None and self._path.exists():
            self.keep(lambda record: record)

    def keep_picture(self, name, png):
        """Keep a picture for *my page*, as bytes. Without it the page has words alone, so nothing is said."""
        if self._path is None or self.other_student or self._trouble:
            return
        with suppress(OSError):
            folder = self.folder / PICTURES
            folder.mkdir(exist_ok=True)
            (folder / f"{name}.png").write_bytes(png)

    def picture(self, name):
        """The picture that was kept under that name, as bytes; None where there is none that is whole."""
        try:
            png = (self.folder / PICTURES / f"{name}.png").read_bytes()
        except OSError:
            return None
        return png if png.startswith(PNG_BEGINS) and png.endswith(PNG_ENDS) else None

    def take_over(self):
        """The record of another login is of the same student: go on with it."""
        self.other_student, login = "", self._login
        self.keep(lambda record: replace(record, student=(*record.student, login)))

    def begin_new(self, why):
        """Keep the record aside under a name that says why, and begin a new, empty one.

        Returns whether that could be done; else `notes` say why not, and all stays as it was.
        """
        try:
            if self._path is not None and self._path.exists():
                set_aside(self._path, why)
        except OSError as error:
            self._trouble = NOT_KEPT.format(reason(error))
            return False
        self.other_student, self._waiting = "", []
        self.record = CourseRecord((self._login,), seed_of(self._login, self.now()))
        return True

    # ---- the file

    def _open(self):
        try:
            text = read_text(self._path)
            found = self.record if text is None else record_of(text)
        except (InputError, UnicodeDecodeError) as error:
            self._set_aside(error)
        except OSError as error:
            self._trouble = NOT_KEPT.format(reason(error))
        else:
            if self._login in found.student:
                self.record = found
            else:
                self.other_student = found.student[0] if found.student else "somebody else"

    def _set_aside(self, error):
        """What cannot be read is kept under another name, and the student reads so."""
        other = isinstance(error, OtherVersion)
        words = (OTHER_VERSION if other else DAMAGED).format(FILE)
        try:
            aside = set_aside(self._path, "other version" if other else "damaged")
        except OSError:
            self._opening, self._path = NOT_ASIDE.format(words), None
        else:
            self._opening = ASIDE.format(words, aside.name)

    def _write(self):
        if self._path is None or self.other_student:
            return
        try:
            self.record = record_of(change_text(self._path, self._changed))
        except OSError as error:
            self._trouble = NOT_KEPT.format(reason(error))
        except (InputError, UnicodeDecodeError) as error:  # something else wrote it since it was opened
            self._set_aside(error)
            known = self.record
            self._waiting = [lambda _: known]
            self._write()
        else:
            self._waiting, self._trouble = [], ""

    def _changed(self, text):
        """The text of the file with all changes that wait."""
        record = self._before() if text is None else record_of(text)
        for change in self._waiting:
            record = change(record)
        return text_of(record)

    def _before(self):
        """What the changes start from where there is no file: a student who has done nothing yet."""
        return CourseRecord(self.record.student, self.record.seed)


def reason(error):
    """Why a file could not be written, in the system's words: "Permission denied"."""
    return error.strerror or str(error) or type(error).__name__


def seed_of(*what):
    """A number that is always the same for the same student in the same folder.

    >>> seed_of("ida", "lessons") == seed_of("ida", "lessons") != seed_of("otto", "lessons")
    True
    """
    return zlib.crc32(repr([str(each) for each in what]).encode())


def course_here():
    """The KeptCourse of whoever has logged in, beside the notebook that runs."""
    try:
        login = getpass.getuser()
    except (OSError, KeyError, ImportError):  # a container, or a browser, that knows no users
        login = "student"
    here = Path.cwd()
    if here.is_relative_to(OWN_FOLDER):
        return KeptCourse(None, login, opening=IN_OWN_FOLDER)
    if sys.platform == "emscripten" and not here.is_relative_to(BROWSER_FILES):
        return KeptCourse(None, login, opening=IN_THE_BROWSER_ALONE)
    return KeptCourse(here, login)
