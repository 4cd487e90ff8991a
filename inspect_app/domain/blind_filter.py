"""What of the blind spots is wanted: since when, which kinds, where, in which order; read from an address."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date

from inspect_app.domain.blind_spot import BLIND, BLIND_TITLES, DEFAULT_YEARS, BlindKind, years_before
from inspect_app.domain.errors import BadValue

EVER = "ever"
BLIND_ONLY, ALL = "", "all"
SINCE_CHOICES: Mapping[str, str] = {
    "1": "one year ago",
    "2": "two years ago",
    "3": "three years ago",
    "5": "five years ago",
    "10": "ten years ago",
    EVER: "ever",
    "day": "the day written beside",
}
SHOW_CHOICES: Mapping[str, str] = {
    BLIND_ONLY: "what nobody reached or handled",
    **{kind.value: title for kind, title in BLIND_TITLES.items()},
    "overdue": "overdue by the calendar",
    ALL: "all parts",
}
SORT_CHOICES: Mapping[str, str] = {"set": "by set", "oldest": "longest ago first", "kind": "by kind of part"}


@dataclass(frozen=True, slots=True)
class BlindWanted:
    """The wishes as they stand in an address; '' for everything. `line_set` and `part` are a set's id and a kind."""

    since: str = str(DEFAULT_YEARS)
    day: str = ""
    show: str = BLIND_ONLY
    line_set: str = ""
    part: str = ""
    well: str = ""
    sort: str = "set"

    def as_query(self) -> dict[str, str]:
        """The wishes that differ from the usual ones."""
        usual = BlindWanted()
        pairs = ((one.name, str(getattr(self, one.name))) for one in fields(self))
        return {name: text for name, text in pairs if text != getattr(usual, name)}

    def since_day(self, today: date) -> date | None:
        """The day since which is asked; None for ever."""
        if self.since == EVER:
            return None
        return date.fromisoformat(self.day) if self.since == "day" else years_before(today, int(self.since))

    def kinds(self) -> frozenset[BlindKind]:
        """The kinds of records that are wanted."""
        if self.show in ("", "overdue", ALL):
            return BLIND if self.show == "" else frozenset(BlindKind)
        return frozenset({BlindKind(self.show)})


def blind_wanted(given: Mapping[str, str], today: date) -> BlindWanted:
    """The wishes in an address; unknown names are left out. Raises BadValue for a choice that is none, or a bad day."""
    names = {one.name for one in fields(BlindWanted)}
    wanted = BlindWanted(**{name: text.strip()[:60] for name, text in given.items() if name in names})
    for name, choices in (("since", SINCE_CHOICES), ("show", SHOW_CHOICES), ("sort", SORT_CHOICES)):
        if getattr(wanted, name) not in choices:
            raise BadValue(f"There is no such choice for “{name}”. Choose one from the list.", name)
    if wanted.since == "day":
        check_day(wanted.day, today, "day")
    return wanted


def check_day(text: str, today: date, field: str) -> date:
    """A day that has been. Raises BadValue on the field."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise BadValue("Write the day as YYYY-MM-DD, such as 2024-03-04.", field) from None
    if day > today:
        raise BadValue(f"{day} lies ahead; name a day up to today, {today}.", field)
    if day.year < 1900:
        raise BadValue("Name a day from 1900 on.", field)
    return day
