"""Gauges of a house and the named places at which a part is measured. An entry names both by their words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

from inspect_app.domain.errors import BadValue
from inspect_app.domain.units import convert, exact, unit_named

# Classes whose readings may stand in one series. Common practice, no source.
GAUGE_CLASSES: Mapping[str, str] = {
    "caliper": "caliper",
    "wide_jaw_caliper": "caliper with wide jaws",
    "micrometer": "micrometer",
    "tape": "tape",
    "rule": "rule",
    "feeler": "feeler gauges",
    "groove": "groove gauges",
    "diameter_tape": "tape read as a diameter",
    "depth": "depth gauge",
    "dial": "dial gauge",
    "angle": "angle gauge or level",
    "force": "force gauge",
    "torque": "torque wrench",
    "scale": "scale for weighing",
    "light": "light meter",
    "sound": "sound level meter",
    "stopwatch": "stopwatch",
    "eye": "counted by eye and glass",
    "other": "another gauge",
}
OTHER = "other"  # no class: two such gauges need not be alike, so each stands for itself by its name
LOAD_STATES: Mapping[str, str] = {
    "unloaded": "pipe only, or slack",
    "balanced": "loaded and balanced",
    "loaded": "under load",
}


@dataclass(frozen=True, slots=True)
class Doubt:
    """Days, first and last included, on which a gauge read wrong, as it was found out later."""

    id: str
    first: date
    last: date
    why: str

    def covers(self, day: date) -> bool:
        """Whether what it read on this day is not to be relied on."""
        return self.first <= day <= self.last


@dataclass(frozen=True, slots=True)
class Gauge:
    """An instrument of the house. `resolution` is decimal text in `unit`, its smallest step; '' when not known.

    The step is what the gauge can be trusted to tell apart: where its paper names an error of more than half a step,
    twice that error is entered. So one number serves phone, judgement and trend, and none of them tells finer.
    """

    id: str
    house: str
    name: str
    kind: str
    resolution: str = ""
    unit: str = ""
    serial: str = ""
    calibrated_on: date | None = None
    calibration_due: date | None = None
    retired_on: date | None = None
    doubts: tuple[Doubt, ...] = ()

    def doubt_on(self, day: date) -> Doubt | None:
        """Why its figures of a day are not to be relied on; None when nothing is known against them."""
        return next((doubt for doubt in self.doubts if doubt.covers(day)), None)

    def is_overdue(self, on: date) -> bool:
        """Whether its calibration had run out on that day."""
        return self.calibration_due is not None and self.calibration_due < on


@dataclass(frozen=True, slots=True)
class Station:
    """A place on a part that is marked and measured at each time, such as *paint mark, 2 m above the arbor*."""

    id: str
    part: str
    name: str
    retired_on: date | None = None


def plain(words: str) -> str:
    """A name without regard to case and spacing, as two names are compared."""
    return " ".join(words.split()).casefold()


def gauges_by_name(gauges: Iterable[Gauge]) -> dict[str, Gauge]:
    """The gauges by their plain name, retired ones too: old figures were taken with them."""
    return {plain(gauge.name): gauge for gauge in gauges}


def class_title(kind: str) -> str:
    """The class of a gauge in words."""
    return GAUGE_CLASSES.get(kind, kind)


def resolution_in(gauge: Gauge | None, unit: str) -> str:
    """The gauge's smallest step as decimal text in another unit; '' when it is not known or does not fit the unit."""
    if gauge is None or not gauge.resolution:
        return ""
    try:
        step = convert(Decimal(gauge.resolution), gauge.unit, unit)
    except (BadValue, InvalidOperation):
        return ""
    return f"{round(Decimal(step.numerator) / Decimal(step.denominator), 12).normalize():f}"


def check_gauge(gauge: Gauge) -> Gauge:
    """The gauge with its words trimmed. Raises BadValue that names the field."""
    name = " ".join(gauge.name.split())
    if not name or len(name) > 80:
        raise BadValue("Give the gauge the name that stands on it, in at most 80 letters.", "name")
    if gauge.kind not in GAUGE_CLASSES:
        raise BadValue(f"Choose what kind of gauge it is: {', '.join(GAUGE_CLASSES.values())}.", "kind")
    if gauge.calibrated_on and gauge.calibration_due and gauge.calibration_due < gauge.calibrated_on:
        raise BadValue("The next calibration cannot be due before the last one.", "calibration_due")
    return Gauge(
        gauge.id, gauge.house, name, gauge.kind, _checked_step(gauge), gauge.unit if gauge.resolution.strip() else "",
        " ".join(gauge.serial.split())[:80], gauge.calibrated_on, gauge.calibration_due, gauge.retired_on,
    )  # fmt: skip


def _checked_step(gauge: Gauge) -> str:
    text = gauge.resolution.strip().replace(",", ".")
    if not text:
        return ""
    try:
        step = exact(Decimal(text))
    except (InvalidOperation, BadValue):
        raise BadValue(
            f"“{gauge.resolution}” is not a number. Write the smallest step, as 0.001.", "resolution"
        ) from None
    if step <= 0:
        raise BadValue("The smallest step must be more than zero.", "resolution")
    if unit_named(gauge.unit).dimension == "count":
        raise BadValue("A count is exact and needs no smallest step. Leave it empty.", "resolution")
    return text


def check_doubt(first: date | None, last: date | None, why: str, today: date) -> Doubt:
    """Days on which a gauge read wrong, with the reason trimmed and no id yet. Raises BadValue that names the field."""
    words = " ".join(why.split())
    if first is None:
        raise BadValue("Give the first day it cannot be trusted on: the day after it was last found right.", "first")
    if last is None or last < first:
        raise BadValue("The last day cannot be before the first.", "last")
    if last > today:
        raise BadValue("The last day lies ahead. Retire a gauge that is not to be used any more.", "last")
    if not words or len(words) > 200:
        raise BadValue("Say what was found and by whom, in at most 200 letters.", "why")
    return Doubt("", first, last, words)


def check_station(name: str) -> str:
    """The name of a station, trimmed. Raises BadValue."""
    words = " ".join(name.split())
    if not words or len(words) > 120:
        raise BadValue("Say where it is, as *paint mark, 2 m above the arbor*, in at most 120 letters.", "name")
    return words


def readings_words(value: str, readings: Sequence[str]) -> str:
    """The readings behind a figure, as typed: `mean of 0.240, 0.236`, or all of them; '' for a single one.

    `readings` begins with the figure itself. It is their mean when the others average to it, as far as it was written:
    two readings at right angles are averaged by the method of ISO 4309 (from a secondary source).
    """
    further = list(readings[1:] if readings[:1] == [value] or readings[:1] == (value,) else readings)
    if not further:
        return ""
    if len(further) > 1 and _is_mean(value, further):
        return f"mean of {', '.join(further)}"
    return f"{len(readings)} readings: {', '.join(readings)}" if len(readings) > 1 else ""


def _is_mean(value: str, further: Sequence[str]) -> bool:
    try:
        written, mean = Decimal(value), sum(map(Decimal, further), Decimal(0)) / len(further)
    except InvalidOperation:
        return False
    exponent = written.as_tuple().exponent
    if not isinstance(exponent, int) or not mean.is_finite():
        return False
    return abs(written - mean) <= Decimal(5).scaleb(exponent - 1)
