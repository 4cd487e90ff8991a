"""Figures as the report shows them: the value, and what each criterion says of it, gravest first."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any, NamedTuple

from inspect_app.domain.errors import BadValue
from inspect_app.domain.gauge import readings_words
from inspect_app.domain.report_record import WalkData, rows, text
from inspect_app.domain.report_words import NONE_RECORDED, VERDICT_STATES, reads
from inspect_app.domain.source import MARK_WORDS
from inspect_app.domain.units import UNITS, convert, decimal_text, mass_of, typed_words, weight_of, with_sign, with_unit

NO_GAUGE = "gauge not recorded"
ABOUT = "about "  # how a rounded figure begins
_ORDER = ("outside", "cannot_tell", "none", "inside")


class VerdictShown(NamedTuple):
    """What a figure reads as against one criterion; `words` exactly as the walk data has them."""

    state: str
    state_word: str
    words: str
    limit: str
    citation: str
    governing: bool = False


class VerdictGroup(NamedTuple):
    """The criteria that say the same of a figure: the words once, and a line for each rule with limit and citation."""

    state: str
    state_word: str
    words: str
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MeasureShown:
    """A figure as it was typed, with where, with what and how it reads."""

    part: str
    point: str
    quantity: str
    value: str
    station: str
    gauge: str
    verdicts: tuple[VerdictShown, ...]
    look_again: str = ""
    governing: str = ""
    differs: str = ""
    former: str = ""

    @property
    def groups(self) -> tuple[VerdictGroup, ...]:
        """The verdicts by what they say: outside first, cannot tell next, then not judged, inside last."""
        return grouped(self.verdicts)


def grouped(verdicts: Iterable[VerdictShown]) -> tuple[VerdictGroup, ...]:
    """Verdicts by what they say, gravest first; what the house chose to govern is said of its own rules."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for verdict in sorted(verdicts, key=lambda v: _ORDER.index(v.state) if v.state in _ORDER else -1):
        lines = alike.setdefault((verdict.state, verdict.state_word, verdict.words), [])
        line = ": ".join(filter(None, (verdict.limit, verdict.citation)))
        lines += [f"governing here: {line}" if verdict.governing else line] if line else []
    return tuple(VerdictGroup(*key, tuple(lines)) for key, lines in alike.items())


def measures_of(data: WalkData) -> tuple[MeasureShown, ...]:
    """All figures; those outside a criterion first, then those that cannot be told, else in the order of the walk."""
    again = {_series_of(row): text(row, "words") for row in rows(data, "look_again")}
    shown = [_measure(row, again.get(_series_of(row), "")) for row in rows(data, "measures")]
    return tuple(sorted(shown, key=_rank))


def _rank(measure: MeasureShown) -> int:
    states = {verdict.state for verdict in measure.verdicts}
    return 0 if "outside" in states else 1 if "cannot_tell" in states else 2


def _series_of(row: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(text(row, key) for key in ("part", "point", "quantity", "station"))


def _how(row: Mapping[str, Any]) -> str:
    """The readings behind it and in which load state, as far as that is known."""
    readings = row.get("readings")
    said = readings_words(text(row, "value"), [str(one) for one in readings]) if isinstance(readings, list) else ""
    return "".join(f"; {words}" for words in (said, text(row, "load_state")) if words)


def _measure(row: Mapping[str, Any], look_again: str = "") -> MeasureShown:
    typed, unit = text(row, "typed"), text(row, "unit")
    resolution = text(row, "resolution")
    reads_to = f", reads to {with_unit(resolution, unit)}" if resolution and unit != "count" else ""
    return MeasureShown(
        part=text(row, "part"),
        point=text(row, "point"),
        quantity=text(row, "quantity").replace("_", " "),
        value=typed_words(text(row, "value"), unit, typed),
        station=text(row, "station", NONE_RECORDED),
        gauge=((text(row, "gauge") or ("" if unit == "count" else NO_GAUGE)) + reads_to + _how(row)).removeprefix("; "),
        verdicts=tuple(_verdict(verdict, unit) for verdict in rows(row, "verdicts")),
        look_again=look_again,
        governing=text(row, "governing"),
        differs=text(row, "differs"),
        former=text(row, "former"),
    )


def conditions_of(row: Mapping[str, Any]) -> tuple[VerdictGroup, ...]:
    """What documents say of what was found, where it is one of the conditions that they name."""
    return grouped(_verdict(verdict, "count") for verdict in rows(row, "conditions"))


def _verdict(row: Mapping[str, Any], unit: str) -> VerdictShown:
    state, words = text(row, "state", "none"), text(row, "words")
    source = ", ".join(filter(None, (text(row, "source"), text(row, "clause"))))
    mark = f"[{MARK_WORDS.get(text(row, 'mark'), text(row, 'mark'))}]" if text(row, "mark") else ""
    cited = " ".join(filter(None, (source, mark))) + (", by analogy" if row.get("by_analogy") else "")
    shown_in = text(row, "unit") if state == "none" else unit  # what was not judged may not be one that fits
    limit = " ".join(filter(None, (text(row, "op"), _limit(text(row, "limit"), text(row, "unit"), shown_in))))
    return VerdictShown(state, reads(VERDICT_STATES, state), words, limit, cited, bool(row.get("governing")))


def _limit(limit: str, unit: str, shown_in: str) -> str:
    """A limit in the unit of the figure, with the sealed text of the limit in brackets when that is another unit.

    Between a mass and a force stands the weight under standard gravity, as it was judged.
    """
    stated = with_unit(limit, unit)
    if not limit or unit == shown_in or unit not in UNITS or shown_in not in UNITS:
        return stated
    across = {("mass", "force"): weight_of, ("force", "mass"): mass_of}
    turned = across.get((UNITS[unit].dimension, UNITS[shown_in].dimension), convert)
    figure = limit.removeprefix(ABOUT)
    try:
        value = turned(Decimal(figure), unit, shown_in)
    except (BadValue, InvalidOperation):
        return stated
    if figure == limit:
        return f"{with_sign(value, shown_in)} ({stated})"
    return f"{ABOUT}{with_unit(_five_figures(value), shown_in)} ({stated})"


def _five_figures(value: Fraction) -> str:
    """A figure that came from a rounded one is known no better."""
    places = max(4 - Decimal(float(value)).adjusted(), 0)
    return decimal_text(Fraction(round(value * 10**places), 10**places), places)
