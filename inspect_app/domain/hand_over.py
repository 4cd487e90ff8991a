"""The pages of a hand-over pack as values: what stands today, what is known of the house, and a period's history."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Any, NamedTuple

from inspect_app.domain.errors import BadValue

Row = Mapping[str, Any]
Rows = Mapping[str, Sequence[Row]]
NONE = "None recorded."


class Period(NamedTuple):
    """Days in ISO form, '' for no limit."""

    first: str = ""
    last: str = ""

    @property
    def words(self) -> str:
        """As a page says it."""
        if not self.first and not self.last:
            return "all that is recorded"
        return f"{self.first or 'the beginning'} to {self.last or 'the day it was made'}"

    def moments(self, zone: tzinfo) -> tuple[str, str]:
        """The first moment in it and the first after it, in UTC as they are stored; '' for no limit.

        >>> from zoneinfo import ZoneInfo
        >>> Period("2026-01-01", "2026-01-01").moments(ZoneInfo("America/Chicago"))
        ('2026-01-01T06:00:00.000+00:00', '2026-01-02T06:00:00.000+00:00')
        """
        begin = _midnight(date.fromisoformat(self.first), zone) if self.first else ""
        last = date.fromisoformat(self.last) if self.last else date.max
        return begin, _midnight(last + timedelta(days=1), zone) if last < date.max else ""


def _midnight(day: date, zone: tzinfo) -> str:
    try:
        return datetime.combine(day, time(), zone).astimezone(UTC).isoformat(timespec="milliseconds")
    except OverflowError:  # the first or last day that there is
        return ""


def read_period(first: str, last: str) -> Period:
    """A period as typed. Raises BadValue on a day that is none, or an end before the beginning."""
    days = {"first": first.strip(), "last": last.strip()}
    for name, text in days.items():
        try:
            days[name] = date.fromisoformat(text).isoformat() if text else ""
        except ValueError:
            raise BadValue("Write the day as YYYY-MM-DD.", name) from None
    period = Period(**days)
    if period.first and period.last and period.last < period.first:
        raise BadValue("The last day must not lie before the first.", "last")
    return period


class Column(NamedTuple):
    """Head and width in percent of a column; 0 shares what is left."""

    head: str
    width: int = 0


@dataclass(frozen=True, slots=True)
class Section:
    """One table under a heading; `level` 1 begins a chapter. Without rows `empty` is said instead."""

    title: str
    columns: tuple[Column, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    says: str = ""
    empty: str = NONE
    level: int = 2


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the pages are made of. `rows` are the pack's own tables by name, without the looks, and `now` those that
    tell what stands today, whatever the period. `due` says of each open deficiency when it is due, `after` of each
    event what has become of it.

    `counts` are a signed walk's parts (looked at, not reached, not looked at, in scope) by walk, `checklists` its
    checklists' titles. `states` are (number, word, what stands) of each set today, `blind` (what, parts) groups.
    `outside` are newest figures that a limit puts outside or that their gauge cannot tell: part, figure, what each
    limit says. `worked` are figures that no walk measured, worked out from the record and outside: the same three.
    """

    zone: tzinfo
    today: str
    period: Period
    sheet: Sequence[tuple[str, str]]
    rows: Rows
    schedule: Sequence[tuple[str, ...]] = ()
    counts: Mapping[str, tuple[int, int, int, int]] = field(default_factory=dict)
    checklists: Mapping[str, str] = field(default_factory=dict)
    states: Sequence[tuple[str, str, str]] = ()
    blind: Sequence[tuple[str, str]] = ()
    other_bars: Sequence[tuple[str, str]] = ()
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    now: Rows = field(default_factory=dict)
    due: Mapping[str, str] = field(default_factory=dict)
    after: Mapping[str, str] = field(default_factory=dict)
    outside: Sequence[tuple[str, str, str]] = ()
    worked: Sequence[tuple[str, str, str]] = ()

    def of(self, name: str) -> Sequence[Row]:
        """The rows of a table."""
        return self.rows.get(name, ())

    def today_of(self, name: str) -> Sequence[Row]:
        """The rows of a table in whichever period."""
        return self.now.get(name, ())

    def day(self, stamp: str | None) -> str:
        """The local day of a time in UTC; a day stays as it is; '' when there is none."""
        if not stamp or len(stamp) <= len("2026-01-01"):
            return stamp or ""
        return datetime.fromisoformat(stamp).astimezone(self.zone).date().isoformat()

    def say(self, kind: str, key: str | None) -> str:
        """A key in words, such as a grade or a state; what has no words reads as it stands."""
        return self.words.get(kind, {}).get(key or "", (key or "").replace("_", " "))


def part_names(facts: Facts) -> dict[str, str]:
    """Tag by part id."""
    return {row["id"]: str(row["tag"]) for row in facts.of("parts")}


def place_of(facts: Facts) -> Callable[[Row], str]:
    """Names what a row binds: its part, else its line set, else its area."""
    parts = part_names(facts)
    sets = {row["id"]: f"Set {row['number']}" for row in facts.of("line_sets")}
    areas = {row["id"]: str(row["name"]) for row in facts.of("areas")}

    def name(row: Row) -> str:
        said = (
            sets.get(row.get("line_set_id") or "", ""),
            areas.get(row.get("area_id") or "", ""),
            parts.get(row.get("part_id") or "", ""),
        )
        return ", ".join(filter(None, said)) or "the house"

    return name


def as_document(sections: Sequence[Section]) -> list[dict[str, Any]]:
    """The sections as JSON values."""
    return [
        {
            "title": one.title,
            "says": one.says,
            "level": one.level,
            "columns": [[column.head, column.width] for column in one.columns],
            "rows": [list(row) for row in one.rows],
            "empty": one.empty,
        }
        for one in sections
    ]
