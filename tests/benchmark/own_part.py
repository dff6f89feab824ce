"""How long the desk for own parts takes with a figure of 19,800 triangles, run as `tests.benchmark.own_part`.

From the bytes of the STL file to verdict and hot spots, wanted within 15 s; the same after one feeder was
changed, 3 s; the cures, 120 s. The quick answer, which stands on the screen first, is timed too.
"""

import sys
import time
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parents[1] / "helpers"))

import meshes  # noqa: E402

from castlab.field.example_parts import figure_triangles  # noqa: E402
from castlab.teach.own_part.own_part_desk import OwnPartDesk  # noqa: E402


def main():
    desk, data = OwnPartDesk(), meshes.binary(1e3 * figure_triangles())
    quick = []
    looked = desk._looked

    def heard(job, answer):
        quick.append(time.perf_counter())
        looked(job, answer)

    desk._looked = heard

    def poured(name, start):
        desk.pour()
        desk.wait(600)
        cells = desk.account.run.grid.metal.size
        first = f", quick answer after {quick[0] - start:.1f} s" if quick else ""
        print(f"{name}: {time.perf_counter() - start:.1f} s{first}; {cells} cells, "
              f"{len(desk.spots)} hot spots, {desk.account.verdict}")
        quick.clear()

    start = time.perf_counter()
    desk.files.bring("seal.stl", data)
    desk.files.take("mm")
    print(f"file on the desk: {time.perf_counter() - start:.1f} s")
    poured("upload to verdict and hot spots", start)
    desk.put_here("feeder", desk.spots[0])
    poured("with a feeder", time.perf_counter())
    width = desk.rigging.sizes["feeder_1_width"]
    start = time.perf_counter()
    desk.rigging.change("feeder", 1, "width", round(0.8 * width, 4))
    poured("one feeder changed", start)
    desk.rigging.remove("feeder", 1)
    start = time.perf_counter()
    desk.find_cures()
    desk.wait(1800)
    works = sum(cure.works for cure in desk.cures)
    print(f"cures: {time.perf_counter() - start:.1f} s, {works} of {len(desk.cures)} work")


if __name__ == "__main__":
    main()
