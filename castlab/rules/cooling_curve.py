"""Liquidus and last freezing from a logged cooling curve.

Metal that cools in a small pot or cup loses heat at a steady pace. Where it begins to freeze, latent heat
slows the cooling down at once; where it has frozen, the cooling takes up speed again. Between them a pure
metal, or a eutectic, stands still.
"""

from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between, require_number
from castlab.units import METRIC, celsius, given, kelvins, phrase

MOST_POINTS = 600  # a longer log is averaged in blocks, for speed
FEWEST_POINTS = 40
SHORTEST_PIECE = 5  # points
PRICE_OF_A_PIECE = 4.0  # times ln(points) sigma^2: what one more straight piece must save (judgement)
LEAST_NOISE_K = 0.2  # so that the slight bend of a quiet log is not cut into pieces
SLOWED = 0.7  # of the liquid's pace: below it freezing has begun, above it again it has ended (judgement)
LOOK_BACK_K = 30.0  # the liquid's pace is looked for so far above
FASTER = 1.5  # frozen metal and liquid keep about the same pace; more than this is no liquid (judgement)
NEAR_K = 12.0  # of a piece, next to a crossing: further off the curve is no longer straight
ICE_POINT = 273.15  # K
FLAT_K = 1.0  # a piece that falls no more than this, or than its noise, stands still
FLAT_SHARE = 0.15  # of the rate before: more than this is no standstill
BEND_K = 1.0  # how far a straight piece may stray from a bent curve at its end (judgement)
DRIFT_K = 0.5  # how far a standstill may creep (judgement)
SHORT = 0.25  # of the standstill before it: a piece that only rounds its corner
STANDS_OUT = 10.0  # times the noise, and kelvin, from both neighbours: a broken reading
LONGEST_GAP = 5.0  # times the usual time between readings


@dataclass(frozen=True)
class Arrest:
    """A point of the curve: temp_c [deg C], its band [K] either way, its time [s] from the log's start."""

    temp_c: float
    band: float
    time: float


@dataclass(frozen=True)
class Arrests:
    """What a cooling curve shows.

    liquidus      `Arrest` where freezing begins
    last          `Arrest` where it ends; None where the log stops too early
    kind          "pure" (one standstill), "eutectic" (ends in a standstill), "solidus" (ends without one),
                  "unfinished"
    later         `Arrest` of each standstill after `last`: a last eutectic, or a change in the solid metal
                  such as that of zinc-aluminium near 277 deg C; the curve alone cannot tell which
    """

    liquidus: Arrest
    last: Arrest | None
    kind: str
    later: tuple[Arrest, ...]

    def words(self, units=METRIC):
        """What the curve shows, as sentences, in the units of the reader."""
        first = _in_words(self.liquidus, units)
        if self.kind == "pure":
            return f"All of it freezes at {first}, as a pure metal or a eutectic does."
        begins = f"Freezing begins at {first} (the liquidus)"
        if self.last is None:
            return f"{begins}. The log stops before freezing has ended."
        hows = {"eutectic": "in a standstill: a eutectic", "solidus": "without a standstill: the solidus"}
        more = "".join(f" It stands still once more at {_in_words(each, units)}." for each in self.later)
        return f"{begins} and ends at {_in_words(self.last, units)}, {hows[self.kind]}.{more}"


def _in_words(arrest, units):
    band = units.temperature_difference(max(arrest.band, 1.0))
    return f"{units.temperature(arrest.temp_c)}, give or take {band}"


