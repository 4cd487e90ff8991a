"""What people typed into a worksheet read into exact values, all mistakes at once and by field."""

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inspect_app.domain.errors import BadValue
from inspect_app.domain.force import parse_force
from inspect_app.domain.length import THOUSANDS, parse_length
from inspect_app.domain.limit_form import PLAUSIBLE as OF_A_ROPE
from inspect_app.domain.mass import parse_mass
from inspect_app.domain.units import UNITS
from inspect_app.domain.worksheet import Ask, Input, Load, Reading, Worksheet
from inspect_app.domain.worksheets.words import input_words, length_words

LONGEST_LINE = 120
LONGEST_TEXT = 4_000
MOST_ROWS = 60

# Beyond these nothing hangs in a house, and below those nothing can be measured; our own choice, so that a slip of a
# decimal point is asked about. An input of its own may be held closer.
MOST: Mapping[Ask, Fraction] = {
    Ask.LENGTH: Fraction(1_000_000),  # 1 km
    Ask.LENGTHS: Fraction(1_000_000),
    Ask.MASS: Fraction(100_000),  # 100 t
    Ask.FORCE: Fraction(1_000_000),  # 1 MN
    Ask.LOADS: Fraction(1_000_000),
    Ask.ANGLE: Fraction(360),
    Ask.COUNT: Fraction(10_000),
    Ask.NUMBER: Fraction(1_000_000),
    Ask.READINGS: Fraction(1_000_000),
    Ask.LINE_MASS: Fraction(10),
    Ask.TORQUE: Fraction(5_000),
}
LEAST: Mapping[Ask, Fraction] = {
    Ask.LENGTH: Fraction(1, 1000),  # a thousandth of a millimetre
    Ask.LENGTHS: Fraction(1, 1000),
    Ask.READINGS: Fraction(1, 1000),
    Ask.MASS: Fraction(1, 1000),  # a gram
    Ask.FORCE: Fraction(1, 1000),
    Ask.LOADS: Fraction(1, 1000),
    Ask.LINE_MASS: Fraction(1, 1000),
    Ask.TORQUE: Fraction(1, 1000),
}
# The same for inputs that mean one thing on every worksheet, by their keys, in base units of the ask. They tell figures
# that cannot be of a part from those that can: never a bad part from a good one, which is for the criteria.
PLAUSIBLE: Mapping[str, tuple[Fraction | None, Fraction]] = {
    **{key: (Fraction(least), Fraction(most)) for key, (least, most) in OF_A_ROPE.items()},
    **{
        key: (None if least is None else Fraction(least), Fraction(most))
        for least, most, keys in (
            ("1", 150, ("original",)),
            ("0.5", 150, ("measured", "second", "worn")),
            ("0.05", 20, ("wire_mm",)),
            ("2", 2_000, ("lay_mm",)),
            ("0.001", 30, ("resolution",)),
            ("5", 3_000, ("tread",)),
            ("0.5", 100, ("groove",)),
            ("1", 5_000, ("turnback",)),
            ("1", 10_000, ("spacing",)),
            ("0.5", 500, ("brick_mm", "half_mm", "third_mm", "plate_mm", "collar")),
            ("50", 30_000, ("free",)),
            ("100", 100_000, ("travel",)),
            (None, 100_000, ("drop", "batten_side", "arbor_side", "offset", "edge_drop")),
            ("10", 200_000, ("distance",)),
            (None, 20_000, ("slot", "bay_gap", "hole", "opening_width", "opening_height", "walkway", "headroom")),
            (None, 20_000, ("rail", "rail_loaded", "gap", "post_spacing", "rungs", "width", "rails")),
            (None, 20_000, ("behind_rungs", "climbing_side", "step_across", "grab_bar")),
            (
                None,
                3_000,
                ("toe", "toe_gap", "toe_opening", "floor_step", "segment_gap", "rail_clearance", "rail_diameter"),
            ),
            ("0.1", 2_000, ("torque",)),  # N·m
            ("0.1", 100, ("brick", "half", "third")),  # kg
            ("1", 20_000, ("capacity", "set_capacity")),
            (None, 20_000, ("pipe", "own", "load", "arbor", "batten", "arbor_side_kg", "lock")),
            (None, 5_000, ("hand_line",)),  # N
            (None, 30, ("clips",)),
            (None, 1_000, ("lay", "strand", "end", "valleys", "six", "eight", "thirty", "bend")),
        )
        for key in keys
    },
}
_ALONE = {Ask.LENGTHS: Ask.LENGTH, Ask.READINGS: Ask.LENGTH, Ask.LOADS: Ask.FORCE}  # what one row of a list is
_NUMBER = re.compile(r"\d{1,12}(?:[.,]\d{1,9})?", re.ASCII)
_FRACTION = re.compile(r"(?:(?P<whole>\d{1,6})[ -])?(?P<top>\d{1,6})\s*/\s*(?P<bottom>\d{1,6})", re.ASCII)
_AMOUNT = r"(?P<amount>.+?)"
_LINE_MASS = re.compile(
    rf"{_AMOUNT}\s*(?:(?P<mass>lbs?|kg)\s*(?:/|per)\s*(?P<per>100)?\s*(?P<length>ft|foot|feet|m|metres?|meters?))?",
    re.IGNORECASE | re.ASCII,
)
_FOOT_POUNDS, _NEWTON_METRES = (
    r"(?:lbf?s?|pounds?)[ -]*(?:ft|foot|feet)|(?:ft|foot|feet)[ -]*(?:lbf?s?|pounds?)",
    r"n ?m",
)
_TORQUE = re.compile(
    rf"{_AMOUNT}\s*(?:(?P<imperial>{_FOOT_POUNDS})|(?P<metric>{_NEWTON_METRES}))?\.?", re.IGNORECASE | re.ASCII
)
_MINUTES = re.compile(r"""(\d{1,3})\s*°\s*(\d{1,2})\s*['′](?:\s*(\d{1,2})\s*(?:["″]|''))?""", re.ASCII)
_DEGREES = re.compile(r"(?P<number>.*?)\s*(?:°|deg(?:rees?)?\.?)?", re.IGNORECASE)


