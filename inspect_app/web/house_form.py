"""Reading lengths and dates out of the forms of a house, and showing lengths in its units."""

from datetime import date
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from flask import g
from wtforms import Field
from wtforms.fields.choices import SelectChoice  # type: ignore[attr-defined]

from inspect_app import clock
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import AreaKind, LineSetKind, Side
from inspect_app.domain.length import parse_length
from inspect_app.domain.line_set import KIND_WORDS, SIDE_WORDS
from inspect_app.domain.shown_length import across_words, length_words, typed_length

AREA_WORDS = {
    AreaKind.DECK_RAIL: "deck and locking rail",
    AreaKind.BRIDGE: "loading bridge",
    AreaKind.GALLERY: "gallery",
    AreaKind.GRID: "grid",
    AreaKind.HEAD_WELL: "head well",
    AreaKind.ACCESS: "ladders, stairs and hatches",
}
PLAIN = {"autocomplete": "off", "spellcheck": "false"}


def choices(words: dict[Any, str], empty: str | None = None) -> list[SelectChoice]:
    """Choices of a select field from values (or members of an enum) with their words."""
    first = [] if empty is None else [SelectChoice("", empty)]
    return first + [SelectChoice(key.value if isinstance(key, StrEnum) else key, text) for key, text in words.items()]


KIND_CHOICES: dict[Any, str] = dict(KIND_WORDS)
SIDE_CHOICES: dict[Any, str] = dict(SIDE_WORDS)
UNIT_CHOICES: dict[Any, str] = {"imperial": "Feet and inches", "metric": "Metres and millimetres"}


def units() -> str:
    """The units of the house of the page."""
    return str(g.house.units)


def read_mm(field: Field, *, negative: bool = False, needed: bool = True) -> int | None:
    """The length in a text field in mm, or None with an error beside the field; a bare number is feet or metres."""
    text = (field.data or "").strip()
    if not text:
        if needed:
            field.errors = [*field.errors, "Write a length, such as 12'-6 1/2\" or 3.81 m."]
        return None
    try:
        return round(parse_length(text, "ft" if units() == "imperial" else "m", allow_negative=negative))
    except BadValue as error:
        field.errors = [*field.errors, error.message]
        return None


def today() -> date:
    """The day it is in the house now."""
    try:
        return clock.now().astimezone(ZoneInfo(g.house.tz)).date()
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return clock.now().date()


def read_day(field: Field) -> date | None:
    """The date in a text field, None when it is empty or, with an error beside it, cannot be read."""
    text = (field.data or "").strip()
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        field.errors = [*field.errors, "Write the date as YYYY-MM-DD."]
        return None


def shown(mm: int | None) -> str:
    """A length as the house shows it."""
    return length_words(mm, units())


def typed(mm: int | None) -> str:
    """A length as it stands in a form."""
    return typed_length(mm, units())


def across(x_mm: int | None) -> str:
    """A place across the stage as the house shows it."""
    return across_words(x_mm, units())


FILTERS = {"as_length": shown, "across": across}


def words_of(kind: LineSetKind | Side | AreaKind) -> str:
    """A kind of set or area, or a side, as printed."""
    if isinstance(kind, AreaKind):
        return AREA_WORDS[kind]
    return KIND_WORDS[kind] if isinstance(kind, LineSetKind) else SIDE_WORDS[kind]
