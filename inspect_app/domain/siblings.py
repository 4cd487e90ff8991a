"""The odd one out: a set's figures and wear ratings against those of its sister sets."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from statistics import median

LEAST_SIBLINGS = 4
# Iglewicz and Hoaglin, How to Detect and Handle Outliers (1993): a modified Z-score beyond 3.5 marks a value to look
# at; Z = 0.6745 (x - median) / MAD, 0.6745 being the 75th percentile of the normal distribution. Read second hand.
CUTOFF = Fraction("3.5")
QUARTILE = Fraction("0.6745")
# Where more than half of the siblings read alike the MAD is zero; the mean absolute deviation takes its place then,
# times 1.2533, the square root of pi/2 (same source).
MEAN_FACTOR = Fraction("1.2533")
LEAST_STEPS = 2  # a difference of up to two steps of the gauge or the scale says nothing


@dataclass(frozen=True, slots=True)
class SetValue:
    """One figure of one line set. `group` names what may be compared: kind of set, kind of part, line, point, quantity.

    `value` is in `unit`; `step` is the smallest difference the gauge or the scale can show, in the same unit.
    """

    line_set: str
    group: tuple[str, ...]
    quantity: str
    value: Fraction
    unit: str
    step: Fraction
    shown: str = ""


@dataclass(frozen=True, slots=True)
class OddOne:
    """A set that differs from its siblings in one quantity."""

    line_set: str
    quantity: str
    value: str
    unit: str
    median: str
    siblings: int
    words: str


def odd_ones(values: Iterable[SetValue]) -> tuple[OddOne, ...]:
    """The sets that stand apart, never with fewer than four siblings; of a set with several values the middle one."""
    groups: dict[tuple[str, ...], dict[str, list[SetValue]]] = {}
    for value in values:
        groups.setdefault(value.group, {}).setdefault(value.line_set, []).append(value)
    found = []
    for sets in groups.values():
        own = {line_set: _middle(rows) for line_set, rows in sets.items()}
        for value in own.values():
            others = [other for line_set, other in own.items() if line_set != value.line_set]
            odd = _odd(value, others)
            found += [odd] if odd else []
    return tuple(found)


def _middle(rows: Sequence[SetValue]) -> SetValue:
    return sorted(rows, key=lambda row: row.value)[len(rows) // 2]


def _odd(value: SetValue, others: Sequence[SetValue]) -> OddOne | None:
    if len(others) < LEAST_SIBLINGS:
        return None
    centre = Fraction(median(other.value for other in others))
    apart = abs(value.value - centre)
    if apart <= LEAST_STEPS * value.step or apart <= CUTOFF * _spread([other.value for other in others], centre):
        return None
    lowest, highest = min(other.value for other in others), max(other.value for other in others)
    words = (
        f"{'higher' if value.value > centre else 'lower'} than its {len(others)} siblings, "
        f"which lie between {_text(lowest)} and {_text(highest)}{_unit(value)}"
    )
    shown = value.shown or _text(value.value)
    return OddOne(value.line_set, value.quantity, shown, value.unit, _text(centre), len(others), words)


def _spread(numbers: Sequence[Fraction], centre: Fraction) -> Fraction:
    """A robust stand-in for the standard deviation."""
    away = [abs(number - centre) for number in numbers]
    return Fraction(median(away)) / QUARTILE or MEAN_FACTOR * sum(away, Fraction(0)) / len(away)


def _unit(value: SetValue) -> str:
    return f" {value.unit}" if value.unit else ""


def _text(number: Fraction) -> str:
    """The number to at most four places, without trailing zeros."""
    rounded = round(Decimal(number.numerator) / Decimal(number.denominator), 4).normalize()
    return f"{rounded:f}"
