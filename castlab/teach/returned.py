"""Returned notebooks and answer files: found, read as data, never run.

Whatever is in a student's file is only looked at as text. A file that cannot be used is reported with its
reason, and the others go on.
"""

import json
import re
from dataclasses import dataclass
from pathlib import Path

from castlab.errors import InputError
from castlab.teach.exercise import MOST_BYTES, Answer, read_answer

MOST_FILE_BYTES = 20_000_000  # a notebook with its pictures is a few; more is not read
MOST_FILES = 2000
SUFFIXES = (".ipynb", ".json")
PRINTED = re.compile(r'^\{"block".*"castlab": "answer".*\}$')


@dataclass(frozen=True)
class Returned:
    """One student's files: the answer, or the problem in words. `files` are names within the folder."""

    files: tuple[str, ...]
    answer: Answer | None = None
    problem: str = ""
    remark: str = ""


def collect(folder, exercise):
    """Read every notebook and answer file in a folder: a tuple of Returned, by name of file.

    A notebook `ann.ipynb` and the file `ann.json` beside it belong together; where they differ, that is a
    problem. Raises InputError when the folder is none, or holds more than 2000 files.
    """
    root = Path(folder)
    if not root.is_dir():
        raise InputError("folder", str(folder), "it must be a folder with the returned notebooks")
    paths = sorted(path for path in root.iterdir() if path.suffix.lower() in SUFFIXES)
    if len(paths) > MOST_FILES:
        raise InputError("folder", f"{len(paths)} files", f"it must hold at most {MOST_FILES}")
    by_stem = {}
    for path in paths:
        by_stem.setdefault(path.stem, []).append(path)
    return tuple(_read_together(group, exercise) for _, group in sorted(by_stem.items()))


def _read_together(paths, exercise):
    """The answer of one student out of one file or two."""
    files, found, problems = tuple(path.name for path in paths), [], []
    for path in paths:
        try:
            found += [(path.name, answer) for answer in answers_in(path, exercise)]
        except InputError as error:
            problems.append(f"{path.name}: {error}")
        except OSError as error:
            problems.append(f"{path.name}: it cannot be read: {error.strerror or type(error).__name__}")
    different = {answer for _, answer in ((name, _frozen(answer)) for name, answer in found)}
    if len(different) > 1:
        where = " and ".join(dict.fromkeys(name for name, _ in found))
        return Returned(files, None, f"two different answers in {where}; ask which one counts")
    if not found:
        return Returned(files, None, "; ".join(problems) or "no answer was found; was the hand-in cell run?")
    return Returned(files, found[0][1], remark="; ".join(problems))


def answers_in(path, exercise):
    """All answers in one file: a list. Raises InputError that says what is wrong."""
    text = _text_of(path)
    if path.suffix.lower() == ".json":
        return [read_answer(text, exercise)]
    return [read_answer(line, exercise) for line in _printed_lines(_notebook(text))]


def _text_of(path):
    if path.is_symlink():
        raise InputError("file", path.name, "it must be a file itself, not a link to another one")
    if not path.is_file():
        raise InputError("file", path.name, "it must be a file")
    size = path.stat().st_size
    most = MOST_BYTES if path.suffix.lower() == ".json" else MOST_FILE_BYTES
    if size > most:
        raise InputError("size", f"{size / 1e6:.3g} MB", f"it must be at most {most / 1e6:g} MB")
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("text", "not readable", "it must be text in UTF-8") from None


def _notebook(text):
    """The cells of a notebook, as plain lists and dicts."""
    if not text.strip():
        raise InputError("notebook", "empty", "it must hold a notebook")
    try:
        notebook = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError("notebook", "broken", f"it must be a whole notebook: {error}") from None
    if not isinstance(notebook, dict) or not isinstance(notebook.get("cells"), list):
        raise InputError("notebook", "no cells", "it must be a Jupyter notebook, version 4")
    return notebook["cells"]


def _printed_lines(cells):
    """Every line that the hand-in cell printed, in order."""
    for cell in cells:
        outputs = cell.get("outputs") if isinstance(cell, dict) else None
        for output in outputs if isinstance(outputs, list) else ():
            text = output.get("text") if isinstance(output, dict) else None
            if isinstance(text, list):
                text = "".join(part for part in text if isinstance(part, str))
            if isinstance(text, str):
                yield from (line.strip() for line in text.splitlines() if PRINTED.match(line.strip()))


def _frozen(answer):
    return json.dumps([answer.block, answer.reason, answer.words, sorted(answer.values.items())])
