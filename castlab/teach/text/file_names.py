"""Names of files that are made of words from outside: titles, alloys, people."""

import re
import unicodedata

LONGEST_STEM = 40  # characters of a name


def safe_stem(words):
    """The letters and digits of some words, as part of the name of a file on every system: never a point, a
    stroke or a blank.

    >>> safe_stem(" Zoë O'Neil "), safe_stem("../*")
    ('Zoë_O_Neil', '')
    """
    return re.sub(r"\W+", "_", unicodedata.normalize("NFC", words)).strip("_")[:LONGEST_STEM]


def free_path(folder, stem, ending):
    """A path in a folder that nothing has yet: with a number behind the name where that is needed.

    >>> from pathlib import Path
    >>> free_path(Path("nowhere"), "sheet", ".html").name
    'sheet.html'
    """
    path, number = folder / f"{stem}{ending}", 1
    while path.is_symlink() or path.exists():
        number += 1
        path = folder / f"{stem}_{number}{ending}"
    return path
