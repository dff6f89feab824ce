"""What is said of a lesson's record: what was done, what is left, what comes next. Plain sentences."""

from datetime import datetime, timedelta

from castlab.teach.course.the_lessons import LESSONS, lesson_after
from castlab.units import INCH_POUND, METRIC

UNITS = {units.name: units for units in (METRIC, INCH_POUND)}
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
          "November", "December")
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def units_named(name):
    """The units of that name in a record; METRIC for a name that is none.

    >>> units_named("inch-pound").name, units_named("").name
    ('inch-pound', 'metric')
    """
    return UNITS.get(name, METRIC)


def day_words(when, now=None):
    """A moment as it is kept, such as "29 November at 18:40"; "yesterday at 18:40" where `now` is given.

    >>> day_words("2026-11-29T18:40:05"), day_words("2026-11-29T18:40:05", datetime(2026, 11, 30, 9, 0))
    ('on 29 November 2026 at 18:40', 'yesterday at 18:40')
    >>> day_words("long ago")
    'some time ago'
    """
    try:
        moment = datetime.fromisoformat(when)
    except ValueError:
        return "some time ago"
    ago = now.date() - moment.date() if now else None
    near = {timedelta(0): "today", timedelta(1): "yesterday"}.get(ago)
    day = near or f"on {moment.day} {MONTHS[moment.month - 1]} {moment.year}"
    return f"{day} at {moment:%H:%M}"


def minutes_words(seconds):
    """A time of work in words.

    >>> minutes_words(20.0), minutes_words(70.0), minutes_words(1380.5)
    ('less than a minute', '1 minute', '23 minutes')
    """
    minutes = int(seconds // 60)
    return f"{minutes} minute{'' if minutes == 1 else 's'}" if minutes else "less than a minute"


def listed(words):
    """Words in a row, such as "1, 2 and 4"."""
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def done_tasks(record, contents):
    """The numbers of the tasks that were right once, from 1 on."""
    return [number for number, name in enumerate(contents.tasks, 1)
            if name in record.tried and record.tried[name].done]


def predicted(record, contents):
    """The names of the questions that were answered."""
    return [name for name in contents.predictions if record.said.get(name)]


def finished(record, contents):
    """Whether all was predicted and every task is done."""
    return (len(predicted(record, contents)) == len(contents.predictions)
            and len(done_tasks(record, contents)) == len(contents.tasks))


def left_words(record, contents):
    """What is still to do in a lesson, such as "Left to do: one prediction, and task 2."; "" for nothing."""
    asked = len(contents.predictions) - len(predicted(record, contents))
    done = done_tasks(record, contents)
    tasks = [str(number) for number in range(1, len(contents.tasks) + 1) if number not in done]
    parts = [f"{NUMBERS[asked]} predictions" if asked > 1 else "one prediction"] if asked else []
    parts += [f"task{'s' if len(tasks) > 1 else ''} {listed(tasks)}"] if tasks else []
    return f"Left to do: {', and '.join(parts)}." if parts else ""


def progress_words(record, contents):
    """How far a lesson is, in a few words for a table.

    >>> from castlab.teach.course.record import LessonRecord
    >>> from castlab.teach.lessons import first_casting
    >>> from castlab.teach.course.the_lessons import contents_of
    >>> progress_words(LessonRecord(), contents_of(first_casting))
    'not begun'
    """
    if not record.begun:
        return "not begun"
    if finished(record, contents):
        return f"done, in {minutes_words(record.seconds)}"
    said, done = predicted(record, contents), done_tasks(record, contents)
    return (f"{len(said)} of {len(contents.predictions)} predicted, {len(done)} of {len(contents.tasks)} "
            f"tasks done, in {minutes_words(record.seconds)}")


def last_time(record, contents, now=None):
    """Sentences about what was done when a lesson was last worked at; `now` as in `day_words`."""
    lines = [f"You worked here {day_words(record.last, now)}, for {minutes_words(record.seconds)} in all."]
    for name in predicted(record, contents):
        said = record.said[name][-1]
        lines.append(f"You expected: {said.words}. That was {'right' if said.right else 'not right'}.")
    done = [str(number) for number in done_tasks(record, contents)]
    if done:
        lines.append(f"Done: task{'s' if len(done) > 1 else ''} {listed(done)}.")
    return [*lines, *filter(None, [left_words(record, contents)])]


def best_words(best, units):
    """The lightest sound casting of a bench, a Best, in these units.

    >>> from castlab.teach.course.record import Best
    >>> best_words(Best(0.8771, {}, "feeder width 32 mm", ""), METRIC)
    '877 g of metal in all, with feeder width 32 mm'
    """
    how = f", with {best.words}" if best.words else ""
    return f"{units.mass(best.mass_kg, 3)} of metal in all{how}"


def where_you_stand(lesson, record, contents):
    """The line at the end of a lesson: what is left, or what is known by now and what comes next.

    lesson     the Lesson
    record     its LessonRecord
    contents   what it asks
    """
    if not finished(record, contents):
        return f"Lesson {lesson.number} so far. {left_words(record, contents)}"
    after = lesson_after(lesson.name)
    onward = "That was the last lesson."
    if after:
        onward = f"Next: lesson {after.number}, {after.title}: the file {after.file} in the list at the left."
    return f"Lesson {lesson.number} is done. You now know:\n{' '.join(lesson.known)}\n{onward}"


def what_next(record, contents):
    """The Lesson to go on with, None when all are done: the one last worked at, else the first not done.

    record     a CourseRecord
    contents   {name of a lesson: what it asks}
    """
    left = [lesson for lesson in LESSONS if not finished(record.lesson(lesson.name), contents[lesson.name])]
    begun = [lesson for lesson in left if record.lesson(lesson.name).begun]
    if begun:
        return max(begun, key=lambda lesson: record.lesson(lesson.name).last)
    return next(iter(left), None)
