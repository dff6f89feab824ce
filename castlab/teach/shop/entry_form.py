"""A form for one kind of entry: what a person types, in the units of the page, and the entry it makes."""

import ipywidgets as widgets

from castlab.errors import InputError, require_number
from castlab.shop.entries import CHOICE, FLAG, KINDS, NUMBER, ROWS, entry_of, shortened
from castlab.units import METRIC, Scale, raised

STYLE = {"description_width": "290px"}  # so that all fields of a form stand below each other
WIDE, HIGH = {"width": "600px", "max_width": "100%"}, "150px"
SECONDS, MINUTES = Scale("s", 1.0), Scale("min", 1.0 / 60.0)
NOTHING = "-"  # of a menu where nothing is chosen


def scale_of(field, units):
    """The scale in which a number of a field is typed and shown."""
    scales = {"m": units.lengths, "m3": units.volumes, "kg": units.masses, "deg C": units.temperatures,
              "s": MINUTES if field.minutes else SECONDS}
    return scales.get(field.unit, Scale(field.unit, 1.0))


def label_of(field, units):
    """The words before a field, with its unit.

    >>> [label_of(field, METRIC) for field in KINDS["stock"].fields]
    ['alloy', 'on the shelf [g]']
    """
    unit = scale_of(field, units).unit if field.kind == NUMBER else ""
    return f"{field.label} [{raised(unit)}]" if unit else field.label


def typed(field, text, units):
    """A number as somebody types it, in SI: with decimal point or comma; a time also as minutes:seconds.

    Raises InputError for what is no number.

    >>> from castlab.units import INCH_POUND
    >>> time = KINDS["heat_ups"].fields[-1].columns[0]
    >>> typed(time, "2:30", METRIC), typed(time, "2,5", METRIC)
    (150.0, 150.0)
    >>> round(typed(KINDS["plates"].fields[3], "0.5", INCH_POUND), 6)
    0.0127
    """
    text = text.strip().replace(",", ".")
    if field.unit == "s" and text.count(":") == 1:
        whole, part = (require_number(field.label, each) for each in text.split(":"))
        return 60.0 * whole + part
    return scale_of(field, units).si(require_number(field.label, text))


def shown(field, value, units):
    """A value as it stands in its field: the opposite of `typed`.

    >>> shown(KINDS["stock"].fields[1], 1.25, METRIC)
    '1250'
    """
    if value is None:
        return ""
    if field.kind == NUMBER:
        return f"{scale_of(field, units).shown(value):.6g}"
    if field.kind == ROWS:
        rows = ([shown(column, each, units) for column, each in zip(field.columns, row, strict=True)]
                for row in value)
        return "\n".join("  ".join(row) for row in rows)
    return str(value)


class EntryForm:
    """Fields for a kind of entry; `widget` holds them.

    kind    a name of `castlab.shop.entries.KINDS`
    names   of the fields that it shows, in their order; all that a person fills in when left out
    known   {field: names that the book holds already}, offered while somebody types
    """

    def __init__(self, kind, names=None, units=METRIC, known=None):
        self.kind, self.units = kind, units
        self._fields = {each.name: each for each in KINDS[kind].all_fields
                        if (each.name in names if names else each.name != "left_out")}
        known = known or {}
        self._controls = {name: _control(field, known.get(name, ())) for name, field in self._fields.items()}
        self.widget = widgets.VBox(list(self._controls.values()))
        self.speak(units)

    def speak(self, units):
        """Take and show numbers in other units; what has been typed is turned into them."""
        values = {name: self._read(name, self.units, quietly=True) for name in self._fields}
        self.units = units
        for name, field in self._fields.items():
            self._controls[name].description = self._label(field)
            if field.kind in (NUMBER, ROWS) and values[name] is not None:
                self._controls[name].value = shown(field, values[name], units)

    def show(self, values):
        """Fill in these values, SI; all other fields become empty."""
        for name, field in self._fields.items():
            value = values.get(name)
            if field.kind == FLAG:
                self._controls[name].value = bool(value)
            elif field.kind == CHOICE:
                self._controls[name].value = value or NOTHING
            else:
                self._controls[name].value = shown(field, value, self.units)

    def fill_in(self, **texts):
        """Fill in by code what a person types or chooses."""
        for name, text in texts.items():
            self._controls[name].value = text

    def values(self):
        """What is filled in, by field, SI. Raises InputError for what is no number."""
        return {name: self._read(name, self.units) for name in self._fields}

    def entry(self, **others):
        """The `Entry` as it is filled in; `others`: values of fields that the form does not show.

        Raises InputError that says which field is wrong.
        """
        return entry_of(self.kind, others | self.values())

    def _label(self, field):
        if field.kind == ROWS:
            units = ", ".join(scale_of(column, self.units).unit for column in field.columns)
            return f"{field.label} [{units}], one a line"
        return label_of(field, self.units)

    def _read(self, name, units, quietly=False):
        field, value = self._fields[name], self._controls[name].value
        if field.kind == FLAG:
            return value
        if field.kind == CHOICE:
            return None if value == NOTHING else value
        if not value.strip():
            return None
        try:
            if field.kind == NUMBER:
                return typed(field, value, units)
            return _rows(field, value, units) if field.kind == ROWS else value
        except InputError:
            if quietly:
                return None
            raise


def _rows(field, text, units):
    """Lines of numbers, parted by blanks or semicolons."""
    found = []
    for number, line in enumerate((line for line in text.splitlines() if line.strip()), start=1):
        cells = line.replace(";", " ").split()
        if len(cells) != len(field.columns):
            wanted = " and ".join(column.label for column in field.columns)
            raise InputError(f"line {number} of the {field.label}", shortened(line),
                             f"it must be {wanted}, with a blank between them")
        found.append([typed(column, cell, units) for column, cell in zip(field.columns, cells, strict=True)])
    return found


def _control(field, known):
    if field.kind == FLAG:
        return widgets.Checkbox(value=False, indent=False, layout=WIDE)
    if field.kind == CHOICE:
        return widgets.Dropdown(options=[NOTHING, *field.options], style=STYLE, layout=WIDE)
    if field.kind == ROWS:
        return widgets.Textarea(style=STYLE, layout=WIDE | {"height": HIGH},
                                placeholder="2  68\n4  118\n6  166")
    if known:
        return widgets.Combobox(options=tuple(known), ensure_option=False, style=STYLE,
                                layout=WIDE)
    return widgets.Text(style=STYLE, layout=WIDE)
