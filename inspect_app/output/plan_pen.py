"""Draws the marks of a picture: each a link with a title where links are wanted, in shapes that are defined once."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

from inspect_app.domain.plan import CONDITION_WORDS, Condition, PlanMark
from inspect_app.output import palette
from inspect_app.output.plan_marks import mark_svg, shape_svg
from inspect_app.output.svg import line, rect, words

LEGEND_CONDITION = tuple((one.value, CONDITION_WORDS[one]) for one in Condition)


@dataclass(frozen=True, slots=True)
class Style:
    """How a plan or section is shown: on paper with its legend inside, or on a page with links and a legend beside.

    `prefix` keeps the ids of several pictures of one page apart. `found` are ids of parts and sets that are framed.
    """

    legend: tuple[tuple[str, str], ...] = LEGEND_CONDITION
    legend_inside: bool = True
    linked: bool = False
    shared_shapes: bool = False
    prefix: str = "m"
    found: frozenset[str] = frozenset()
    bare: bool = False  # a small picture: marks and set lines, no words


REPORT = Style()


class Placed(NamedTuple):
    """A mark where it is drawn; `foot` is its true place where it had to give way, and a leader goes there."""

    mark: PlanMark
    x: float
    y: float
    size: float
    foot: tuple[float, float] | None = None
    boxed: bool = False  # a head block


@dataclass(slots=True)
class MarkPen:
    """Draws marks in one style and remembers which shapes were used."""

    style: Style
    _shapes: dict[tuple[str, int], str] = field(default_factory=dict)

    def draw(self, code: str, x: float, y: float, size: float) -> str:
        """A mark at a place."""
        if not self.style.shared_shapes:
            return mark_svg(code, x, y, size)
        key = (code, round(size * 100))
        name = self._shapes.setdefault(key, f"{self.style.prefix}{len(self._shapes)}")
        return f'<use href="#{name}" x="{x:.2f}" y="{y:.2f}"/>'

    def defs(self) -> str:
        """The shapes that were used, to stand once in the picture."""
        shapes = (
            f'<g id="{name}" class="mark-{code}">{shape_svg(code, 0, 0, hundredths / 100)}</g>'
            for (code, hundredths), name in self._shapes.items()
        )
        return f"<defs>{''.join(shapes)}</defs>" if self._shapes else ""

    def link(self, address: str, title: str, inner: str, kind: str = "", *, grave: bool = False) -> str:
        """Something with its title, and a link where links are wanted; only the grave ones are stops of the tab key."""
        said = f"<title>{escape(title)}</title>"
        if not self.style.linked or not address:
            return f"<g>{said}{inner}</g>" if title and not self.style.bare else inner
        tab = "" if grave else ' tabindex="-1"'
        named = f' class="{kind}"' if kind else ""
        return f"<a href={quoteattr(address)}{named}{tab}>{said}{inner}</a>"

    def all(self, placed: Iterable[Placed]) -> Iterator[str]:
        """Leaders first, then boxes and frames, then the marks, the gravest last and so on top."""
        marks = sorted(placed, key=lambda one: -one.mark.rank)
        for one in marks:
            if one.foot:
                yield _leader(one, one.foot)
        for one in marks:
            if one.boxed:
                width = one.size * 1.875
                yield rect(
                    one.x - width / 2, one.y - one.size * 0.625, width, one.size * 1.25, palette.GROUND.paper,
                    palette.INK.paper,
                )  # fmt: skip
            if one.mark.part and one.mark.part in self.style.found:
                yield found_frame(one.x, one.y, one.size)
        for one in marks:
            yield self.placed(one)

    def picture(self, look: str, width: float, height: float, title: str, said: str, body: Iterable[str]) -> str:
        """The drawn body as one SVG element of classes `look`, in millimetres, with its title and description."""
        role = "group" if self.style.linked else "img"
        top = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="{look}" role="{role}" width="{width:g}mm" '
            f'height="{height:g}mm" viewBox="0 0 {width:g} {height:g}">'
        )
        told = f"<title>{escape(title)}</title><desc>{escape(said)}</desc>"
        return "".join([top, told, self.defs(), *body, "</svg>"])

    def legend(self, width: float, y: float) -> Iterator[str]:
        """What each mark means, in rows from y on."""
        for n, row in enumerate(legend_rows(self.style.legend, width)):
            for x, code, said in row:
                yield self.draw(code, x + 1.6, y + 5.0 * n - 0.9, 3.2)
                yield words(x + 4.4, y + 5.0 * n, 2.6, said)

    def placed(self, one: Placed) -> str:
        """One mark with its link and title."""
        mark = one.mark
        drawn = self.draw(mark.code, one.x, one.y, one.size)
        if not mark.part:
            return drawn
        return self.link(f"parts/{mark.part}/", f"{mark.tag}: {mark.words}", drawn, grave=mark.rank < 4)


def legend_rows(legend: Iterable[tuple[str, str]], width: float) -> list[list[tuple[float, str, str]]]:
    """The rows of a legend, each of (x, code, words), as wide as the picture allows."""
    rows: list[list[tuple[float, str, str]]] = [[]]
    x = 2.0
    for code, said in legend:
        needed = 8.0 + len(said) * 1.28
        if rows[-1] and x + needed > width:
            rows.append([])
            x = 2.0
        rows[-1].append((x, code, said))
        x += needed
    return rows


def legend_height(legend: Iterable[tuple[str, str]], width: float) -> float:
    """The height that the rows of a legend take beyond the first, in millimetres."""
    return 5.0 * (len(legend_rows(legend, width)) - 1)


def found_frame(x: float, y: float, size: float) -> str:
    """The frame around what the address asks for."""
    half = size * 0.95
    return (
        f'<g class="found">{rect(x - half, y - half, 2 * half, 2 * half, "none", palette.FOUND.paper, size * 0.16)}</g>'
    )


def _leader(one: Placed, foot: tuple[float, float]) -> str:
    drawn = line(*foot, one.x, one.y, 0.14, palette.DIM.paper)
    return f'<g class="leader" data-part="{escape(one.mark.part)}">{drawn}</g>'
