"""Figures of repairs as pictures: bars of what is open, spans of the time to repair, bars of the cost to come.

Drawn with presentation attributes in `currentColor`, so that they read in every choice of colours and on paper; ages
are told apart by how much ink a bar has and by the number in or above it, never by colour. 360 units wide, as a phone.
"""

from collections.abc import Sequence
from decimal import Decimal
from xml.sax.saxutils import escape

from inspect_app.domain.checklist import GRADE_TITLES
from inspect_app.domain.repair_figures import AGES, CostToCome, OpenByAge, RepairTime
from inspect_app.domain.repair_policy import money
from inspect_app.output.svg import circle, line, words

INK = "currentColor"
WIDTH, LEFT, RIGHT = 360.0, 92.0, 40.0
TEXT, SMALL, ROW, BAR = 12.0, 10.5, 34.0, 18.0
SHARES = ("0.12", "0.35", "0.65", "1")  # of ink, for the bands of age


def open_svg(rows: Sequence[OpenByAge], key: str) -> str:
    """Open deficiencies: a bar for each grade, parted by age."""
    most = max((row.total for row in rows), default=0)
    if not most:
        return ""
    top = 2 * SMALL + 18
    parts, scale = _ages_key(), (WIDTH - LEFT - RIGHT) / most
    for n, row in enumerate(rows):
        y, x = top + n * ROW, LEFT
        parts.append(words(LEFT - 8, y + BAR * 0.7, TEXT, GRADE_TITLES[row.grade], anchor="end", fill=INK))
        for share, count in zip(SHARES, row.counts, strict=True):
            if count:
                parts.append(_bar(x, y, count * scale, share))
                x += count * scale
        overdue = f", {row.overdue} overdue" if row.overdue else ""
        parts.append(words(x + 5, y + BAR * 0.7, SMALL, str(row.total), weight=700, fill=INK))
        if overdue:
            parts.append(words(LEFT, y + BAR + 10, SMALL - 1, overdue.removeprefix(", "), fill=INK))
    said = "; ".join(f"{GRADE_TITLES[row.grade]} {row.total}, of them {row.overdue} overdue" for row in rows)
    return _svg(key, "Open deficiencies by grade and age", said, top + len(rows) * ROW, parts)


def _ages_key() -> list[str]:
    parts = []
    for n, ((_, said), share) in enumerate(zip(AGES, SHARES, strict=True)):
        x, y = 4 + (n % 2) * WIDTH / 2, 3 + (n // 2) * (SMALL + 5)
        parts += [_bar(x, y, 14, share, 10), words(x + 20, y + 9, SMALL, said, fill=INK)]
    return parts


def _bar(x: float, y: float, width: float, share: str, height: float = BAR) -> str:
    return (
        f'<rect x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}" fill="{INK}" '
        f'fill-opacity="{share}" stroke="{INK}" stroke-width="1"/>'
    )


def time_svg(rows: Sequence[RepairTime], key: str) -> str:
    """Days from finding to repair: from the shortest to the longest, the middle half as a box, the median as a dot."""
    longest = max((row.longest or 0 for row in rows if row.cases), default=0)
    if not any(row.cases for row in rows):
        return ""
    scale = (WIDTH - LEFT - RIGHT) / max(longest, 1)
    parts, top = [], 8.0
    for n, row in enumerate(rows):
        y = top + n * ROW + BAR / 2
        parts.append(words(LEFT - 8, y + 4, TEXT, GRADE_TITLES[row.grade], anchor="end", fill=INK))
        parts += _span(row, y, scale)
    bottom = top + len(rows) * ROW
    parts.append(line(LEFT, bottom, WIDTH - RIGHT, bottom, 1, INK))
    for day in _ticks(longest):
        x = LEFT + day * scale
        parts += [
            line(x, bottom, x, bottom + 4, 1, INK),
            words(x, bottom + 15, SMALL, f"{day}", anchor="middle", fill=INK),
        ]
    parts.append(words(WIDTH - 2, bottom + 15, SMALL, "days", anchor="end", fill=INK))
    said = "; ".join(
        f"{GRADE_TITLES[row.grade]}: {row.cases} cases" + (f", median {row.median:g} days" if row.cases else "")
        for row in rows
    )
    return _svg(key, "Days from finding to repair", said, bottom + 22, parts)


def _span(row: RepairTime, y: float, scale: float) -> list[str]:
    if row.median is None or row.shortest is None or row.longest is None:
        return [words(LEFT + 2, y + 4, SMALL, "no case", fill=INK)]
    x1, x2 = LEFT + row.shortest * scale, LEFT + row.longest * scale
    parts = [line(x1, y, x2, y, 1.2, INK), line(x1, y - 5, x1, y + 5, 1.2, INK), line(x2, y - 5, x2, y + 5, 1.2, INK)]
    if row.middle:
        low, high = (LEFT + value * scale for value in row.middle)
        parts.append(_bar(low, y - 7, high - low, "0.2", 14))
    parts.append(circle(LEFT + row.median * scale, y, 4, INK))
    return parts


def _ticks(longest: int) -> list[int]:
    step = next((n for n in (1, 2, 5, 10, 20, 30, 60, 90, 180, 365, 730) if longest / n <= 6), 1825)
    return list(range(0, max(longest, 1) + 1, step))


def cost_svg(cost: CostToCome, key: str) -> str:
    """The cost to come in one currency, a bar for each quarter."""
    most = max((amount for _, amount in cost.quarters), default=Decimal(0))
    if not most:
        return ""
    parts, row, left = [], 26.0, 72.0
    for n, (quarter, amount) in enumerate(cost.quarters):
        y = 4 + n * row
        width = float(amount / most) * (WIDTH - left - 90)
        parts.append(words(left - 8, y + 13, SMALL, quarter, anchor="end", fill=INK))
        if amount:
            parts.append(_bar(left, y, width, "1" if quarter == "overdue" else "0.35"))
        parts.append(words(left + width + 5, y + 13, SMALL, money(amount, ""), fill=INK))
    said = "; ".join(f"{quarter} {money(amount, cost.currency)}" for quarter, amount in cost.quarters)
    return _svg(key, f"Cost to come in {cost.currency} by quarter", said, 4 + len(cost.quarters) * row, parts)


def _svg(key: str, title: str, said: str, height: float, parts: Sequence[str]) -> str:
    return (
        f'<svg class="trend" xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="{key}-title {key}-desc" '
        f'viewBox="0 0 {WIDTH:g} {height:g}"><title id="{key}-title">{escape(title)}</title>'
        f'<desc id="{key}-desc">{escape(said)}</desc>{"".join(parts)}</svg>'
    )
