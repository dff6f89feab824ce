"""My page: what a student predicted, tried and found, with pictures, as one file that any browser reads."""

from pathlib import Path

from castlab.teach.course.so_far import best_words, day_words, minutes_words
from castlab.teach.course.the_lessons import LESSONS
from castlab.teach.text import pages
from castlab.teach.work.kept_file import write_text
from castlab.units import METRIC

FILE = "my_page.html"


def my_page(record, picture):
    """The page as a piece of HTML.

    record    a CourseRecord
    picture   function: the name of a kept picture -> PNG bytes, or None
    """
    title = f"My page: {record.name}" if record.name else "My page"
    begun = [chapter(lesson, record.lesson(lesson.name), picture) for lesson in LESSONS
             if record.lesson(lesson.name).begun]
    return pages.to_html("my_page.html", title=title, chapters=begun)


def chapter(lesson, record, picture):
    """What stands on the page of one lesson, as plain values for the template."""
    predictions = [entry(said, said.choice, picture(f"{lesson.name} {name}") if said is row[-1] else None)
                   for name, row in record.said.items() for said in row]
    tasks = [entry(tried, tried.answer, picture(f"{lesson.name} {name}"))
             for name, tried in record.tried.items()]
    best = [(best_words(best, METRIC), picture(f"{lesson.name} {name} best"))
            for name, best in record.best.items()]
    return {"title": f"{lesson.number}. {lesson.title}: {lesson.about}",
            "when": f"Last worked at {day_words(record.last)}, for {minutes_words(record.seconds)} in all.",
            "predictions": predictions, "tasks": tasks, "best": best}


def entry(made, answer, png):
    """One prediction or task: a Said or a Tried, and its picture."""
    return {"asked": " ".join(made.asked.split()), "words": made.words if answer is not None else "",
            "right": made.right, "why": made.why.split("\n"), "bench": made.bench, "png": png}


def write_my_page(record, folder, picture):
    """Write the page into a folder, whole or not at all; returns its path.

    Raises OSError where it cannot be written.
    """
    path = Path(folder) / FILE
    write_text(path, pages.whole_page("my page", my_page(record, picture)))
    return path
