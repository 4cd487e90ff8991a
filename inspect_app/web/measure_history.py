"""The measures of a part as its page shows them: each series with its picture, its words and its table."""

from collections.abc import Iterable
from typing import NamedTuple

from markupsafe import Markup

from inspect_app.config import shared_dir
from inspect_app.domain.measure_history import Outlook
from inspect_app.domain.source import MARK_WORDS
from inspect_app.domain.trend import Trend
from inspect_app.domain.trend_words import (
    METHOD,
    MeasureRow,
    cautions,
    direction_words,
    measure_rows,
    next_words,
    series_facts,
    series_title,
    since_first_words,
)
from inspect_app.output.svg import as_markup
from inspect_app.output.trend_picture import trend_svg
from inspect_app.store.reference import student_t_at
from inspect_app.web.house_form import today


class ShownLimit(NamedTuple):
    """A limit as the page lists it."""

    says: str
    citation: str
    words: str


class ShownSeries(NamedTuple):
    """One series as the page shows it."""

    title: str
    facts: str
    words: str
    next: str
    direction: str
    urgent: bool
    picture: Markup
    limits: tuple[ShownLimit, ...]
    beside: tuple[str, ...]
    cautions: tuple[str, ...]
    rows: tuple[MeasureRow, ...]


def trend_method() -> str:
    """How the lines are laid, and where the quantile of the band comes from."""
    table = student_t_at(shared_dir())
    if table is None:
        return METHOD
    return f"{METHOD} Student's t of the band: {table.citation} ({MARK_WORDS.get(table.mark, table.mark)})."


def shown_measures(outlooks: Iterable[Outlook]) -> list[ShownSeries]:
    """Every series of the part, those that ask for a look soonest first."""
    return [_shown(n, one) for n, one in enumerate(sorted(outlooks, key=_rank))]


def _rank(outlook: Outlook) -> tuple[bool, bool, str]:
    return not outlook.now, outlook.before is None, str(outlook.before or "")


def _direction(outlook: Outlook) -> str:
    """Where it is going; of a measure that no limit judges, also how far it is from its own first one."""
    first = "" if outlook.judged else since_first_words(outlook.series)
    if first:
        first += ". No limit judges it: compare with its sisters and with the maker's paper"
    trend = direction_words(outlook.trend, outlook.series.unit) if isinstance(outlook.trend, Trend) else ""
    return "; ".join(filter(None, (trend, first)))


def _shown(n: int, outlook: Outlook) -> ShownSeries:
    series = outlook.series
    return ShownSeries(
        series_title(series),
        series_facts(series),
        f"{outlook.words[:1].upper()}{outlook.words[1:]}.",
        next_words(outlook, today()),
        _direction(outlook),
        outlook.now or outlook.before is not None,
        as_markup(trend_svg(outlook, f"series-{n}")),
        tuple(ShownLimit(one.limit.says(series.unit), one.limit.citation, one.words) for one in outlook.limits),
        series.beside,
        tuple(cautions(outlook)),
        measure_rows(series),
    )
