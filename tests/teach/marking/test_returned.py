"""Returned files are read as data: whatever is in one, it is reported, the others go on, nothing is run."""

import json
import os
import random
import shutil
import sys
import tempfile
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.teach.bad_examples.example_exercise import ANSWERS, EXERCISE, returned_notebook, write_returned
from castlab.teach.exercise.exercise import answer_file_name, answer_text
from castlab.teach.marking import returned
from castlab.teach.marking.mark_table import unmarked
from castlab.units import INCH_POUND, METRIC

GOOD, OTHER = ANSWERS["ida"], ANSWERS["otto"]
NOTEBOOK = json.dumps(returned_notebook(EXERCISE, GOOD))
LINE = answer_text(GOOD)


def collect(folder):
    return returned.collect(folder, EXERCISE)


@pytest.fixture(autouse=True, scope="module")
def all_is_loaded(tmp_path_factory):
    """What Python loads when it is first needed, it runs: that is done before anything is watched."""
    folder = tmp_path_factory.mktemp("first")
    (folder / "x.json").write_text("{")
    write_returned(folder, "ann", EXERCISE, GOOD)
    collect(folder)


def alone(folder, name, content):
    """What is found in a folder with one file of that content beside a good one, which must go on."""
    write_returned(folder, "zoe", EXERCISE, OTHER)
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    *found, zoe = collect(folder)
    assert zoe.answer == OTHER and len(found) == 1
    return found[0]


def with_output(text):
    """A notebook whose last cell has printed this."""
    notebook = returned_notebook(EXERCISE, GOOD)
    notebook["cells"][-1]["outputs"] = [{"output_type": "stream", "name": "stdout", "text": text}]
    return json.dumps(notebook)


# ---- what is good


def test_notebook_and_file_beside_it_are_one_answer(tmp_path):
    write_returned(tmp_path, "ann", EXERCISE, GOOD)
    (found,) = collect(tmp_path)
    assert found == returned.Returned(("ann.ipynb", "ann.json"), GOOD)


@pytest.mark.parametrize("name, content", [("ann.ipynb", NOTEBOOK), ("ann.json", LINE), ("ANN.JSON", LINE)])
def test_either_of_the_two_is_enough(tmp_path, name, content):
    assert alone(tmp_path, name, content) == returned.Returned((name,), GOOD)


def test_a_mark_at_the_beginning_and_lines_of_another_system_are_read(tmp_path):
    assert alone(tmp_path, "ann.json", b"\xef\xbb\xbf" + LINE.encode() + b"\r\n").answer == GOOD


def test_output_in_pieces_is_read(tmp_path):
    assert alone(tmp_path, "ann.ipynb", with_output([LINE[:50], LINE[50:], "\n", "Saved"])).answer == GOOD


def test_the_same_answer_printed_twice_is_one(tmp_path):
    assert alone(tmp_path, "ann.ipynb", with_output(f"{LINE}\n{LINE}\n")).answer == GOOD


def test_a_renamed_copy_is_one_answer_of_one_student(tmp_path):
    (tmp_path / "answer.json").write_text(LINE)
    (tmp_path / "ann (1).ipynb").write_text(NOTEBOOK)
    assert collect(tmp_path) == (returned.Returned(("ann (1).ipynb", "answer.json"), GOOD),)


def test_an_empty_folder_holds_nothing(tmp_path):
    assert collect(tmp_path) == ()


def test_hidden_files_are_passed_over(tmp_path):
    (tmp_path / ".ipynb_checkpoints").mkdir()
    (tmp_path / ".ann.json").write_text("x")
    assert collect(tmp_path) == ()


# ---- a folder for each student, as course systems export them


