"""The one place where SI becomes mm, cm3, g and deg C, or inch, in3, lb and deg F, for people to read.

Inside, everything is SI with temperatures in deg C. A slider works in shown units through a `Scale`
(`METRIC.lengths.shown(0.012)` is 12.0); a sentence takes words (`METRIC.length(0.012)` is "12 mm"). Where a
text is made before anybody knows who reads it, such as an error, it carries its quantities in SI: a `Phrase`.
Inch 25.4 mm and pound 0.45359237 kg are exact by definition (International Yard and Pound, 1959), and so is
the British thermal unit: 1 deg F for a pound of water of 4186.8 J/kg/K (International Table).
"""

import math
import re
from dataclasses import dataclass

INCH_M = 0.0254
POUND_KG = 0.45359237
BTU_PER_H_FT2_F = 4186.8 * POUND_KG / (3600.0 * (12.0 * INCH_M) ** 2)  # [W/m2K]
ALL = 0  # so many digits as a number was given with
LONG_S, VERY_LONG_S = 600.0, 7200.0  # from here on minutes, then hours, read better than seconds
SQUARE_OR_CUBE, RAISED = re.compile(r"\b(cm|in|mm)([23])\b"), {"2": "²", "3": "³"}


@dataclass(frozen=True)
class Scale:
    """A unit that a person reads: shown = si * factor + offset.

    >>> fahrenheit = INCH_POUND.temperatures
    >>> round(fahrenheit.shown(100.0), 6), round(fahrenheit.si(32.0), 6)
    (212.0, 0.0)
    """

    unit: str
    factor: float
    offset: float = 0.0

    def shown(self, si):
        """From SI (deg C for temperatures) to the number a person reads; numbers or arrays."""
        return si * self.factor + self.offset

    def si(self, shown):
        """From the number a person reads to SI (deg C for temperatures); numbers or arrays."""
        return (shown - self.offset) / self.factor


@dataclass(frozen=True)
class Units:
    """A system of units: its scales, for sliders, and its words, for sentences.

    The words take SI and keep `digits` significant digits, two where physics gives two; ALL keeps those that
    the SI number has, three at least. Each raises ValueError for what is not a finite number: nobody typed
    it, so it is no InputError but a fault in the program.

    >>> METRIC.volume(3.14e-6), METRIC.time(226.0), METRIC.temperature(472.0)
    ('3.1 cm3', '230 s', '472 °C')
    >>> INCH_POUND.length(0.0127), INCH_POUND.mass(1.0), INCH_POUND.temperature(472.0)
    ('0.5 in', '2.2 lb', '882 °F')
    """

    name: str
    lengths: Scale
    volumes: Scale
    masses: Scale
    temperatures: Scale
    differences: Scale
    contacts: Scale

    def length(self, metres, digits=3):
        """Such as "12 mm"; closing zeros are left out, because a drawing would not have them."""
        return _written(_finite("length", metres), self.lengths, digits, closing_zeros=False)

    def volume(self, cubic_metres, digits=2):
        """Such as "3.1 cm3"."""
        return _written(_finite("volume", cubic_metres), self.volumes, digits)

    def mass(self, kilograms, digits=2):
        """Such as "640 g", or "1.2 kg" from 1000 g on."""
        heavy = self.masses.unit == "g" and abs(_finite("mass", kilograms)) >= 1.0
        return _written(_finite("mass", kilograms), _KILOGRAMS if heavy else self.masses, digits)

    def temperature(self, celsius, digits=None):
        """Such as "472 °C", to the nearest degree unless ALL digits are asked for."""
        return _to_the_degree(_finite("temperature", celsius), self.temperatures, digits)

    def temperature_difference(self, kelvins, digits=None):
        """Such as "40 K" or "72 °F", as a temperature is said: a superheat, a freezing range."""
        return _to_the_degree(_finite("temperature difference", kelvins), self.differences, digits)

    def contact(self, coefficient, digits=3):
        """Such as "2000 W/m²K": how well heat passes from metal to mould or chill."""
        return _written(_finite("contact", coefficient), self.contacts, digits, closing_zeros=False)

    def time(self, seconds, digits=2, beside=None):
        """Such as "45 s", "12 min", "2.5 h"; the same in both ways of speaking.

        `beside`: another time [s], in whose unit this one is said, so that the two can be compared.
        """
        number, unit = in_time_unit(_finite("time", seconds), beside)
        return f"{significant(number, digits)} {unit}"

    def time_within(self, seconds, error, beside=None):
        """Such as "189 s" where it may be 1 s off, "190 s" where 6 s: to the first figure of twice `error`.

        Two figures at least, three at most; `error` in s, `beside` as in `time`.
        """
        beside = seconds if beside is None else beside
        number, _ = in_time_unit(_finite("time", seconds), beside)
        off, _ = in_time_unit(_finite("error", error), beside)
        reach = _first_place(number) - _first_place(2.0 * off) + 1 if number and off else 3
        return self.time(seconds, min(max(reach, 2), 3), beside)


