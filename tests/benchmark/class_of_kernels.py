"""A class on one server, without the browsers: python -m tests.benchmark.class_of_kernels [25]

So many kernels of one JupyterLab server have lesson 1 open with its result shown. A slider's message is sent
as the page sends it, over the same websocket; how long until the new picture comes back is taken when all
move in the same moment, and when each moves every five seconds, as people do. What the pages themselves
cost is not in it: in a class each student's own machine draws its page.
"""

import json
import random
import statistics
import sys
import tempfile
import threading
import time
import urllib.request
import uuid
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import websocket

from tests.benchmark.class_at_once import megabytes_of_kernels
from tests.benchmark.latency import lab

OPEN = ("from castlab.teach.lessons import first_casting\nbench, question = first_casting.begin()\n"
        "bench.reveal()\nwheel, wheel_question = first_casting.begin_sheave()\n"
        "import json\nsliders = [bench.controls[name].widget for name in ('boss', 'thickness')]\n"
        "print(json.dumps([[each.model_id, each.min, each.max, each.step] for each in sliders]))")
ROUNDS, EVERY_SECONDS, MOVES = 4, 5.0, 8


class Student:
    """A kernel with the lesson open, and the websocket to it."""

    def __init__(self, server):
        asked = urllib.request.Request(server.address("api/kernels"), method="POST")
        with urllib.request.urlopen(asked, timeout=120) as reply:
            kernel = json.load(reply)["id"]
        self._address = server.address(f"api/kernels/{kernel}/channels").replace("http", "ws")
        self.connect()
        self._send("execute_request", {"code": OPEN, "silent": False})
        printed = self._until(lambda message: message["msg_type"] == "stream")
        sliders = json.loads(printed["content"]["text"])
        self.places = [(slider, low + step * number) for slider, low, high, step in sliders
                       for number in range(int((high - low) / step))]
        self._chance, self._stands = random.Random(kernel), set()

    def connect(self):
        """Open the websocket anew: the server closes one that hears nothing for a minute."""
        self.socket = websocket.create_connection(self._address, timeout=300)

    def move(self):
        """Seconds from a new place of one of two sliders to the first picture that it makes."""
        slider, place = self._chance.choice([each for each in self.places if each not in self._stands])
        self._stands = {each for each in self._stands if each[0] != slider} | {(slider, place)}
        data = {"method": "update", "state": {"value": place}, "buffer_paths": []}
        began = time.monotonic()
        asked = self._send("comm_msg", {"comm_id": slider, "data": data})
        answer = self._until(lambda message: message["parent_header"].get("msg_id") == asked
                             and (is_picture(message) or is_end(message)))
        return None if is_end(answer) else time.monotonic() - began  # what cannot be cast has no picture

    def _send(self, kind, content):
        header = {"msg_id": uuid.uuid4().hex, "msg_type": kind, "username": "", "session": "class",
                  "version": "5.3", "date": ""}
        message = {"channel": "shell", "header": header, "parent_header": {}, "metadata": {},
                   "content": content}
        self.socket.send(json.dumps(message))
        return header["msg_id"]

    def _until(self, wanted):
        while True:
            message = read(self.socket.recv())
            if message["msg_type"] == "error":
                raise RuntimeError(message["content"]["evalue"])
            if wanted(message):
                return message


def read(frame):
    """A message of the server; one with bytes behind it begins with where its parts are."""
    if isinstance(frame, bytes):
        begin, end = (int.from_bytes(frame[4 * place:4 * place + 4]) for place in (1, 2))
        frame = frame[begin:end]
    return json.loads(frame)


def is_picture(message):
    data = message["content"].get("data", {})
    return message["msg_type"] == "comm_msg" and ["value"] in data.get("buffer_paths", ())


def is_end(message):
    return message["msg_type"] == "status" and message["content"]["execution_state"] == "idle"


def all_do(students, task):
    """Run a task of each student at the same time; returns all that they give."""
    found = []
    for each in students:
        each.connect()
    threads = [threading.Thread(target=lambda each=each: found.extend(task(each))) for each in students]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def now_and_then(student):
    """Moves every five seconds, begun at a moment of each student's own."""
    time.sleep(random.uniform(0.0, EVERY_SECONDS))
    for _ in range(MOVES):
        began = time.monotonic()
        yield student.move()
        time.sleep(max(0.0, EVERY_SECONDS - (time.monotonic() - began)))


def say(words, delays):
    came = sorted(delay for delay in delays if delay is not None)
    print(f"{words}: {len(came)} pictures, median {statistics.median(came):.2f} s, "
          f"95 % {came[int(0.95 * len(came))]:.2f}, slowest {came[-1]:.2f}", flush=True)


def main():
    """Print what was measured."""
    count = int(sys.argv[1]) if sys.argv[1:] else 25
    with tempfile.TemporaryDirectory() as folder, lab.running_lab(Path(folder)) as server:
        began = time.monotonic()
        with ThreadPoolExecutor(2) as pool:
            students = list(pool.map(lambda _: Student(server), range(count)))
        print(f"{count} kernels opened two at a time in {time.monotonic() - began:.0f} s; "
              f"{statistics.median(megabytes_of_kernels()):.0f} MB each", flush=True)
        say("one alone", all_do(students[:1], lambda one: [one.move() for _ in range(MOVES)]))
        say("all in the same moment",
            [each for _ in range(ROUNDS) for each in all_do(students, lambda one: [one.move()])])
        say(f"each every {EVERY_SECONDS:.0f} s", all_do(students, now_and_then))
        print(f"then {statistics.median(megabytes_of_kernels()):.0f} MB each, "
              f"{max(megabytes_of_kernels()):.0f} at most")


if __name__ == "__main__":
    main()
