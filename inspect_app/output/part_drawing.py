"""Line drawings of every kind of part, with the places that wear marked by letters: SVG of our own, not to scale."""

from collections.abc import Callable, Mapping
from functools import cache
from math import hypot
from string import ascii_uppercase

from markupsafe import Markup

from inspect_app.domain.part import PartKind
from inspect_app.domain.part_kind import kind_title
from inspect_app.output import (
    part_drawing_access,
    part_drawing_arbor,
    part_drawing_lines,
    part_drawing_overhead,
    part_drawing_powered,
    part_drawing_rail,
)
from inspect_app.output.part_drawing_value import Drawing, Place
from inspect_app.output.part_pen import FINE, HIGH, WIDE, ln, ring, says
from inspect_app.output.svg import as_markup

NOT_TO_SCALE = "Not to scale; the maker's drawing comes first."
LETTER_RADIUS = 8.5
_MAKERS: Mapping[PartKind, Callable[[], Drawing]] = {
    **part_drawing_overhead.DRAWINGS,
    **part_drawing_lines.DRAWINGS,
    **part_drawing_arbor.DRAWINGS,
    **part_drawing_rail.DRAWINGS,
    **part_drawing_access.DRAWINGS,
    **part_drawing_powered.DRAWINGS,
}


@cache
def drawing_of(kind: PartKind) -> Drawing:
    """The drawing of a kind of part. Raises KeyError for a kind that nobody has drawn: a test asks for all."""
    return _MAKERS[kind]()


def letters_of(drawing: Drawing) -> list[tuple[str, Place]]:
    """Each place with its letter, in order."""
    return list(zip(ascii_uppercase, drawing.places, strict=False))


def draw_part(kind: PartKind, name: str = "") -> Markup:
    """The drawing as an SVG element, black lines in the colour of the text around it; `name` begins its ids."""
    drawing = drawing_of(kind)
    key = f"{name or 'drawing'}-{kind.value.replace('_', '-')}"
    marks = "".join(_mark(letter, place) for letter, place in letters_of(drawing))
    title = f"Line drawing: {kind_title(kind)}"
    return as_markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" class="part-drawing" viewBox="0 0 {WIDE} {HIGH}" role="img" '
        f'aria-labelledby="{key}"><title id="{key}">{title}</title>{"".join(drawing.shapes)}{marks}</svg>'
    )


def _mark(letter: str, place: Place) -> str:
    """A leader from the spot to the letter in its circle."""
    (x, y), (at_x, at_y) = place.spot, place.letter_at
    far = hypot(at_x - x, at_y - y)
    if far > LETTER_RADIUS:
        end = (at_x + (x - at_x) * LETTER_RADIUS / far, at_y + (y - at_y) * LETTER_RADIUS / far)
        leader = ln(x, y, *end, FINE)
    else:
        leader = ""
    circle = ring(at_x, at_y, LETTER_RADIUS, "paper", 1.2)
    return f"{leader}{ring(x, y, 1.8, 'ink', 0.5)}{circle}{says(at_x, at_y + 4.2, letter, 12)}"
