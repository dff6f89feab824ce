"""What a test leaves behind is let go."""

import gc

import ipywidgets


def let_benches_go():
    """The list of widgets keeps every bench, and a bench what it has computed: gigabytes, by the end."""
    ipywidgets.Widget.close_all()
    gc.collect()
