"""The one kind of error that castlab raises on bad input, in words a caster understands."""

import difflib
import math

from castlab.units import METRIC, SAID_AS, given, phrase


class InputError(ValueError):
    """A value that cannot be cast, drawn or computed.

    parameter   what it is, in the reader's words
    value       what was given: a Quantity, or anything that says itself
    allowed     what it must be: a text, its gaps {} filled by the `gaps`, Quantities or plain words

    `str` says all three in metric, `said` in the units of whoever reads it; `phrase` is to be kept until that
    is known.

    >>> error = InputError("core", given(0.002, "m"), "it must be {} or more", given(0.003, "m"))
    >>> print(error)
    core is 2 mm: it must be 3 mm or more
    >>> from castlab.units import INCH_POUND
    >>> error.said(INCH_POUND)
    'core is 0.0787 in: it must be 0.118 in or more'
    """

    def __init__(self, parameter, value, allowed, *gaps):
        self.parameter, self.value = parameter, value
        self.allowed = phrase(allowed, *gaps) if gaps else allowed
        super().__init__(parameter, value, allowed, *gaps)  # all that it is made of, for the pickle

    @property
    def phrase(self):
        """Parameter, value and what is allowed: a Phrase."""
        return phrase("{} is {}: {}", self.parameter, self.value, self.allowed)

    def said(self, units):
        """The error in these units."""
        return self.phrase.said(units)

    def __str__(self):
        return self.said(METRIC)


def require_number(parameter, value, unit=""):
    """Refuse what is not a finite number: text, None, NaN, infinity."""
    in_unit = f" in {unit}" if unit else ""
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        raise InputError(parameter, repr(value), f"it must be a number{in_unit}") from None
    if not math.isfinite(number):
        raise InputError(parameter, repr(value), f"it must be a finite number{in_unit}")
    return number


def require_positive(parameter, value, unit=""):
    """Refuse zero, negative numbers and what is not a number."""
    number = require_number(parameter, value, unit)
    if number <= 0.0:
        raise InputError(parameter, given(number, unit), "it must be greater than {}", given(0.0, unit))
    return number


def require_between(parameter, value, low, high, unit=""):
    """Refuse a number outside low to high (both allowed)."""
    number = require_number(parameter, value, unit)
    if not low <= number <= high:
        low = given(low, unit if unit in SAID_AS else "")  # "between 0 and 600 s", but "0 mm and 600 mm"
        allowed = "it must lie between {} and {}"
        raise InputError(parameter, given(number, unit), allowed, low, given(high, unit))
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
