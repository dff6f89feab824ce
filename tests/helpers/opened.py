"""A notebook that has run in this process."""

import ast
import io
from contextlib import redirect_stdout
from dataclasses import dataclass
from functools import cache

import nbformat

from castlab.teach.bench.bench import Bench
from castlab.teach.bench.questions import Question, Task


@cache
def read(path):
    return nbformat.read(path, as_version=4)


def code_cells(path):
    return [cell for cell in read(path).cells if cell.cell_type == "code"]


@dataclass(frozen=True)
class Opened:
    """A notebook whose cells have run, and what its benches, questions and tasks were just then."""

    names: dict
    printed: tuple  # by each code cell
    told: bool  # whether a bench showed its result
    answered: tuple  # for each question, whether it was
    done: tuple  # for each task, whether it was

    def all(self, kind):
        return [thing for thing in self.names.values() if isinstance(thing, kind)]


def run(path):
    """Run all cells in this process and display the last line of each, as a notebook does."""
    space, printed = {"__name__": "__main__"}, []
    for cell in code_cells(path):
        tree = ast.parse(cell.source)
        last = tree.body.pop() if tree.body and isinstance(tree.body[-1], ast.Expr) else None
        with redirect_stdout(io.StringIO()) as out:
            exec(compile(tree, str(path), "exec"), space)
            if last is not None:
                shown = eval(compile(ast.Expression(last.value), str(path), "eval"), space)
                if hasattr(shown, "_repr_mimebundle_"):
                    assert "application/vnd.jupyter.widget-view+json" in shown._repr_mimebundle_()
        printed.append(out.getvalue())
    things = list(space.values())
    return Opened(space, tuple(printed),
                  told=any(not thing.hidden or thing.result for thing in things if isinstance(thing, Bench)),
                  answered=tuple(thing.answered for thing in things if isinstance(thing, Question)),
                  done=tuple(thing.done for thing in things if isinstance(thing, Task)))