def class_of_25(root):
    """What comes out of a course system: a folder a student, all notebooks of one name; some go wrong."""
    for number in range(25):
        own = root / f"Student {number:02}_{1000 + number}"
        own.mkdir(parents=True)
        answer = replace(GOOD, name=f"Student {number}", number=str(1000 + number),
                         values=GOOD.values | {"feeder_width": 0.026 + 0.002 * (number % 8)})
        notebook = json.dumps(returned_notebook(EXERCISE, answer))
        if number == 3:
            continue  # an empty folder
        if number == 5:
            notebook = notebook[: len(notebook) // 2]
        if number != 7:
            (own / "the_eye_plate_student.ipynb").write_text(notebook)
        if number != 5:
            (own / answer_file_name(answer.name)).write_text(answer_text(answer))
    (root / "Student 08_1008" / "photo.jpg").write_bytes(b"\xff\xd8")
    other = answer_text(replace(GOOD, name="Student 9"))
    (root / "Student 09_1009" / "Student_9_answer.json").write_text(other)


def test_25_papers_are_read_from_nested_folders(tmp_path):
    class_of_25(tmp_path)
    found = {each.folder.partition("_")[0].removeprefix("Student "): each for each in collect(tmp_path)}
    assert len(found) == 25
    bad = {key: str(each.problem) for key, each in found.items() if each.problem}
    assert set(bad) == {"03", "05", "09"}
    assert bad["03"] == "the folder is empty"
    assert "whole JSON" in bad["05"] and "different answers" in bad["09"]
    for key, each in found.items():
        if key not in bad:
            assert (each.answer.name, each.answer.number) == (f"Student {int(key)}", str(1000 + int(key)))
            assert all(name.startswith(f"Student {key}_10{key}/") for name in each.files)
    assert len(found["07"].files) == 1 and "photo.jpg: file is of another kind" in str(found["08"].remark)
    assert [key for key, each in found.items() if each.remark] == ["08"]


def test_the_same_answer_in_two_folders_is_of_two_students(tmp_path):
    for name in ("ann", "bo"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "answer.json").write_text(LINE)
    assert [each.folder for each in collect(tmp_path) if each.answer == GOOD] == ["ann", "bo"]


def test_folders_and_loose_files_are_read_together_and_litter_is_passed_over(tmp_path):
    write_returned(tmp_path, "zoe", EXERCISE, OTHER)
    for name in ("bo", "bo/deeper", "__MACOSX"):
        (tmp_path / name).mkdir()
    (tmp_path / "bo" / "x.json").write_text(LINE)
    (tmp_path / "Thumbs.db").write_bytes(b"x")
    bo, zoe = collect(tmp_path)
    assert (bo.answer, zoe.answer, zoe.folder) == (GOOD, OTHER, "")
    assert bo.files == ("bo/deeper", "bo/x.json") and "bo/deeper: file is a folder" in str(bo.remark)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="whoever may read everything")
def test_a_folder_that_cannot_be_read_is_said_so(tmp_path):
    write_returned(tmp_path, "zoe", EXERCISE, OTHER)
    (tmp_path / "ann").mkdir(mode=0)
    ann, zoe = collect(tmp_path)
    assert "cannot be read" in ann.problem and zoe.answer == OTHER


def test_a_folder_that_is_a_link_is_not_followed(tmp_path):
    write_returned(tmp_path, "zoe", EXERCISE, OTHER)
    root = tmp_path / "returned"
    root.mkdir()
    (root / "ann").symlink_to(tmp_path, target_is_directory=True)
    (found,) = collect(root)
    assert "a link" in str(found.problem)


# ---- what disagrees


def test_notebook_and_file_that_disagree_are_reported(tmp_path):
    write_returned(tmp_path, "ann", EXERCISE, GOOD)
    (tmp_path / "ann.json").write_text(answer_text(replace(GOOD, block="plate")))
    (found,) = collect(tmp_path)
    assert found.answer is None
    assert "different answers in ann.ipynb and ann.json" in found.problem


def test_two_answers_in_one_notebook_are_reported(tmp_path):
    text = f"{LINE}\n{answer_text(replace(GOOD, reason='runs empty'))}\n"
    assert "different answers in ann.ipynb" in alone(tmp_path, "ann.ipynb", with_output(text)).problem


def test_a_broken_notebook_beside_a_good_file_is_remarked(tmp_path):
    (tmp_path / "ann.json").write_text(LINE)
    (tmp_path / "ann.ipynb").write_text(NOTEBOOK[:700])
    (found,) = collect(tmp_path)
    assert found.answer == GOOD and "ann.ipynb: notebook" in str(found.remark)


def test_one_name_on_two_answers_is_remarked(tmp_path):
    (tmp_path / "a.json").write_text(LINE)
    (tmp_path / "b.json").write_text(answer_text(replace(GOOD, name="IDA", block="plate")))
    assert [str(each.remark) for each in collect(tmp_path)] == ["another answer bears the same name"] * 2


def test_a_name_in_two_unicode_forms_is_one_name(tmp_path):
    """An e with its dots in one character, and as two: nobody who reads it sees a difference."""
    (tmp_path / "a.json").write_text(answer_text(replace(GOOD, name="Zo\u00eb")))
    (tmp_path / "b.json").write_text(answer_text(replace(GOOD, name="ZOE\u0308", block="plate")))
    assert [str(each.remark) for each in collect(tmp_path)] == ["another answer bears the same name"] * 2


