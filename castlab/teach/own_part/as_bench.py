"""What melt bench, pour sheet and tasks ask of a bench, answered by a desk for own parts.

A desk pours when it is told to. Until then, and after each change, there is no casting to plan a melt for.
"""

import contextlib
import functools
import zlib

from castlab.errors import InputError
from castlab.field.part_file import write_part
from castlab.teach.bench.casting import Casting
from castlab.teach.work.shown import Shown, button


class AsBench(Shown):
    """Of a class that has `design()`, `alloy`, `account`, `words`, `units`, `views` and `guarded`."""

    controls, from_book, hidden = {}, None, False  # it has no sliders, reads no book, and hides nothing
    taking_no_look = contextlib.nullcontext  # nor does it pour for a check

    def __init__(self):
        self._move_listeners, self._casting = [], None

    @property
    def values(self):
        """What stands on the desk, by names that a file can hold: equal values are one casting."""
        try:
            asked = self.design()
        except InputError:
            return {"part": "cannot be drawn", "alloy": self.alloy}
        chosen = {"alloy": self.alloy, "mould": asked.mould.name, "pour_temp_c": asked.pour_temp_c}
        return {"part": asked.part.name, "drawing": _drawing(asked.part)} | chosen | asked.values

    @property
    def sentence(self):
        """What is said about the part or the casting, as plain text."""
        return self.words

    @property
    def png(self):
        """The three sections as they are shown now: bytes."""
        return self.views.png

    @property
    def result(self):
        """The Casting that was poured as the part stands; None before that."""
        if self._casting is None or self._casting.account is not self.account:
            self._casting = Casting(self.account) if self.account else None
        return self._casting

    def solve(self):
        """The Casting that was poured as the part stands. Raises InputError where it was not."""
        if self.account is None:
            raise InputError("the casting", "not computed yet", "press “Pour” on the desk first")
        return self.result

    def setup(self):
        """Its Setup. Raises InputError where it was not poured as it stands."""
        return self.solve().setup

    def when_moved(self, listener):
        """Call `listener()` after each change, pour, or switch of units."""
        self._move_listeners.append(listener)

    def when_revealed(self, listener):
        """Nothing is hidden here, so nobody is called."""

    def button(self, words, action):
        """A button with these words that does `action()`, guarded."""
        return button(words, self.guarded(action))

    def _tell_moved(self):
        for listener in self._move_listeners:
            listener()


@functools.lru_cache(maxsize=8)
def _drawing(part):
    """A short word that is another one for another drawing."""
    return f"{zlib.crc32(write_part(part).encode()):08x}"
