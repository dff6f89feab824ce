"""Whether a pot takes the metal for a part of one's own, asked as soon as there is a part."""

from dataclasses import replace

from castlab.rules.charge import crucible_holds
from castlab.teach.melt.from_shop import OWN
from castlab.teach.melt.melt import charge_for
from castlab.teach.melt.melt_bench import ANY_POT, POTS, melt_setup, melt_sliders
from castlab.teach.melt.melt_words import ONE_MELT, mass, pot_words

LESS = ("make the part smaller or thinner, take metal away with a core, set fewer or smaller feeders, or "
        "choose a lighter alloy.")


def too_much_metal(setup, shop, units):
    """What to do about a casting for which more must be weighed in than a pot takes, in words; none where it
    fits.

    Parameters: `setup` (Setup) of the casting with gate, sprue and feeders; `shop`, a Shop, whose largest pot
    counts; without one of its own the pot with which the melt plan begins; `units` of the words.

    >>> from castlab import Setup, alloy, mould, parts
    >>> from castlab.shop.book import Book
    >>> from castlab.shop.measured import Shop
    >>> from castlab.units import METRIC
    >>> plate = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> too_much_metal(plate, Shop(Book()), METRIC)
    ''
    """
    melts = [_melt(setup, pot, shop) for pot in _pots(shop, setup.alloy)]
    melt = max(melts, key=_holds)
    needed = charge_for(melt).weigh_in
    if needed <= _holds(melt):
        return ""
    weigh_in, takes = (mass(each, units) for each in (needed, _holds(melt)))
    words = (f"This is more metal than the furnace takes: with gate, sprue and feeders {weigh_in} must be "
             f"weighed in, and {pot_words(melt)} takes {takes} of {setup.alloy.name} with room below the "
             f"brim. {ONE_MELT}")
    larger = [rated for rated in POTS.values() if _holds(replace(melt, rated_mass=rated)) >= needed]
    if melt.own.pot_volume or not larger:
        return f"{words} {LESS[0].upper()}{LESS[1:]}"
    return (f"{words} A pot rated {min(larger):g} kg would take it, if your furnace has room for that one; "
            f"else {LESS}")


def _pots(shop, alloy):
    """The shop's own pots that are not kept for other alloys, as the melt plan's menu has them."""
    own = [name for name in shop.crucible_names if shop.crucible(name)["family"] in alloy.family]
    return [OWN + name for name in own] or [ANY_POT]


def _melt(setup, pot, shop):
    first = {slider.name: slider.value for slider in melt_sliders(pot=pot, shop=shop)}
    return melt_setup(setup, first, shop)


def _holds(melt):
    """What the pot takes, as hot as the metal is wanted in the mould [kg]."""
    return crucible_holds(melt.pot_volume, melt.alloy, max(melt.alloy.liquidus_c, melt.wanted_c))
