"""What a batten's load does to its lift lines and blocks: level lines, and each line slack in turn; worst shown first.

Where the pipe would tip, what is left carries all. Forces in N, lengths in mm along the pipe, line weights in N/mm.
Tension in a line is its share of the pipe and its load plus its own weight over the drop. What the head block carries
is worked out in head_load.py.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from inspect_app.domain.beam import Beam, Load, PointLoad, Solution, UniformLoad, solve
from inspect_app.domain.beam_model import MOST_LOADS
from inspect_app.domain.errors import BadValue
from inspect_app.domain.resultant import MOST_N, Measured, Resultant, finite, resultant

FACTOR_WORDS = "new rope, catalogue strength; says nothing of the rope in the house"
LEVEL = "all lines level"
MOST_DROP_MM = 100_000.0
MOST_LINE_N_PER_MM = 1.0
RIGHT_ANGLE = 90.0
BENDS_FAR = "bends too far to be reckoned"
MUCH_BENT = 50  # our own choice: beyond a fiftieth of the length, small-deflection theory is left behind


@dataclass(frozen=True, slots=True)
class Piece:
    """Something on the pipe, by name: a point load (`to_mm` None) or one spread evenly; `newtons` is all of it."""

    name: str
    newtons: float
    at_mm: float
    to_mm: float | None = None

    @property
    def middle_mm(self) -> float:
        """Where its weight has its centre."""
        return self.at_mm if self.to_mm is None else (self.at_mm + self.to_mm) / 2

    def as_load(self) -> Load:
        """The piece as the beam takes it. Raises BadValue."""
        if self.to_mm is None:
            return PointLoad(self.at_mm, self.newtons)
        size = finite(self.newtons, "newtons", MOST_N)
        ends = UniformLoad(self.at_mm, self.to_mm, 0.0)
        return UniformLoad(ends.from_mm, ends.to_mm, size / (ends.to_mm - ends.from_mm))


def letters(pieces: Sequence[Piece]) -> tuple[str, ...]:
    """A, B, C ... Z, AA, AB ... for the loads, as the picture and the table beside it name them."""
    return tuple((chr(64 + i // 26) if i >= 26 else "") + chr(65 + i % 26) for i in range(len(pieces)))


@dataclass(frozen=True, slots=True)
class Share:
    """The part of the catalogue strength that a termination or a bend leaves: more than 0, at most 1, with source."""

    name: str
    share: float
    citation: str

    def __post_init__(self) -> None:
        if finite(self.share, "share", 1.0) <= 0:
            raise BadValue(f"{self.name}: a share of the strength is more than 0 and at most 1 (80 % is 0.8).", "share")


@dataclass(frozen=True, slots=True)
class Strength:
    """The breaking strength of a new rope as one document gives it."""

    newtons: float
    citation: str

    def __post_init__(self) -> None:
        if finite(self.newtons, "newtons", MOST_N) <= 0:
            raise BadValue("The breaking strength must be more than zero.", "newtons")


class Combine(StrEnum):
    """How several shares go together; documents do not agree, so a house chooses."""

    PRODUCT = "product"
    WEAKEST = "weakest"


COMBINE_WORDS = {
    Combine.PRODUCT: "The shares of strength are multiplied, as if the weak places lay on one another.",
    Combine.WEAKEST: "Only the least share of strength counts, as if the weak places lay apart.",
}


@dataclass(frozen=True, slots=True)
class Hung:
    """A pipe on its lift lines; `names` run from left to right as `beam.supports_mm`, `drop_mm` below the loft block.

    `loft_degrees` is the angle at the loft blocks (`loft_measured` says which), None where the lines turn on none.
    Without `stiffness_known` E·I is any: tensions on level lines do not turn on it, and nothing is said of bends.
    """

    beam: Beam
    pieces: tuple[Piece, ...]
    names: tuple[str, ...]
    drop_mm: float = 0.0
    line_n_per_mm: float = 0.0
    loft_degrees: float | None = RIGHT_ANGLE
    loft_measured: Measured = Measured.WRAP
    stiffness_known: bool = True

    def __post_init__(self) -> None:
        if len(self.names) != len(self.beam.supports_mm):
            raise BadValue("Give a name to each lift line, from left to right.", "names")
        if not 1 <= len(self.pieces) < MOST_LOADS:
            raise BadValue(f"Give 1 to {MOST_LOADS - 1} loads, the pipe's own weight among them.", "pieces")
        finite(self.drop_mm, "drop_mm", MOST_DROP_MM)
        finite(self.line_n_per_mm, "line_n_per_mm", MOST_LINE_N_PER_MM)

    @property
    def rope_n(self) -> float:
        """The weight of one lift line over the drop."""
        return self.drop_mm * self.line_n_per_mm

    def bends_far(self, solution: Solution) -> bool:
        """Whether the pipe would bend by more than this reckoning can tell; False where its stiffness is not known."""
        most = max(solution.sag.value, solution.rise.value)
        return self.stiffness_known and most > (self.beam.right_end_mm - self.beam.left_end_mm) / MUCH_BENT


@dataclass(frozen=True, slots=True)
class Case:
    """One way of hanging. Without a solution `why_not` says why the pipe has no resting place there.

    Then the lines of `carries_all` (by index) count as carrying the whole load, each by itself: no line can get more.
    """

    words: str
    solution: Solution | None
    why_not: str = ""
    carries_all: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class LineLoad:
    """One lift line: tension at the loft block with all lines level, and the worst with its case.

    `loft_block` is the pull on its loft block in the worst case, None without a loft block.
    """

    name: str
    at_mm: float
    level_n: float
    worst_n: float
    worst_case: str
    loft_block: Resultant | None


@dataclass(frozen=True, slots=True)
class Factor:
    """The least design factor by one document. `value` is None when `withheld` says why."""

    strength: Strength
    shares: tuple[Share, ...]
    line: str
    case: str
    value: float | None
    withheld: tuple[str, ...] = ()
    words: str = FACTOR_WORDS

    @property
    def citations(self) -> tuple[str, ...]:
        """Every source behind it."""
        return (self.strength.citation, *(share.citation for share in self.shares))


@dataclass(frozen=True, slots=True)
class BattenLoad:
    """All of it. `cases[0]` is the level one; `worst` has the tightest line of all."""

    hung: Hung
    cases: tuple[Case, ...]
    lines: tuple[LineLoad, ...]
    total_n: float
    assumptions: tuple[str, ...]

    @property
    def worst(self) -> LineLoad:
        """The line with the most tension in any case."""
        return max(self.lines, key=lambda line: line.worst_n)

    @property
    def unsolved(self) -> tuple[Case, ...]:
        """The cases without a resting place: there the pipe would tip, and what is left carries all of the load."""
        return tuple(case for case in self.cases if case.solution is None)


@dataclass(frozen=True, slots=True)
class BeamPicture:
    """What output/beam_picture.py draws: one case of a batten load, in a house's units."""

    load: BattenLoad
    case: Case
    units: str = "imperial"


