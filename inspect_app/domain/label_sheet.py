"""Sheets of labels by dimension: where each label lies on the paper, and what stands on it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from inspect_app.domain.errors import BadValue

INCH_MM = 25.4
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (8.5 * INCH_MM, 11 * INCH_MM)}  # ISO 216; ANSI/ASME Y14.1 size A
LEAST_MM = (30.0, 12.0)  # below this a code cannot be scanned at arm's length (common practice, no source)
MOST_LABELS = 3000


@dataclass(frozen=True, slots=True)
class LabelSize:
    """A grid of equal labels, all in mm: size of one, how many, margins of the first, step from one to the next."""

    paper: str
    width: float
    height: float
    across: int
    down: int
    left: float
    top: float
    step_x: float
    step_y: float

    @property
    def on_a_sheet(self) -> int:
        """How many labels one sheet has."""
        return self.across * self.down


class Spot(NamedTuple):
    """Where a label lies: sheet, counted from 0, and its upper left corner in mm."""

    sheet: int
    x: float
    y: float


def _inches(paper: str, width: float, height: float, across: int, down: int, *rest: float) -> LabelSize:
    left, top, step_x, step_y = (one * INCH_MM for one in rest)
    return LabelSize(paper, width * INCH_MM, height * INCH_MM, across, down, left, top, step_x, step_y)


# Sizes that are sold everywhere, from memory: print on plain paper and hold it against the labels before the first run.
SIZES: dict[str, LabelSize] = {
    "a4-70x37": LabelSize("A4", 70, 37, 3, 8, 0, 0.5, 70, 37),
    "a4-63x38": LabelSize("A4", 63.5, 38.1, 3, 7, 7.2, 15.1, 66.0, 38.1),
    "a4-99x38": LabelSize("A4", 99.1, 38.1, 2, 7, 4.65, 15.1, 101.6, 38.1),
    "a4-99x57": LabelSize("A4", 99.1, 57.0, 2, 5, 4.65, 6.0, 101.6, 57.0),
    "letter-2.6x1": _inches("Letter", 2.625, 1, 3, 10, 0.1875, 0.5, 2.75, 1),
    "letter-4x2": _inches("Letter", 4, 2, 2, 5, 0.15625, 0.5, 4.1875, 2),
    "letter-4x3.3": _inches("Letter", 4, 10 / 3, 2, 3, 0.15625, 0.5, 4.1875, 10 / 3),
}


def size_words(size: LabelSize) -> str:
    """A size for people: by its dimensions.

    >>> size_words(SIZES["a4-63x38"])
    '63.5 × 38.1 mm, 3 × 7 on A4'
    """
    if size.paper == "Letter":
        shown = f"{_short(size.width / INCH_MM)} × {_short(size.height / INCH_MM)} in"
    else:
        shown = f"{_short(size.width)} × {_short(size.height)} mm"
    return f"{shown}, {size.across} × {size.down} on {size.paper}"


def _short(value: float) -> str:
    return f"{round(value, 3):g}"


def check_size(size: LabelSize) -> LabelSize:
    """The size itself. Raises BadValue, with its field, when labels overlap, leave the paper or are tiny."""
    paper = PAPERS_MM.get(size.paper)
    if paper is None:
        raise BadValue("Choose A4 or Letter.", "paper")
    if size.across < 1 or size.down < 1 or size.on_a_sheet > 500:
        raise BadValue("A sheet has from 1 to 500 labels. Mend how many stand across and down.", "across")
    if size.width < LEAST_MM[0] or size.height < LEAST_MM[1]:
        raise BadValue(f"A label needs {LEAST_MM[0]:g} × {LEAST_MM[1]:g} mm at least, or no phone reads it.", "width")
    if (size.across > 1 and size.step_x < size.width) or (size.down > 1 and size.step_y < size.height):
        raise BadValue("The step from one label to the next is less than the label: they would overlap.", "step_x")
    right = size.left + (size.across - 1) * size.step_x + size.width
    foot = size.top + (size.down - 1) * size.step_y + size.height
    if size.left < 0 or size.top < 0 or right > paper[0] + 0.05 or foot > paper[1] + 0.05:
        raise BadValue(
            f"These labels reach to {right:.1f} × {foot:.1f} mm; "
            f"{size.paper} ends at {paper[0]:.1f} × {paper[1]:.1f} mm.",
            "left",
        )
    return size


def spots(size: LabelSize, count: int, used: int = 0) -> Iterator[Spot]:
    """Where `count` labels lie, row by row, after `used` labels of the first sheet are gone.

    Raises BadValue when all of the first sheet is used, or for more than MOST_LABELS.
    """
    if not 0 <= used < size.on_a_sheet:
        raise BadValue(f"A sheet has {size.on_a_sheet} labels: say how many of them are gone, from 0.", "used")
    if count > MOST_LABELS:
        raise BadValue(f"These would be {count} labels. Choose fewer sets or kinds: {MOST_LABELS} at most.", "sets")
    for n in range(used, used + count):
        sheet, place = divmod(n, size.on_a_sheet)
        row, column = divmod(place, size.across)
        yield Spot(sheet, size.left + column * size.step_x, size.top + row * size.step_y)


class Label(NamedTuple):
    """What a label says: large, then small, and the address in its code."""

    large: str
    small: str
    address: str


class Laid(NamedTuple):
    """A label with its place on its sheet."""

    label: Label
    x: float
    y: float


def lay_out(labels: Sequence[Label], size: LabelSize, used: int = 0) -> list[list[Laid]]:
    """The labels sheet by sheet. Raises BadValue as check_size and spots do."""
    check_size(size)
    sheets: list[list[Laid]] = []
    for label, spot in zip(labels, spots(size, len(labels), used), strict=True):
        while len(sheets) <= spot.sheet:
            sheets.append([])
        sheets[spot.sheet].append(Laid(label, spot.x, spot.y))
    return sheets
