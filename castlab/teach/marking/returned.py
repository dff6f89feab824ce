"""Returned notebooks and answer files: found, read as data, never run.

Whatever is in a student's file is only looked at as text. A file that cannot be used is reported with its
reason, and the others go on.
"""

import unicodedata
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

from castlab.errors import InputError
from castlab.outside import plain_text, read_json
from castlab.teach.exercise.exercise import ANSWER_BYTES, Answer, answer_text, read_answer
from castlab.units import Phrase, joined, phrase

MOST_FILE_BYTES = 20_000_000  # a notebook with its pictures is a few; more is not read
MOST_FILES = 2000
LITTER = ("__MACOSX", "Thumbs.db", "desktop.ini")  # what systems leave in folders and archives
MOST_PRINTED = 50  # lines that look like an answer in one notebook
NOTEBOOK, ANSWER = ".ipynb", ".json"
NO_ANSWER = "no answer was found; was the hand-in cell run, and the notebook saved after it?"
MARK_OF_ANSWER = '"castlab": "answer"'


@dataclass(frozen=True)
class Returned:
    """One student's files: the answer, or the problem (a text, or a Phrase where an error is told).

    `files` are names within the folder of returns; `folder` is the student's own folder in it, "" where the
    files lie loose.
    """

    files: tuple[str, ...]
    answer: Answer | None = None
    problem: Phrase | str = ""
    remark: Phrase | str = ""
    folder: str = ""


def collect(folder, *exercises):
    """Read every notebook and answer file in a folder, and one folder down: a tuple of Returned, by name.

    All that lies in a folder of its own is one student's. Of loose files, a notebook `ann.ipynb` and the file
    `ann.json` beside it belong together, and so do files with the very same answer. Where two that belong
    together differ, that is a problem. Anything else is reported, but for hidden files. Raises InputError
    when the folder is none, cannot be read, or is too full.
    """
    root = Path(folder)
    try:
        entries = _entries(root)
        inside = {path: _entries_or_problem(path)
                  for path in entries if path.is_dir() and not path.is_symlink()}
    except (OSError, ValueError):
        raise InputError("folder", plain_text(str(folder)), "it must be a folder that can be read") from None
    count = len(entries) + sum(map(len, inside.values()))
    if count > MOST_FILES:
        raise InputError("folder", f"{count} files", f"it must hold at most {MOST_FILES}")
    by_stem = {}
    for path in entries:
        if path not in inside:
            known = path.suffix.lower() in (NOTEBOOK, ANSWER)
            by_stem.setdefault(composed(path.stem if known else path.name), []).append(path)
    loose = [_read_together(paths, root, exercises) for _, paths in sorted(by_stem.items())]
    own = [_read_own_folder(path, found, root, exercises) for path, found in inside.items()]
    return _with_namesakes(sorted([*_without_doubles(loose), *own], key=lambda each: composed(each.files[0])))


def _entries(folder):
    return sorted(path for path in folder.iterdir() if path.name[:1] != "." and path.name not in LITTER)


def _entries_or_problem(folder):
    """What lies in a student's folder, or the words that say why nobody knows."""
    try:
        return _entries(folder)
    except OSError as error:
        return f"the folder cannot be read: {error.strerror or type(error).__name__}"


def _read_own_folder(path, found, root, exercises):
    """The answer in a folder of one student."""
    if not found or isinstance(found, str):
        return Returned((_name_of(path, root) + "/",), None, found or "the folder is empty", "", path.name)
    return replace(_read_together(found, root, exercises), folder=path.name)


def _name_of(path, root):
    return plain_text(path.relative_to(root).as_posix())


def answers_in(path, *exercises):
    """All answers in one file: a list. Raises InputError that says what is wrong."""
    text = _text_of(path)
    if path.suffix.lower() == ANSWER:
        return [read_answer(text, *exercises)]
    lines = list(_printed_lines(_cells(text)))
    if len(lines) > MOST_PRINTED:
        raise InputError("answers", f"{len(lines)} in one notebook", f"there may be {MOST_PRINTED} at most")
    return [read_answer(line, *exercises) for line in lines]


