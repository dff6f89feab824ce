"""A small file that is kept: written whole or not at all, and by one window at a time.

The new text is written to a file beside it, down to the disk, and takes the old one's place in one step. So
whoever reads it, or pulls the plug, finds the old text or the new one, and never half of one. Two windows
are two kernels: each changes what stands in the file at that moment, while the other waits.
"""

import os
import time
from contextlib import contextmanager
from pathlib import Path

try:
    from fcntl import LOCK_EX, LOCK_NB, flock
except ImportError:  # Windows has no such module, and a browser's Python one without locks
    flock = None
try:
    import msvcrt
except ImportError:
    msvcrt = None

PATIENCE_SECONDS = 3.0  # so long one window waits for another; a change takes hundredths of a second
LOOK_AGAIN_SECONDS = 0.01


def read_text(path):
    """The text of a kept file; None when there is no such file.

    Raises OSError when it cannot be read, and UnicodeDecodeError when it holds something other than text.
    """
    try:
        return Path(path).read_text(encoding="utf-8")
    except FileNotFoundError:
        return None


def change_text(path, changed):
    """Change a kept file, and return its new text.

    path      of the file; its folder must be there
    changed   function: text that stands there now, None where there is no file -> the new text

    What is the same afterwards is not written. What `changed` raises leaves the file as it was. Raises
    OSError when it cannot be written (a TimeoutError when another window holds it for too long), and
    UnicodeDecodeError when it holds something other than text; then the file is as it was, too.

    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "counted.txt"
    >>> change_text(path, lambda text: "1"), change_text(path, lambda text: text + "2")
    ('1', '12')
    >>> read_text(path)
    '12'
    """
    path = Path(path).resolve()  # of a link, what it points to
    with _held(path):
        before = read_text(path)
        after = changed(before)
        if after != before:
            write_text(path, after)
    return after


def write_text(path, text):
    """Write a file whole, in place of any that is there; on the disk before and after.

    This is for a page that is made anew each time; what two windows change goes through `change_text`.
    Raises OSError when it cannot be written; then the file is as it was.

    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "page.html"
    >>> write_text(path, "new")
    >>> path.read_text()
    'new'
    """
    path = Path(path)
    half = path.with_name(f".{path.name}.new")  # one name: what a crash leaves, the next change overwrites
    try:
        with open(half, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.replace(half, path)
    except OSError:
        half.unlink(missing_ok=True)
        raise
    _settle_folder(path.parent)


def set_aside(path, why):
    """Give a kept file another name, so that a new one can be begun; returns the new path.

    path   of the file
    why    a few words that become part of the name, such as "damaged"

    Nothing that has that name already is overwritten. Raises OSError when it cannot be done.

    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "counted.txt"
    >>> for text in "12":
    ...     _ = change_text(path, lambda _, text=text: text)
    ...     print(set_aside(path, "damaged").name)
    counted (damaged).txt
    counted (damaged 2).txt
    """
    path = Path(path).resolve()
    words = "".join(sign if sign.isalnum() or sign in " .-_" else "_" for sign in why)
    with _held(path):
        count = 1
        while (aside := path.with_name(_named(path, words, count))).exists():
            count += 1
        os.replace(path, aside)
    return aside


def _named(path, words, count):
    return f"{path.stem} ({words}{f' {count}' if count > 1 else ''}){path.suffix}"


def _settle_folder(folder):
    """Have the disk know the new name as well, where a system lets folders be opened."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass  # the text is in place; some network folders refuse this
    finally:
        os.close(handle)


@contextmanager
def _held(path):
    """Hold the file for this window alone. The system lets go of it when a window crashes."""
    with open(path.with_name(f".{path.name}.lock"), "a+b") as lock:
        _wait_for(lock, path)
        try:
            yield
        finally:
            _let_go(lock)


def _wait_for(lock, path):
    until = time.monotonic() + PATIENCE_SECONDS
    while not _taken(lock):
        if time.monotonic() > until:
            raise TimeoutError(f"another window holds {path.name}")
        time.sleep(LOOK_AGAIN_SECONDS)


def _taken(lock):
    """Whether the lock is ours now. Where a system or folder knows no locks, it is."""
    try:
        if flock:
            flock(lock, LOCK_EX | LOCK_NB)
        elif msvcrt:
            lock.seek(0)
            msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK, 1)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        return True
    return True


def _let_go(lock):
    if flock is None and msvcrt:
        lock.seek(0)
        try:
            msvcrt.locking(lock.fileno(), msvcrt.LK_UNLCK, 1)
        except OSError:
            pass  # it was not taken: see _taken
