"""What the measures of a part ask of the calendar: a look before a date, at once, or with a gauge that reads right."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from inspect_app.domain.measure_history import Outlook
from inspect_app.domain.trend import Trend, next_look


class LookAgain(NamedTuple):
    """What the measures of one quantity of a part ask of the calendar.

    `before` is the early end, None when the look is due at once; `by` is the day by which to look next, so that two
    looks fall before that end; `words` say why, fit to be shown.
    """

    part: str
    before: date | None
    by: date
    quantity: str
    words: str


def looks_again(outlooks: Sequence[Outlook]) -> tuple[LookAgain, ...]:
    """What all series of one part ask for, the most urgent first: one of each quantity, since two quantities may be
    measured on different walks."""
    asked = [one for outlook in outlooks if (one := look_again_of(outlook)) is not None]
    asked += _measured_wrong(outlooks)
    first: dict[str, LookAgain] = {}
    for one in sorted(asked, key=lambda one: (one.by, one.quantity)):
        first.setdefault(one.quantity, one)
    return tuple(first.values())


def look_again_of(outlook: Outlook) -> LookAgain | None:
    """What one series asks for; None when it asks for nothing beyond the usual interval."""
    if not isinstance(outlook.trend, Trend) or not (outlook.now or outlook.before):
        return None
    last, before = outlook.last_look or outlook.trend.last, None if outlook.now else outlook.before
    by = next_look(last, before, None) or last + timedelta(days=1)
    quantity = _quantity(outlook)
    return LookAgain(outlook.series.part, before, by, quantity, f"{quantity}: {outlook.look_again}")


def _measured_wrong(outlooks: Iterable[Outlook]) -> list[LookAgain]:
    """Places whose newest signed figure came from a gauge that read wrong: taking it out must not put a date back."""
    good: dict[tuple[str, str], date] = {}
    wrong: dict[tuple[str, str], tuple[date, Outlook]] = {}
    for outlook in outlooks:
        key = outlook.series.key
        place = key.quantity, key.station or key.point
        for one in outlook.series.taken:
            good[place] = max(one.on, good.get(place, one.on))
        for one in outlook.series.waiting:
            if one.doubted and (place not in wrong or one.on > wrong[place][0]):
                wrong[place] = one.on, outlook
    return [
        LookAgain(
            outlook.series.part,
            None,
            on + timedelta(days=1),
            _quantity(outlook),
            f"{_quantity(outlook)}: measured last, on {on.isoformat()}, with a gauge that read wrong; measure it again",
        )
        for place, (on, outlook) in wrong.items()
        if place not in good or on > good[place]
    ]


def _quantity(outlook: Outlook) -> str:
    return outlook.series.key.quantity.replace("_", " ")
