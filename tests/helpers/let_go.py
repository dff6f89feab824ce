"""What a test leaves behind is let go."""

import gc

import ipywidgets

MADE = set()  # kinds of widgets made since the last time: to look through all there is takes long
ipywidgets.Widget.on_widget_constructed(lambda widget: MADE.add(type(widget)))


def let_benches_go():
    """The list of widgets keeps every bench, and a bench what it has computed: gigabytes, by the end."""
    if MADE:
        ipywidgets.Widget.close_all()
        gc.collect()
        MADE.clear()
