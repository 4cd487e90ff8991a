"""Bricks on an arbor: which whole bricks lie next to a weight, how high they stack, and how many spreader plates.

Masses in kg and lengths in mm, exact.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, lcm

from inspect_app.domain.balance import MOST_KG, MOST_MM, amount
from inspect_app.domain.errors import BadValue

MOST_KINDS = 3
MOST_BRICKS = 400  # of one kind on one arbor; more means that a unit was mistaken
MOST_BRICK_KG = Fraction(200)
MOST_BRICK_MM = Fraction(500)


@dataclass(frozen=True, slots=True)
class Brick:
    """A kind of brick: weighed mass, measured thickness, and how many there are (None: enough). Raises BadValue."""

    name: str
    kg: Fraction
    thickness_mm: Fraction
    at_hand: int | None = None

    def __post_init__(self) -> None:
        amount(self.kg, "kg", MOST_BRICK_KG, zero=False)
        amount(self.thickness_mm, "thickness_mm", MOST_BRICK_MM, zero=False)
        if self.at_hand is not None and (isinstance(self.at_hand, bool) or not 0 <= self.at_hand <= MOST_BRICKS):
            raise BadValue(f"Bricks at hand are 0 to {MOST_BRICKS} of one kind.", "at_hand")


@dataclass(frozen=True, slots=True)
class Stack:
    """So many bricks of each kind, in the order of the kinds; `over_kg` is what it has over (negative: lacks)."""

    counts: tuple[int, ...]
    kg: Fraction
    bricks_mm: Fraction
    over_kg: Fraction


@dataclass(frozen=True, slots=True)
class SpreaderRule:
    """Distance between spreader plates, thickness of one, and where the distance is written. Raises BadValue."""

    spacing_mm: Fraction
    citation: str
    plate_mm: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        amount(self.spacing_mm, "spacing_mm", MOST_MM, zero=False)
        amount(self.plate_mm, "plate_mm", MOST_BRICK_MM)


@dataclass(frozen=True, slots=True)
class StackFit:
    """A stack with its plates and collars against the length between the arbor's plates (None: not known)."""

    plates: int
    height_mm: Fraction
    free_mm: Fraction | None
    spare_mm: Fraction | None

    @property
    def fits(self) -> bool | None:
        """Whether all of it goes between the arbor's plates; None when their distance is not known."""
        return None if self.spare_mm is None else self.spare_mm >= 0

    @property
    def words(self) -> str:
        """What is to be said of it."""
        if self.fits is None:
            return "not compared: the length between the arbor's plates is not given"
        return "goes between the arbor's plates" if self.fits else "does not go between the arbor's plates"


def stack_of(kinds: Sequence[Brick], counts: Sequence[int], asked_kg: Fraction = Fraction(0)) -> Stack:
    """A stack of known counts. Raises BadValue for counts that do not fit the kinds."""
    if len(counts) != len(kinds) or any(isinstance(n, bool) or not 0 <= n <= MOST_BRICKS for n in counts):
        raise BadValue(f"Give a whole number from 0 to {MOST_BRICKS} for each kind of brick.", "counts")
    kg = sum((brick.kg * count for brick, count in zip(kinds, counts, strict=True)), Fraction(0))
    height = sum((brick.thickness_mm * count for brick, count in zip(kinds, counts, strict=True)), Fraction(0))
    return Stack(tuple(counts), kg, height, kg - asked_kg)


def nearest_stacks(asked_kg: Fraction, kinds: Sequence[Brick]) -> tuple[Stack | None, Stack | None]:
    """The whole bricks next below (or equal) and next above (or equal); equal weights: the fewest bricks.

    As people load: as many of the heaviest kind as go, or one more, and the lighter ones only for the rest, so that
    nobody is sent for two dozen half bricks to come half a pound nearer. None where the bricks at hand do not reach.
    Raises BadValue for no kinds, too many, or a weight out of all measure.
    """
    asked = amount(asked_kg, "asked_kg", 4 * MOST_KG)
    if not 1 <= len(kinds) <= MOST_KINDS:
        raise BadValue(f"Give 1 to {MOST_KINDS} kinds of brick.", "kinds")
    order = sorted(range(len(kinds)), key=lambda index: -Fraction(kinds[index].kg))
    most = [_most(kinds[order[0]], asked)]
    rest = asked - min(asked // kinds[order[0]].kg, most[0]) * kinds[order[0]].kg
    most += [_most(kinds[index], rest) for index in order[1:]]
    scale = lcm(*(Fraction(brick.kg).denominator for brick in kinds), asked.denominator)
    masses = [int(kinds[index].kg * scale) for index in order]
    below: tuple[int, int, tuple[int, ...]] | None = None
    above: tuple[int, int, tuple[int, ...]] | None = None
    for heaviest_first in _loadings(int(asked * scale), masses, most):
        over = sum(mass * count for mass, count in zip(masses, heaviest_first, strict=True)) - int(asked * scale)
        counts = tuple(heaviest_first[order.index(index)] for index in range(len(kinds)))
        found = (abs(over), sum(counts), counts)
        if over <= 0:
            below = found if below is None else min(below, found)
        if over >= 0:
            above = found if above is None else min(above, found)
    first, second = (None if found is None else stack_of(kinds, found[2], asked) for found in (below, above))
    return first, second


def _most(brick: Brick, asked: Fraction) -> int:
    needed = ceil(asked / brick.kg)
    if needed > MOST_BRICKS:
        raise BadValue(
            f"That would be more than {MOST_BRICKS} bricks of “{brick.name}”; check the weight of a brick.", "asked_kg"
        )
    return needed if brick.at_hand is None else min(needed, brick.at_hand)


def _loadings(asked: int, masses: Sequence[int], most: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Counts, heaviest kind first: as many of it as go, or one more, with every choice of the others for the rest."""
    whole = min(asked // masses[0], most[0])
    for count in sorted({whole, min(whole + 1, most[0])}):
        if len(masses) == 1:
            yield (count,)
        else:
            for rest in _counts(asked - count * masses[0], masses[1:], most[1:]):
                yield (count, *rest)


def _counts(asked: int, masses: Sequence[int], most: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Counts of each kind that lie next to the weight: all of the first kinds, of the last the two that matter."""
    if len(masses) > 1:
        for count in range(most[0] + 1):
            for rest in _counts(asked - count * masses[0], masses[1:], most[1:]):
                yield (count, *rest)
        return
    whole = max(asked, 0) // masses[0]
    for count in sorted({min(whole, most[0]), min(whole + (asked > whole * masses[0]), most[0])}):
        yield (count,)


def plates_for(stack_mm: Fraction, rule: SpreaderRule) -> int:
    """Spreader plates for a stack: one at each spacing, the last one on top, none for no stack."""
    return ceil(amount(stack_mm, "stack_mm", MOST_MM) / rule.spacing_mm)


def fit(
    stack: Stack, rule: SpreaderRule | None, free_mm: Fraction | None, collar_mm: Fraction = Fraction(0)
) -> StackFit:
    """The height of a stack with its spreader plates and the collars on top against the length between arbor plates.

    Without a rule no plates are counted. Raises BadValue.
    """
    plates = plates_for(stack.bricks_mm, rule) if rule else 0
    height = stack.bricks_mm + (plates * rule.plate_mm if rule else 0)
    height += amount(collar_mm, "collar_mm", MOST_BRICK_MM)
    if free_mm is None:
        return StackFit(plates, height, None, None)
    free = amount(free_mm, "free_mm", MOST_MM, zero=False)
    return StackFit(plates, height, free, free - height)
