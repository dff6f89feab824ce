"""What can be written into the shop's book: the kinds of entries, their fields, and how each is checked.

An entry is one thing that was measured or noted on one day. Inside and in the file all is SI, temperatures in
deg C: a number typed in mm or in g is refused by its size.
"""

from dataclasses import dataclass

from castlab.errors import InputError, require_known, require_number
from castlab.materials import alloy_names, mould_names
from castlab.rules.charge import MELT_LOSS
from castlab.rules.sensor import FREEZING_POINTS_C
from castlab.units import SAID_AS, given

TEXT, NUMBER, CHOICE, FLAG, ROWS, SETTINGS = "text", "number", "choice", "flag", "rows", "settings"
MOST_TEXT, MOST_ROWS = 300, 500
EMPTY = "empty"  # a heat-up without metal
# Units that people mistake for the book's own, and how many of them make one.
MISTAKEN = {"m": (("mm", 1e3), ("inches", 1 / 0.0254)), "kg": (("g", 1e3),), "m3": (("cm3", 1e6),),
            "": (("per cent", 100.0),)}
HOLES = ("dry sand, weighed", "wax, weighed", "casting weighed in air and in water", "volume known",
         "no hole found")
HOURS = 12 * 3600.0
HOTTEST_C = 1800.0


@dataclass(frozen=True)
class Field:
    """A field of an entry: name in the file, words for a person, and what it may be.

    kind             "text", "number", "choice" (of `options`), "flag", "rows" (of numbers, `columns` says of
                     what) or "settings" (names and plain values)
    unit, low, high  of a number [SI]          needed   whether it may not be left out
    minutes          whether people say this time in minutes; else, and in the file, it is in seconds
    """

    name: str
    label: str
    kind: str = TEXT
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    needed: bool = True
    options: tuple[str, ...] = ()
    columns: tuple = ()
    minutes: bool = False

    def checked(self, value):
        """The value as the book keeps it. Raises InputError that says what is wrong."""
        return CHECKS[self.kind](self, value)


def _number(name, label, unit, low, high, needed=True):
    return Field(name, label, NUMBER, unit, low, high, needed)


def _choice(name, label, options, needed=True):
    return Field(name, label, CHOICE, needed=needed, options=tuple(options))


def _temp(name, label, needed=True, low=-20.0, high=HOTTEST_C):
    return _number(name, label, "deg C", low, high, needed)


def _time(name, label, needed=True):
    return Field(name, label, NUMBER, "s", 1.0, HOURS, needed, minutes=True)


ROOM = _temp("room_c", "room", needed=False, high=50.0)
ON_EACH = (Field("date", "date", needed=False), Field("note", "note", needed=False),
           Field("made_up", "made up, not measured", FLAG, needed=False),
           Field("left_out", "left out: not to be used", FLAG, needed=False))


@dataclass(frozen=True)
class Kind:
    """A kind of entries: its heading, what it is for, and its fields."""

    heading: str
    purpose: str
    fields: tuple[Field, ...]

    @property
    def all_fields(self):
        """Its own fields and those that every entry has."""
        return (*self.fields, *ON_EACH)


