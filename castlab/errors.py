"""The one kind of error that castlab raises on bad input, in words a caster understands."""

import difflib
import math


class InputError(ValueError):
    """A value that cannot be cast, drawn or computed.

    Carries `parameter`, `value` and `allowed`, and says all three.

    >>> raise InputError("section thickness", "-2 mm", "it must be greater than 0 mm")
    Traceback (most recent call last):
        ...
    castlab.errors.InputError: section thickness is -2 mm: it must be greater than 0 mm
    """

    def __init__(self, parameter, value, allowed):
        self.parameter, self.value, self.allowed = parameter, value, allowed
        super().__init__(f"{parameter} is {value}: {allowed}")

    def __reduce__(self):  # so that it survives the trip from a worker process
        return type(self), (self.parameter, self.value, self.allowed)


def require_number(parameter, value, unit=""):
    """Refuse what is not a finite number: text, None, NaN, infinity."""
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        raise InputError(parameter, repr(value), "it must be a number" + _in(unit)) from None
    if not math.isfinite(number):
        raise InputError(parameter, repr(value), "it must be a finite number" + _in(unit))
    return number


def require_positive(parameter, value, unit=""):
    """Refuse zero, negative numbers and what is not a number."""
    number = require_number(parameter, value, unit)
    if number <= 0.0:
        raise InputError(parameter, _with(number, unit), "it must be greater than 0" + _unit(unit))
    return number


def require_between(parameter, value, low, high, unit=""):
    """Refuse a number outside low to high (both allowed)."""
    number = require_number(parameter, value, unit)
    if not low <= number <= high:
        allowed = f"it must lie between {low:g} and {high:g}{_unit(unit)}"
        raise InputError(parameter, _with(number, unit), allowed)
    return number


def require_known(parameter, name, known):
    """Refuse a name that is not on the list, and suggest the nearest one that is."""
    names = list(known)
    if name in names:
        return name
    by_lower_case = {each.lower(): each for each in names}
    near = difflib.get_close_matches(str(name).lower(), by_lower_case, n=1, cutoff=0.3)
    hint = f"did you mean {by_lower_case[near[0]]!r}? " if near else ""
    raise InputError(parameter, repr(name), f"{hint}known are {', '.join(repr(each) for each in names)}")


def _unit(unit):
    return f" {unit}" if unit else ""


def _in(unit):
    return f" in {unit}" if unit else ""


def _with(number, unit):
    return f"{number:g}{_unit(unit)}"
