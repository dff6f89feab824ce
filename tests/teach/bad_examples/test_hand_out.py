"""What is written for class and instructor: it opens, leaks nothing, is escaped, replaces nothing."""

import html.parser
import json
import re
import sys
from dataclasses import replace
from pathlib import Path

import nbformat
import pytest
from hypothesis import given
from hypothesis import strategies as st
from plans import followed

from castlab.errors import InputError
from castlab.field import cures
from castlab.field.diagnosis import CAUSES
from castlab.field.holes import Hole
from castlab.field.outcome import COARSE, Outcome, outcome_of
from castlab.plan import Batch, Job, run_here
from castlab.teach.bad_examples import hand_out, instructor_sheet
from castlab.teach.bad_examples.example_exercise import ANSWERS, EXERCISE, FOLDER, returned_notebook
from castlab.teach.bad_examples.hand_out import Material
from castlab.teach.bad_examples.student_notebook import CHECKED, notebook_of, paper_of
from castlab.teach.exercise.exercise import read_exercise, require_on_slider
from castlab.teach.marking import model_answer
from castlab.teach.marking.mark_table import SCHEME
from castlab.teach.text import pages
from castlab.teach.text.cautions import cautions_at
from castlab.units import raised

SMALL = replace(EXERCISE, allowed=("feeder_width",))
WICKED = 'Plate "<b>" & <script>alert(1)</script> | $x$ *y*'


@pytest.fixture(scope="module")
def material():
    """The truth, and what one slider can do: all computed, but for less than a minute."""
    truth = model_answer.truth_of(SMALL)
    allowed = run_here(model_answer.allowed_cures(SMALL))
    failing = run_here(cures.smallest_sound(SMALL.design(), cures.kind_of_cure(SMALL.design(), "cooler pour"),
                                            truth.outcome))
    return Material(truth, (*allowed, failing), allowed)


@pytest.fixture(scope="module")
def written(material, tmp_path_factory):
    """All files of an exercise, in a folder that was not there; to be read only."""
    folder = tmp_path_factory.mktemp("class") / "week 3"
    return dict(zip(("exercise", "notebook", "paper", "sheet", "sheet_page"),
                    hand_out.write(SMALL, folder, material), strict=True))


@pytest.fixture
def short(monkeypatch):
    """Files with one word each, where only the files count."""
    monkeypatch.setattr(hand_out, "texts_of", lambda exercise, material: ("new",) * 5)


# ---- the files


@pytest.mark.slow
def test_the_exercise_opens_again(written):
    assert read_exercise(written["exercise"].read_text()) == SMALL


def test_nothing_is_replaced_unless_it_is_asked_for(short, tmp_path):
    mine = tmp_path / hand_out.file_names(SMALL.title)[2]
    mine.write_text("my own notes")
    with pytest.raises(InputError, match="there already"):
        hand_out.write(SMALL, tmp_path, "material")
    assert list(tmp_path.iterdir()) == [mine] and mine.read_text() == "my own notes"
    hand_out.write(SMALL, tmp_path, "material", overwrite=True)
    assert mine.read_text() == "new" and len(list(tmp_path.iterdir())) == 5


def test_a_link_that_leads_nowhere_is_there_too(short, tmp_path):
    (tmp_path / hand_out.file_names(SMALL.title)[3]).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(InputError, match="there already"):
        hand_out.write(SMALL, tmp_path, "material")