def read_inputs(
    worksheet: Worksheet, typed: Mapping[str, str], units: str
) -> tuple[dict[str, object], dict[str, list[str]]]:
    """The values of a worksheet's inputs by key, and what could not be read, by key; an empty optional is left out."""
    values: dict[str, object] = {}
    problems: dict[str, list[str]] = {}
    for one in worksheet.inputs:
        text = typed.get(one.key, "").strip()
        if not text:
            if one.required:
                problems[one.key] = ["Fill this in." if one.ask is not Ask.CHOICE else "Choose one."]
            continue
        try:
            values[one.key] = read_input(one, text, units)
        except BadValue as error:
            problems[one.key] = [error.message]
    return values, problems


def read_input(one: Input, text: str, units: str) -> object:
    """One input's value (see Ask for its type). Raises BadValue that names the input."""
    try:
        if "\x00" in text or len(text) > LONGEST_TEXT:
            raise BadValue(f"That is too long; at most {LONGEST_TEXT} characters.")
        return _READERS[one.ask](one, text, units)
    except BadValue as error:
        raise BadValue(error.message, one.key) from None


def given_otherwise(
    inputs: Iterable[Input], values: Mapping[str, object], recorded: Mapping[str, str], units: str
) -> dict[str, str]:
    """What was given otherwise than the record has it (texts as typed in the form): by key, its name with the record.

    A recorded text that the form refuses is like nothing that can be given.
    """
    found = {}
    for one in inputs:
        text = recorded.get(one.key, "")
        if text and not _same(one, values.get(one.key), text, units):
            shown = dict(one.choices).get(text, text.replace("\n", ", "))
            found[one.key] = f"{one.label} (recorded: {shown})"
    return found


def _same(one: Input, value: object, recorded: str, units: str) -> bool:
    try:
        return value == read_input(one, recorded, units)
    except BadValue:
        return False


def otherwise_words(others: Mapping[str, str]) -> tuple[str, ...]:
    """The sentence that an answer says of these, none where everything is as recorded."""
    return (f"Given otherwise than recorded for this set: {', '.join(others.values())}.",) if others else ()


def parse_number(text: str) -> Fraction:
    """A number without a unit: 12, 12.5, 12,5, 1/40 or 6 1/2. Raises BadValue."""
    shown = text.strip()
    if THOUSANDS.fullmatch(shown):
        raise BadValue(f"“{shown}”: a comma there can mean two things. Write it without.", "value")
    if _NUMBER.fullmatch(shown):
        return Fraction(Decimal(shown.replace(",", ".")))
    match = _FRACTION.fullmatch(shown)
    if match is None or int(match["bottom"]) == 0:
        raise BadValue(f"“{shown[:40]}” is not a number. Write it as 12, 12.5 or 1/40; not negative.", "value")
    return int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"]))


