"""The newest figure of each thing measured on a part, with what every limit says of it, as the part's page shows it."""

from collections.abc import Iterable
from typing import NamedTuple

from flask import g

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.house import Inventory
from inspect_app.domain.house_criteria import governing_words
from inspect_app.domain.judge import Verdict
from inspect_app.domain.judged_measure import judging_attributes, verdicts_of
from inspect_app.domain.measure_history import Outlook, Series, TakenMeasure
from inspect_app.domain.part import Part
from inspect_app.domain.trend_words import as_typed, series_facts, series_title
from inspect_app.store.checklist import NamedCriteria
from inspect_app.store.measure_history import parts_beside
from inspect_app.web.database import get_db
from inspect_app.web.walk import criteria_here


class NewestSaid(NamedTuple):
    """One figure as the page shows it; `why_not` says why it does not count yet, ''. `unit` is that of the figure."""

    title: str
    value: str
    unit: str
    facts: str
    on: str
    why_not: str
    verdicts: tuple[Verdict, ...]
    governing: str


def newest_said(part: Part, outlooks: Iterable[Outlook], inventory: Inventory | None = None) -> list[NewestSaid]:
    """For each quantity and place the newest figure of what hangs there now, and a newer one that nobody signed yet.

    `outlooks` are all of the part; `inventory` is its house, of which little is read here where it is not at hand.
    """
    series = [outlook.series for outlook in outlooks]
    newest: dict[tuple[str, ...], tuple[Series, TakenMeasure]] = {}
    for one in series:
        for taken in (one.taken[-1:], one.waiting[-1:]):
            for measure in taken:
                key = (one.key.quantity, one.key.station, one.key.point, "waits" if measure.why_not else "")
                if key not in newest or newest[key][1].on < measure.on:
                    newest[key] = (one, measure)
    for waits in [key for key in newest if key[-1]]:
        counted = newest.get((*waits[:-1], ""))
        if counted and newest[waits][1].on < counted[1].on:
            del newest[waits]  # whatever gauge the newer one was taken with
    if not newest:
        return []
    criteria, whole = criteria_here(part.house), inventory or parts_beside(get_db(), g.house, part)
    attributes, named = judging_attributes(whole, part), NamedCriteria(get_db())
    found = []
    for one, measure in newest.values():
        criterion = criteria.get(named.key(measure.revision, measure.point, measure.quantity))
        found.append(_said(one, measure, criterion, verdicts_of(measure, criterion, attributes)))
    return found


def _said(
    series: Series, measure: TakenMeasure, criterion: Criterion | None, verdicts: tuple[Verdict, ...]
) -> NewestSaid:
    limits = [verdict.limit for verdict in verdicts if verdict.limit is not None]
    return NewestSaid(
        series_title(series), as_typed(measure), measure.unit, series_facts(series),
        measure.on.isoformat(), measure.why_not, verdicts, governing_words(criterion, limits),
    )  # fmt: skip
