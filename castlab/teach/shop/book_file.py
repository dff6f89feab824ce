"""The file of the shop's book: read, and written at once, so that nothing is lost when a window closes."""

from datetime import date
from pathlib import Path

from castlab.errors import InputError
from castlab.materials import DATA
from castlab.shop.book import Book, NotThisBook, book_text, read_book
from castlab.shop.measured import Shop
from castlab.teach.work import kept_file
from castlab.units import phrase

FILE = "my_shop.json"
EXAMPLE = DATA / "example_shop.json"
TRIES = 3
EXAMPLE_WORDS = ("This book is made up: nobody measured any of it. Benches and plans take its numbers until "
                 "you go back to your own book.")


class BookFile:
    """my_shop.json in a folder: `book` is what stood there when it was last read or written.

    folder   where the file lies; beside the notebook
    A file that is no book of this castlab stays as it is until something is written; then it is set aside
    under another name. Nothing in it is ever overwritten. `said` tells so, and what else must be known.
    """

    def __init__(self, folder="."):
        self.path, self.said, self._listeners = Path(folder) / FILE, (), []
        self.book, self.shop, self.is_example = Book(), Shop(Book()), False
        self.read()

    def read(self):
        """Take up what stands in the file now; returns the book."""
        self.is_example = False
        try:
            text = kept_file.read_text(self.path)
            self._take(Book() if text is None else read_book(text), ())
        except (NotThisBook, UnicodeDecodeError) as error:
            words = error.phrase if isinstance(error, NotThisBook) else "it is no text in UTF-8"
            self._take(Book(), (phrase(
                "{} cannot be used: {}. It stays as it is; with the first entry that you write down it gets "
                "another name, and a new one is begun.", FILE, words),))
        except OSError as error:
            self._take(Book(), (f"{FILE} cannot be read: {error.strerror or type(error).__name__}.",))
        return self.book

    def show_example(self):
        """Take up a made-up book, to try what one is good for; nothing can be written into it."""
        self.is_example = True
        self._take(read_book(EXAMPLE.read_text(encoding="utf-8")), (EXAMPLE_WORDS,))

    def write_down(self, entry):
        """Write one entry more into the file, behind what other windows have written meanwhile.

        Raises OSError where the file cannot be written; then nothing has changed.
        """
        self._change(lambda book: book.with_entry(entry))

    def correct(self, old, new):
        """Change an entry in the file. Raises InputError where another window has changed it meanwhile, and
        OSError where it cannot be written."""
        self._change(lambda book: book.with_changed(old, new))

    def when_changed(self, listener):
        """Call `listener()` each time that the book is another one."""
        self._listeners.append(listener)

    def _change(self, changed):
        if self.is_example:
            raise InputError("book", "the made-up one", "first go back to your own")
        aside = ()
        for _ in range(TRIES):
            try:
                text = kept_file.change_text(self.path, lambda text: book_text(changed(_book_in(text))))
            except (NotThisBook, UnicodeDecodeError) as error:
                name = kept_file.set_aside(self.path, getattr(error, "why", "damaged")).name
                aside = (f"{FILE} could not be used. It is kept as “{name}”, and a new book is begun.",)
                continue
            self._take(read_book(text), aside)
            return
        raise InputError(FILE, "not a book", "another program writes something else into it")

    def _take(self, book, said):
        refused = tuple(phrase("One entry of {} is not used, and kept as it is: {}.",
                               each.kind.replace("_", " ") or FILE, each.why) for each in book.refused)
        self.book, self.shop, self.said = book, Shop(book), (*said, *refused)
        for listener in self._listeners:
            listener()


class BookOfPage:
    """The book as one of several pages sees it: one that is not shown hears of changes when it is shown.

    book   the `BookFile`, whose every name is this one's too

    `awake` is set while the page is shown.
    """

    def __init__(self, book):
        self._book, self._hearing, self._awake, self._missed = book, [], True, False
        book.when_changed(self._tell)

    def __getattr__(self, name):
        return getattr(self._book, name)

    def when_changed(self, listener):
        """Call `listener()` when the book is another one and the page is shown."""
        self._hearing.append(listener)

    @property
    def awake(self):
        """Whether the page is shown."""
        return self._awake

    @awake.setter
    def awake(self, shown):
        self._awake = shown
        if shown and self._missed:
            self._tell()

    def _tell(self):
        self._missed = not self._awake
        if self._awake:
            for listener in self._hearing:
                listener()


def _book_in(text):
    return Book() if text is None else read_book(text)


def today():
    """The date of an entry that is written down now."""
    return date.today().isoformat()
