"""What becomes of a setup on a map, in one word.

Sound, marginal and the kinds of defect are read off the computed casting. A misrun is not: nothing here
computes flow, so it is a rule of thumb that says so.
"""

from castlab.errors import InputError
from castlab.field.outcome import Outcome, outcome_of
from castlab.plan import giving_way
from castlab.teach.bench.filling import MISRUN, fills, misrun_words

KIND_OF = {"sink": "sink", "cavity": "cavity", "sponge": "sponge", "pipe_into_casting": "pipe"}
CANNOT = "cannot be cast"
KINDS = ("sound", "marginal", *KIND_OF.values(), MISRUN, CANNOT)


@giving_way
def outcome_on_map(setup, look):
    """The Outcome of a setup: first by the rule for a misrun, then of the computed casting.

    Parameters: `setup` (Setup); `look`, how closely it is computed. By the rule its verdict is "misrun", and
    `refused` says why. Raises nothing for a setup that cannot be computed: that is an outcome too.

    >>> from castlab import Setup, alloy, mould, parts
    >>> from castlab.field.outcome import COARSE
    >>> plate = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=472.0)
    >>> found = outcome_on_map(plate, COARSE)
    >>> kind_of(found), found.block
    ('sink', 'boss')
    """
    try:
        if not fills(setup):
            return Outcome(MISRUN, misrun_words(setup))
    except InputError as error:
        return cannot_be_cast(error)
    return (yield from outcome_of.steps(setup, look))


def kind_of(outcome):
    """One of KINDS; of a defective casting, the kind of the largest hole.

    >>> kind_of(Outcome("refused")), kind_of(Outcome("marginal"))
    ('cannot be cast', 'marginal')
    """
    if outcome.verdict == "refused":
        return CANNOT
    if outcome.verdict == "defective":
        return KIND_OF.get(outcome.kind, "marginal")  # many small holes, none of them large
    return outcome.verdict


def cannot_be_cast(error):
    """The outcome of what an InputError refused."""
    return Outcome("refused", error.phrase)