def batten_load(hung: Hung) -> BattenLoad:
    """Tension in each line with all lines level and with each line slack in turn, and the pull on the loft blocks.

    Where the pipe would tip, the line about which it tips is given the whole load. Raises BadValue when the level case
    has no resting place, and for figures that make no sense.
    """
    loads = [piece.as_load() for piece in hung.pieces]
    level = solve(hung.beam, loads)
    cases = [Case(LEVEL, level)]
    cases += [_slack_case(hung, loads, index) for index in range(len(hung.names)) if len(hung.names) > 1]
    return BattenLoad(
        hung=hung,
        cases=tuple(cases),
        lines=tuple(_line(hung, cases, index) for index in range(len(hung.names))),
        total_n=level.total_n,
        assumptions=_assumptions(hung, cases),
    )


def _slack_case(hung: Hung, loads: Sequence[Load], index: int) -> Case:
    words = f"{hung.names[index]} slack"
    kept = [i for i in range(len(hung.names)) if i != index]
    lowered = tuple(hung.beam.lowered_mm[i] for i in kept) if hung.beam.lowered_mm else ()
    beam = Beam(
        tuple(hung.beam.supports_mm[i] for i in kept),
        hung.beam.left_end_mm,
        hung.beam.right_end_mm,
        hung.beam.flexural_rigidity,
        lowered,
    )
    try:
        found = solve(beam, [*loads, PointLoad(hung.beam.supports_mm[index], 0.0)])  # a station at the slack line
    except BadValue as error:
        return Case(words, None, error.message, _left_with_all(hung, kept))
    return Case(words, _numbered(found, index, hung.beam.supports_mm[index]))


