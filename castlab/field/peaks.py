"""Places where a quantity stands out above its surroundings, and what belongs to each."""

import numpy as np


def peaks_of(values, cells, shape, stands_out):
    """Cells whose value is larger than all round them, and to which of them each cell leads up.

    Cells are looked at from the largest value on. One without a larger one beside it begins a peak. Where
    peaks meet, the lower ones stay if they stand out above the pass between them; else the higher one
    swallows them.

    Parameters: `values`, flat; `cells`, numbers of those that count; `shape` of the grid that they are flat
    of; `stands_out`, by which share of its value a peak must be above the pass to a higher one. Returns
    numbers of cells, the largest value first, and for each cell the number of its peak, -1 where it does not
    count.

    >>> values = np.array([1.0, 3.0, 2.0, 2.5, 0.5])
    >>> peaks, basin = peaks_of(values, np.arange(5), (5, 1, 1), 0.1)
    >>> peaks, basin.tolist()
    ([1, 3], [0, 0, 0, 1, 1])
    """
    cells = cells[np.argsort(-values[cells], kind="stable")]
    steps = shape[1] * shape[2], shape[2], 1
    places = np.array(np.unravel_index(cells, shape)).T
    peak_of, peaks, joined, swallowed = {}, [], [], {}

    def head(number):
        while joined[number] != number:
            number = joined[number]
        return number

    for cell, place in zip(cells.tolist(), places.tolist(), strict=True):
        beside = [cell - step for step, here in zip(steps, place, strict=True) if here > 0]
        beside += [cell + step for step, here, end in zip(steps, place, shape, strict=True) if here < end - 1]
        larger = [each for each in beside if each in peak_of]
        if not larger:
            peak_of[cell] = len(peaks)
            joined.append(len(peaks))
            peaks.append(cell)
            continue
        peak_of[cell] = peak_of[max(larger, key=values.__getitem__)]
        highest, *lower = sorted({head(peak_of[each]) for each in larger})  # numbered from the largest on
        for each in lower:
            joined[each] = highest
            if values[cell] > (1.0 - stands_out) * values[peaks[each]]:
                swallowed[each] = highest
    kept = [number for number in range(len(peaks)) if number not in swallowed]
    basin = np.full(values.size, -1)
    for cell, number in peak_of.items():
        while number in swallowed:
            number = swallowed[number]
        basin[cell] = kept.index(number)
    return [peaks[number] for number in kept], basin
