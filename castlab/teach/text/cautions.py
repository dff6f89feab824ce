"""The usual cautions, for everything that is handed out."""

CAUTIONS = (
    "Molten metal kills and maims. Local codes, the makers' instructions and qualified practice come before "
    "anything written here. Never work alone.",
    "Dry and warm tools, mould and charge; no water near the melt; pour over a dry spill tray.",
    "Protect face, eyes, hands and feet.",
    "Ventilate: fume of zinc and lead makes you ill.",
    "Look over the crucible for cracks before each melt, and check that the circuit carries the furnace.",
    "Predictions are for teaching and planning, never for a load-bearing or safety part.",
)