KINDS = {
    "furnaces": Kind("Furnace", "What stands on its plate. Write down how it heats up under the next two.", (
        Field("name", "name of the furnace"),
        _number("plate_power", "nameplate power", "W", 50.0, 50e3),
        _temp("top_temp_c", "highest setting", low=100.0),
    )),
    "heat_ups": Kind(
        "Heat-up", "From cold, the elements on without a break: best once empty, within what the makers of "
        "furnace and crucible allow, then with much metal. Read the display each two minutes, until shortly "
        "before it reaches what is set.", (
            Field("furnace", "name of the furnace"),
            _choice("alloy", "in the crucible", (EMPTY, *alloy_names())),
            _number("mass", "mass of the charge", "kg", 0.02, 500.0, needed=False),
            ROOM,
            Field("readings", "readings", ROWS, columns=(
                _time("time", "time after switching on"), _temp("shown_c", "display"))),
        )),
    "holds": Kind(
        "Hold", "Once all has stood at the set point for half an hour: how much of ten minutes are the "
        "elements on?", (
            Field("furnace", "name of the furnace"),
            _temp("temp_c", "display", low=100.0),
            _number("on_share", "share of the time that the elements are on", "", 0.02, 1.0),
            ROOM,
        )),
    "crucibles": Kind(
        "Crucible", "Cold, clean and empty on the scales: how much water fills it to the brim? A crucible "
        "soaks water up, and water under molten metal explodes: afterwards let it dry for a day, then warm "
        "it slowly and empty, as its maker says, before any metal goes in.", (
            Field("name", "name of the crucible"),
            _number("water", "water to the brim", "kg", 0.005, 100.0),
            _choice("family", "for metal of the family", sorted(MELT_LOSS), needed=False),
        )),
    "plates": Kind(
        "Timed plate", "A wide plate with a thermocouple in its middle: how long from the pour until that "
        "passes the solidus? The thermocouple is dry, and in the mould before the pour.", (
            Field("mould", "name of the mould"),
            _choice("material", "made of", mould_names()),
            _choice("alloy", "alloy", alloy_names()),
            _number("thickness", "thickness of the plate", "m", 1e-3, 0.2),
            _number("time", "from the pour until its middle was solid", "s", 1.0, 20e3),
            _temp("pour_temp_c", "poured at"),
            _temp("mould_temp_c", "mould before the pour", needed=False),
        )),
    "freezing_points": Kind(
        "Sensor at a freezing point", "What did the display show while this pure metal froze? Switch the "
        "furnace off before a probe goes in, warm and dry; take it out before the metal is solid.", (
            Field("sensor", "name of the sensor"),
            _choice("metal", "pure metal", FREEZING_POINTS_C),
            _temp("reading_c", "display"),
        )),
    "stock": Kind("Stock", "What lies on the shelf; the newest entry of an alloy counts.", (
        _choice("alloy", "alloy", alloy_names()),
        _number("mass", "on the shelf", "kg", 0.0, 10e3),
    )),
    "usual": Kind("Usual temperature", "At how much this shop pours an alloy; the newest entry counts.", (
        _choice("alloy", "alloy", alloy_names()),
        _temp("pour_temp_c", "poured at"),
    )),
    "pours": Kind("Pour", "What was planned, and what came of it.", (
        Field("part", "part"),
        _choice("alloy", "alloy", alloy_names()),
        Field("settings", "sliders of the casting", SETTINGS, needed=False),
        Field("melt", "sliders of the melt", SETTINGS, needed=False),
        _time("planned_liquid", "all liquid, planned", needed=False),
        _time("planned_ready", "poured, planned", needed=False),
        _temp("planned_furnace_c", "in the furnace, planned", needed=False),
        _number("planned_hole", "holes, predicted", "m3", 0.0, 0.1, needed=False),
        _time("liquid", "all liquid", needed=False),
        _time("poured", "poured", needed=False),
        _temp("furnace_c", "in the furnace at the pour", needed=False),
        _choice("hole_by", "hole measured by", HOLES, needed=False),
        _number("filling", "sand or wax in the hole", "kg", 0.0, 10.0, needed=False),
        _number("hole", "volume of the hole", "m3", 0.0, 0.1, needed=False),
        _number("in_air", "casting in air", "kg", 1e-3, 500.0, needed=False),
        _number("in_water", "casting hung in water", "kg", 0.0, 500.0, needed=False),
        Field("photograph", "photograph, its file", needed=False),
    )),
    "settings": Kind("Settings", "Where all sliders of the page stood.", (
        Field("name", "name"),
        Field("part", "part"),
        Field("settings", "sliders of the casting", SETTINGS),
        Field("melt", "sliders of the melt", SETTINGS, needed=False),
    )),
}


@dataclass(frozen=True)
class Entry:
    """One entry of the book: its kind, a name of KINDS, and its values by field, SI. Made by `entry_of`."""

    kind: str
    values: dict

    def __getitem__(self, name):
        """The value of a field; None, or "" of a text, where it was left out."""
        return self.values.get(name, "" if self._is_text(name) else None)

    @property
    def counts(self):
        """Whether it is to be used: not left out by hand."""
        return not self.values.get("left_out", False)

    @property
    def made_up(self):
        """Whether it is an example that nobody measured."""
        return self.values.get("made_up", False)

    def _is_text(self, name):
        return any(each.name == name and each.kind in (TEXT, CHOICE) for each in KINDS[self.kind].all_fields)