def in_time_unit(seconds, beside=None):
    """A time as a person reads it, and its unit: that in which `beside` is read, when that is given.

    >>> in_time_unit(90.0), in_time_unit(90.0, beside=900.0)
    ((90.0, 's'), (1.5, 'min'))
    """
    size = abs(seconds if beside is None else beside)
    for limit, length, unit in ((LONG_S, 1.0, "s"), (VERY_LONG_S, 60.0, "min")):
        if size < limit:
            return seconds / length, unit
    return seconds / 3600.0, "h"


def _first_place(number):
    """Place of the first figure of a number: 0 for 3, -1 for 0.3, 1 for 30."""
    return math.floor(math.log10(abs(number)))


def significant(number, digits=2):
    """A number in plain figures with so many significant digits, without an exponent.

    >>> significant(1234.0), significant(0.04567), significant(9.96), significant(3.0, 3), significant(0.0)
    ('1200', '0.046', '10', '3.00', '0')
    """
    if digits < 1:
        raise ValueError(f"digits is {digits}: it must be 1 or more")
    if number == 0.0:
        return "0"
    rounded = float(f"{number:.{digits - 1}e}")
    places = digits - 1 - math.floor(math.log10(abs(rounded)))
    return f"{rounded:.{max(places, 0)}f}"


def raised(words):
    """Words as they are shown: the 2 and 3 of square and cubic units stand raised. The one place for that; a
    program, and a plain text in a file, says cm3.

    >>> raised("3.1 cm3, 0.19 in3, 7.1 g/cm3"), raised("section 3, cm30")
    ('3.1 cm³, 0.19 in³, 7.1 g/cm³', 'section 3, cm30')
    """
    return SQUARE_OR_CUBE.sub(lambda found: found[1] + RAISED[found[2]], words)


def per_cent(share):
    """A share in whole per cent, with two figures at most and without a sign.

    >>> per_cent(0.0453), per_cent(-0.37), per_cent(1.46)
    ('5', '37', '150')
    """
    return f"{float(f'{round(abs(100.0 * share)):.2g}'):.0f}"


def _written(si, scale, digits, closing_zeros=True):
    """A number [SI] with so many significant digits, and its unit."""
    number = scale.shown(si)
    text = significant(number, digits or max(3, len(_figures(si))))
    if "." in text and not (digits and closing_zeros):
        text = text.rstrip("0").rstrip(".")
    return f"{text} {scale.unit}"


def _to_the_degree(si, scale, digits):
    """A temperature and its unit; with ALL digits, with as many decimals as it was given with."""
    places = len(f"{si:.6g}".partition(".")[2]) if digits == ALL else 0
    return f"{scale.shown(si):.{min(places, 3)}f} {scale.unit}"


def _figures(number):
    """The significant figures of a number as it was typed, six at most, and without closing zeros."""
    return f"{abs(number):.5e}".partition("e")[0].replace(".", "").rstrip("0")


def _finite(what, value):
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        number = math.nan
    if not math.isfinite(number):
        raise ValueError(f"{what} is {value!r}: only a finite number can be said")
    return number


_KILOGRAMS = Scale("kg", 1.0)

METRIC = Units(
    name="metric",
    lengths=Scale("mm", 1e3),
    volumes=Scale("cm3", 1e6),
    masses=Scale("g", 1e3),
    temperatures=Scale("°C", 1.0),
    differences=Scale("K", 1.0),
    contacts=Scale("W/m²K", 1.0),
)
INCH_POUND = Units(
    name="inch-pound",
    lengths=Scale("in", 1.0 / INCH_M),
    volumes=Scale("in3", 1.0 / INCH_M**3),
    masses=Scale("lb", 1.0 / POUND_KG),
    temperatures=Scale("°F", 1.8, 32.0),
    differences=Scale("°F", 1.8),
    contacts=Scale("Btu/h ft² °F", 1.0 / BTU_PER_H_FT2_F),
)
SAID_AS = {"m": "length", "m3": "volume", "kg": "mass", "deg C": "temperature", "K": "temperature_difference",
           "W/m2K": "contact"}


