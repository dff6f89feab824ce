"""What happens while a casting freezes, in words: one line for each moment of a film."""

from castlab.field.history import SUPPLIERS
from castlab.field.holes import the

OPENS = 0.01  # of all that is asked for; from here on a hole in the casting is spoken of
SAID = {"pour": "the pour", "gate": "the gate", "feeder": "the feeder", "casting": "the casting itself"}


def marks_of(account):
    """Pairs of name and time [s]: when gate, sprue, neck and feeder are wholly solid, the earliest first."""
    ways = [block.name for block in account.run.grid.layout.blocks if block.role in ("gate", "feeder")]
    times = [(name, account.froze_s[name]) for name in ways if name in account.froze_s]
    return tuple(sorted(times, key=lambda mark: mark[1]))


def words_of(account, times, supplied, units):
    """What is to be said at each of some `times` [s]; `supplied` [m3] there, by the names in SUPPLIERS."""
    asked = sum(supplied[name][-1] for name in SUPPLIERS)
    last = account.run.last_time_s
    return tuple(
        f"{units.time(time, beside=last)} after the pour. {_closed(account, time, units)}"
        f"{_asked({name: supplied[name][frame] for name in SUPPLIERS}, asked, units)}"
        f"{_state(account, supplied['casting'][frame], asked, time)}"
        for frame, time in enumerate(times)
    )


def _closed(account, time, units):
    closed = [f"{the(name)} ({units.time(when, beside=account.run.last_time_s)})"
              for name, when in marks_of(account) if when <= time]
    if not closed:
        return "Nothing is closed yet. "
    return f"Solid: {', '.join(closed)}. "


def _asked(so_far, asked, units):
    total = sum(so_far.values())
    if total < 1e-3 * asked:
        return "No volume is asked for yet. "
    parts = [f"{SAID[name]} {units.volume(volume)}" for name, volume in so_far.items()
             if volume > 1e-3 * asked]
    return f"Asked for so far: {units.volume(total)}; supplied by {', '.join(parts)}. "


def _state(account, holes, asked, time):
    if time >= account.run.last_time_s:
        return "All metal is solid."
    return "A hole opens in the casting." if holes > OPENS * asked and account.verdict != "sound" else ""
