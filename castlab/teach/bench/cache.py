"""Results kept for when a slider comes back to where it was, bounded by memory."""

from collections import OrderedDict
from contextlib import contextmanager

import numpy as np

LIMIT_BYTES = 180_000_000  # with a margin below the 200 MB that a bench may use
SMALL_BYTES = 100  # a number, a name: what it is exactly does not matter beside the arrays


class NotKept(Exception):
    """Something was asked for, under this `key`, that is not kept and must not be computed now."""

    def __init__(self, key):
        super().__init__(key)
        self.key = key


class Cache:
    """The newest results by key; the ones not used for longest go first when the memory is full.

    Keys are hashable and equal when the results are: a frozen Setup and a cell size, never arrays.

    >>> kept = Cache(limit_bytes=1000)
    >>> kept.get("a", lambda: np.zeros(100)).nbytes, kept.get("b", lambda: np.ones(100)).nbytes
    (800, 800)
    >>> "a" in kept, "b" in kept
    (False, True)
    """

    def __init__(self, limit_bytes=LIMIT_BYTES):
        self.limit_bytes, self.used_bytes = limit_bytes, 0
        self._kept, self._may_make = OrderedDict(), True

    def __contains__(self, key):
        return key in self._kept

    def kept(self, key):
        """The result of that key; None when it is not kept."""
        return self.get(key, None) if key in self else None

    def get(self, key, make):
        """The result of that key; `make()` computes it when it is not kept. The newest is always kept."""
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key][0]
        if not self._may_make:
            raise NotKept(key)
        result = make()
        size = size_of(result)
        self._kept[key] = result, size
        self.used_bytes += size
        while self.used_bytes > self.limit_bytes and len(self._kept) > 1:
            _, (_, freed) = self._kept.popitem(last=False)
            self.used_bytes -= freed
        return result


    @contextmanager
    def only_kept(self):
        """As long as this lasts nothing is computed: `get` raises NotKept instead.

        >>> with Cache().only_kept() as kept:
        ...     kept.get("a", lambda: 1)
        Traceback (most recent call last):
        castlab.teach.bench.cache.NotKept: a
        """
        before, self._may_make = self._may_make, False
        try:
            yield self
        finally:
            self._may_make = before


def size_of(thing, seen=None):
    """Memory [bytes] of a result: its arrays, in dataclasses, objects and containers; each array once."""
    seen = set() if seen is None else seen
    if id(thing) in seen:
        return 0
    seen.add(id(thing))
    if isinstance(thing, np.ndarray):
        return thing.nbytes if thing.base is None else size_of(thing.base, seen)
    return SMALL_BYTES + sum(size_of(part, seen) for part in _parts(thing))


def _parts(thing):
    if isinstance(thing, dict):
        return list(thing.values())
    if isinstance(thing, (list, tuple, set, frozenset)):
        return list(thing)
    return [] if isinstance(thing, type) else list(getattr(thing, "__dict__", {}).values())