def test_files_whose_names_differ_in_unicode_form_only_belong_together(tmp_path):
    (tmp_path / "zo\u00eb.ipynb").write_text(NOTEBOOK)
    (tmp_path / "zoe\u0308.json").write_text(answer_text(replace(GOOD, block="plate")))
    (found,) = collect(tmp_path)
    assert "different answers" in str(found.problem)


# ---- what cannot be used


@pytest.mark.parametrize(
    "name, content, says",
    [
        ("ann.ipynb", "", "empty"),
        ("ann.ipynb", NOTEBOOK[:-40], "whole JSON"),
        ("ann.ipynb", NOTEBOOK.encode("utf-16"), "text in UTF-8"),
        ("ann.ipynb", b"\x00\xff\xfe" * 50, "text in UTF-8"),
        ("ann.ipynb", "PK\x03\x04", "whole JSON"),
        ("ann.ipynb", "[" * 1_000_000, "whole JSON"),
        ("ann.ipynb", '{"cells": ' + "9" * 5000 + "}", "whole JSON"),
        ("ann.ipynb", '{"cells": 5}', "Jupyter notebook"),
        ("ann.ipynb", '{"worksheets": []}', "Jupyter notebook"),
        ("ann.ipynb", LINE, "Jupyter notebook"),
        ("ann.ipynb", '{"cells": [5, null, {"outputs": 3}, {"outputs": [1, {"text": {}}]}]}', "no answer"),
        ("ann.ipynb", NOTEBOOK.replace('\\"castlab\\": \\"answer\\"', ""), "no answer"),
        ("ann.ipynb", with_output("Not handed in yet."), "no answer"),
        ("ann.ipynb", with_output(LINE.replace("0.034", "0.5")), "between 0 mm and"),
        ("ann.ipynb", with_output(LINE.replace("0.034", "NaN")), "no number"),
        ("ann.ipynb", with_output(LINE.replace("0.034", "1e999")), "no number"),
        ("ann.ipynb", with_output((LINE + "\n") * 51), "at most"),
        ("ann.ipynb", with_output(LINE + " " * 300_000), "at most 200000"),
        ("ann.json", "", "empty"),
        ("ann.json", "null", "JSON object"),
        ("ann.json", NOTEBOOK, "JSON object"),
        ("ann.json", LINE.replace('"version": 2', '"version": 3'), "reads version 2"),
        ("ann.json", LINE.replace(EXERCISE.key, "0" * 12), "to exercise"),
        ("ann.json", LINE.replace('"name"', '"name": "x", "name"'), "stands in it twice"),
        ("ann.json", "x" * 300_000, "at most 0.2 MB"),
        ("ann.json", LINE + LINE, "whole JSON"),
        ("ann.txt", LINE, "must be a notebook"),
        ("ann.ipynb.exe", "MZ", "must be a notebook"),
    ],
)
def test_what_cannot_be_used_is_reported_by_file_and_reason(tmp_path, name, content, says):
    found = alone(tmp_path, name, content)
    assert found.answer is None and found.files == (name,)
    assert says in str(found.problem) and len(str(found.problem)) < 1000


def test_a_file_of_200_mb_is_not_read(tmp_path):
    with open(tmp_path / "big.ipynb", "wb") as file:
        file.truncate(200_000_000)
    with watched() as seen:
        (found,) = collect(tmp_path)
    assert "size is 200 MB" in str(found.problem)
    assert not [path for path, _ in seen["open"] if str(path).endswith("big.ipynb")]


def test_links_are_not_followed_and_empty_folders_are_said_so(tmp_path):
    secret, folder = tmp_path / "secret.json", tmp_path / "returned"
    secret.write_text(LINE)
    (folder / "ann.ipynb").mkdir(parents=True)
    (folder / "more").mkdir()
    (folder / "link.json").symlink_to(secret)
    (folder / "loop.ipynb").symlink_to(folder / "loop.ipynb")
    (folder / "away.json").symlink_to("/dev/zero")
    problems = {each.files[0]: str(each.problem) for each in collect(folder)}
    assert set(problems) == {"ann.ipynb/", "more/", "link.json", "loop.ipynb", "away.json"}
    assert all("a link" in problems[name] for name in ("link.json", "loop.ipynb", "away.json"))
    assert problems["ann.ipynb/"] == problems["more/"] == "the folder is empty"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="a system without named pipes")
