"""What the record of a line set gives for its load and balance: figures to begin with, and what is not recorded.

Nothing is guessed: what is missing stays empty and is named. The left end of a batten is its stage right end, or its
downstage end where the set runs along the side.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from inspect_app.domain.attribute_value import exact_text
from inspect_app.domain.force import pounds
from inspect_app.domain.house import House, LineSet, LineSetKind
from inspect_app.domain.length import SIXTEENTH_MM, format_feet_inches
from inspect_app.domain.line_names import line_words
from inspect_app.domain.line_set import COUNTERWEIGHT_KINDS
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.shown_length import length_words
from inspect_app.domain.units import MM_PER_FOOT, MM_PER_INCH

UNTIL = "the load cannot be worked out until it is"
NO_FACTOR = "no design factor until it is"
PIPE, OTHER_SECTION = "pipe", "other"
LINE_ENDS = frozenset({PartKind.TERMINATION_BATTEN, PartKind.TERMINATION_ARBOR})
BLOCKS = frozenset({PartKind.LOFT_BLOCK, PartKind.HEAD_BLOCK, PartKind.MULE_BLOCK, PartKind.DOUBLE_PURCHASE})
_AS_KEPT = Fraction(1, 10**6)  # masses are kept to nine places of a kilogram
QUARTER = 90.0  # degrees: level from the head block, then plumb
LEFT_ENDS: Mapping[str, str] = {"across": "stage right", "along": "downstage"}
STEEL = frozenset({PartKind.HEAD_BEAM, PartKind.LOFT_BEAM})
CARRIES = LINE_ENDS | BLOCKS | {PartKind.LIFT_LINE, PartKind.TRIM, PartKind.DRUM, PartKind.HANGER}


@dataclass(frozen=True, slots=True)
class SetRecord:
    """A set with its present parts and what hangs in them (lives by part id)."""

    house: House
    line_set: LineSet
    parts: tuple[Part, ...]
    lives: Mapping[str, Life]

    @property
    def dead_hung(self) -> bool:
        """Whether it hangs on hangers that turn on no block."""
        return self.line_set.kind is LineSetKind.DEAD

    @property
    def line_kind(self) -> PartKind:
        """What its batten hangs on."""
        return PartKind.HANGER if self.dead_hung else PartKind.LIFT_LINE

    def of(self, *kinds: PartKind) -> list[Part]:
        """The parts of these kinds."""
        return [part for part in self.parts if part.kind in kinds]

    def attribute(self, part: Part, key: str) -> str:
        """A recorded attribute of what hangs there now, or ''."""
        life = self.lives.get(part.id)
        return life.attributes.get(key, "").strip() if life else ""

    def number(self, part: Part, key: str) -> Fraction | None:
        """A recorded attribute as a number above zero; None when it is not recorded or is none."""
        try:
            value = Fraction(self.attribute(part, key))
        except (ValueError, ZeroDivisionError):
            return None
        return value if value > 0 else None

    def first(self, kind: PartKind, key: str) -> Fraction | None:
        """A number from the only part of a kind; None when there are several or none."""
        found = self.of(kind)
        return self.number(found[0], key) if len(found) == 1 else None


@dataclass(frozen=True, slots=True)
class Begin:
    """Texts for a form, what is not recorded (fit to be shown), and names of the lines from the batten's left end.

    `worked_out` are rows of what the record implies; `left_end` says in words which end of the batten is the left one.
    """

    typed: Mapping[str, str]
    lacking: tuple[str, ...]
    names: tuple[str, ...] = ()
    withheld: tuple[str, ...] = ()
    worked_out: tuple[tuple[str, str], ...] = ()
    left_end: str = ""


def typed_mm(mm: Fraction, units: str) -> str:
    """A length as it stands in a form; read back it is the same."""
    if units == "imperial" and (mm / SIXTEENTH_MM).denominator == 1:
        return format_feet_inches(mm)
    if units == "imperial" and mm < MM_PER_FOOT and (mm / MM_PER_INCH * 10**4).denominator == 1:
        return f"{exact_text(mm / MM_PER_INCH)} in"
    return f"{exact_text(mm)} mm"


def typed_mass(kg: Fraction, units: str) -> str:
    """A mass as it stands in a form: pounds where they are what somebody typed, else the kilograms, not rounded."""
    hundredths = Fraction(round(pounds(kg) * 100), 100)
    if units == "imperial" and abs(hundredths - pounds(kg)) < _AS_KEPT:
        return f"{exact_text(hundredths)} lb"
    return f"{exact_text(kg)} kg"


def load_begin(record: SetRecord) -> Begin:
    """What the record gives for the load on the lift lines of a set."""
    typed: dict[str, str] = {}
    lacking: list[str] = []
    names = _geometry(record, typed, lacking)
    units = record.house.units
    own = record.first(PartKind.BATTEN, "own_mass_kg")
    if own is not None:
        typed["own"] = typed_mass(own, units)
    else:
        lacking.append(
            "Pipe weight with what stays on it: not recorded; without it the pipe alone counts, by its table."
        )
    posted = record.first(PartKind.BATTEN, "capacity_kg")
    if posted is not None:
        typed["capacity"] = typed_mass(posted, units)
    _section(record, typed, lacking)
    withheld = _rope(record, typed, lacking)
    lacking.append(f"Grade of the rope: not recorded; {NO_FACTOR} given.")
    if record.line_set.kind in COUNTERWEIGHT_KINDS:
        typed["kind"] = record.line_set.kind.value
    mountings = _same(record, record.of(PartKind.HEAD_BLOCK), "mounting")
    if len(mountings) == 1 and "" not in mountings:
        typed["mounting"] = next(iter(mountings))
    if not record.dead_hung:
        _drop(record, typed, lacking)
    left = LEFT_ENDS["along" if record.line_set.axis == "along" else "across"]
    worked_out = (("Left end of the batten, here and in the picture", left), *_turns(record, typed, lacking))
    return Begin(typed, tuple(lacking), names, withheld, worked_out, left)


def _section(record: SetRecord, typed: dict[str, str], lacking: list[str]) -> None:
    """The section stays to be chosen: no wall is recorded, and what is no pipe is in no table."""
    kinds = {text for part in record.of(PartKind.BATTEN) if (text := record.attribute(part, "batten_kind"))}
    if kinds - {PIPE}:
        typed["pipe"] = OTHER_SECTION
        lacking.append(
            f"Stiffness of the batten ({', '.join(sorted(kinds))}): in no table here; its tensions and moments are "
            "worked out as of a beam of one section throughout, its shape is not."
        )
        return
    tube = record.first(PartKind.BATTEN, "tube_diameter_mm")
    known = f"outside diameter {typed_mm(tube, record.house.units)} is recorded, its wall is not" if tube else ""
    lacking.append(f"Section of the pipe: {known or 'not recorded'}; {UNTIL} chosen below.")


def _drop(record: SetRecord, typed: dict[str, str], lacking: list[str]) -> None:
    """How long the lines hang at their lowest: high trim and travel together."""
    units = record.house.units
    high, travel = (record.first(PartKind.SET_TRAVEL, key) for key in ("batten_side_mm", "travel_mm"))
    if high is not None and travel is not None:
        typed["drop"] = typed_mm(high + travel, units)
        return
    heights = {part.z_mm for part in record.of(PartKind.LOFT_BLOCK)}
    known = next(iter(heights)) if len(heights) == 1 else None
    above = "" if known is None else f" (loft blocks {length_words(known, units)} above the deck)"
    lacking.append(
        f"Length of line from loft block to batten at its lowest: not recorded{above}; until it is given, the lines' "
        "own weight counts as nothing."
    )


def _turns(record: SetRecord, typed: dict[str, str], lacking: list[str]) -> tuple[tuple[str, str], ...]:
    """The wraps by the middles of the blocks: the largest goes into the form, as the one with the most pull."""
    if record.dead_hung:
        return ()
    if mules := record.of(PartKind.MULE_BLOCK):
        lacking.append(
            f"Mule blocks: {', '.join(part.tag for part in mules)} turn lines once more; their pull is not in these "
            "figures, and the wraps below are not those of this set. The workbench has the pull on one block."
        )
        return ()
    heads = record.of(PartKind.HEAD_BLOCK)
    rises = [] if len(heads) != 1 else [_rise(record, heads[0], loft) for loft in record.of(PartKind.LOFT_BLOCK)]
    known = [rise for rise in rises if rise is not None]
    if not known or len(known) != len(rises):
        lacking.append("Height or place of a block: not recorded for every one; wraps of 90 degrees are taken.")
        return ()
    found = []
    for key, words, sign in (("wrap", "loft blocks", -1), ("head_wrap", "head block", 1)):
        wraps = sorted(round(QUARTER + sign * rise, 1) for rise in known)
        typed[key] = f"{wraps[-1]:g}"
        spread = f"{wraps[0]:g} to " if wraps[0] != wraps[-1] else ""
        largest = "; the largest is taken for all" if spread else ""
        found.append((f"Wrap on the {words}, by the middles of the blocks", f"{spread}{wraps[-1]:g}°{largest}"))
    return tuple(found)


def _rise(record: SetRecord, head: Part, loft: Part) -> float | None:
    """By how many degrees a line rises from its loft block to the head block; None when a place is not known."""
    places = (_across(record, head), head.z_mm, _across(record, loft), loft.z_mm)
    if None in places:
        return None
    head_at, head_up, loft_at, loft_up = (float(place) for place in places if place is not None)
    if head_at == loft_at:
        return None
    return math.degrees(math.atan2(head_up - loft_up, abs(head_at - loft_at)))


def _geometry(record: SetRecord, typed: dict[str, str], lacking: list[str]) -> tuple[str, ...]:
    line_set, units = record.line_set, record.house.units
    places: dict[int, int] = {}
    for line in range(1, line_set.lines + 1):
        at = _place_of_line(record, line)
        if at is None:
            words = line_words(record.house, line_set.lines, line)
            what = "hanger" if record.dead_hung else "loft block"
            lacking.append(f"Place of the {what} of {words}: not recorded; {UNTIL}.")
        else:
            places[line] = at
    if not line_set.lines:
        lacking.append(f"Lift lines: the set has none recorded; {UNTIL} has.")
    battens = record.of(PartKind.BATTEN)
    batten = battens[0] if len(battens) == 1 else None
    if batten is None:
        lacking.append(f"Batten: {'several are' if battens else 'none is'} recorded; {UNTIL} one.")
    length = record.number(batten, "length_mm") if batten else None
    middle = _across(record, batten) if batten else None
    if length is not None:
        typed["length"] = typed_mm(length, units)
    elif batten is not None:
        lacking.append(f"Length of the batten: not recorded; {UNTIL}.")
    if batten is not None and middle is None:
        lacking.append(f"Place of the batten's middle, and so its overhangs: not recorded; {UNTIL}.")
    order = sorted(places, key=lambda line: places[line])
    names = tuple(line_words(record.house, line_set.lines, line) for line in order)
    if length is None or middle is None or len(places) != line_set.lines or not places:
        return names
    left = middle - length / 2
    found = [places[line] - left for line in order]
    if found[0] < 0 or found[-1] > length:
        lacking.append(f"A lift line lies beyond the end of the batten as recorded: put one of them right; {UNTIL}.")
        return names
    typed["lines"] = "\n".join(typed_mm(place, units) for place in found)
    return names


def _place_of_line(record: SetRecord, line: int) -> int | None:
    for kind in (PartKind.LOFT_BLOCK, PartKind.LIFT_LINE, PartKind.HANGER):
        for part in record.of(kind):
            if part.line == line and (at := _across(record, part)) is not None:
                return at
    return None


def _across(record: SetRecord, part: Part) -> int | None:
    return part.y_mm if record.line_set.axis == "along" else part.x_mm


def _same(record: SetRecord, parts: Iterable[Part], key: str) -> set[str]:
    return {record.attribute(part, key) for part in parts}


def _lines_without(record: SetRecord) -> dict[str, bool]:
    """By input, whether a lift line of the set has no part from which it could be known: its line, its ends."""
    lines = set(range(1, record.line_set.lines + 1))
    ends = [PartKind.HANGER if record.dead_hung else PartKind.TERMINATION_BATTEN]
    if record.line_set.kind in COUNTERWEIGHT_KINDS:
        ends.append(PartKind.TERMINATION_ARBOR)
    no_line = bool(lines - {part.line for part in record.of(record.line_kind)})
    no_end = any(lines - {part.line for part in record.of(kind)} for kind in ends)
    return {"rope_diameter_mm": no_line, "rope_construction": no_line, "termination": no_end}


def _rope(record: SetRecord, typed: dict[str, str], lacking: list[str]) -> tuple[str, ...]:
    """Rope, line ends and treads into the form where all parts agree; else why no factor may be given."""
    units = record.house.units
    withheld: list[str] = []
    lines = record.of(record.line_kind)
    ends = lines if record.dead_hung else record.of(*LINE_ENDS)
    if record.dead_hung and _same(record, lines, "hanger_kind") != {"wire rope"}:
        withheld.append("the hangers are not all recorded as wire rope")
    asked = (
        ("rope_diameter_mm", "nominal rope diameter", lines, "rope_diameter_mm"),
        ("rope_construction", "rope construction", lines, "rope_construction"),
        ("termination", "kind of line end", ends, "termination"),
    )
    bare = _lines_without(record)
    for key, words, parts, attribute in asked:
        found = _same(record, parts, attribute)
        if not found or "" in found or bare[key]:
            lacking.append(f"{words.capitalize()}: not recorded for every line; {NO_FACTOR}.")
            withheld.append(f"the {words} is not recorded for every line of this set")
        elif len(found) > 1:
            withheld.append(f"the {words} is not the same for every line of this set ({', '.join(sorted(found))})")
        else:
            value = found.pop()
            number = record.number(parts[0], attribute)
            typed[key] = typed_mm(number, units) if key.endswith("_mm") and number is not None else value
    for key in ("rope_core", "rope_mass"):  # what no document here turns on, or what a table may have
        found = _same(record, lines, key)
        if len(found) == 1 and "" not in found:
            typed[key] = found.pop()
    if record.dead_hung:
        return tuple(withheld)
    treads = [record.number(part, "tread_diameter_mm") for part in record.of(PartKind.LOFT_BLOCK)]
    known = [tread for tread in treads if tread is not None]
    if treads and len(known) == len(treads):
        others = (record.number(part, "tread_diameter_mm") for part in record.of(*BLOCKS))
        typed["tread"] = typed_mm(min(tread for tread in (*known, *others) if tread is not None), units)
    else:
        lacking.append("Tread of the loft blocks: not recorded for every one; what the bend takes is left out.")
    return tuple(withheld)
