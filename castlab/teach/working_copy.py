"""The student's own copy of the lessons: made once, added to after an update, never overwritten.

Run from the command line: python -m castlab.teach.working_copy
"""

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LESSONS = ROOT / "notebooks" / "lessons"
WORKING_COPY = ROOT / "my_lessons"
NOT_COPIED = {".ipynb_checkpoints", "__pycache__"}


def make_working_copy(lessons=LESSONS, copy=WORKING_COPY):
    """Copy every lesson file that the copy does not have yet; leave all others as they are.

    Parameters: `lessons`, the folder with the course's own files; `copy`, the student's folder, made when
    it is missing.
    Returns two lists of paths relative to the folder: those added and those left alone.
    Raises FileNotFoundError when there are no lessons, and the system's own error when the copy cannot be
    written.

    >>> import tempfile
    >>> course = Path(tempfile.mkdtemp())
    >>> _ = (course / "01_first.ipynb").write_text("lesson")
    >>> added, kept = make_working_copy(course, course / "mine")
    >>> [path.name for path in added], kept
    (['01_first.ipynb'], [])
    >>> added, kept = make_working_copy(course, course / "mine")
    >>> added, [path.name for path in kept]
    ([], ['01_first.ipynb'])
    """
    lessons, copy = Path(lessons), Path(copy)
    files = _lesson_files(lessons, copy)
    if not files:
        raise FileNotFoundError(f"no lessons in {lessons}: use a full copy of the castlab repository")
    copy.mkdir(parents=True, exist_ok=True)
    added, kept = [], []
    for name in files:
        was_added = _add(lessons / name, copy / name)
        (added if was_added else kept).append(name)
    return added, kept


def _lesson_files(lessons, copy):
    """All files under the lessons, in order, without what JupyterLab and Python leave beside them."""
    names = (path.relative_to(lessons) for path in sorted(lessons.rglob("*"))
             if path.is_file() and copy not in path.parents)
    return [name for name in names if not NOT_COPIED.intersection(name.parts)]


def _add(source, target):
    """Write the target unless something of that name is there. True when it was written."""
    content = source.read_bytes()
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        file = open(target, "xb")  # "x" refuses a name that exists: the check and the act are one
    except FileExistsError:
        return False
    with file:
        file.write(content)
    return True


def main(lessons=LESSONS, copy=WORKING_COPY):
    """Make or add to the working copy and say what was done. Returns 0, or 1 with a reason on stderr."""
    try:
        added, kept = make_working_copy(lessons, copy)
    except OSError as error:
        print(f"The lessons could not be copied: {error}", file=sys.stderr)
        return 1
    print(f"Your lessons are in {copy.name}: {len(added)} added, {len(kept)} left as you saved them.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
