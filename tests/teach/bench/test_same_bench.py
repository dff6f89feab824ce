"""A cell of a lesson that is run again in its kernel goes on with the bench that stands on the page."""

import importlib
import inspect
import pkgutil

import pytest
from shares import every

from castlab.teach import lessons
from castlab.teach.bench import same_bench
from castlab.teach.lessons import first_casting

BEGINNINGS = [(module.name, name)
              for module in pkgutil.iter_modules(lessons.__path__)
              for name, made in inspect.getmembers(
                  importlib.import_module(f"castlab.teach.lessons.{module.name}"), inspect.isfunction)
              if name == "begin" or name.startswith("begin_")]


@pytest.fixture
def in_a_kernel(monkeypatch):
    monkeypatch.setattr(same_bench, "get_ipython", lambda: "a kernel")


def test_every_lesson_is_looked_at():
    assert {module for module, name in BEGINNINGS if name == "begin"} == {
        module.name for module in pkgutil.iter_modules(lessons.__path__)}


@pytest.mark.parametrize("module, name", every(5, BEGINNINGS), ids=[".".join(each) for each in BEGINNINGS])
def test_each_lesson_begins_once_in_a_kernel(in_a_kernel, module, name):
    begin = getattr(importlib.import_module(f"castlab.teach.lessons.{module}"), name)
    first, again = begin(), begin()
    assert all(old is new for old, new in zip(first, again, strict=True))


def test_what_was_predicted_and_moved_stays_when_the_first_cell_is_run_again(in_a_kernel):
    bench, question = first_casting.begin()
    question.answer("boss")
    bench.set(thickness=0.020)
    shown = bench.sentence
    bench, question = first_casting.begin()
    assert question.answered and bench.sentence == shown and bench.values["thickness"] == 0.020


def test_a_program_gets_a_new_bench_each_time():
    assert first_casting.begin()[0] is not first_casting.begin()[0]
