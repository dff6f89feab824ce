"""The door that handed-out notebooks come in by, whatever room `HandIn` is in."""

from castlab.teach.exercise.hand_in import HandIn

__all__ = ["HandIn"]
