"""How values are written on pages: dates, times, counts and roles."""

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from flask import Flask, g

from inspect_app.domain.entry_check import clock_off
from inspect_app.domain.judged_measure import lead_words, measure_words, said_alike
from inspect_app.domain.report_words import cited
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.sequence import gap_words


def _zone() -> ZoneInfo:
    house = g.get("house")
    try:
        return ZoneInfo(house.tz if house else "UTC")
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return ZoneInfo("UTC")


def _as_datetime(value: datetime | str) -> datetime:
    return datetime.fromisoformat(value) if isinstance(value, str) else value


def local_time(value: datetime | str | None) -> str:
    """A moment in the house's own time, as 2026-03-04 19:22; outside of a house in UTC, and so marked."""
    if not value:
        return ""
    text = _as_datetime(value).astimezone(_zone()).strftime("%Y-%m-%d %H:%M")
    return text if g.get("house") else f"{text} UTC"


def local_date(value: datetime | date | str | None) -> str:
    """A day as 2026-03-04; a moment is first put into the house's own time; '' for None."""
    if not value:
        return ""
    if isinstance(value, str) and len(value) == 10:
        return value
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    return _as_datetime(value).astimezone(_zone()).strftime("%Y-%m-%d")


def words(value: object) -> str:
    """A key such as single_purchase as words: single purchase."""
    return str(getattr(value, "value", value)).replace("_", " ")


def role_title(value: Role | str) -> str:
    """A role as people say it."""
    return ROLE_TITLES[Role(value)]


def count_of(number: int, one: str, many: str = "") -> str:
    """A number with its noun: `3 | count_of('stop')` is 3 stops."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def init_app(app: Flask) -> None:
    """Give the filters to the templates."""
    filters: dict[str, Any] = {
        "local_time": local_time,
        "local_date": local_date,
        "words": words,
        "role_title": role_title,
        "count_of": count_of,
        "gap_words": gap_words,
        "clock_off": clock_off,
        "cited": cited,
        "said_alike": said_alike,
        "measure_words": measure_words,
        "lead_words": lead_words,
    }
    app.jinja_env.filters.update(filters)
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
