"""The book as a whole: its entries, and how they are written as text that a person can read, and read again.

Nothing is ever lost in it. An entry that cannot be used, because somebody wrote a pot of 0 cm3 into the file,
is said and kept word for word; so is a part of the file that this castlab does not know.
"""

import json
from dataclasses import dataclass, field, replace

from castlab.errors import InputError, require_known
from castlab.outside import json_value
from castlab.shop.entries import KINDS, Entry, entry_of, shortened
from castlab.units import Phrase, phrase

VERSION = 1
WHAT = "the shop's own book"
UNITS = "m, m3, kg, s, W, shares of 1; temperatures in deg C"
MOST_CHARACTERS = 5_000_000
HEAD = ("castlab", "version", "units")


class NotThisBook(InputError):
    """The text is no book that this castlab reads; `why` is "damaged" or "newer"."""

    def __init__(self, why, parameter, value, allowed, *gaps):
        super().__init__(parameter, value, allowed, *gaps)
        self.why = why


@dataclass(frozen=True)
class Refused:
    """What stands in the file and cannot be used: where, as it stands there, and why."""

    kind: str
    raw: object
    why: Phrase


@dataclass(frozen=True, eq=False)
class Book:
    """All entries, oldest first, and what was refused."""

    entries: tuple[Entry, ...] = ()
    refused: tuple[Refused, ...] = ()
    unknown: dict = field(default_factory=dict)

    def of(self, kind, every=False):
        """The entries of a kind, oldest first; `every`: those that are left out as well.

        >>> Book((entry_of("stock", {"alloy": "ZA-12", "mass": 2.0}),)).of("stock")[0]["mass"]
        2.0
        """
        require_known("kind of entry", kind, KINDS)
        return tuple(each for each in self.entries if each.kind == kind and (every or each.counts))

    def with_entry(self, entry):
        """The book with one entry more."""
        return replace(self, entries=(*self.entries, entry))

    def with_changed(self, old, new):
        """The book with an entry changed. Raises InputError where the old one is not there any more."""
        if old not in self.entries:
            raise InputError("entry", "changed in another window meanwhile",
                             "look at it again, and write it down once more")
        at = self.entries.index(old)
        return replace(self, entries=(*self.entries[:at], new, *self.entries[at + 1:]))


def book_text(book):
    """A book as JSON text, one line for each entry.

    >>> print(book_text(Book((entry_of("stock", {"alloy": "ZA-12", "mass": 2.0}),))))
    {
    "castlab": "the shop's own book",
    "version": 1,
    "units": "m, m3, kg, s, W, shares of 1; temperatures in deg C",
    "stock": [
     {"alloy": "ZA-12", "mass": 2.0}
    ]
    }
    <BLANKLINE>
    """
    parts = [f"{_json(name)}: {_json(value)}"
             for name, value in zip(HEAD, (WHAT, VERSION, UNITS), strict=True)]
    for kind in KINDS:
        raws = [each.values for each in book.entries if each.kind == kind]
        raws += [each.raw for each in book.refused if each.kind == kind]
        if raws:
            rows = ",\n".join(f" {_json(raw)}" for raw in raws)
            parts.append(f"{_json(kind)}: [\n{rows}\n]")
    parts += [f"{_json(name)}: {_json(value)}" for name, value in book.unknown.items()]
    return "{\n" + ",\n".join(parts) + "\n}\n"


def read_book(text):
    """A `Book` out of its text; a single entry that cannot be used goes to `refused`.

    Raises `NotThisBook` where the whole cannot be read: it is no such book, or of a newer castlab.

    >>> text = book_text(Book()).replace("1,", '1, "crucibles": [{"name": "A4", "water": 0}],', 1)
    >>> print(read_book(text).refused[0].why)
    water to the brim is 0 g: it must lie between 5 g and 100 kg
    """
    record = _record(text)
    entries, refused, unknown = [], [], {}
    for kind, raws in record.items():
        if kind in HEAD:
            continue
        if kind not in KINDS or not isinstance(raws, list):
            unknown[kind] = raws
            why = phrase("{} is not known to this castlab", shortened(kind))
            refused.append(Refused("", raws, why))
            continue
        for raw in raws:
            try:
                entries.append(entry_of(kind, raw))
            except InputError as error:
                refused.append(Refused(kind, raw, error.phrase))
    return Book(tuple(entries), tuple(refused), unknown)


def _record(text):
    """The whole file as names and values; its head is looked at."""
    if len(text) > MOST_CHARACTERS:
        raise NotThisBook("damaged", "book", f"{len(text)} characters", f"at most {MOST_CHARACTERS} are read")
    try:
        record = json_value(text)
    except ValueError as error:
        words = shortened(str(error))
        raise NotThisBook("damaged", "book", "damaged", f"it must be whole JSON: {words}") from None
    if not isinstance(record, dict) or record.get("castlab") != WHAT:
        raise NotThisBook("damaged", "book", shortened(text), f'it must say "castlab": "{WHAT}"')
    version = record.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise NotThisBook("damaged", "version of the book", shortened(version), "it must be a whole number")
    if version > VERSION:
        raise NotThisBook("newer", "version of the book", str(version),
                          f"this castlab reads {VERSION}: a newer castlab wrote it")
    if record.get("units", UNITS) != UNITS:
        raise NotThisBook("in other units", "units of the book", shortened(record["units"]),
                          f"they must be {UNITS}")
    return record


def _json(value):
    text = json.dumps(value, ensure_ascii=False)
    try:
        text.encode()
    except UnicodeEncodeError:  # half a sign, which only an escape can write
        return json.dumps(value)
    return text
