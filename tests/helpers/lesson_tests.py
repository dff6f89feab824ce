"""What the tests of several lessons do: bring a bench back to its first state, read a lesson's prose."""

from pathlib import Path

import nbformat

from castlab.units import METRIC

NOTEBOOKS = Path(__file__).resolve().parents[2] / "notebooks"


def at_first(bench):
    """A bench as it stands at first, its result shown, in metric units."""
    bench.reveal()
    bench.speak(METRIC)
    bench.start_again()
    return bench


def prose_of(lesson, folder):
    """The prose of a lesson's notebook in that folder, on one line."""
    (path,) = (NOTEBOOKS / folder).glob(f"??_{lesson.__name__.rsplit('.', 1)[1]}.ipynb")
    cells = nbformat.read(path, as_version=4).cells
    return " ".join(" ".join(cell.source for cell in cells if cell.cell_type == "markdown").split())