def test_a_folder_that_cannot_be_is_an_error_of_the_system(short, tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(OSError):
        hand_out.write(SMALL, tmp_path / "file", "material")


@given(st.text(min_size=1, max_size=120))
def test_file_names_are_safe_whatever_the_title(title):
    names = hand_out.file_names(title)
    assert len(set(names)) == 5
    for name in names:
        assert re.fullmatch(r"[a-z0-9][a-z0-9_]*\.(json|ipynb|html|md)", name) and len(name) < 64


@pytest.mark.parametrize("title", ["../../x", "CON", "a/b\\c", ".hidden", "魚", "x" * 120])
def test_titles_stay_in_the_folder(title):
    assert {Path(name).name for name in hand_out.file_names(title)} == set(hand_out.file_names(title))


def test_the_plan_gives_what_the_sheet_needs(monkeypatch):
    """The two searches run side by side; here each asks for one pour, on large cells."""

    def search(_):
        return tuple((yield Batch([Job(outcome_of, SMALL.design(), COARSE)])))

    monkeypatch.setattr(hand_out.cures, "cures", search)
    monkeypatch.setattr(hand_out, "allowed_cures", search)
    found = run_here(hand_out.prepare(SMALL))
    assert found.truth.outcome.causes == ("freezes first",)
    assert found.cures[0].block == found.allowed[0].block == "boss"


def test_a_sound_casting_is_no_exercise():
    with pytest.raises(InputError, match="must have a hole"):
        model_answer.truth_of(replace(EXERCISE, values=EXERCISE.values | {"feeder_width": 0.040}))


# ---- the student's


@pytest.mark.slow
def test_the_notebook_is_a_good_one_and_runs_its_own_exercise(written, capsys):
    notebook = nbformat.read(written["notebook"], as_version=4)
    nbformat.validate(notebook)
    first = next(cell for cell in notebook.cells if cell.cell_type == "code")
    assert CHECKED in first.metadata.tags
    space = {}
    exec(first.source, space)
    assert capsys.readouterr().out == first.outputs[0].text
    assert space["task"].exercise == SMALL
    assert max(len(line) for cell in notebook.cells if cell.cell_type == "code"
               for line in cell.source.splitlines()) <= 110


@pytest.mark.slow
def test_the_students_files_tell_neither_where_nor_why(written, material):
    for name in ("exercise", "notebook"):
        text = written[name].read_text()
        assert material.truth.sentence not in text
        assert not any(words in text for words in CAUSES.values())
        assert not re.search(r"in the (boss|plate)\b", text)
    paper = written["paper"].read_text()
    assert material.truth.sentence not in paper
    for words in (*CAUSES.values(), *(f"in the {place}" for place in SMALL.places)):
        assert paper.count(words) == 1  # each is offered once, none is marked
    assert "checked" not in Tags(paper).attributes and "selected" not in Tags(paper).attributes


@pytest.mark.slow
def test_without_castlab_the_notebook_says_what_to_do(written, monkeypatch):
    notebook = nbformat.read(written["notebook"], as_version=4)
    assert "_student.html` with a browser instead" in notebook.cells[0].source
    first = next(cell for cell in notebook.cells if cell.cell_type == "code")
    monkeypatch.setitem(sys.modules, "castlab.teach.hand_in", None)  # as where it is not installed
    with pytest.raises(SystemExit, match="castlab is not installed here.*_student.html") as caught:
        exec(first.source, {})
    assert caught.value.__suppress_context__


@pytest.mark.slow
def test_the_page_alone_offers_every_setting_of_every_slider_and_no_other(written):
    """What it saves is read by the desk; the browser itself is asked in tests/browser."""
    page = Tags(written["paper"].read_text())
    assert page.data["exercise"] == SMALL.key and page.data["version"] == "2"
    (slider,) = SMALL.sliders()
    offered = [float(value) for value in page.options["feeder_width"] if value]
    assert offered == pytest.approx([0.002 * step for step in range(29)])  # 0 to 56 mm in steps of 2 mm
    for value in offered:
        require_on_slider(slider, value, SMALL.bench_values())
    assert page.radios == {"block": list(SMALL.places), "reason": list(CAUSES)}


def test_where_the_alloy_is_free_its_own_pouring_temperatures_are_offered():
    free = replace(EXERCISE, allowed=("alloy", "mould", "pour_temp_c", "feeder_width"))
    page = Tags(paper_of(free, b""))
    assert "A356" in page.options["alloy"] and len(page.groups) == len(page.options["alloy"]) - 1
    for value in page.options["pour_temp_c"][1:]:
        fits = 0
        for alloy in page.options["alloy"][1:]:
            try:
                free.require_cure({"alloy": alloy, "pour_temp_c": float(value)})
                fits += 1
            except InputError:
                pass
        assert fits


@pytest.mark.slow
def test_the_cautions_are_on_everything(written):
    places = {"notebook": "student's hand-out", "paper": "student's hand-out",
              "sheet": "instructor's sheet", "sheet_page": "instructor's sheet"}
    for name, place in places.items():
        text = html.unescape(written[name].read_text())
        assert [line for line in cautions_at(place) if line not in text] == [], name


# ---- the instructor's


@pytest.mark.slow
def test_the_sheet_says_why_what_cures_and_what_it_is_worth(written, material):
    text = written["sheet"].read_text()
    assert raised(material.truth.sentence) in text
    assert "Place: in the boss (100 % of all holes)." in text
    assert CAUSES["freezes first"] in text
    assert "feeder width from 20 mm (0.787 in) to 28 mm (1.1 in)" in text
    failing = next(cure for cure in material.cures if cure.key == "cooler pour")
    assert re.search(rf"\| cooler pour \| {failing.setting:.0f} °C \(\d+ °F\) \| no \|", text)
    assert all(words in text for name, words in SCHEME.items() if SMALL.marks[name])
    assert "| sum | 12 |" in text


@pytest.mark.slow
def test_the_model_answer_is_sound_and_can_be_set(material):
    best = material.allowed[0]
    SMALL.require_cure(dict(best.changes))
    assert outcome_of(SMALL.design(**dict(best.changes))).sound
    assert [cure.outcome.poured_kg for cure in material.allowed] == sorted(
        cure.outcome.poured_kg for cure in material.allowed)


@pytest.mark.slow
def test_without_a_cure_the_sheet_says_so(material, tmp_path):
    sheet = instructor_sheet.sheet_of(SMALL, replace(material, allowed=()), b"")
    text = pages.to_markdown(hand_out.SHEET, **sheet)
    assert "No cure was found that these sliders and this pot allow" in text


def follow(exercise, solve):
    """Follow the search with a made-up solver; returns what it found and all designs that it asked for."""
    found, asked = followed(model_answer.allowed_cures(exercise), lambda design, *_: solve(design))
    return found, [design for design, *_ in asked]


def made_up(design):
    """Sound from a feeder of 30 mm on, or with a chill of 20 mm, whatever the rest is."""
    width, chill = design.values["feeder_width"], design.values["chill_thickness"]
    sound = width >= 0.030 or chill >= 0.020
    return Outcome("sound" if sound else "defective", defect_share=0.0 if sound else 0.1,
                   holes=(Hole("sink", "boss", 1e-6, (0.1, 0.0), 90.0),),
                   causes=() if sound else ("freezes first",), poured_kg=0.7 + 10.0 * width)


def test_the_search_stays_within_the_sliders_and_the_pot():
    only_width = replace(EXERCISE, allowed=("feeder_width",))
    found, asked = follow(only_width, made_up)
    assert all(design == only_width.design(feeder_width=design.values["feeder_width"]) for design in asked)
    assert max(design.values["feeder_width"] for design in asked) <= 0.056
    assert found[0].outcome.poured_kg == pytest.approx(1.0)  # 30 mm: the least that is sound
    assert follow(replace(only_width, most_metal_kg=0.95), made_up)[0] == ()


def test_the_lightest_cure_comes_first():
    found, _ = follow(EXERCISE, made_up)
    assert found[0].outcome.poured_kg == pytest.approx(0.9)  # the chill, beside the feeder as it is
    poured = [cure.outcome.poured_kg for cure in found]
    assert poured == sorted(poured) and len(poured) > 1


@pytest.mark.slow
def test_the_saw_goes_through_the_hole(material):
    cut, place, *_ = instructor_sheet.where_to_saw(SMALL, material.truth)
    assert "20 mm (0.787 in) from either side of the boss" in cut  # the boss is 40 mm wide
    assert "in the boss" in place
    # the boss begins 120 mm from the left end and is 40 mm long and high
    left, above = (float(words) for words in re.findall(r"([\d.]+) mm", place))
    assert 120 <= left <= 160 and 0 <= above <= 40


@pytest.mark.slow
def test_the_pour_sheet_agrees_with_the_exercise(material):
    rows = dict(instructor_sheet.pour_rows(SMALL, material.truth))
    assert rows["poured at"].startswith("475 °C")
    # ZA-12 is poured between its liquidus, 432 °C, and 540 °C: 475 is 43 above
    assert "43 K" in rows["poured at"]
    # finished 160 mm; 27e-6 a kelvin over about 360 kelvin make 1.0 %: 161.6 mm
    size = float(rows["pattern, length over all"].split()[0])
    assert 161.2 < size < 161.9
    assert "more than that" in rows["weigh in"]


# ---- words are only words


class Tags(html.parser.HTMLParser):
    """What a page is made of: tags, attributes, and what a form offers."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.sources, self.attributes, self.data = [], [], set(), {}
        self.options, self.radios, self.groups, self.scripts = {}, {}, [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes |= {name for name, _ in attrs}
        self.sources += [value for name, value in attrs if name in ("src", "href", "onload", "onerror")]
        given = dict(attrs)
        if tag == "form":
            self.data = {name.removeprefix("data-"): value for name, value in attrs}
        elif tag == "select":
            self.options[given["data-slider"]] = []
        elif tag == "option":
            self.options[list(self.options)[-1]].append(given["value"])
        elif tag == "optgroup":
            self.groups.append(given["label"])
        elif given.get("type") == "radio":
            self.radios.setdefault(given["name"], []).append(given["value"])

    def handle_data(self, text):
        if self.tags[-1:] == ["script"] and text.strip():
            self.scripts.append(text)


@pytest.mark.slow
def test_a_wicked_title_is_only_a_title(material, tmp_path):
    wicked = replace(SMALL, title=WICKED)
    paths = hand_out.write(wicked, tmp_path, material)
    assert read_exercise(paths[0].read_text()).title == WICKED
    harmless = Tags(paper_of(SMALL, b"")).scripts
    for path, scripts in ((paths[2], harmless), (paths[4], [])):
        found = Tags(path.read_text())
        assert not {"b", "iframe", "link"} & set(found.tags)
        assert found.scripts == scripts and found.tags.count("script") == len(scripts) <= 1
        assert all(source.startswith("data:image/png;base64,") for source in found.sources)
        assert len(found.sources) == 1
    notebook = nbformat.read(paths[1], as_version=4)
    nbformat.validate(notebook)
    for text in (notebook.cells[0].source, paths[3].read_text()):
        assert "<script>" not in text and r"\<script\>" in text and r"\$x\$ \*y\*" in text


@given(st.text(alphabet=st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=60))
def test_any_title_makes_a_notebook_that_runs(title):
    exercise = replace(SMALL, title=title)
    notebook = notebook_of(exercise)
    nbformat.validate(nbformat.from_dict(notebook))
    source = next(cell["source"] for cell in notebook["cells"] if cell["cell_type"] == "code")
    assert read_exercise(eval("(" + re.search(r"HandIn\((.*)\)\n", source, re.DOTALL)[1] + ")")) == exercise


# ---- the example in the repository


def test_the_example_is_what_the_code_writes():
    names = hand_out.file_names(EXERCISE.title)
    assert read_exercise((FOLDER / names[0]).read_text(encoding="utf-8")) == EXERCISE
    stored = json.loads((FOLDER / names[1]).read_text(encoding="utf-8"))
    assert stored == notebook_of(EXERCISE)
    for stem, answer in ANSWERS.items():
        stored = json.loads((FOLDER / "returned" / f"{stem}.ipynb").read_text(encoding="utf-8"))
        assert stored == returned_notebook(EXERCISE, answer)


def test_the_examples_sheet_is_not_stale():
    names = hand_out.file_names(EXERCISE.title)
    truth = model_answer.truth_of(EXERCISE)
    for name in names[3:]:
        text = html.unescape((FOLDER / name).read_text(encoding="utf-8")).replace("\xa0", " ")
        assert raised(truth.sentence) in text
