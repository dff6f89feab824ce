"""What differs between a state of the bench that is held and the one that is shown now."""

from castlab.teach.sliders.slider import words_of


def differences(sliders, held, now, units):
    """Rows (name, held, now), in words, of what differs: of the sliders, then of the numbers.

    Parameters: `sliders`; `held` and `now`, each a pair of values and numbers (pairs of name and words);
    `units` in which the sliders are said.
    """
    both = [(slider.label, *(words_of(slider, values[slider.name], units) for values, _ in (held, now)))
            for slider in sliders]
    numbers = dict(now[1])
    both += [(name, words, numbers.get(name, "-")) for name, words in held[1]]
    return [row for row in both if row[1] != row[2]]