def _read_together(paths, root, exercises):
    """The answer of one student out of the files that belong together."""
    files, found, problems, without = tuple(_name_of(path, root) for path in paths), [], [], []
    for name, path in zip(files, paths, strict=True):
        try:
            answers = [(name, answer) for answer in answers_in(path, *exercises)]
            found += answers
            without += [] if answers else [f"{name}: {NO_ANSWER}"]
        except InputError as error:
            problems.append(phrase("{}: {}", name, error))
        except OSError as error:
            problems.append(f"{name}: it cannot be read: {error.strerror or type(error).__name__}")
    if len({answer_text(answer) for _, answer in found}) > 1:
        where = " and ".join(dict.fromkeys(name for name, _ in found))
        return Returned(files, None, f"different answers in {where}; ask which one counts")
    if not found:
        return Returned(files, None, joined("; ", [*problems, *without]))
    return Returned(files, found[0][1], remark=joined("; ", problems))


def _text_of(path):
    if path.is_symlink():
        raise InputError("file", "a link", "it must be a file itself, not a link to another one")
    if not path.is_file():
        raise InputError("file", "a folder or a device", "it must be a file itself")
    if path.suffix.lower() not in (NOTEBOOK, ANSWER):
        allowed = f"it must be a notebook ({NOTEBOOK}) or an answer ({ANSWER})"
        raise InputError("file", "of another kind", allowed)
    size = path.stat().st_size
    most = ANSWER_BYTES if path.suffix.lower() == ANSWER else MOST_FILE_BYTES
    if size > most:
        raise InputError("size", f"{size / 1e6:.3g} MB", f"it must be at most {most / 1e6:g} MB")
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("text", "not readable", "it must be text in UTF-8") from None


def _cells(text):
    """The cells of a notebook, as plain lists and dicts."""
    notebook = read_json(text, "notebook", MOST_FILE_BYTES)
    if not isinstance(notebook, dict) or not isinstance(notebook.get("cells"), list):
        raise InputError("notebook", "without cells", "it must be a Jupyter notebook, version 4")
    return notebook["cells"]


def _printed_lines(cells):
    """Every line that looks like a printed answer, in order."""
    for cell in cells:
        outputs = cell.get("outputs") if isinstance(cell, dict) else None
        for output in outputs if isinstance(outputs, list) else ():
            text = output.get("text") if isinstance(output, dict) else None
            if isinstance(text, list):
                text = "".join(part for part in text if isinstance(part, str))
            if isinstance(text, str) and MARK_OF_ANSWER in text:
                yield from (line for line in text.split("\n") if MARK_OF_ANSWER in line)


def _without_doubles(found):
    """Files with the very same answer, name and words included, are one student's: a renamed copy."""
    by_answer, kept = {}, []
    for each in found:
        key = answer_text(each.answer) if each.answer else None
        if key in by_answer:
            first = kept[by_answer[key]]
            remark = joined("; ", filter(None, (first.remark, each.remark)))
            kept[by_answer[key]] = replace(first, files=(*first.files, *each.files), remark=remark)
            continue
        if key:
            by_answer[key] = len(kept)
        kept.append(each)
    return kept


def _with_namesakes(found):
    """Answers that differ but bear one name are marked each, with a remark."""
    names = Counter(name_key(each.answer.name) for each in found if each.answer)
    remark = "another answer bears the same name"
    return tuple(
        replace(each, remark=joined("; ", filter(None, (each.remark, remark))))
        if each.answer and names[name_key(each.answer.name)] > 1
        else each
        for each in found
    )


def composed(name):
    """A name in the one form in which names are compared: some systems write é as e and an accent."""
    return unicodedata.normalize("NFC", name)


def name_key(name):
    """A person's name as it is compared: small and capital letters are the same.

    >>> name_key("Zoë") == name_key("ZOE" + chr(0x308))
    True
    """
    return composed(composed(name).casefold())
