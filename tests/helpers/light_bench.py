"""A real part with its sliders whose casting is not computed: for what stands around a bench."""

from types import SimpleNamespace

from castlab.teach.bench.bench import Bench
from castlab.teach.bench.shop_bench import shop_bench
from castlab.teach.picture import raster
from castlab.teach.sliders.to_design import design_of, mould_follows, pouring_follows_alloy, sliders_for

HOLE_M3 = 4e-6


def uncomputed(setup, *_):
    """A result that has a hole of 4 cm3 whatever is cast."""
    return SimpleNamespace(
        setup=setup, section=raster.Section(setup.layout), sound=False,
        account=SimpleNamespace(defect_m3=HOLE_M3, verdict="defective", froze_s={},
                                run=SimpleNamespace(last_time_s=60.0)),
        sentence=lambda units: "Not computed.", numbers=lambda units: (), labels=lambda units: ())


def light_bench(part="eye plate", *names, book=None):
    """A bench of that part with the sliders of these names; with a `book`, one that reads it."""
    sliders = sliders_for(part, *(names or ("boss",)))

    def setup_of(values):
        return design_of(part, values).setup()

    if book is not None:
        return shop_bench(sliders, setup_of, book, solve=uncomputed)
    follows = {"alloy": pouring_follows_alloy, "mould": mould_follows}
    return Bench(sliders, setup_of, uncomputed, follows)