def test_a_pipe_does_not_hold_the_desk_up(tmp_path):
    os.mkfifo(tmp_path / "wait.json")
    (found,) = collect(tmp_path)
    assert "must be a file" in str(found.problem)


@pytest.mark.parametrize("name", ["=cmd.json", "..json", "a\nb.json", "<b>.json", "\u202egno.json", "'.json"])
def test_strange_names_are_names_and_nothing_else(tmp_path, name):
    (tmp_path / name).write_text(LINE)
    for each in collect(tmp_path):
        assert all(words.isprintable() for words in each.files)


def test_a_name_that_is_no_text_is_shown_all_the_same(tmp_path):
    try:
        (tmp_path / os.fsdecode(b"\xff\xfe.json")).write_text(LINE)
    except OSError:
        pytest.skip("a system that knows no such names")
    (found,) = collect(tmp_path)
    assert found.answer == GOOD and found.files[0].encode("utf-8")


@pytest.mark.parametrize("folder", ["nowhere", "a.json", "nul\0l", "x" * 5000])
def test_a_folder_that_is_none_is_refused(tmp_path, folder):
    (tmp_path / "a.json").write_text(LINE)
    with pytest.raises(InputError, match="folder"):
        collect(f"{tmp_path}/{folder}")


def test_too_full_a_folder_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(returned, "MOST_FILES", 2)
    for number in range(3):
        (tmp_path / f"{number}.json").write_text(LINE)
    with pytest.raises(InputError, match="3 files"):
        collect(tmp_path)


# ---- nothing is run


class Watch(dict):
    """What Python reports to have done while it is on."""

    on = False


SEEN = Watch()
DEEDS = ("exec", "compile", "os.system", "subprocess.Popen", "os.exec", "os.posix_spawn", "pickle.find_class",
         "socket.connect", "os.remove", "os.rename", "shutil.rmtree", "ctypes.dlopen")


def listen(event, arguments):
    if SEEN.on and (event == "open" or event in DEEDS):
        SEEN.setdefault(event, []).append(arguments[:2])


sys.addaudithook(listen)


@contextmanager
def watched():
    SEEN.clear()
    SEEN["open"] = []
    SEEN.on = True
    try:
        yield SEEN
    finally:
        SEEN.on = False


def test_the_watch_sees_what_is_run(tmp_path):
    with watched() as seen:
        exec("1 + 1")
        (tmp_path / "x").write_text("x")
    assert "exec" in seen and seen["open"][0][1] == "w"


def test_nothing_in_a_file_is_run(tmp_path):
    trap = tmp_path / "trap"
    source = f"open({str(trap)!r}, 'w').write('run')"
    folder = tmp_path / "returned"
    folder.mkdir()
    notebook = returned_notebook(EXERCISE, GOOD)
    for cell in notebook["cells"]:
        cell["source"] = source
    (folder / "a.ipynb").write_text(json.dumps(notebook))
    for number, words in enumerate((
        f'{{"py/reduce": [{{"py/function": "os.system"}}, ["touch {trap}"]]}}',
        f'!!python/object/apply:os.system ["touch {trap}"]',
        f"__import__('os').system('touch {trap}')",
        f"cos\nsystem\n(S'touch {trap}'\ntR.",
    )):
        (folder / f"{number}.json").write_text(words)
        (folder / f"v{number}.json").write_text(json.dumps(json.loads(LINE) | {"words": words, "values": {}}))
        (folder / f"n{number}.json").write_text(json.dumps(json.loads(LINE) | {"values": {"boss": words}}))
    with watched() as seen:
        found = {each.files[0]: each for each in collect(folder)}
    assert not trap.exists()
    assert found["a.ipynb"].answer == GOOD  # what was printed counts, not the code
    assert found["v0.json"].answer and not found["0.json"].answer and not found["n0.json"].answer
    assert set(seen) == {"open"} and all(mode in ("r", "rb") for _, mode in seen["open"])


# ---- anything at all


WILD_BYTES = (b"", b"0", b'"', b"{", b"]", b"\\", b"\xff", b"\x00", b"NaN", b"1e999", b"-", b"null",
              b"9" * 30, b"[" * 50, b'"castlab": "answer"', b"\xe2\x80\xae")
