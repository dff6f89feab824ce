"""A kept file is whole at every moment, whoever writes it and whatever ends the writer."""

import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from castlab.teach.work import kept_file
from castlab.teach.work.kept_file import change_text, read_text, set_aside

ROOT = Path(__file__).resolve().parents[3]
# It says a number only once it is in the file; then whatever happens, that number must be there.
COUNTING = """
import json, sys
from castlab.teach.work.kept_file import change_text
path, name, most = sys.argv[1], sys.argv[2], int(sys.argv[3])
def with_one_more(text):
    counted = json.loads(text) if text else {}
    counted.setdefault(name, []).append(len(counted[name]))
    return json.dumps(counted | {"ballast": "x" * 20000})
for number in range(most):
    change_text(path, with_one_more)
    print(number, flush=True)
"""


def counting(path, name="a", most=10**9, **options):
    return subprocess.Popen([sys.executable, "-c", COUNTING, str(path), name, str(most)], cwd=ROOT,
                            stdout=subprocess.PIPE, text=True, **options)


def killed_at_a_random_moment(path, chance):
    """Let it write, kill it, and return the numbers that it had said were kept."""
    writer = counting(path)
    first = writer.stdout.readline()
    time.sleep(chance.uniform(0.0, 0.02))
    os.kill(writer.pid, signal.SIGKILL)
    rest, _ = writer.communicate()
    return [int(line) for line in (first + rest).splitlines(keepends=True) if line.endswith("\n")]


def lost_in(kills, folder, seed):
    """After each of so many kills, the file must be whole and hold what was said; the last is not removed,
    so that each writer goes on with what a killed one left."""
    chance, path, before = random.Random(seed), folder / "kept.json", 0
    for _ in range(kills):
        said = killed_at_a_random_moment(path, chance)
        kept = json.loads(read_text(path))["a"]
        assert kept == list(range(len(kept)))  # whole, and in order
        assert said and before + len(said) <= len(kept) <= before + len(said) + 1, (said, before, len(kept))
        before = len(kept)


needs_kill = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="a system without SIGKILL")


@needs_kill
def test_a_few_kills_while_writing_lose_nothing_that_was_said(tmp_path):
    lost_in(20, tmp_path, seed=1)


@needs_kill
@pytest.mark.slow
def test_a_thousand_kills_while_writing_lose_nothing_that_was_said(tmp_path):
    lost_in(1000, tmp_path, seed=2)


def test_two_writers_at_once_lose_nothing_of_each_other(tmp_path):
    path, most = tmp_path / "kept.json", 60
    writers = [counting(path, name, most) for name in "ab"]
    for writer in writers:
        writer.communicate()
        assert writer.returncode == 0
    kept = json.loads(read_text(path))
    assert kept["a"] == kept["b"] == list(range(most))


@pytest.mark.slow
def test_who_reads_while_it_is_written_never_sees_half(tmp_path):
    path = tmp_path / "kept.json"
    writer, seen = counting(path, most=150), set()
    while writer.poll() is None:
        text = read_text(path)
        if text is not None:
            seen.add(len(json.loads(text)["a"]))
    writer.communicate()
    assert len(seen) > 5


def test_text_of_all_kinds_comes_back(tmp_path):
    path = tmp_path / "kept.txt"
    for text in ("", "Ärger, 溶解, £ 5\n", "a\r\nb\n", "x" * 10**6):
        assert change_text(path, lambda _, text=text: text) == text
        assert path.read_bytes().decode() == text


def test_no_file_is_none_and_what_is_the_same_is_not_written(tmp_path):
    path = tmp_path / "kept.txt"
    assert read_text(path) is None
    change_text(path, lambda text: "same" if text is None else pytest.fail(text))
    before = path.stat().st_ino
    change_text(path, lambda text: text)
    assert path.stat().st_ino == before


def test_what_the_change_raises_leaves_the_file_alone_and_free(tmp_path):
    path = tmp_path / "kept.txt"
    change_text(path, lambda _: "as it was")
    with pytest.raises(ZeroDivisionError):
        change_text(path, lambda _: 1 / 0)
    assert change_text(path, lambda text: text + "!") == "as it was!"


def test_a_disk_that_is_full_leaves_the_old_text(tmp_path):
    """A limit on the size of files is as near to a full disk as a test gets: the write itself fails."""
    resource = pytest.importorskip("resource")
    path = tmp_path / "kept.json"
    change_text(path, lambda _: '{"a": [0, 1, 2]}')
    full = counting(path, most=1, stderr=subprocess.PIPE,
                    preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000)))
    _, words = full.communicate()
    assert full.returncode != 0 and "OSError" in words
    assert read_text(path) == '{"a": [0, 1, 2]}'
    assert [each.name for each in tmp_path.iterdir() if each.suffix == ".new"] == []


def test_a_folder_that_cannot_be_written_is_said_by_the_system(tmp_path):
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(OSError):
        change_text(tmp_path / "file" / "kept.txt", lambda _: "new")


def test_another_window_that_holds_the_file_is_waited_for_and_then_said(tmp_path, monkeypatch):
    path = tmp_path / "kept.txt"
    monkeypatch.setattr(kept_file, "PATIENCE_SECONDS", 0.1)
    with kept_file._held(path.resolve()):
        with pytest.raises(TimeoutError, match="another window holds kept.txt"):
            change_text(path, lambda _: "new")
    assert read_text(path) is None
    monkeypatch.setattr(kept_file, "PATIENCE_SECONDS", 10.0)
    holding, free = threading.Event(), threading.Event()

    def hold():
        with kept_file._held(path.resolve()):
            holding.set()
            free.wait(5)

    holder = threading.Thread(target=hold)
    holder.start()
    holding.wait(5)
    threading.Timer(0.2, free.set).start()
    assert change_text(path, lambda _: "new") == "new"
    holder.join()


def test_what_is_no_text_is_said_and_left(tmp_path):
    path = tmp_path / "kept.txt"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(UnicodeDecodeError):
        change_text(path, lambda _: "new")
    assert path.read_bytes() == b"\xff\xfe\x00"
    assert set_aside(path, "of Ida/Otto").name == "kept (of Ida_Otto).txt" and read_text(path) is None


def test_a_link_stays_a_link(tmp_path):
    real, link = tmp_path / "real.txt", tmp_path / "link.txt"
    change_text(real, lambda _: "old")
    link.symlink_to(real)
    change_text(link, lambda text: text + " and new")
    assert link.is_symlink() and read_text(real) == "old and new"
