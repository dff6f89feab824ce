"""What everything that a notebook shows has in common: a widget, buttons, menus, errors that are seen."""

import ipywidgets as widgets

from castlab.teach.text import markup
from castlab.teach.work.alone import alone


class Shown:
    """What has a `widget` and is shown by it, when it stands last in a cell."""

    def _repr_mimebundle_(self, **options):
        return self.widget._repr_mimebundle_(**options)


def button(words, pressed, width="auto"):
    """A button with these words on it that calls `pressed`."""
    made = widgets.Button(description=words, layout={"width": width})
    made.on_click(pressed)
    return made


def menu(label, options, value, width="auto"):
    """A menu of names with a label before it, never wider than the place where it stands."""
    return widgets.Dropdown(options=options, value=value, description=label,
                            layout={"width": width, "max_width": "100%"},
                            style={"description_width": "initial"})


def guarded(action, place):
    """A callback that does an action alone. An error is shown in `place`, an HTML widget, and raised again
    for tests to see: a bare callback that fails shows nothing at all.
    """

    @alone
    def callback(*_):
        try:
            action()
        except Exception as error:
            place.value = markup.alert(f"{type(error).__name__}: {error}")
            raise

    return callback