def find_arrests(time, temp_c, room_c=25.0):
    """Liquidus and end of freezing from a cooling curve, by its derivative.

    The curve is cut into straight pieces so that  sum of squares + (pieces) 4 ln(n) sigma^2  is least; the
    slope of a piece is the derivative, free of noise. Its pace is that rate over the loss to the room, for
    which the geometric mean of Newton's law (T - T_room) and Stefan's (T^4 - T_room^4) stands. Freezing
    begins where the pace falls below 0.7 of what it was in the 30 K above, at the crossing of two straight
    lines, and ends where it is back at 0.7.

    time [s]         rising, 40 readings or more, without gaps
    temp_c [deg C]   cooling from well above the liquidus (20 K, better 50) to well below the last freezing
    room_c [deg C]   -20 to 50

    Returns `Arrests`. Made for readings every few seconds with up to about 1 K of noise, cooling slower than
    about 0.1 K/s (6 K a minute): standstills then come out within 2 K and a liquidus within 5 K. The band
    is for noise, bends and undercooling, not for the sensor's error (castlab.rules.sensor). A liquidus less
    than about 3 K above a standstill is not told from it. Pure metal that undercools and warms up again comes
    back to its standstill, an alloy to less than its liquidus, for some of it has frozen: the band then
    reaches from that top to where the lines of liquid and freezing metal cross. It is 2 to 6 K either way
    where the alloy sank 8 K, and up to 9 K where it sank 15 K and freezes over a long range.
    Raises InputError for a log that shows no freezing or begins in it, has a gap, a wrong order or a broken
    reading.
    Source: the cut is optimal partitioning, Jackson, B. et al., IEEE Signal Process. Lett. 12 (2005) 105-108
    (from memory); thermal analysis by the rate of cooling is common practice. Tin that cools 0.1 K/s, stands
    still for 500 s and cools on:

    >>> time = np.arange(0.0, 2000.0, 5.0)
    >>> tin = np.interp(time, [0, 600, 1100, 2000], [291.9, 231.9, 231.9, 151.9])
    >>> found = find_arrests(time, tin)
    >>> found.kind, round(found.liquidus.temp_c, 1)
    ('pure', 231.9)
    """
    time, temp_c = checked_curve(time, temp_c)
    room_c = require_between("room temperature", room_c, -20.0, 50.0, "deg C")
    noise = _noise(temp_c)
    _refuse_broken_readings(time, temp_c, noise)
    block = -(-len(time) // MOST_POINTS)
    time, temp_c = _averaged(time, block), _averaged(temp_c, block)
    sigma = max(noise / block**0.5, LEAST_NOISE_K)
    pieces = [_Piece(time[a:b], temp_c[a:b], sigma, room_c) for a, b in _cuts(time, temp_c, sigma)]
    return _read(pieces)


class _Piece:
    """A straight piece of the curve: its line through the middle, and how well it is known."""

    def __init__(self, time, temp_c, sigma, room_c):
        self.time, self.temp_c, self.sigma, self.room_c = time, temp_c, sigma, room_c
        self.start, self.stop, self.middle = float(time[0]), float(time[-1]), float(time.mean())
        away = time - self.middle
        self.spread = float(away @ away)
        self.level = float(temp_c.mean())
        self.slope = float(away @ temp_c) / self.spread
        self.variance = sigma**2 / len(time)
        hot, cold = self.level + ICE_POINT, room_c + ICE_POINT
        self.loss = max((hot - cold) * (hot**4 - cold**4), 1.0) ** 0.5

    @property
    def pace(self):
        """Cooling rate over what the room takes at this level, so that liquid keeps about the same pace."""
        return -self.slope / self.loss

    @property
    def surely_below(self):
        """A pace that the piece hardly exceeds: two standard deviations above its own."""
        return self.pace + 2.0 * self.sigma / self.spread**0.5 / self.loss

    def at(self, time):
        """Temperature of the line [deg C]."""
        return self.level + self.slope * (time - self.middle)

    def variance_at(self, time):
        """Variance of that temperature [K2]."""
        return self.variance + self.sigma**2 * (time - self.middle) ** 2 / self.spread

    def near(self, time):
        """The part of it within 12 K of this time's temperature, ten points at least."""
        order = np.argsort(np.abs(self.time - time))
        close = np.abs(self.slope * (self.time[order] - time)) <= NEAR_K
        kept = np.sort(order[: max(int(close.sum()), 10)])
        return _Piece(self.time[kept], self.temp_c[kept], self.sigma, self.room_c)

    def stands_still(self, rate):
        """Whether the fall from end to end is nothing, or noise; `rate` [K/s] that of the liquid."""
        length = self.stop - self.start
        noise = 2.0 * self.sigma * length / self.spread**0.5
        return abs(self.slope) * length <= max(FLAT_K, noise) and abs(self.slope) < FLAT_SHARE * rate


def _read(pieces):
    before, first = _freezing_begins(pieces)
    rate = -before.near(before.stop).slope
    end = next((at for at in range(first + 1, len(pieces)) if pieces[at].pace >= SLOWED * before.pace), None)
    liquidus = _liquidus(before, pieces[first:end], rate)
    if end is None:
        return Arrests(liquidus, None, "unfinished", ())
    _refuse_late_start(before, pieces[end])
    ending = _last_frozen(pieces[first:end], rate)
    standing = ending.stands_still(rate)
    last = _standstill(ending) if standing else _crossing(ending, pieces[end])
    pure = standing and liquidus.temp_c - last.temp_c <= liquidus.band + last.band
    later = tuple(_standstill(each) for each in pieces[end:] if each.stands_still(rate))
    kind = "pure" if pure else "eutectic" if standing else "solidus"
    return Arrests(liquidus, last, kind, later)


def _freezing_begins(pieces):
    """The piece that shows the pace of the liquid, and the number of the first piece that is slower."""
    for number in range(1, len(pieces)):
        start = pieces[number].at(pieces[number].start)
        liquid = [each for each in pieces[:number] if each.at(each.stop) < start + LOOK_BACK_K]
        before = max(liquid, key=lambda each: each.pace)
        if before.pace > 0.0 and pieces[number].surely_below < SLOWED * before.pace:
            return before, number
    top = max(each.at(each.start) for each in pieces)
    allowed = "no freezing shows: it must cool from {} or more above the liquidus and slow down there"
    raise InputError("cooling curve", phrase("from {}", celsius(top)), allowed, kelvins(20.0))


def _liquidus(before, frozen, rate):
    """Where freezing begins: a standstill, or where the lines of liquid and freezing metal cross.

    After undercooling it lies between the top, where some metal has frozen already, and that crossing: as
    much heat has gone as without undercooling, so the curve joins the one that it would have followed, which
    is flattest at the liquidus; straight back along it is too high.
    """
    out = next((at for at in range(len(frozen)) if not _in_the_dip(frozen[at:], rate)), len(frozen) - 1)
    after, top = frozen[out], frozen[out].at(frozen[out].start)
    undercooled = out > 0 or top - before.at(before.stop) > FLAT_K
    if undercooled and _only_a_top(frozen[out:], rate):
        after = frozen[out + 1]
    if after.stands_still(rate):
        return _standstill(after)
    crossing = _crossing(before, after)
    if not undercooled:
        return crossing
    half = max(0.5 * (crossing.temp_c - top), 0.0)
    return Arrest(top + half, half + crossing.band, crossing.time)


def _in_the_dip(rest, rate):
    """Whether the first of these pieces is one of undercooling: it rises, or a later one begins higher."""
    begins = [each.at(each.start) for each in rest]
    return rest[0].slope > FLAT_SHARE * rate or max(begins) > begins[0] + FLAT_K


def _only_a_top(rest, rate):
    """Whether the first of these pieces stands still only where the curve turns, and freezing goes on."""
    lasts, left = rest[0].stop - rest[0].start, rest[-1].stop - rest[0].stop
    return rest[0].stands_still(rate) and lasts < SHORT * left


def _refuse_late_start(before, frozen):
    """What cools much slower than frozen metal was not liquid: its own freezing slowed it down."""
    if 2.0 * frozen.pace - frozen.surely_below > FASTER * before.pace:
        allowed = "freezing had begun when the log began: start it {} or more above the liquidus"
        start = phrase("from {}", celsius(before.at(before.start)))
        raise InputError("cooling curve", start, allowed, kelvins(20.0))


def _last_frozen(frozen, rate):
    """The last piece of the freezing; a short one after a standstill is left out, it rounds the corner."""
    if len(frozen) > 1 and frozen[-2].stands_still(rate):
        stood, after = (each.stop - each.start for each in frozen[-2:])
        return frozen[-2] if after < SHORT * stood else frozen[-1]
    return frozen[-1]


def _standstill(piece):
    return Arrest(piece.level, 2.0 * piece.variance**0.5 + DRIFT_K, piece.start)


def _crossing(one, other):
    """Where two lines meet; T = (s2 L1 - s1 L2) / (s2 - s1) with L the lines' levels there."""
    one, other = one.near(one.stop), other.near(other.start)
    gap = one.slope - other.slope
    time = one.stop + (other.at(one.stop) - one.at(one.stop)) / gap
    doubt = (other.slope**2 * one.variance_at(time) + one.slope**2 * other.variance_at(time)) / gap**2
    bend = BEND_K * (abs(one.slope) + abs(other.slope)) / abs(gap)
    return Arrest(one.at(time), 2.0 * doubt**0.5 + bend, time)


def _cuts(time, temp_c, sigma):
    """Where to cut, as (start, stop) pairs, so that squares and the price of the pieces are least."""
    sums = _sums(time - time[0], temp_c - temp_c.mean())
    count = len(time)
    price = PRICE_OF_A_PIECE * np.log(count) * sigma**2
    best, origin = np.full(count + 1, np.inf), np.zeros(count + 1, dtype=int)
    best[0] = -price
    for stop in range(SHORTEST_PIECE, count + 1):
        starts = np.arange(stop - SHORTEST_PIECE + 1)
        total = best[starts] + _squares(sums, starts, stop) + price
        origin[stop] = np.argmin(total)
        best[stop] = total[origin[stop]]
    edges = [count]
    while edges[-1] > 0:
        edges.append(int(origin[edges[-1]]))
    return list(zip(edges[:0:-1], edges[-2::-1], strict=True))


def _sums(time, temp):
    """Running sums, with a zero in front: of t, T, t t, t T, T T."""
    columns = np.stack([time, temp, time * time, time * temp, temp * temp])
    return np.concatenate([np.zeros((5, 1)), np.cumsum(columns, axis=1)], axis=1)


def _squares(sums, starts, stop):
    """Sum of squares about the best line from each start to the stop."""
    t, temp, tt, tx, xx = sums[:, stop, None] - sums[:, starts]
    count = stop - starts
    across = tx - t * temp / count
    return np.maximum(xx - temp * temp / count - across**2 / (tt - t * t / count), 0.0)


def _noise(temp_c):
    """Standard deviation of one reading [K], from second differences; the largest tenth is left out."""
    bends = np.sort(np.abs(np.diff(temp_c, 2)))
    kept = bends[: int(0.9 * len(bends))]
    return float(np.sqrt(np.mean(kept**2) / 6.0) / 0.79)  # 0.79: what a bell curve loses with its tails


def _averaged(values, block):
    whole = len(values) // block * block
    return values[:whole].reshape(-1, block).mean(axis=1)


def checked_curve(time, temp_c):
    """Times and temperatures of a log as arrays, times from 0 [s], once nothing is wrong with them.

    time [s], temp_c [deg C]  as many of each, 40 or more

    Raises InputError for what is no number, for a time that is not later than the one before, and for a gap
    of more than 5 times the usual step (both limits are judgement).

    >>> time, temp_c = checked_curve(range(10, 60), range(700, 650, -1))
    >>> float(time[0]), float(time[-1]), len(temp_c)
    (0.0, 49.0, 50)
    """
    time = np.array([require_number("time of the log", each, "s") for each in np.ravel(time)])
    temp_c = np.array([require_number("temperature of the log", each, "deg C") for each in np.ravel(temp_c)])
    if len(time) != len(temp_c):
        raise InputError("cooling curve", f"{len(time)} times, {len(temp_c)} temperatures", "as many of each")
    if len(time) < FEWEST_POINTS:
        raise InputError("cooling curve", f"{len(time)} readings", f"it must have {FEWEST_POINTS} or more")
    steps = np.diff(time)
    if (steps <= 0.0).any():
        late = float(time[int(np.argmax(steps <= 0.0)) + 1])
        raise InputError("time of the log", f"{late:g} s", "each time must be later than the one before")
    if steps.max() > LONGEST_GAP * np.median(steps):
        widest = int(np.argmax(steps))
        allowed = "readings are missing there: use one side of the gap"
        raise InputError("gap in the log", f"from {time[widest]:g} to {time[widest + 1]:g} s", allowed)
    return time - time[0], temp_c


def _refuse_broken_readings(time, temp_c, noise):
    """One reading far off both neighbours on the same side is a loose wire, not metal."""
    left, right = temp_c[1:-1] - temp_c[:-2], temp_c[1:-1] - temp_c[2:]
    apart = np.where(left * right > 0.0, np.minimum(np.abs(left), np.abs(right)), 0.0)
    worst = int(np.argmax(apart))
    if apart[worst] > STANDS_OUT * max(noise, 1.0):
        shown = phrase("{} at {}", celsius(temp_c[worst + 1]), given(time[worst + 1], "s"))
        allowed = "it stands out by {}: a loose wire? leave it out"
        raise InputError("reading", shown, allowed, kelvins(apart[worst]))
