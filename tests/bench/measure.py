"""Timing two things in turn, and the table of the results."""

import statistics
import textwrap
import time
from collections.abc import Callable
from dataclasses import dataclass

Work = Callable[[], object]


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the table. `ours` and `yardstick` are median seconds; `each` says what they are seconds of.

    Where there is a budget, it stands as the yardstick; `unit` is "s" or "bytes".
    """

    name: str
    did: str
    against: str
    each: str
    ours: float
    yardstick: float
    unit: str = "s"

    @property
    def ratio(self) -> float:
        return self.ours / self.yardstick


def seconds(work: Work) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def in_turn(ours: Work, yardstick: Work, rounds: int) -> tuple[float, float]:
    """Median seconds of both, measured alternately so that a busy machine slows both alike. One round warms up."""
    ours(), yardstick()
    taken = [(seconds(ours), seconds(yardstick)) for _ in range(rounds)]
    return statistics.median(a for a, _ in taken), statistics.median(b for _, b in taken)


def duration(value: float) -> str:
    """Seconds in the unit that reads best."""
    for unit, factor in (("s", 1.0), ("ms", 1e3)):
        if value * factor >= 1:
            return f"{value * factor:.3g} {unit}"
    return f"{value * 1e6:.3g} µs"


def amount(value: float, unit: str) -> str:
    """A measured value with its unit."""
    return f"{value / 1000:.1f} kB" if unit == "bytes" else duration(value)


HEADING = f"{'':28} {'this program':>14} {'yardstick':>14} {'ratio':>8}"


def row(line: Line) -> str:
    """A line of the table, with what it measured folded below it."""
    ratio = f"{line.ratio:.1f}x" if line.ratio >= 1.95 else f"{line.ratio:.2f}x"
    figures = f"{line.name:28} {amount(line.ours, line.unit):>14} {amount(line.yardstick, line.unit):>14} {ratio:>8}"
    told = (("did", line.did), ("against", line.against), ("figures", line.each))
    return "\n".join([figures, *(_folded(label, text) for label, text in told)])


def _folded(label: str, text: str) -> str:
    return textwrap.fill(text, 100, initial_indent=f"    {label + ':':9}", subsequent_indent=" " * 13)
