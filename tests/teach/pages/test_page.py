"""The page of lesson 1 that the repository keeps says what the bench says today, and loads nothing."""

import base64
import html
import io
import json
import re
import zlib
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from castlab.teach.bench.ready_made import bench_for
from castlab.teach.pages import __main__ as command
from castlab.teach.pages import page as page_module
from castlab.teach.pages.page import MOST_BYTES, compute, in_portions, page_of, state_of
from castlab.teach.pages.touch_page import PAGES
from castlab.teach.text import markup
from castlab.teach.text.cautions import cautions_at
from castlab.teach.work.progress import Work
from castlab.units import INCH_POUND, METRIC, raised

KEPT = Path(__file__).resolve().parents[3] / "figures" / PAGES[0].file
AGAIN = "write it again: python -m castlab.teach.pages figures --only first_casting"
SMALL = replace(PAGES[0], stops=(
    ("thickness", (0.012,)), ("boss", (0.026, 0.040)), ("feeder_width", (0.0, 0.048))))
LOADS = re.compile(r"""(?:src|href|action)=["'](?!data:)|url\(|@import|https?://(?!www\.w3\.org/2000/svg)""")


def kept_data(text):
    return json.loads(re.search(r'<script type="application/json" id="states">(.*?)</script>', text)[1])


def image_of(packed):
    return Image.open(io.BytesIO(base64.b64decode(packed)))


@pytest.fixture(scope="module")
def kept():
    return KEPT.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def bench():
    return PAGES[0].bench(METRIC)


@pytest.mark.parametrize("number", [35, *(pytest.param(each, marks=pytest.mark.slow)
                                          for each in (4, 39, 52, 78))])
def test_the_kept_page_says_what_the_bench_says_today(kept, bench, number):
    data = kept_data(kept)
    state = data["states"][data["at"][number]]
    bench.set(**PAGES[0].states()[number])
    assert state["said"].replace("\N{NO-BREAK SPACE}", " ") == raised(bench.sentence), AGAIN
    said = markup.plain(state["below"])
    assert [pair for pair in bench.numbers if ": ".join(pair) not in said] == [], AGAIN
    assert said or bench.error is not None


def test_the_kept_page_is_what_template_and_script_make_of_its_states_today(kept, bench):
    data = kept_data(kept)
    bench.start_again()
    again = page_of(PAGES[0], bench, [data["states"][number] for number in data["at"]])
    assert again == kept, AGAIN


def test_the_kept_page_is_whole(kept):
    data = kept_data(kept)
    assert len(kept.encode()) <= MOST_BYTES
    assert len(data["at"]) == len(PAGES[0].states()) and set(data["at"]) == set(range(len(data["states"])))
    shown = [state for state in data["states"] if "png" in state]
    refused = [state for state in data["states"] if "png" not in state]
    assert shown and all(state["film"] and state["below"] for state in shown)
    assert all(state["said"].startswith("This cannot be cast. ") for state in refused)
    assert {image_of(state["png"]).width for state in shown} == {800}


def test_the_kept_page_loads_nothing_and_says_where_it_comes_from(kept):
    assert "default-src 'none'" in kept
    assert not LOADS.search(kept)
    words = " ".join(html.unescape(kept).replace("\N{NO-BREAK SPACE}", " ").split())
    assert [line for line in cautions_at("page to touch") if line not in words] == []
    assert "Computed beforehand by castlab 0.1.0" in words and "cells of 3 mm" in words
    assert "Properties of metals and moulds are known to 10 to 20 %" in words


def test_words_from_outside_are_escaped(bench):
    bad = {"said": '</script><b>"\'&', "below": "", "png": base64.b64encode(bench.png).decode()}
    states = [bad] * len(PAGES[0].states())
    page = page_of(PAGES[0], bench, states)
    assert kept_data(page)["states"] == [bad] and "<b>" not in page


@pytest.mark.slow
def test_what_cannot_be_cast_shows_the_reason_and_no_picture():
    bench = bench_for("eye plate", "thickness", "boss", "core")
    bench.set(boss=0.026, core=0.024)
    state = state_of(bench)
    assert bench.error is not None and state == {"said": state["said"], "below": ""}
    assert state["said"].startswith("This cannot be cast. ")


def test_a_film_is_packed_small_and_whole(bench):
    bench.start_again()
    state = state_of(bench)
    film = json.loads(zlib.decompress(base64.b64decode(state["film"]["told"])))
    assert len(film["times"]) == len(film["words"]) == 121 and "Nothing is closed yet" in film["words"][0]
    still, moments = (image_of(state["film"][name]) for name in ("still", "moments"))
    assert still.size == moments.size and moments.mode == "RGB"


def test_a_page_that_would_be_too_large_has_no_films(bench, monkeypatch):
    bench.start_again()
    states = [state_of(bench)] * len(PAGES[0].states())
    monkeypatch.setattr(page_module, "MOST_BYTES", 60_000)
    assert [state["film"] for state in kept_data(page_of(PAGES[0], bench, states))["states"]] == [None]


def test_castings_are_asked_for_in_portions_because_they_are_large():
    batches = list(in_portions(list(range(23))))
    assert [(len(batch.jobs), batch.more) for batch in batches] == [(10, 13), (10, 3), (3, 0)]
    assert [job.args[0] for batch in batches for job in batch.jobs] == list(range(23))


@pytest.mark.slow
def test_two_processes_compute_it_and_equal_setups_once():
    bench, work, seen = SMALL.bench(INCH_POUND), Work(), []
    states = compute(SMALL, bench, work, lambda done, whole: seen.append((done, whole)))
    assert len(states) == 4 and seen[-1] == (4, 4) and not work.running
    assert "in³" in states[2]["said"] and "cm³" not in states[2]["said"]
    page = page_of(SMALL, bench, states)
    assert kept_data(page)["sliders"][1]["stops"] == ["1.02 in", "1.57 in"]


@pytest.mark.slow
def test_stopped_half_way_nothing_is_written_and_an_older_page_stays(tmp_path, monkeypatch, capsys):
    def stopped(*_):
        raise KeyboardInterrupt

    (tmp_path / SMALL.file).write_text("older")
    monkeypatch.setattr(command, "PAGES", (SMALL,))
    monkeypatch.setattr(command, "bar", stopped)
    assert command.main([str(tmp_path)]) == 130
    assert (tmp_path / SMALL.file).read_text() == "older" and len(list(tmp_path.iterdir())) == 1
    assert "nothing was written" in capsys.readouterr().out


def test_a_folder_that_cannot_be_made_is_said(tmp_path, capsys):
    (tmp_path / "file").write_text("")
    assert command.main([str(tmp_path / "file" / "folder"), "--only", "first_casting"]) == 1
    assert "Not written" in capsys.readouterr().err
