"""Ready-made benches: any part of the course with any of the sliders of `part_sliders`."""

from castlab.teach.bench.bench import Bench
from castlab.teach.bench.shop_bench import shop_bench
from castlab.teach.sliders.part_sliders import MORE_SIZES
from castlab.teach.sliders.to_design import (
    FEEDER,
    design_of,
    mould_follows,
    pouring_follows_alloy,
    sliders_for,
)


def bench_for(part, *names, metal="ZA-12", sand="green sand", book=None, hidden=False, **first):
    """A bench for a part with its sliders of these names; without names, with all of them.

    `first`: where sliders stand at first, by name, in metres, words or degrees C. Alloy, mould and pouring
    temperature are on every bench; the mould's temperature when "mould_temp_c" is among the names.
    `book`: the `BookFile` of the shop whose moulds and usual temperatures count; with it the bench has the
    sizes too that lessons leave alone. `hidden`: that of `Bench`.
    """
    sliders = sliders_for(part, *names, metal=metal, sand=sand, **first)

    def setup_of(values):
        return design_of(part, values).setup()

    if book is None:
        return bench_of(sliders, setup_of, hidden=hidden)
    return shop_bench([*sliders, *MORE_SIZES[part]], setup_of, book)


def bench_of(sliders, setup_of, **said):
    """A bench of these sliders, among them those of `metal_sliders`.

    `said`: what a lesson says in another way than every bench: `sentence_of`, `numbers_of` or `scene_of` of
    `Bench`; and `hidden` of `Bench`.
    """
    follows = {"alloy": pouring_follows_alloy, "mould": mould_follows}
    return Bench(sliders, setup_of, follows=follows, **said)


def eye_plate_bench(**first):
    """A plate that ends in a heavy boss; a feeder may stand on the boss. `first`: starting sizes [m]."""
    return bench_for("eye plate", "thickness", "boss", *FEEDER, **first)


def sheave_bench(**first):
    """A rope wheel: hub, thin web and rim; a feeder may stand on the hub. `first`: starting sizes [m]."""
    return bench_for("sheave", "thickness", "hub", *FEEDER, **({"feeder_height": 0.040} | first))
