"""Words for slips of thought that several lessons meet; each is read off a computed `Casting`."""

LEAST_M3 = 1e-9  # less than a cubic millimetre is not worth a word


def full_when_poured(result, units):
    """For "it is kept full": what the casting had to pay all the same."""
    return ("A mould that is full when it is poured is not full when all is solid: the metal shrinks, and "
            f"for {units.volume(result.casting_paid_m3)} of that the casting itself had to pay.")


def last_and_yet_full(result, units):
    """For "what freezes last has the hole": who paid, so that there is none."""
    asked, paid = result.account.asked_m3, result.account.paid_m3
    if result.setup.alloy.freezing_contraction <= 0.0:
        return "What freezes last has a hole only if metal is missing, and this metal grows as it freezes."
    payers = {"the feeder": paid["feeder"], "gate and sprue": paid["gate"], "the pour": paid["pour"]}
    name = max(payers, key=payers.get)
    return (f"What freezes last has a hole only if nobody pays for it. Here {units.volume(asked)} were asked "
            f"for, and {name} paid {units.volume(payers[name])} of that.")


def heavy_end_is_spared(result, units):
    """For "the heavy end has the hole": why it has none, or why another place has a larger one."""
    if result.diagnosis.hole is None:
        return last_and_yet_full(result, units)
    given = result.account.paid_m3["feeder"]
    if given > LEAST_M3:
        return (f"A heavy end has the hole where it must pay alone. Here a feeder stood on it and gave "
                f"{units.volume(given)}; the hole is where that metal did not arrive.")
    return "Large does not always mean last, and not every hole is at the last place: compare the times."


def asks(result):
    """Whether the metal asks for volume at all; one that grows as it freezes may not."""
    return result.account.asked_m3 > LEAST_M3


def volume_asked(result, units):
    """What all metal in the mould asks for, in words."""
    return units.volume(result.account.asked_m3) if asks(result) else "nothing"


def share_asked(result):
    """The feed demand as a share of all metal, in words: thick parts and thin ones ask for the same."""
    share = result.account.asked_m3 / result.metal_m3
    return f"{100 * share:.1f} % of the volume" if asks(result) else "nothing"
