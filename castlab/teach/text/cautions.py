"""The cautions: each stands here once, and each place takes from here what matters there.

They are common practice, and none of them replaces a teacher who stands beside the furnace. Pages written by
hand (README, notebooks, TEACH_WITH_IT) say them word for word; tests/teach/text/test_cautions.py compares.
"""

CAUTIONS = {
    "practice": "Molten metal kills and maims. Local codes, the makers' instructions and qualified practice "
                "come before anything written here.",
    "alone": "Never work alone. Nobody stands in the way of the pour.",
    "dry": "Dry and warm tools, mould and charge: water under molten metal turns to steam at once and throws "
           "it out.",
    "spill": "No water near the melt. Pour over a dry spill tray or dry sand, never over bare concrete, "
             "which bursts.",
    "clothes": "Protect face, eyes, hands and feet. Wear nothing that melts or catches metal: no "
               "synthetics; trousers over the boots.",
    "fume": "Ventilate: zinc and lead fume makes you ill, and zinc-bearing brass and bronze fume most when "
            "overheated.",
    "dust": "Most moulds here are silica, and silica dust scars the lungs: let the mould cool, damp the sand "
            "down to knock out and sweep, wear a respirator made for silica.",
    "scrap": "No unknown scrap: it may be magnesium, which burns, or leaded.",
    "crucible": "Look over the crucible before each melt: with a crack, a thin wall or a dull ring it is "
                "scrap.",
    "circuit": "One circuit for the furnace alone; a licensed electrician says what it may carry.",
    "power": "Switch the furnace off before a skimmer, stirrer or probe goes in: its heating wires are live.",
    "left over": "Have a dry, warm ingot mould ready for what is left. Never let metal freeze in the "
                 "crucible: it may crack.",
    "cope": "Weight or clamp the upper half of the mould: liquid metal lifts it.",
    "fire": "Against fire: a dry-powder extinguisher rated for metal fires, or dry sand; never water.",
    "burn": "First aid for a burn: cool running water, away from the melt, then a doctor (common practice).",
    "trust": "Predictions are for teaching and planning, never for a load-bearing or safety part.",
    "not fitted": "The castings of this course are practice pieces: fit none to a boat, where eye plate, "
                  "cleat, sheave and bollard cap carry load.",
    "probe": "Switch the furnace off before the probe goes in, warm and dry; take it out before the metal is "
             "solid.",
    "no stamp": "A bar without a stamp is unknown scrap: a file, a spark or its weight excludes neither "
                "magnesium nor lead. Find out what it is before you melt it.",
}
BEFORE_MELTING = ("practice", "alone", "dry", "spill", "clothes", "fume", "dust", "scrap", "crucible",
                  "circuit")
AT_THE_MELT = (*BEFORE_MELTING, "power", "left over", "cope", "fire", "burn", "trust")
PLACES = {
    "README": (*AT_THE_MELT, "not fitted"),
    "lesson 1": (*AT_THE_MELT, "not fitted"),
    "melt plan": (*AT_THE_MELT, "probe", "no stamp"),
    "melt bench": ("power", "left over"),
    "pour sheet": tuple(name for name in AT_THE_MELT if name != "cope"),  # it says what weight
    "before the pour": (*BEFORE_MELTING, "trust"),
    "top of the workbench": ("practice", "trust"),
    "student's hand-out": (*BEFORE_MELTING, "trust", "not fitted"),
    "instructor's sheet": (*AT_THE_MELT, "not fitted"),
    "class set": (*AT_THE_MELT, "probe"),
    "marking desk": (*BEFORE_MELTING, "trust", "not fitted"),
    "teach with it": (*AT_THE_MELT, "not fitted"),
    "page to touch": (*AT_THE_MELT, "not fitted"),
}


def cautions_at(place):
    """The cautions that stand at a place, each a sentence or two, as they are said there.

    Raises KeyError for a place that is not one of PLACES.

    >>> cautions_at("top of the workbench")[-1]
    'Predictions are for teaching and planning, never for a load-bearing or safety part.'
    """
    return tuple(CAUTIONS[name] for name in PLACES[place])
