"""How long imports take in a fresh Python, best of five: `python tests/benchmark/start_up.py`."""

import subprocess
import sys

WANTED_S = {
    "castlab.materials, castlab.rules.modulus": 0.2,
    "castlab.field.freeze, castlab.field.shrinkage": 0.5,
    "castlab.teach.bench.ready_made": None,  # waits for ipywidgets and matplotlib; no limit is set
}
TRIES = 5


def seconds(modules):
    """The shortest of several imports [s]: the longer ones waited for something else."""
    program = f"import time; t = time.perf_counter(); import {modules}; print(time.perf_counter() - t)"
    command = [sys.executable, "-c", program]
    return min(float(subprocess.check_output(command, text=True)) for _ in range(TRIES))


def main():
    for modules, wanted in WANTED_S.items():
        limit = f"wanted at most {wanted} s" if wanted else ""
        print(f"{modules:<50} {seconds(modules):.2f} s  {limit}")


if __name__ == "__main__":
    main()