@dataclass(frozen=True)
class Quantity:
    """A number [SI] and what it measures, to be said when it is known who reads it; `str` says it in metric.

    value    [SI], deg C for temperatures
    kind     what of `Units` says it: "length", "volume", "mass", "temperature", "temperature_difference",
             "contact" or "time"; or a unit that is the same for everybody, such as "W"
    digits   how many significant ones; None: as many as is usual for its kind; ALL: as it was given

    A number that somebody typed is made by `given`, one that was computed by `metres`, `celsius` and so on.

    >>> width = metres(0.0127)
    >>> width.said(INCH_POUND), str(width)
    ('0.5 in', '12.7 mm')
    """

    value: float
    kind: str
    digits: int | None = None

    def said(self, units):
        """In these units, such as "12 mm"."""
        say = getattr(units, self.kind, None)
        if say is None:
            return f"{self.value:g} {self.kind}".rstrip()
        return say(self.value) if self.digits is None else say(self.value, self.digits)

    def __str__(self):
        return self.said(METRIC)


def metres(value, digits=None):
    """A length that was computed [m], said with three digits: a Quantity."""
    return Quantity(value, "length", digits)


def kilograms(value, digits=None):
    """A mass that was computed [kg], said with two digits: a Quantity."""
    return Quantity(value, "mass", digits)


def seconds(value, digits=None):
    """A time that was computed [s], said with two digits: a Quantity."""
    return Quantity(value, "time", digits)


def celsius(value):
    """A temperature that was computed [deg C], said to the degree: a Quantity."""
    return Quantity(value, "temperature")


def kelvins(value):
    """A difference of temperatures that was computed [K], said to the degree: a Quantity."""
    return Quantity(value, "temperature_difference")


def given(number, unit=""):
    """A number with its SI unit as somebody typed it, with all its digits: a Quantity.

    >>> given(0.7, "m").said(INCH_POUND), str(given(419.527, "deg C")), str(given(3.5, "W/m/K"))
    ('27.6 in', '419.527 °C', '3.5 W/m/K')
    """
    return Quantity(number, SAID_AS.get(unit, unit), ALL)


@dataclass(frozen=True)
class Phrase:
    """A text with quantities in it, made by `phrase`; `str` says it in metric.

    parts   pieces of text and Quantities, as they follow each other
    """

    parts: tuple

    def said(self, units):
        """The text in these units."""
        return "".join(said(part, units) for part in self.parts)

    def before(self, mark):
        """The Phrase as far as the first `mark` in its text.

        >>> print(phrase("at most {}; 0 for none", metres(0.012)).before("; "))
        at most 12 mm
        """
        first = []
        for part in self.parts:
            text, found, _ = part.partition(mark) if isinstance(part, str) else (part, "", "")
            first.append(text)
            if found:
                break
        return Phrase(tuple(first))

    def __str__(self):
        return self.said(METRIC)


def phrase(text, *gaps):
    """A text whose gaps, written {}, are filled with quantities, phrases, errors or plain words: a Phrase.

    >>> at_most = phrase("at most {}", metres(0.012))
    >>> phrase("{}: {}", "core", at_most).said(INCH_POUND), phrase("it is {as it is}").said(METRIC)
    ('core: at most 0.472 in', 'it is {as it is}')
    """
    pieces = text.split("{}") if gaps else [text]
    parts = [pieces[0]]
    for gap, piece in zip(gaps, pieces[1:], strict=True):
        gap = getattr(gap, "phrase", gap)
        parts += gap.parts if isinstance(gap, Phrase) else [gap if isinstance(gap, Quantity) else str(gap)]
        parts.append(piece)
    return Phrase(tuple(part for part in parts if part != ""))


def joined(between, phrases):
    """Phrases and plain texts in a row, such as with "; " between them: a Phrase; "" when there are none."""
    phrases = list(phrases)
    return phrase(between.join(["{}"] * len(phrases)), *phrases) if phrases else ""


def said(words, units):
    """Words in these units: a Phrase, a Quantity or an error; a plain text stays as it is."""
    return words.said(units) if hasattr(words, "said") else str(words)