def _checked(one: Input, value: Fraction, shown: str, units: str = "metric") -> Fraction:
    if value <= 0:
        if one.zero and not value:
            return value
        raise BadValue(f"“{shown}” is zero; it must be more.")
    low, high = PLAUSIBLE.get(one.key, (None, None))
    most, least = one.most or high or MOST.get(one.ask), one.least or low or LEAST.get(one.ask)
    if most is not None and value > most:
        raise BadValue(
            f"“{shown}” is more than can be meant here (at most {_said(one, most, units)}). Check it and its unit."
        )
    if least is not None and value < least:
        raise BadValue(
            f"“{shown}” is less than can be meant here (at least {_said(one, least, units)}). Check it and its unit."
        )
    return value


def _said(one: Input, bound: Fraction, units: str) -> str:
    alone = Ask.NUMBER if one.bare_unit(units) == "count" else _ALONE.get(one.ask, one.ask)
    if alone is Ask.LENGTH:
        return length_words(bound, units)
    return input_words(Input(one.key, one.label, alone), bound, units)


def _one_line(text: str) -> str:
    if len(text) > LONGEST_LINE or "\n" in text:
        raise BadValue(f"Write this on one line of at most {LONGEST_LINE} characters.")
    return " ".join(text.split())


def _length(one: Input, text: str, units: str) -> Fraction:
    return _checked(one, parse_length(_one_line(text), one.bare_unit(units)), text, units)


def _mass(one: Input, text: str, units: str) -> Fraction:
    return _checked(one, parse_mass(_one_line(text), one.bare_unit(units)), text, units)


def _force(one: Input, text: str, units: str) -> Fraction:
    return _checked(one, parse_force(_one_line(text), one.bare_unit(units)), text, units)


def _line_mass(one: Input, text: str, units: str) -> Fraction:
    match = _LINE_MASS.fullmatch(_one_line(text))
    amount = parse_number(match["amount"] if match else text)
    if match is None or match["mass"] is None:
        per_m = amount * UNITS["lb_per_ft" if units == "imperial" else "kg_per_m"].factor / 100
    else:
        mass, length = match["mass"].lower(), match["length"].lower()
        per_mm = UNITS["kg" if mass == "kg" else "lb"].factor / UNITS["ft" if length.startswith("f") else "m"].factor
        per_m = amount * per_mm * 1000 / (100 if match["per"] else 1)
    return _checked(one, per_m, text, units)


def _torque(one: Input, text: str, units: str) -> Fraction:
    match = _TORQUE.fullmatch(re.sub(r"[·.⋅*](?=\s*[a-zA-Z])", " ", _one_line(text)))
    amount = parse_number(match["amount"] if match else text)
    imperial = units == "imperial" if match is None or not (match["imperial"] or match["metric"]) else match["imperial"]
    return _checked(one, amount * UNITS["lbf_ft" if imperial else "Nm"].factor, text, units)


def _angle(one: Input, text: str, _: str) -> Fraction:
    """Degrees in decimals or as a fraction, or with minutes and seconds: 1.5, 1 1/2° or 1° 30'."""
    parts = _MINUTES.fullmatch(_one_line(text))
    if parts:
        degrees, minutes, seconds = (int(part or 0) for part in parts.groups())
        if max(minutes, seconds) >= 60:
            raise BadValue(f"“{text[:40]}” has 60 or more minutes or seconds. Check it, or write decimals, as 1.5.")
        return _checked(one, degrees + Fraction(60 * minutes + seconds, 3600), text)
    match = _DEGREES.fullmatch(_one_line(text))
    return _checked(one, parse_number(match["number"] if match else text), text)


def _count(one: Input, text: str, _: str) -> int:
    shown = _one_line(text)
    if not (shown.isascii() and shown.isdigit() and len(shown) <= 6):
        raise BadValue(f"“{shown[:40]}” is not a whole number; write 0, 1, 2 and so on.")
    return int(_checked(one, Fraction(int(shown)), shown))


def _plain(one: Input, text: str, _: str) -> Fraction:
    return _checked(one, parse_number(_one_line(text)), text)


def _choice(one: Input, text: str, _: str) -> str:
    for value, _words in one.choices:
        if text == value:
            return value
    raise BadValue(f"“{text[:40]}” is not among the choices: {', '.join(words for _, words in one.choices)}.")


def _text(_: Input, text: str, __: str) -> str:
    return _one_line(text)


