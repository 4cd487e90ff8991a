"""Line sets: what a number may be, their order in walking, and the wells their lines hang in."""

from collections.abc import Sequence

from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSet, LineSetKind, Side

KIND_WORDS = {
    LineSetKind.SINGLE: "single purchase",
    LineSetKind.DOUBLE: "double purchase",
    LineSetKind.MOTOR: "motorised",
    LineSetKind.ROPE: "rope",
    LineSetKind.DEAD: "dead hung",
}
SIDE_WORDS = {Side.RIGHT: "stage right", Side.LEFT: "stage left"}
COUNTERWEIGHT_KINDS = frozenset({LineSetKind.SINGLE, LineSetKind.DOUBLE})
LONGEST_NUMBER = 12
LONGEST_LABEL = 120
MOST_LINES = 12
FARTHEST_MM = 60_000  # upstage of the datum; beyond it a unit was mistaken
SIDE_SETS_FROM = 1_000_000  # sort keys of sets along the sides stand behind all sets across the stage


def clean_number(text: str) -> str:
    """A set number as kept: 12, 12A, LX1, SL-1. Raises BadValue."""
    number = " ".join(text.split())
    if not number:
        raise BadValue("The set needs a number, such as 12 or 12A.", "number")
    if len(number) > LONGEST_NUMBER or not all(sign.isalnum() or sign in " -./+" for sign in number):
        raise BadValue(
            f"“{number[:30]}” cannot be a set number: up to {LONGEST_NUMBER} letters, digits and - . / + only.",
            "number",
        )
    return number


def check_line_set(line_set: LineSet) -> LineSet:
    """The set as it may be kept. Raises BadValue that names the field."""
    clean_number(line_set.number)
    if not 0 <= line_set.lines <= MOST_LINES:
        raise BadValue(f"A set has 0 to {MOST_LINES} lift lines, not {line_set.lines}.", "lines")
    if abs(line_set.y_mm) > FARTHEST_MM:
        raise BadValue(f"{line_set.y_mm / 1000:.1f} m from the datum is too far for a stage; check the unit.", "y_mm")
    if line_set.axis not in ("across", "along"):
        raise BadValue("A set runs across the stage or along its side.", "axis")
    return line_set


def sort_key_for(axis: str, y_mm: int) -> int:
    """Where a set stands in walking order: by distance from the datum; sets along the sides come last."""
    return y_mm if axis == "across" else SIDE_SETS_FROM + y_mm


def wells_of_lines(lines: int, wells: int, head_side: Side) -> tuple[int, ...]:
    """For each line from the head block the index of its well, counted from stage right; symmetric.

    A set with fewer lines than there are wells takes the outermost ones and spreads the rest evenly (an assumption to
    be checked on the grid). Raises BadValue when there are more lines than wells.
    """
    if lines > wells:
        raise BadValue(f"A set with {lines} lines needs {lines} wells; {wells} are given.", "lines")
    if lines == 0:
        return ()
    chosen = [0] * lines
    for near in range(lines // 2):
        chosen[near] = near * (wells - 1) // max(lines - 1, 1)
        chosen[lines - 1 - near] = wells - 1 - chosen[near]
    if lines % 2:
        chosen[lines // 2] = (wells - 1) // 2
    return tuple(chosen if head_side is Side.RIGHT else reversed(chosen))


def span_words(numbers: Sequence[str]) -> str:
    """Which sets a section covers: `sets 1 to 10`, or `set 7`."""
    if not numbers:
        return "no sets"
    return f"set {numbers[0]}" if len(numbers) == 1 else f"sets {numbers[0]} to {numbers[-1]}"


def clean_label(text: str) -> str:
    """What is usually on a set, on one line and without control characters. Raises BadValue when it is too long."""
    label = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    if len(label) > LONGEST_LABEL:
        raise BadValue(f"This is longer than {LONGEST_LABEL} characters; a rail card has no room for it.", "label")
    return label
