"""Answers about a house as people type them (lists of sets, places of wells, heights) read into Answers."""

import re
from collections.abc import Callable, Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from inspect_app.domain.attribute_value import read_attributes
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind, Side
from inspect_app.domain.house_answers import MOST_SETS, NO_DECK, Answers, check_answers
from inspect_app.domain.length import parse_length
from inspect_app.domain.line_set import MOST_LINES
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_attributes import specs_for

DECKS: Mapping[str, str] = {
    "channels": "steel channels on edge",
    "ribbon_steel": "ribbon steel",
    "bar_grating": "bar grating",
    "cable": "cable grid",
    "timber": "timber",
    NO_DECK: "no walking grid",
}
KIND_FIELDS: Mapping[str, LineSetKind] = {
    "motorised": LineSetKind.MOTOR,
    "double_purchase": LineSetKind.DOUBLE,
    "rope": LineSetKind.ROPE,
    "dead_hung": LineSetKind.DEAD,
}
# Attributes that one answer gives to all parts whose kind asks for them.
COMMON_ATTRIBUTES = ("rope_diameter_mm", "rope_construction", "rope_mass", "hand_line_mm")
OWN_ATTRIBUTES: Mapping[str, tuple[PartKind, str]] = {
    "arbor_capacity": (PartKind.ARBOR, "capacity_kg"),
    "batten_capacity": (PartKind.BATTEN, "capacity_kg"),
    "batten_length": (PartKind.BATTEN, "length_mm"),
    "arbor_mass": (PartKind.ARBOR, "own_mass_kg"),
    "arbor_length": (PartKind.ARBOR, "arbor_length_mm"),
    "brick": (PartKind.COUNTERWEIGHTS, "brick_kg"),
    "brick_thickness": (PartKind.COUNTERWEIGHTS, "brick_mm"),
    "half_brick": (PartKind.COUNTERWEIGHTS, "half_brick_kg"),
    "half_brick_thickness": (PartKind.COUNTERWEIGHTS, "half_brick_mm"),
    "spreader_spacing": (PartKind.SPREADERS, "spreader_spacing_mm"),
    "lock_plate": (PartKind.ROPE_LOCK, "imbalance_kg"),
    "travel": (PartKind.SET_TRAVEL, "travel_mm"),
}
_RANGE = re.compile(r"(\d{1,3})(?:\s*(?:-|–|to)\s*(\d{1,3}))?", re.ASCII)
_SIDE_WORD = re.compile(r"\b(SR|SL|stage right|stage left)\b", re.IGNORECASE)
_SIDES = {"sr": Side.RIGHT, "stage right": Side.RIGHT, "sl": Side.LEFT, "stage left": Side.LEFT}


def parse_places(text: str, field: str) -> frozenset[int]:
    """`5, 12, 20-23` as the places of sets counted from the datum. Raises BadValue."""
    found: set[int] = set()
    for piece in _pieces(text):
        match = _RANGE.fullmatch(piece)
        if match is None:
            raise BadValue(f"“{piece[:30]}” is not a set or a range of sets. Write them as 5, 12, 20-23.", field)
        low, high = int(match[1]), int(match[2] or match[1])
        if high < low:
            raise BadValue(f"“{piece}” runs backwards; write {high}-{low}.", field)
        found |= set(range(low, high + 1))
    return frozenset(found)


def parse_line_counts(text: str, field: str = "line_counts") -> dict[int, int]:
    """`12=5, 20-23=4` as lines by set. Raises BadValue."""
    counts: dict[int, int] = {}
    for piece in _pieces(text):
        places, sign, lines = (part.strip() for part in piece.partition("="))
        if not (sign and lines.isascii() and lines.isdigit() and 1 <= int(lines[:4]) <= MOST_LINES):
            raise BadValue(f"“{piece[:30]}” is not a set with its lines. Write 12=5, 20-23=4.", field)
        counts |= dict.fromkeys(parse_places(places, field), int(lines))
    return counts


