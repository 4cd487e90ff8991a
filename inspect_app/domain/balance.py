"""Counterweight for a batten load: what hangs against what, and how far out of balance the set is at its two ends.

Masses in kg and lengths in mm, exact. Single purchase: the arbor weighs what the batten weighs and travels as far.
Double purchase: the arbor weighs twice as much and travels half as far. Friction is left out. The hand line is a closed
loop: by whatever the arbor moves, as much hangs above it more as hangs below it less, so it shifts no weight.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inspect_app.domain.criteria import Consequence
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.judge import BALANCE_WORDS, INSIDE_WORDS, NO_FIGURE_WORDS, OUTSIDE_WORDS, Result
from inspect_app.domain.line_set import MOST_LINES

Number = int | Decimal | Fraction
MOST_KG = Fraction(50_000)
MOST_MM = Fraction(100_000)
MOST_KG_PER_M = Fraction(50)
RATIO = {LineSetKind.SINGLE: 1, LineSetKind.DOUBLE: 2}
LOW, MIDDLE, HIGH = Fraction(0), Fraction(1, 2), Fraction(1)  # shares of the travel: batten at its lowest is none of it
TRIMS = (("low trim", LOW), ("mid-travel", MIDDLE), ("high trim", HIGH))
BATTEN_HEAVY, ARBOR_HEAVY, IN_BALANCE = "batten-heavy", "arbor-heavy", "in balance"


@dataclass(frozen=True, slots=True)
class LiftLines:
    """The lift lines of a set: mass per metre of one, and how long it hangs on each side with the batten out.

    `batten_side_mm`: from loft block to batten at high trim. `arbor_side_mm`: from head block to arbor at low trim,
    when the arbor is up. Raises BadValue.
    """

    count: int
    kg_per_m: Fraction
    travel_mm: Fraction
    batten_side_mm: Fraction = Fraction(0)
    arbor_side_mm: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        if isinstance(self.count, bool) or not isinstance(self.count, int) or not 1 <= self.count <= MOST_LINES:
            raise BadValue(f"A set has 1 to {MOST_LINES} lift lines; give their number.", "count")
        amount(self.kg_per_m, "kg_per_m", MOST_KG_PER_M)
        amount(self.travel_mm, "travel_mm", MOST_MM, zero=False)
        amount(self.batten_side_mm, "batten_side_mm", MOST_MM)
        amount(self.arbor_side_mm, "arbor_side_mm", MOST_MM)


@dataclass(frozen=True, slots=True)
class Balance:
    """What the arbor must weigh (`needed_kg`, its frame included) to balance the set at mid-travel.

    Heavier batten counts as positive, in kg on the batten. `low_kg` and `high_kg` are what the batten side is heavier
    by at low and high trim with exactly that weight on the arbor; `shift_kg` is the change over the whole travel.
    """

    kind: LineSetKind
    ratio: int
    batten_kg: Fraction
    needed_kg: Fraction
    low_kg: Fraction
    high_kg: Fraction
    shift_kg: Fraction
    arbor_travel_mm: Fraction | None
    assumptions: tuple[str, ...]

    def out_of_balance(self, arbor_kg: Fraction, share: Fraction = MIDDLE) -> Fraction:
        """What the batten side is heavier by when the arbor weighs this; negative: the arbor side.

        `share` is how much of its travel the batten has gone out, 0 (low trim) to 1 (high trim).
        """
        return self.low_kg - share * self.shift_kg + (self.needed_kg - arbor_kg) / self.ratio

    def worst(self, arbor_kg: Fraction) -> tuple[str, Fraction]:
        """Where over the travel the set is farthest out of balance, and by what, with its sign: one of its ends."""
        ends = ((words, self.out_of_balance(arbor_kg, share)) for words, share in TRIMS if share != MIDDLE)
        return max(ends, key=lambda end: abs(end[1]))

    def at_hand_line(self, out_of_balance_kg: Fraction) -> Fraction:
        """An imbalance of the batten as a hand line tied to the arbor feels it: in double purchase twice as much."""
        return out_of_balance_kg * self.ratio


def amount(value: object, field: str, most: Fraction, *, zero: bool = True) -> Fraction:
    """An exact amount from 0 to `most`. Raises BadValue that names the field."""
    number = Fraction(-1)
    if isinstance(value, Decimal | Fraction | int) and not isinstance(value, bool):
        number = Fraction(value) if not isinstance(value, Decimal) or value.is_finite() else number
    else:
        raise BadValue(f"{field}: “{str(value)[:40]}” is not an exact number. Give the figure as read.", field)
    if number < 0 or number > most or (number == 0 and not zero):
        low = "0" if zero else "more than 0"
        raise BadValue(
            f"{field} is {str(value)[:40]}; it must be {low} to {most}. Check the figure and its unit.", field
        )
    return number


def balance(kind: LineSetKind, pipe_kg: Number, load_kg: Number, lines: LiftLines | None = None) -> Balance:
    """The weight of the loaded arbor that balances pipe, load and lift lines at mid-travel.

    `pipe_kg` is the pipe with what stays on it (clamps, cable), `load_kg` what was hung. Without `lines` their weight
    counts as nothing, which is said. Raises BadValue for a set without an arbor, for figures that make no sense, and
    where so much line hangs on the arbor side that no arbor could balance it.
    """
    ratio = RATIO.get(kind)
    if ratio is None:
        raise BadValue("Only single and double purchase sets have an arbor to balance.", "kind")
    hung = amount(pipe_kg, "pipe_kg", MOST_KG) + amount(load_kg, "load_kg", MOST_KG)
    if not hung:
        raise BadValue("Nothing hangs on the lines; give at least the pipe's own weight.", "pipe_kg")
    at_low, at_high = _line_weights(lines, ratio) if lines else (Fraction(0), Fraction(0))
    middle = (at_low + at_high) / 2
    if hung + middle <= 0:
        raise BadValue(
            "At mid-travel more line hangs on the arbor side than pipe, load and line weigh on the other: no arbor "
            "balances that. Check the lengths and the mass of the rope.",
            "arbor_side_mm",
        )
    return Balance(
        kind=kind,
        ratio=ratio,
        batten_kg=hung,
        needed_kg=ratio * (hung + middle),
        low_kg=at_low - middle,
        high_kg=at_high - middle,
        shift_kg=at_low - at_high,
        arbor_travel_mm=lines.travel_mm / ratio if lines else None,
        assumptions=_assumptions(ratio, lines),
    )


def _line_weights(lines: LiftLines, ratio: int) -> tuple[Fraction, Fraction]:
    """How much more lift line hangs on the batten side than counts on the arbor side, in kg, at low and high trim.

    Of a double purchase only the part that runs from the head block down to the arbor counts: its other part hangs
    from its dead end.
    """
    per_mm = lines.count * Fraction(lines.kg_per_m) / 1000
    up, down = Fraction(lines.batten_side_mm), Fraction(lines.arbor_side_mm)
    at_low = (up + lines.travel_mm) - down
    at_high = up - (down + Fraction(lines.travel_mm) / ratio)
    return per_mm * at_low, per_mm * at_high


def _assumptions(ratio: int, lines: LiftLines | None) -> tuple[str, ...]:
    model = (
        "Single purchase: the arbor weighs what hangs on the batten side and travels as far as the batten."
        if ratio == 1
        else "Double purchase: each lift line runs down to a block on the arbor and back up to a dead end, so the "
        "arbor weighs twice what hangs on the batten side and travels half as far."
    )
    rope = (
        "The weight of the lift lines passes from one side to the other over the travel; balanced at mid-travel. A "
        "chain that makes up for it is not counted."
        if lines
        else "The weight of the lift lines is not known here and counts as nothing: the set is heavier on the side "
        "where more line hangs, the batten side at low trim and the arbor side at high trim."
    )
    return (
        model,
        rope,
        "Blocks turn without friction; the hand line is a closed loop and shifts no weight as the set moves.",
        "All of the load hangs at every trim. What stands on the floor at low trim, as a long drape does, weighs "
        "nothing there, and the set is arbor-heavy by that much. Cable that hangs from above is not counted.",
    )


def leaning(over_kg: Fraction) -> str:
    """Which side is the heavier one, by the sign of what the batten side is heavier by."""
    return IN_BALANCE if not over_kg else BATTEN_HEAVY if over_kg > 0 else ARBOR_HEAVY


@dataclass(frozen=True, slots=True)
class Posted:
    """A weight beside a posted capacity. `words` are those of every verdict."""

    what: str
    kg: Fraction
    capacity_kg: Fraction | None
    result: Result
    words: str


def against_posted(what: str, kg: Number, capacity_kg: Number | None) -> Posted:
    """A weight against the capacity posted for `what` (arbor, set): outside when it is more than posted."""
    size = amount(kg, "kg", 4 * MOST_KG)
    if capacity_kg is None:
        return Posted(what, size, None, Result.NOT_JUDGED, f"not judged: no capacity is posted for the {what}")
    capacity = amount(capacity_kg, "capacity_kg", 4 * MOST_KG, zero=False)
    if size > capacity:
        return Posted(what, size, capacity, Result.OUTSIDE, OUTSIDE_WORDS[Consequence.LOAD_PATH])
    return Posted(what, size, capacity, Result.INSIDE, INSIDE_WORDS)


@dataclass(frozen=True, slots=True)
class Imbalance:
    """An imbalance beside the figure on the lock's own plate or in its maker's paper. It never permits one."""

    kg: Fraction
    lock_kg: Fraction | None
    result: Result
    words: str


def against_lock(out_of_balance_kg: Number, lock_kg: Number | None) -> Imbalance:
    """An imbalance (sign left out) against the lock's own figure only; published practice conflicts and is not used.

    Without a figure it reads *no figure: balance the set*, and below a figure still *balance the set*.
    """
    if not isinstance(out_of_balance_kg, Fraction | int | Decimal) or isinstance(out_of_balance_kg, bool):
        raise BadValue("out_of_balance_kg is not an exact number. Give the figure as read.", "out_of_balance_kg")
    size = amount(abs(out_of_balance_kg), "out_of_balance_kg", 4 * MOST_KG)
    if lock_kg is None:
        return Imbalance(size, None, Result.NO_LIMIT, NO_FIGURE_WORDS)
    figure = amount(lock_kg, "lock_kg", MOST_KG, zero=False)
    if size > figure:
        return Imbalance(size, figure, Result.OUTSIDE, OUTSIDE_WORDS[Consequence.BALANCE])
    return Imbalance(size, figure, Result.INSIDE, BALANCE_WORDS)