WILD_VALUES = (None, True, -1, 0, 1e308, float("nan"), float("inf"), 10**30, "", "x" * 70, "=1+1", [], {},
               [[]], {"castlab": "answer"}, "boss", "\ud800", "../../x", 0.034)


def mutated(text, random_state):
    """A file's text with some of its bytes changed, or some of its values."""
    data = bytearray(text.encode())
    for _ in range(random_state.randint(1, 6)):
        at, length = random_state.randrange(len(data) + 1), random_state.choice((0, 1, 1, 2, 8, 200))
        data[at : at + length] = random_state.choice(WILD_BYTES)
    return bytes(data)


def changed_somewhere(value, random_state):
    """A value of JSON with one part of it replaced by something else."""
    if isinstance(value, (dict, list)) and value and random_state.random() < 0.85:
        keys = list(value) if isinstance(value, dict) else range(len(value))
        key = random_state.choice(list(keys))
        copy = dict(value) if isinstance(value, dict) else list(value)
        copy[key] = changed_somewhere(value[key], random_state)
        return copy
    return random_state.choice(WILD_VALUES)


def one_mutation(number):
    """The files of one student, after something happened to them."""
    random_state = random.Random(number)
    notebook, answer = returned_notebook(EXERCISE, GOOD), json.loads(LINE)
    if random_state.random() < 0.5:
        answer = changed_somewhere(answer, random_state)
        if random_state.random() < 0.5:
            notebook = json.loads(with_output(json.dumps(answer, sort_keys=True)))
    elif random_state.random() < 0.5:
        notebook = changed_somewhere(notebook, random_state)
    files = {"ann.ipynb": json.dumps(notebook).encode(), "ann.json": json.dumps(answer).encode()}
    if random_state.random() < 0.5:
        name = random_state.choice(list(files))
        files[name] = mutated(files[name].decode(), random_state)
    if random_state.random() < 0.3:
        files.pop(random_state.choice(list(files)))
    return files


def read_one(folder, files, nested=False):
    """Read one student's files; they give an answer that can be poured, or a reason, and never both."""
    own = Path(folder) / ("own" if nested else "")
    shutil.rmtree(folder)
    own.mkdir(parents=True)
    for name, content in files.items():
        (own / name).write_bytes(content)
    with watched() as seen:
        (found,) = collect(folder)
    assert set(seen) == {"open"} and all(mode in ("r", "rb") for _, mode in seen["open"])  # nothing is run
    assert len(found.files) == len(files) and bool(found.answer) != bool(found.problem)
    if found.answer:
        EXERCISE.require_cure(found.answer.values)
        assert found.answer.name and found.answer.block in EXERCISE.places
    for words in (*found.files, str(found.problem), str(found.remark)):
        assert words.isprintable() and len(words) < 3000
    return found


def read_mutations(count):
    """Read so many mutated files; returns how many still gave an answer and how many did not."""
    tally = {True: 0, False: 0}

    @settings(max_examples=count, database=None)
    @given(st.integers(0, 2**63))
    def each(number):
        tally[read_one(folder, one_mutation(number), nested=number % 2).answer is not None] += 1

    with tempfile.TemporaryDirectory() as folder:
        each()
    return tally


def test_mutated_files_are_answers_or_reported():
    tally = read_mutations(200)
    assert min(tally.values()) > 20  # or the mutations are all too wild, or all too tame


@pytest.mark.slow
def test_ten_thousand_mutated_files_are_answers_or_reported():
    tally = read_mutations(10_000)
    assert min(tally.values()) > 1000


@settings(max_examples=100)
@given(st.binary(max_size=300), st.sampled_from(["a.ipynb", "a.json"]))
def test_any_bytes_are_reported(content, name):
    with tempfile.TemporaryDirectory() as folder:
        found = read_one(folder, {name: content})
    assert found.problem


@pytest.mark.parametrize("name", ["team 3 g.ipynb", "50 mm {} 3 K.ipynb"])
def test_the_name_of_a_file_is_the_same_in_all_units_and_what_is_wrong_in_it_is_not(tmp_path, name):
    found = alone(tmp_path, name, with_output(LINE.replace("0.034", "0.5")))
    assert found.files == (name,)
    for units, says in ((METRIC, "is 500 mm: it must lie between 0 mm and 56 mm"),
                        (INCH_POUND, "is 19.7 in: it must lie between 0 in and 2.2 in")):
        words = unmarked(found, units).problem
        assert words.startswith(f"{name}: ") and says in words