def parse_wells(text: str, units: str, field: str = "wells") -> tuple[int, ...]:
    """`25' SR, 15' SR, 5' SR, 5' SL, …` as mm from the centre line, stage right first. Raises BadValue."""
    return tuple(sorted(_well(piece, units, field) for piece in _pieces_of_lengths(text)))


def even_wells(lines: int, apart_mm: int) -> tuple[int, ...]:
    """As many wells as a set has lines, evenly apart and symmetric about the centre line."""
    return tuple((2 * n - (lines - 1)) * apart_mm // 2 for n in range(lines))


def _well(piece: str, units: str, field: str) -> int:
    match = _SIDE_WORD.search(piece)
    side = _SIDES[match[1].lower()] if match else None
    bare = _SIDE_WORD.sub("", piece).strip()
    mm = _mm(bare, units, field, negative=side is None)
    if side is None and mm and not bare.startswith(("-", "+", "−", "–")):
        raise BadValue(f"“{piece[:30]}” names no side. Write it with SR or SL, as 15' SR.", field)
    return -mm if side is Side.RIGHT else mm


def _pieces(text: str) -> list[str]:
    return [piece.strip() for piece in re.split(r"[,;\n]", text) if piece.strip()]


def _pieces_of_lengths(text: str) -> list[str]:
    """Parted by semicolons, line ends or commas; a comma between two digits is a decimal comma."""
    return [piece.strip() for piece in re.split(r"[;\n]|(?<!\d),|,(?!\d)", text) if piece.strip()]


def _mm(text: str, units: str, field: str, *, negative: bool = False) -> int:
    return round(_exact_mm(text, units, field, negative=negative))


def _exact_mm(
    text: str, units: str, field: str, *, negative: bool = False, bare: tuple[str, str] = ("ft", "m")
) -> Fraction:
    try:
        return parse_length(text.lstrip("+"), bare[0] if units == "imperial" else bare[1], allow_negative=negative)
    except BadValue as error:
        raise BadValue(error.message, field) from None


def read_answers(typed: Mapping[str, str], units: str) -> tuple[Answers | None, list[BadValue]]:
    """The answers of a form, text by field; every field that cannot be read is named, None then.

    `units` (imperial or metric) says what a bare number means: heights and wells in ft or m, spacing in in or mm.
    """
    reader = _Reader(typed, units)
    kinds: dict[int, LineSetKind] = {}
    for field, kind in KIND_FIELDS.items():
        places = reader.read(field, parse_places, frozenset())
        twice = sorted(places & set(kinds))
        if twice:
            reader.problems.append(BadValue(f"Set {twice[0]} is named under two kinds.", field))
        kinds |= dict.fromkeys(places, kind)
    head_side = reader.side("head_side")
    lines = reader.count("lines", 1, MOST_LINES)
    answers = Answers(
        sets=reader.count("sets", 1, MOST_SETS),
        spacing_mm=reader.exact_length("spacing", bare=("in", "mm")),
        first_mm=reader.exact_length("first"),
        lines=lines,
        well_x_mm=reader.wells(lines),
        head_side=head_side,
        kinds=kinds,
        head_sides=dict.fromkeys(reader.read("other_side", parse_places, frozenset()), _other(head_side)),
        line_counts=reader.read("line_counts", parse_line_counts, {}),
        electrics=reader.read("electrics", parse_places, frozenset()),
        grid_mm=reader.length("grid_height"),
        bridge_mm=reader.length("bridge_height", needed=False) or None,
        galleries=reader.galleries(),
        deck=reader.one_of("deck", DECKS),
        head_x_mm=reader.length("head_distance", needed=False) or None,
        ladders=reader.count("ladders", 0, 20),
        hatches=reader.count("hatches", 0, 20),
        anchor_points=reader.count("anchor_points", 0, 100),
        smoke_vents=reader.count("smoke_vents", 0, 50),
        fire_curtain=bool(typed.get("fire_curtain", "").strip()),
        attributes=reader.attributes(),
        installed_on=reader.read("installed_on", _date, None),
    )
    if not reader.problems:
        try:
            check_answers(answers)
        except BadValue as error:
            reader.problems.append(error)
    return (None if reader.problems else answers), reader.problems


class _Reader:
    """Reads one field after the other and collects what could not be read."""

    def __init__(self, typed: Mapping[str, str], units: str) -> None:
        self.typed, self.units, self.problems = typed, units, list[BadValue]()

    def text(self, field: str) -> str:
        return self.typed.get(field, "").strip()

    def read(self, field: str, parse: Callable[[str, str], Any], otherwise: Any) -> Any:
        text = self.text(field)
        if not text:
            return otherwise
        try:
            return parse(text, field)
        except BadValue as error:
            self.problems.append(error)
            return otherwise

    def _missing(self, field: str, message: str) -> None:
        self.problems.append(BadValue(message, field))

    def count(self, field: str, low: int, high: int) -> int:
        text = self.text(field) or ("0" if low == 0 else "")
        if text.isascii() and text.isdigit() and low <= int(text[:9]) <= high:
            return int(text)
        self._missing(field, f"Write a whole number from {low} to {high}.")
        return low

    def exact_length(self, field: str, bare: tuple[str, str] = ("ft", "m")) -> Fraction:
        if not self.text(field):
            self._missing(field, "This length is needed.")
        return Fraction(self.read(field, lambda text, name: _exact_mm(text, self.units, name, bare=bare), 0))

    def length(self, field: str, *, needed: bool = True) -> int:
        if needed and not self.text(field):
            self._missing(field, "This length is needed.")
        mm: Fraction = self.read(field, lambda text, name: _exact_mm(text, self.units, name), Fraction(0))
        return round(mm)

    def wells(self, lines: int) -> tuple[int, ...]:
        given: tuple[int, ...] = self.read("wells", lambda text, name: parse_wells(text, self.units, name), ())
        if given or self.text("wells"):
            return given
        apart = self.length("wells_apart", needed=False)
        if not apart:
            self._missing("wells", "Say where the wells are, or how far they are apart.")
        return even_wells(lines, apart)

    def side(self, field: str) -> Side:
        return Side(self.one_of(field, {side.value: "" for side in Side}))

    def one_of(self, field: str, allowed: Mapping[str, str]) -> str:
        text = self.text(field)
        if text in allowed:
            return text
        self._missing(field, "Choose one of the list.")
        return next(iter(allowed))

    def galleries(self) -> tuple[tuple[Side, int], ...]:
        def parse(text: str, field: str) -> tuple[tuple[Side, int], ...]:
            return tuple(_gallery(piece, self.units, field) for piece in _pieces_of_lengths(text))

        found: tuple[tuple[Side, int], ...] = self.read("galleries", parse, ())
        return found

    def attributes(self) -> dict[PartKind, dict[str, str]]:
        """What is known of all parts of a kind from the start."""
        found: dict[PartKind, dict[str, str]] = {}
        for kind in PartKind:
            asked = {spec.key for spec in specs_for(kind)} & set(COMMON_ATTRIBUTES)
            typed = {key: self.text(key) for key in asked}
            typed |= {key: self.text(field) for field, (own, key) in OWN_ATTRIBUTES.items() if own is kind}
            if kind is PartKind.LIFT_LINE and typed.get("rope_diameter_mm"):
                typed["rope_duty"] = "running"
            good, problems = read_attributes(kind, typed, self.units)
            found[kind] = good
            names = {key: field for field, (own, key) in OWN_ATTRIBUTES.items() if own is kind}
            known = {problem.field for problem in self.problems}
            for problem in problems:
                field = names.get(problem.field or "", problem.field)
                if field not in known:
                    self.problems.append(BadValue(problem.message, field))
        return {kind: good for kind, good in found.items() if good}


def _gallery(piece: str, units: str, field: str) -> tuple[Side, int]:
    match = _SIDE_WORD.search(piece)
    if match is None:
        raise BadValue(f"“{piece[:30]}” names no side. Write SR 25', SL 25'.", field)
    return _SIDES[match[1].lower()], _mm(_SIDE_WORD.sub("", piece).strip(), units, field)


def _other(side: Side) -> Side:
    return Side.LEFT if side is Side.RIGHT else Side.RIGHT


def _date(text: str, field: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadValue("Write the date as YYYY-MM-DD.", field) from None
