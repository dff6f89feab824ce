"""A logged cooling curve from CSV text, strictly: what is not clear is refused, what is changed is said."""

import csv
import re
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_number
from castlab.rules.cooling_curve import checked_curve
from castlab.units import INCH_POUND, celsius

ICE_POINT = 273.15  # K
HIGHEST_C = 1800.0  # no common sensor reads metal hotter than this
TIMES = {"s": 1.0, "sec": 1.0, "second": 1.0, "seconds": 1.0, "min": 60.0, "minute": 60.0, "minutes": 60.0,
         "h": 3600.0, "hour": 3600.0, "hours": 3600.0}
CELSIUS, FAHRENHEIT, KELVIN = ("c", "celsius"), ("f", "fahrenheit"), ("k", "kelvin")
FILL_WORDS = {"time", "temp", "temperature", "deg", "degree", "degrees", "in", "of", "the", "elapsed",
              "metal", "melt"}


@dataclass(frozen=True, eq=False)
class CoolingLog:
    """A log as arrays: time [s] from its start, temp_c [deg C]; `notes` say what was assumed or changed."""

    time: np.ndarray
    temp_c: np.ndarray
    notes: tuple[str, ...]


def read_log(text):
    """Times and temperatures from CSV text, for `castlab.rules.cooling_curve.find_arrests`.

    text  the first line names the columns, one with "time" and one with "temp" in its name, with or without a
          unit: time_s, "time [min]", temperature_c, "Temp (F)" ...; then a line for each reading, the values
          set apart by comma, semicolon or tab; empty lines and lines that begin with # do not count

    Returns `CoolingLog`. Without a unit, seconds and deg C are taken; minutes, hours, deg F and kelvin are
    turned into them; with semicolon or tab a decimal comma is read; all this is in the notes. Raises
    InputError, with the number of the line, for a missing name, an empty place, text, a temperature that no
    sensor shows; and for times in the wrong order, for gaps and for too few readings. Which names and marks
    are understood is judgement, from what loggers commonly write.

    >>> lines = ["time_min,temperature_f"] + [f"{n / 4},{900 - n}" for n in range(60)]
    >>> log = read_log("\\n".join(lines))
    >>> float(log.time[4]), round(float(log.temp_c[0]), 1), log.notes
    (60.0, 482.2, ('times turned from min into s', 'temperatures turned from deg F into deg C'))
    """
    rows = _lines(text)
    number, head = rows[0]
    mark = next((each for each in (";", "\t") if each in head), ",")
    names = _cells(head, mark)
    time_at, temp_at = _column(names, "time", number), _column(names, "temp", number)
    cells = [(line, _row(line, row, mark, names)) for line, row in rows[1:]]
    times, temps = ([_value(each[at], what, line, mark) for line, each in cells]
                    for at, what in ((time_at, "time"), (temp_at, "temperature")))
    scale, unit_note = _time_scale(names[time_at])
    temps, temp_note = _celsius(np.array(temps), names[temp_at])
    _refuse_impossible(temps, cells)
    time, temp_c = checked_curve(scale * np.array(times), temps)
    commas = mark != "," and any("," in each[at] for _, each in cells for at in (time_at, temp_at))
    notes = (unit_note, temp_note, "decimal commas read as points" if commas else "", _unused(names))
    return CoolingLog(time, temp_c, tuple(note for note in notes if note))


def _lines(text):
    """The lines that count, with their numbers."""
    if not isinstance(text, str):
        raise InputError("cooling log", repr(text)[:40], "it must be text: the contents of a CSV file")
    rows = [(number, row) for number, row in enumerate(text.lstrip("\ufeff").splitlines(), start=1)
            if row.strip() and not row.startswith("#")]
    if not rows:
        allowed = "the first line must name the columns, such as time_s,temp_c"
        raise InputError("cooling log", "empty", allowed)
    return rows


def _cells(row, mark):
    return [each.strip() for each in next(csv.reader([row], delimiter=mark))]


def _column(names, wanted, number):
    """Place of the one column whose name holds this word."""
    found = [place for place, name in enumerate(names) if wanted in name.lower()]
    if len(found) != 1:
        how = "no column" if not found else f"{len(found)} columns"
        allowed = f"{how} with {wanted!r} in the name: name exactly one, such as time_s,temperature_c"
        raise InputError(f"line {number} of the log", repr(", ".join(names)[:60]), allowed)
    return found[0]


def _row(line, row, mark, names):
    cells = _cells(row, mark)
    if len(cells) != len(names):
        hint = "; decimal commas need semicolons between the columns" if mark == "," else ""
        allowed = f"the first line names {len(names)} columns, so there must be as many values{hint}"
        raise InputError(f"line {line} of the log", repr(row[:60]), allowed)
    return cells


def _value(cell, what, line, mark):
    where = f"{what} in line {line}"
    if not cell:
        raise InputError(where, "empty", "a reading is missing: leave the whole line out, or fill it in")
    try:
        return require_number(where, cell.replace(",", ".") if mark != "," else cell)
    except InputError:
        allowed = "it must be a plain number; a unit belongs in the name of the column, such as temperature_f"
        if what == "time":
            allowed = "it must be a plain number of seconds or minutes from the start, not a clock time"
        raise InputError(where, repr(cell), allowed) from None


def _unit(name):
    """The words of a column's name that are left once what it measures is taken away."""
    words = re.findall(r"[a-z]+", name.lower().replace("degc", "c").replace("degf", "f"))
    return [word for word in words if word not in FILL_WORDS]


def _time_scale(name):
    unit = _unit(name)
    if not unit:
        return 1.0, "times taken as seconds: the first line names no unit"
    if len(unit) > 1 or unit[0] not in TIMES:
        raise InputError("unit of the time", repr(name), "it must be s, min or h, such as time_s")
    scale = TIMES[unit[0]]
    return scale, "" if scale == 1.0 else f"times turned from {unit[0]} into s"


def _celsius(temps, name):
    unit = _unit(name)
    if not unit:
        return temps, "temperatures taken as deg C: the first line names no unit"
    if len(unit) > 1 or unit[0] not in CELSIUS + FAHRENHEIT + KELVIN:
        raise InputError("unit of the temperature", repr(name), "it must be c, f or k, such as temperature_c")
    if unit[0] in FAHRENHEIT:
        return INCH_POUND.temperatures.si(temps), "temperatures turned from deg F into deg C"
    if unit[0] in KELVIN:
        return temps - ICE_POINT, "temperatures turned from K into deg C"
    return temps, ""


def _refuse_impossible(temps, cells):
    wrong = np.flatnonzero((temps > HIGHEST_C) | (temps < -ICE_POINT))
    if wrong.size:
        line, temp = cells[wrong[0]][0], temps[wrong[0]]
        allowed = "no sensor for molten metal shows that; if it is °F, name the column temperature_f"
        raise InputError(f"temperature in line {line}", celsius(temp), allowed)


def _unused(names):
    left = [name for name in names if "time" not in name.lower() and "temp" not in name.lower()]
    return f"columns not used: {', '.join(left)}" if left else ""