def entry_of(kind, values):
    """An `Entry` of checked values. Raises InputError that says which field is wrong and what it may be.

    kind     a name of KINDS
    values   {field: value}, SI; a field that is left out, None or "" is not kept

    >>> pot = entry_of("crucibles", {"name": "A4 ", "water": 0.78, "family": ""})
    >>> pot.values
    {'name': 'A4', 'water': 0.78}
    >>> entry_of("crucibles", {"name": "A4", "water": 0.0})
    Traceback (most recent call last):
        ...
    castlab.errors.InputError: water to the brim is 0 g: it must lie between 5 g and 100 kg
    """
    fields = {each.name: each for each in KINDS[require_known("kind of entry", kind, KINDS)].all_fields}
    if not isinstance(values, dict):
        raise InputError("entry", shortened(values), "it must be pairs of field and value")
    for name in values:
        require_known("field", shortened(name), fields)
    kept = {}
    for name, field in fields.items():
        value = values.get(name)
        if value is None or value == "" or (field.kind == FLAG and value is False):
            if field.needed:
                raise InputError(field.label, "missing", "it must be filled in")
            continue
        if (checked := field.checked(value)) != "":
            kept[name] = checked
    if kind == "heat_ups" and kept["alloy"] != EMPTY and "mass" not in kept:
        raise InputError("mass of the charge", "missing", "it must be filled in, or the crucible be empty")
    return Entry(kind, kept)


def shortened(value):
    """A value from outside in a message: on one line, sixty characters at most."""
    words = value if isinstance(value, str) else repr(value)[:200]
    words = " ".join("".join(sign if sign.isprintable() else " " for sign in words).split())
    return words if len(words) <= 60 else words[:57] + "..."


# ---- checks, one for each kind of field


def _check_text(field, value):
    if not isinstance(value, str) or len(value) > MOST_TEXT:
        raise InputError(field.label, shortened(value), f"it must be text of at most {MOST_TEXT} characters")
    words = " ".join("".join(sign if sign.isprintable() else " " for sign in value).split())
    if field.needed and not words:
        raise InputError(field.label, "empty", "it must be filled in")
    return words


def _check_number(field, value):
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise InputError(field.label, shortened(value), f"it must be a number{_in_unit(field.unit)}")
    number = require_number(field.label, value, field.unit)
    if not field.low <= number <= field.high:
        for name, many in MISTAKEN.get(field.unit, ()):
            if field.low <= number / many <= field.high:
                kept = field.unit or "shares of 1"
                allowed = f"in {name}? The book keeps it in {kept}; it must lie between {{}} and {{}}"
                raise InputError(field.label, f"{number:g}", allowed, *_ends(field))
        low, high = _ends(field)
        raise InputError(field.label, given(number, field.unit), "it must lie between {} and {}", low, high)
    return float(f"{number:.9g}")


def _ends(field):
    return given(field.low, field.unit), given(field.high, field.unit)


def _in_unit(unit):
    return f" in {unit}" if unit and unit not in SAID_AS else ""


def _check_choice(field, value):
    return require_known(field.label, shortened(value), field.options)


def _check_flag(field, value):
    if not isinstance(value, bool):
        raise InputError(field.label, shortened(value), "it must be true or false")
    return value


def _check_rows(field, value):
    if not isinstance(value, (list, tuple)) or not 0 < len(value) <= MOST_ROWS:
        raise InputError(field.label, shortened(value), f"there must be between 1 and {MOST_ROWS} of them")
    rows = []
    for number, row in enumerate(value, start=1):
        if not isinstance(row, (list, tuple)) or len(row) != len(field.columns):
            wanted = " and ".join(column.label for column in field.columns)
            raise InputError(f"reading {number}", shortened(row), f"it must be {wanted}")
        try:
            rows.append(tuple(column.checked(each) for column, each in zip(field.columns, row, strict=True)))
        except InputError as error:
            raise InputError(f"reading {number}, {error.parameter}", error.value, error.allowed) from None
    return tuple(rows)


def _check_settings(field, value):
    if not isinstance(value, dict) or len(value) > 100:
        raise InputError(field.label, shortened(value), "they must be names and values of sliders")
    kept = {}
    for name, each in value.items():
        if isinstance(each, bool) or not isinstance(each, (str, int, float)) or len(str(each)) > 64:
            allowed = "it must be a number or a short word"
            raise InputError(f"slider {shortened(name)}", shortened(each), allowed)
        kept[str(name)[:64]] = each if isinstance(each, str) else require_number(shortened(name), each)
    return kept


CHECKS = {TEXT: _check_text, NUMBER: _check_number, CHOICE: _check_choice, FLAG: _check_flag,
          ROWS: _check_rows, SETTINGS: _check_settings}
