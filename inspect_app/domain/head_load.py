"""What the head block, the dead ends and the head beam carry from the lift lines of a set. Forces in N.

Lift lines come level from the loft blocks and turn down to the arbor: a wrap of 90 degrees unless the house measured
another. The hand line goes up to the head block and down again: 180 degrees, reckoned only when its pull is given.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.resultant import MOST_N, Measured, Resultant, finite, resultant

LINES_WRAP = 90.0
HAND_LINE_WRAP = 180.0
MOST_OFFSET_MM = 2_000.0


class Mounting(StrEnum):
    """How the block sits."""

    UPRIGHT = "upright"
    UNDERHUNG = "underhung"


MOUNTING_WORDS = {
    Mounting.UPRIGHT: "Upright: the block sits on the steel; its seat takes the plumb part, its fixings the level one.",
    Mounting.UNDERHUNG: (
        "Underhung: the block hangs below the steel; its fixings carry the plumb part in tension and the level part in "
        "shear."
    ),
}


@dataclass(frozen=True, slots=True)
class HeadLoad:
    """What comes on the head steel from one set.

    `block` is the pull of all lift lines on the head block with its plumb part (down) and its level part (towards the
    loft blocks). `dead_end_n` is what the dead ends of a double purchase pull down, `hand_line_n` what the hand line
    does. `beam_down_n` is all that pulls down on the head beam, `beam_level_n` what pulls it towards the loft blocks,
    `turning_nmm` the level part times its height above or below the steel. `arbor_n` is what the loaded arbor weighs.
    """

    kind: LineSetKind
    lines_n: float
    block: Resultant
    dead_end_n: float
    hand_line_n: float
    beam_down_n: float
    beam_level_n: float
    turning_nmm: float
    arbor_n: float
    assumptions: tuple[str, ...]
    dead_ends_on_beam: bool = True


def head_load(
    kind: LineSetKind,
    tensions_n: Sequence[float],
    *,
    degrees: float = LINES_WRAP,
    measured: Measured = Measured.WRAP,
    hand_line_pull_n: float = 0.0,
    dead_ends_on_beam: bool = True,
    mounting: Mounting | None = None,
    offset_mm: float = 0.0,
) -> HeadLoad:
    """The load on head block and head beam from the tension of each lift line, the set in balance.

    Of a double purchase each line pulls once more, at its dead end. Raises BadValue for a set without an arbor.
    """
    if kind not in (LineSetKind.SINGLE, LineSetKind.DOUBLE):
        raise BadValue("Only single and double purchase sets have a head block with an arbor below.", "kind")
    if not tensions_n:
        raise BadValue("Give the tension of each lift line.", "tensions_n")
    lines = sum(finite(tension, "tensions_n", MOST_N) for tension in tensions_n)
    double = kind is LineSetKind.DOUBLE
    block = resultant(lines, degrees, measured)
    hand = resultant(finite(hand_line_pull_n, "hand_line_pull_n", MOST_N), HAND_LINE_WRAP).pull_n
    dead = lines if double else 0.0
    return HeadLoad(
        kind=kind,
        lines_n=lines,
        block=block,
        dead_end_n=dead,
        hand_line_n=hand,
        beam_down_n=block.plumb_n + hand + (dead if dead_ends_on_beam else 0.0),
        beam_level_n=block.level_n,
        turning_nmm=block.level_n * finite(offset_mm, "offset_mm", MOST_OFFSET_MM),
        arbor_n=lines * (2 if double else 1),
        assumptions=_assumptions(double, block, hand > 0, dead_ends_on_beam, mounting),
        dead_ends_on_beam=dead_ends_on_beam,
    )


def _assumptions(
    double: bool, block: Resultant, hand: bool, dead_ends_on_beam: bool, mounting: Mounting | None
) -> tuple[str, ...]:
    where = "the head beam" if dead_ends_on_beam else "other steel, which must carry as much as all lift lines together"
    model = (
        "Double purchase: each lift line runs from the head block down to a block on the arbor and back up to a dead "
        f"end on {where}; the arbor hangs on two parts of each line and weighs twice their tension."
        if double
        else "Single purchase: each lift line runs from the head block straight down to the arbor."
    )
    return (
        model,
        f"All lift lines lie round the head block alike, with a wrap of {block.wrap_degrees:g} degrees"
        + (" (level from the loft blocks, then plumb down)." if block.wrap_degrees == LINES_WRAP else "."),
        "The hand line pulls twice, up and down, with the pull given."
        if hand
        else "The hand line, the block's own weight and a person's pull are not in these figures.",
        "The set is in balance and hangs still: starting, stopping and a runaway arbor add to every figure.",
        "Other sets hang on the same head beam: an engineer adds them up.",
        *((MOUNTING_WORDS[mounting],) if mounting else ()),
    )