def _rows(text: str, parts: str = r"[\n;]") -> list[str]:
    rows = [row.strip() for row in re.split(parts, text) if row.strip()]
    if not rows:
        raise BadValue("There is nothing in it but separators. Fill this in.")
    if len(rows) > MOST_ROWS:
        raise BadValue(f"There are {len(rows)} entries; at most {MOST_ROWS}.")
    return rows


def _lengths(one: Input, text: str, units: str) -> tuple[Fraction, ...]:
    return tuple(
        _checked(one, parse_length(_one_line(row), one.bare_unit(units)), row, units)
        for row in _rows(text, r"[\n;]|,\s")
    )


_LOAD = re.compile(r"(?:(?P<name>[^:]{1,60}):\s*)?(?P<amount>.+?)\s+(?P<how>at|from)\s+(?P<place>.+)", re.IGNORECASE)
_PER = re.compile(r"(?P<amount>.+?)\s*(?:/|per)\s*(?P<unit>ft|foot|m|metre|meter)", re.IGNORECASE)
LOAD_EXAMPLES = "“120 lb at 6 ft”, “90 kg from 0 to 12 m” (spread), “3 lb/ft from 0 to 40 ft”"


def _loads(one: Input, text: str, units: str) -> tuple[Load, ...]:
    loads: list[Load] = []
    for at, row in enumerate(_rows(text), 1):
        try:
            loads.append(_load(one, _one_line(row), units))
        except BadValue as error:
            raise BadValue(f"Line {at}: {error.message}") from None
    return tuple(loads)


def _load(one: Input, row: str, units: str) -> Load:
    match = _LOAD.fullmatch(row)
    if match is None:
        raise BadValue(f"“{row[:60]}” cannot be read as a load. Write one load on a line: {LOAD_EXAMPLES}.")
    bare, name = one.bare_unit(units), (match["name"] or "").strip()
    per = _PER.fullmatch(match["amount"])
    newtons = _amount_of_load(per["amount"] if per else match["amount"], units)
    if match["how"].lower() == "at":
        if per:
            raise BadValue(f"“{row[:60]}”: a load per {per['unit']} is spread; say from where to where.")
        return Load(_checked(one, newtons, match["amount"], units), parse_length(match["place"], bare), None, name)
    first, _, last = match["place"].partition(" to ")
    if not last:
        raise BadValue(f"“{row[:60]}”: a spread load goes from one place to another: {LOAD_EXAMPLES}.")
    start, end = parse_length(first, bare), parse_length(last, bare)
    if end <= start:
        raise BadValue(f"“{row[:60]}”: the end of a spread load lies beyond its start.")
    if per:
        newtons *= (end - start) / (1000 if per["unit"].lower().startswith("m") else Fraction("304.8"))
    return Load(_checked(one, newtons, match["amount"], units), start, end, name)


def _amount_of_load(text: str, units: str) -> Fraction:
    """Newtons. A bare number is pounds in an imperial house; in a metric one it is asked: kilograms are hung, in N."""
    if units != "imperial" and not re.search(r"[^\d\s.,]", text):
        raise BadValue(f"“{text[:40]}”: say whether that is kg or N, as 40 kg or 400 N.")
    return parse_force(text, "lbf" if units == "imperial" else "N")


def _readings(one: Input, text: str, units: str) -> tuple[Reading, ...]:
    readings: list[Reading] = []
    for at, row in enumerate(_rows(text), 1):
        day, _, rest = _one_line(row).partition(" ")
        try:
            on = date.fromisoformat(day).isoformat()
        except ValueError:
            raise BadValue(f"Line {at}: “{row[:40]}” does not begin with a date as 2026-03-04.") from None
        try:
            bare = one.bare_unit(units)
            value = parse_number(rest) if bare == "count" else parse_length(rest, bare)
            readings.append(Reading(on, _checked(one, value, rest, units), rest))
        except BadValue as error:
            raise BadValue(f"Line {at}: {error.message}") from None
    return tuple(readings)


_READERS: Mapping[Ask, Callable[[Input, str, str], object]] = {
    Ask.LENGTH: _length,
    Ask.MASS: _mass,
    Ask.FORCE: _force,
    Ask.ANGLE: _angle,
    Ask.COUNT: _count,
    Ask.NUMBER: _plain,
    Ask.CHOICE: _choice,
    Ask.TEXT: _text,
    Ask.LENGTHS: _lengths,
    Ask.LOADS: _loads,
    Ask.READINGS: _readings,
    Ask.LINE_MASS: _line_mass,
    Ask.TORQUE: _torque,
}
