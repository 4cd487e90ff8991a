"""Reading the members of one decoded JSON object: each mistake is noted with its path, nothing stops at the first."""

import re
from collections.abc import Mapping
from datetime import MAXYEAR, MINYEAR, UTC, datetime
from enum import StrEnum
from typing import TypeVar

from inspect_app.domain.entry import FieldProblem
from inspect_app.domain.ids import is_uuid7

T = TypeVar("T")
Choice = TypeVar("Choice", bound=StrEnum)

LONG_TEXT, TEXT, WORD = 4000, 500, 120  # characters
MOST_ITEMS = 500
_DECIMAL = re.compile(r"-?\d{1,12}(\.\d{1,9})?\Z", re.ASCII)
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?(Z|[+-]\d\d:\d\d)\Z", re.ASCII)
_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}\Z")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class Fields:
    """One object at a path. Readers note a problem and return a harmless value; `unread` names the other members."""

    def __init__(self, data: Mapping[str, object], path: str, problems: list[FieldProblem]) -> None:
        self._data, self._path, self._problems = data, path, problems
        self._seen: set[str] = set()

    @property
    def unread(self) -> tuple[str, ...]:
        """The paths of members that nobody asked for."""
        return tuple(self._at(name)[:WORD] for name in self._data if name not in self._seen)

    def has(self, name: str) -> bool:
        """Whether the member is there and not null."""
        return self._take(name) is not None

    def text(self, name: str, longest: int = TEXT, needed: bool = False) -> str:
        """Text without control characters other than line ends; '' when absent."""
        value = self._take(name)
        if value is None and not needed:
            return ""
        if not isinstance(value, str) or (needed and not value.strip()):
            return self._wrong(name, "must be text" if value is not None else "is missing", "")
        if len(value) > longest:
            return self._wrong(name, f"is longer than {longest} characters", "")
        if _CONTROL.search(value):
            return self._wrong(name, "holds a control character", "")
        return value

    def id(self, name: str, made_here: bool = False) -> str:
        """An id that must be there."""
        if not self.has(name):
            return self._wrong(name, "is missing", "")
        return self.id_or_none(name, made_here) or ""

    def id_or_none(self, name: str, made_here: bool = False) -> str | None:
        """An id or null; `made_here`: it must be a UUIDv7, as a phone makes them."""
        value = self._take(name)
        return None if value is None else self._checked_id(name, value, made_here)

    def ids(self, name: str, made_here: bool = False) -> tuple[str, ...]:
        """A list of ids, each once; empty when absent."""
        found = (self._checked_id(f"{name}[{n}]", item, made_here) for n, item in enumerate(self._list(name)))
        return tuple(dict.fromkeys(item for item in found if item))

    def ids_or_none(self, name: str) -> tuple[str, ...] | None:
        """A list of ids, or None for null or absent."""
        return self.ids(name) if self.has(name) else None

    def texts(self, name: str, longest: int = WORD) -> tuple[str, ...]:
        """A list of texts; empty when absent."""
        found = []
        for n, item in enumerate(self._list(name)):
            if not isinstance(item, str) or not item.strip() or len(item) > longest:
                self._wrong(f"{name}[{n}]", f"must be text of at most {longest} characters", None)
            else:
                found.append(item)
        return tuple(found)

    def whole(self, name: str, low: int, high: int = 2**53) -> int:
        """A whole number that must be there."""
        if not self.has(name):
            return self._wrong(name, "is missing", low)
        value = self.whole_or_none(name, low, high)
        return low if value is None else value

    def whole_or_none(self, name: str, low: int, high: int = 2**53) -> int | None:
        """A whole number or null."""
        value = self._take(name)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            return self._wrong(name, f"must be a whole number from {low} to {high}", None)
        return value

    def flag(self, name: str) -> bool:
        """true or false; must be there."""
        value = self._take(name)
        return value if isinstance(value, bool) else self._wrong(name, "must be true or false", False)

    def decimal(self, name: str, needed: bool = False) -> str:
        """Decimal text such as 0.128; '' when absent."""
        value = self._take(name)
        if (value is None or value == "") and not needed:
            return ""
        return self._checked_decimal(name, value)

    def decimals(self, name: str) -> tuple[str, ...]:
        """A list of decimal texts."""
        return tuple(self._checked_decimal(f"{name}[{n}]", item) for n, item in enumerate(self._list(name)))

    def time(self, name: str) -> datetime:
        """A time with its offset, in UTC."""
        value = self._take(name)
        try:
            if isinstance(value, str) and _TIME.match(value):
                found = datetime.fromisoformat(value).astimezone(UTC)
                if MINYEAR < found.year < MAXYEAR:  # so that any house's own clock can show it
                    return found
        except (ValueError, OverflowError):
            pass
        return self._wrong(name, "must be a time such as 2026-03-04T19:22:05.120Z", EPOCH)

    def day(self, name: str) -> str:
        """A date as YYYY-MM-DD."""
        value = self._take(name)
        try:
            if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value, re.ASCII):
                datetime.fromisoformat(value)
                return value
        except ValueError:
            pass
        return self._wrong(name, "must be a date as YYYY-MM-DD", "1970-01-01")

    def pattern(self, name: str, shape: re.Pattern[str], words: str) -> str:
        """Text of a fixed shape that must be there."""
        value = self._take(name)
        return value if isinstance(value, str) and shape.fullmatch(value) else self._wrong(name, f"must be {words}", "")

    def choice(self, name: str, choices: type[Choice]) -> Choice:
        """One of the words of an enumeration; must be there."""
        value, first = self._take(name), next(iter(choices))
        if value is None:
            return self._wrong(name, "is missing", first)
        return self._chosen(name, value, choices) or first

    def choice_or_none(self, name: str, choices: type[Choice]) -> Choice | None:
        """One of the words of an enumeration, or null."""
        value = self._take(name)
        return None if value in (None, "") else self._chosen(name, value, choices)

    def choices(self, name: str, choices: type[Choice]) -> frozenset[Choice]:
        """A set of words of an enumeration."""
        found = [self._chosen(f"{name}[{n}]", item, choices) for n, item in enumerate(self._list(name))]
        return frozenset(item for item in found if item is not None)

    def group(self, name: str) -> "Fields":
        """A nested object; an empty one when absent or something else."""
        value = self._take(name)
        if not isinstance(value, dict):
            self._wrong(name, "must be an object", None)
            return Fields({}, self._at(name), [])
        return Fields(value, self._at(name), self._problems)

    def groups(self, name: str) -> tuple["Fields", ...]:
        """A list of objects; empty when absent."""
        found = []
        for n, item in enumerate(self._list(name)):
            if isinstance(item, dict):
                found.append(Fields(item, self._at(f"{name}[{n}]"), self._problems))
            else:
                self._wrong(f"{name}[{n}]", "must be an object", None)
        return tuple(found)

    def text_by_id(self, name: str, longest: int = TEXT) -> dict[str, str]:
        """An object whose keys are ids and whose values are texts; empty when absent."""
        value = self._take(name)
        if value is None:
            return {}
        if not isinstance(value, dict):
            return self._wrong(name, "must be an object", {})
        inner = Fields(value, self._at(name), self._problems)
        return {key: inner.text(key, longest) for key in value if inner._checked_id(key, key, False)}

    def note(self, name: str, message: str) -> None:
        """Note a problem at a member."""
        self._wrong(name, message, None)

    def _take(self, name: str) -> object:
        self._seen.add(name)
        return self._data.get(name)

    def _list(self, name: str) -> list[object]:
        value = self._take(name)
        if value is None:
            return []
        if not isinstance(value, list):
            return self._wrong(name, "must be a list", [])
        if len(value) > MOST_ITEMS:
            return self._wrong(name, f"holds more than {MOST_ITEMS} items", [])
        return value

    def _checked_id(self, name: str, value: object, made_here: bool) -> str | None:
        if made_here and not is_uuid7(value):
            return self._wrong(name, "must be a UUIDv7 in lower case", None)
        if isinstance(value, str) and _ID.match(value):
            return value
        return self._wrong(name, "must be an id (a UUID in lower case)", None)

    def _checked_decimal(self, name: str, value: object) -> str:
        if isinstance(value, str) and _DECIMAL.match(value):
            return value
        return self._wrong(name, "must be a decimal number as text, such as 0.128", "0")

    def _chosen(self, name: str, value: object, choices: type[Choice]) -> Choice | None:
        if isinstance(value, str):
            try:
                return choices(value)
            except ValueError:
                pass
        return self._wrong(name, f"must be one of {', '.join(choices)}", None)

    def _at(self, name: str) -> str:
        return f"{self._path}.{name}" if self._path else name

    def _wrong(self, name: str, message: str, instead: T) -> T:
        self._problems.append(FieldProblem(self._at(name)[:TEXT], message))
        return instead
