"""The years of a part as a picture: looks, findings, measures, photos, repairs, stops and replacements on one axis."""

from collections.abc import Callable, Sequence
from datetime import date, tzinfo
from xml.sax.saxutils import escape, quoteattr

from inspect_app.domain.part_life_story import StoryItem, StoryKind
from inspect_app.output.svg import circle, line, polygon, words

INK = "currentColor"
EDGE, HEAD, LANE, MARK = 12.0, 6.0, 36.0, 4.5
RAIL = 25.0  # from the top of a lane, where its title stands, to its line
YEAR_WIDTH = 30
LANES: tuple[tuple[str, frozenset[StoryKind]], ...] = (
    ("Looks: filled by hand, open by eye, cross not reached", frozenset({StoryKind.LOOK})),
    ("Findings, with their wear ratings", frozenset({StoryKind.FINDING})),
    ("Measures", frozenset({StoryKind.MEASURE})),
    ("Photos and voice notes", frozenset({StoryKind.PHOTO, StoryKind.VOICE})),
    ("Deficiencies and repairs", frozenset({StoryKind.DEFICIENCY})),
    ("Stops, restrictions, accepted conditions", frozenset({StoryKind.STOP, StoryKind.LIMIT})),
    ("Replacements and changes", frozenset({StoryKind.LIFE, StoryKind.CHANGE})),
)


def story_svg(items: Sequence[StoryItem], zone: tzinfo, key: str, *, width: float, until: date) -> str:
    """The picture as an SVG element `width` units wide, from the first year of the story to `until`.

    Lanes that nothing stands in are left out; what is struck from the story is drawn open and thin. Empty without
    items.
    """
    if not items:
        return ""
    days_of = {id(item): item.at.astimezone(zone).date() for item in items}
    # What was put in long before this record began would press everything else together: it is named at the left edge.
    years = [days_of[id(item)].year for item in items if StoryKind.LIFE not in item.kinds] or [until.year]
    first = date(min(years), 1, 1)
    days = max((until - first).days, 1)

    def x(on: date) -> float:
        return EDGE + (width - 2 * EDGE) * min(max((on - first).days / days, 0), 1)

    lanes = [(title, [item for item in items if item.kinds & kinds]) for title, kinds in LANES]
    lanes = [(title, there) for title, there in lanes if there]
    bottom = HEAD + LANE * len(lanes) + 4
    parts = [_years(first.year, until.year, x, (bottom, width))]
    for n, (title, there) in enumerate(lanes):
        y = HEAD + LANE * n
        parts.append(words(EDGE, y + 9, 9.5, title, fill=INK))
        parts.append(line(EDGE, y + RAIL, width - EDGE, y + RAIL, 0.5, INK))
        before = sorted({days_of[id(item)].year for item in there if days_of[id(item)] < first})
        if before:
            parts.append(words(EDGE + 2, y + RAIL - 4, 8.5, "‹ " + ", ".join(str(year) for year in before), fill=INK))
        parts += [_mark(item, x(days_of[id(item)]), y + RAIL, title) for item in there if days_of[id(item)] >= first]
    told = f"{len(items)} entries from {min(days_of.values())} to {max(days_of.values())}; " + (
        "; ".join(f"{title.partition(':')[0].partition(',')[0]}: {len(there)}" for title, there in lanes)
    )
    ids = quoteattr(f"{key}-title {key}-desc")
    return (
        f'<svg class="story-picture" xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby={ids} '
        f'viewBox="0 0 {width:g} {bottom + 16:g}"><title id="{key}-title">The years of it on one line</title>'
        f'<desc id="{key}-desc">{escape(told)}. The list below says the same in words.</desc>'
        + "".join(parts)
        + "</svg>"
    )


def _years(first: int, last: int, x: Callable[[date], float], size: tuple[float, float]) -> str:
    bottom, width = size
    step = max(1, -(-(last - first + 1) * YEAR_WIDTH // int(width - 2 * EDGE)))
    drawn = []
    for year in range(first, last + 1):
        at = x(date(year, 1, 1))
        drawn.append(line(at, HEAD, at, bottom, 0.4, INK, "1 3"))
        if (year - first) % step == 0 and at + YEAR_WIDTH * 0.8 < width:
            drawn.append(words(at + 2, bottom + 11, 9.5, str(year), fill=INK))
    return "".join(drawn)


def _mark(item: StoryItem, x: float, y: float, lane: str) -> str:
    thin = 0.6 if item.gone else 1.4
    fill = "none" if item.gone else INK
    if lane.startswith("Looks"):
        if item.result in ("not_reached", "not_applicable", "withdrawn"):
            return line(x - 3, y - 3, x + 3, y + 3, thin, INK) + line(x - 3, y + 3, x + 3, y - 3, thin, INK)
        return circle(x, y, MARK - 1, fill if item.handled else "none", INK, thin)
    if lane.startswith("Findings"):
        diamond = polygon([(x, y - MARK), (x + MARK, y), (x, y + MARK), (x - MARK, y)], fill, thin, INK)
        said = str(item.wear) if item.wear is not None and not item.gone else ""
        return diamond + (words(x, y - 6, 8.5, said, anchor="middle", fill=INK, weight=700) if said else "")
    if lane.startswith("Stops"):
        return polygon([(x - 4, y - 4), (x + 4, y - 4), (x + 4, y + 4), (x - 4, y + 4)], fill, thin, INK)
    if lane.startswith("Replacements"):
        return line(x, y - 8, x, y + 6, 2.2, INK)
    return polygon([(x - 4, y + 4), (x + 4, y + 4), (x, y - 4)], fill, thin, INK)