def _left_with_all(hung: Hung, kept: Sequence[int]) -> tuple[int, ...]:
    """The line about which the pipe tips: the outermost on the side of the load. Every one where it does not tip."""
    total = math.fsum(piece.newtons for piece in hung.pieces)
    centre = math.fsum(piece.newtons * piece.middle_mm for piece in hung.pieces) / total
    first, last = hung.beam.supports_mm[kept[0]], hung.beam.supports_mm[kept[-1]]
    if first < centre < last:
        return tuple(kept)
    return (kept[0],) if centre <= first else (kept[-1],)


def _numbered(found: Solution, index: int, place: float) -> Solution:
    """The solution numbered as the whole set of lines: the slack one carries nothing."""
    held, over = found.reactions_n, found.support_moments_nmm
    here = next(station.moment_nmm for station in found.stations if station.at_mm == place)
    return replace(
        found,
        reactions_n=(*held[:index], 0.0, *held[index:]),
        slack=tuple(sorted({index, *(i if i < index else i + 1 for i in found.slack)})),
        support_moments_nmm=(*over[:index], here, *over[index:]),
    )


def _line(hung: Hung, cases: Sequence[Case], index: int) -> LineLoad:
    known = [(case.solution.reactions_n[index], case.words) for case in cases if case.solution]
    whole = math.fsum(piece.newtons for piece in hung.pieces)
    known += [(whole, case.words) for case in cases if index in case.carries_all]
    worst, where = max(known, key=lambda pair: pair[0])
    tension = worst + hung.rope_n
    return LineLoad(
        name=hung.names[index],
        at_mm=hung.beam.supports_mm[index],
        level_n=known[0][0] + hung.rope_n,
        worst_n=tension,
        worst_case=where,
        loft_block=None if hung.loft_degrees is None else resultant(tension, hung.loft_degrees, hung.loft_measured),
    )


def _assumptions(hung: Hung, cases: Sequence[Case]) -> tuple[str, ...]:
    rope = (
        "Each line carries its own weight over the drop besides its share of the load."
        if hung.rope_n
        else "The lines' own weight is not known here and counts as nothing."
    )
    tips = [
        f"With {case.words} the pipe would tip. What is left carries all: the whole load on "
        f"{' or '.join(hung.names[index] for index in case.carries_all)}; what the fall of the pipe adds is not known."
        for case in cases
        if case.solution is None
    ]
    bends = [
        f"With {case.words} the pipe would bend by more than a fiftieth of its length: more than this reckoning, made "
        "for small bends of a sound pipe, can tell."
        for case in cases
        if case.solution and hung.bends_far(case.solution)
    ]
    return (
        "The pipe is one continuous beam of the same section throughout; splices are as stiff as the pipe.",
        "Lines pull and never push; they do not stretch, hang plumb, and share a level unless said otherwise. A turn "
        "of a trim shifts load from line to line: that is why each line is taken as slack in turn. Two lines slack at "
        "once are not among the cases; the others would carry more.",
        "The set hangs still: starting, stopping, catching and snagging add to every figure here.",
        rope,
        "Trim chains, turnbuckles and line ends count only as far as they were weighed with the pipe.",
        "Blocks turn without friction." if hung.loft_degrees is not None else "The lines turn on no loft block.",
        *tips,
        *bends,
    )


def least_factors(
    load: BattenLoad,
    strengths: Sequence[Strength],
    shares: Sequence[Share],
    combine: Combine = Combine.PRODUCT,
    withheld: Sequence[str] = (),
) -> tuple[Factor, ...]:
    """For each document's strength: breaking strength times the shares over the greatest tension of any case.

    `withheld`: reasons (an open stop, a measure outside, an unknown termination) for which no figure is given. Empty
    when no document gives a strength. Raises BadValue.
    """
    worst = load.worst
    if worst.worst_n <= 0:
        raise BadValue("No line carries anything; there is no factor.", "newtons")
    left = [share.share for share in shares] or [1.0]
    part = math.prod(left) if combine is Combine.PRODUCT else min(left)
    reasons = tuple(withheld)
    return tuple(
        Factor(
            strength=strength,
            shares=tuple(shares),
            line=worst.name,
            case=worst.worst_case,
            value=None if reasons else strength.newtons * part / worst.worst_n,
            withheld=reasons,
        )
        for strength in strengths
    )
