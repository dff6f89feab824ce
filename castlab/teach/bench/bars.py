"""The bars under a picture: who supplied what was asked for, and what was solid first. No widget."""

from castlab.field.layout import METAL_ROLES
from castlab.teach.bench.filling import MISRUN
from castlab.teach.picture.picture import BAND_COLOURS, BANDS
from castlab.teach.picture.raster import band_of
from castlab.teach.text import markup

LEAST_SHARE = 0.005  # rounds to 1 %

def bars_of(result, verdict, units):
    """Two bars as HTML: who supplied what was asked for, and in which order the bodies were wholly solid;
    nothing where the result has no account, nor of metal that never arrived. Without a verdict only the order
    counts, and no hole is drawn."""
    if verdict == MISRUN:
        return ""
    return (who_pays(result) if verdict else "") + freezing_order(result, units)


def who_pays(result):
    """The bar of who supplied what was asked for; nothing where the result has none. A share that would be
    said as 0 % is too small to be drawn."""
    parts = result.who_pays() if hasattr(result, "who_pays") else ()
    return markup.bar("Of the feed demand", [
        (f"{name} {100 * share:.0f} %", share, colour, hatched) if share >= LEAST_SHARE else
        (f"{name} under 1 %", 0.0, colour, hatched) for name, share, colour, hatched in parts])


def freezing_order(result, units):
    """The bar of time, cut where each body of metal was wholly solid, in the colours of the picture."""
    if not hasattr(result, "account"):
        return ""
    account, before, parts = result.account, 0.0, []
    names = [block.name for block in result.setup.layout.blocks if block.role in METAL_ROLES]
    last = account.run.last_time_s
    order = sorted((name for name in names if name in account.froze_s), key=account.froze_s.get)
    for number, name in enumerate(order, start=1):
        time = account.froze_s[name]
        colour = BAND_COLOURS[int(band_of(time / last, BANDS))]
        words = f"{number} {name} {units.time(time, beside=last)}"
        parts.append((words, time / last - before, tuple(colour), False))
        before = time / last
    return markup.bar("Wholly solid after", parts)
