"""Answers that are equal, to be pointed out and never punished: who sits side by side talks."""

from castlab.teach.marking.returned import name_key

NO_PROOF = ("Marks do not change for it: neighbours talk, and a good cure is found by many. Ask, before you "
            "think anything.")


def equal_groups(answers):
    """Groups of equal answers, as tuples of their numbers from 1 on: same exercise, place, reason and cure.

    answers   an Answer each, or None where there was none
    """
    groups = {}
    for number, answer in enumerate(answers, start=1):
        if answer is not None:
            said = answer.exercise, answer.block, answer.reason, tuple(sorted(answer.values.items()))
            groups.setdefault(said, []).append(number)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)


def same_words(answers):
    """Groups of numbers whose words are the same as well, but for capital letters and blanks."""
    groups = {}
    for number, answer in enumerate(answers, start=1):
        if answer is not None and answer.words:
            groups.setdefault(name_key(" ".join(answer.words.split())), []).append(number)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)


def others_like(number, groups):
    """The other numbers in the group of this one.

    >>> others_like(3, ((1, 3, 4), (2, 5)))
    (1, 4)
    """
    return next((tuple(each for each in group if each != number) for group in groups if number in group), ())


def equal_words(answers):
    """What the desk says of equal answers, in lines; none where there are no equal ones."""
    lines = [f"Same place, reason and cure: {_listed(group, answers)}." for group in equal_groups(answers)]
    lines += [f"Word for word the same in their own words: {_listed(group, answers)}."
              for group in same_words(answers)]
    return (*lines, NO_PROOF) if lines else ()


def _listed(group, answers):
    *first, last = (f"{number} {answers[number - 1].name}" for number in group)
    return f"{', '.join(first)} and {last}"
