"""A Python without processes, threads and locks, as a browser has it, loads the room of work and uses it."""

import os
import subprocess
import sys

BROWSER = """
import sys, threading, types
import ipywidgets
sys.modules["fcntl"] = types.ModuleType("fcntl")  # it is there, and knows no locks
sys.modules["multiprocessing"] = None  # importing it fails
threading.Thread.start = lambda thread: sys.exit("a thread was started")
sys.platform = "emscripten"

from castlab.plan import map_over
from castlab.teach.work.kept_file import change_text, set_aside
from castlab.teach.work.progress import Work

work = Work()
work.start(map_over(abs, [-1, 2]))
print(work.wait(60), change_text("kept.txt", lambda text: "one"), change_text("kept.txt", str.upper))
print(set_aside("kept.txt", "old").name)
"""


def test_work_and_kept_files_go_without_processes_threads_and_locks(tmp_path):
    done = subprocess.run([sys.executable, "-c", BROWSER], cwd=tmp_path, capture_output=True, text=True,
                          env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)})
    assert (done.stdout.splitlines(), done.stderr) == (["[1, 2] one ONE", "kept (old).txt"], "")
    assert done.returncode == 0
