"""Measures at marked stations, the same at each gauge round: a rope that thins, a groove that wears, their sisters.

The figures are invented; how they lie to the published limits is what the demonstration is about.
"""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app.actions.gauge import add_gauge, add_station
from inspect_app.demo.crew import Round
from inspect_app.demo.planted import SHRINKING_ROPE, SISTER_SETS, WORN_BLOCK, Planted, planted_by_key
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.gauge import Gauge
from inspect_app.store.part import find_part_by_tag

ROPE, GROOVE = "lift-line-diameter", "loft-block-groove-radius"
_STEP = Decimal("0.0005")


class Figure(NamedTuple):
    """A measure in inches with how far one reading strays from it."""

    quantity: str
    value: Decimal
    spread: Decimal
    station: str
    gauge: str


# Name, class, smallest step in inches, days since the last calibration (common practice: once a year) or None.
_GAUGES = (
    ("wide-jaw caliper C1", "wide_jaw_caliper", "0.0005", 140),
    ("groove gauges G1", "groove", "0.0005", 400),
    ("tape gauge T2", "diameter_tape", "0.0005", 140),
    ("tape T1", "tape", "0.25", None),
)
_OVER_BLOCK, _ARC, _AT_LOCK = "over the loft block", "arc the line lies in", "at the lock, set at mid trim"
_HAND_LINES = ("4", "14", "18", "30")
# The marked places: the phone offers them, so that the next figure continues the series.
_PLACES = (
    *((f"LL {number}-4", _OVER_BLOCK) for number in SISTER_SETS),
    *((f"LB {number}-3", _ARC) for number in SISTER_SETS),
    *((f"HL {number}", _AT_LOCK) for number in _HAND_LINES),
)


def list_house_gauges(db: Database, house: str, actor: str, at: datetime, today: date) -> None:
    """Enter the gauges that the house owns and the places it has marked; one gauge is overdue for calibration, one was
    never calibrated."""
    for name, kind, step, days in _GAUGES:
        on = today - timedelta(days=days) if days is not None else None
        due = on + timedelta(days=365) if on is not None else None
        gauge = Gauge("", house, name, kind, step, "in", calibrated_on=on, calibration_due=due)
        add_gauge(db, at=at, actor=actor, gauge=gauge)
    for tag, place in _PLACES:
        if (part := find_part_by_tag(db, house, tag)) is not None:
            add_station(db, at=at, actor=actor, house=house, part=part.id, name=place)


def walk_gauge_round(walk: Round, checklist: Checklist) -> None:
    """Measure at every marked station; the odd ones become findings once their figure is plainly off."""
    age = Decimal(walk.habits.days_ago)
    for number in SISTER_SETS:
        for tag, kind in ((f"LB {number}-3", GROOVE), (f"LL {number}-4", ROPE)):
            if tag not in (WORN_BLOCK, SHRINKING_ROPE):
                _station(walk, checklist, tag, kind, _usual(kind))
    worn = Decimal("0.1275") + Decimal("0.0085") * age / 1000
    _station(walk, checklist, WORN_BLOCK, GROOVE, _groove(worn), planted_by_key("groove"))
    thin = Decimal("0.2415") + Decimal("0.0125") * age / 1000
    _station(walk, checklist, SHRINKING_ROPE, ROPE, _rope(thin), planted_by_key("rope-thin"))
    for number in _HAND_LINES:
        value = Decimal("0.742") if number == "18" else Decimal("0.751")
        figure = Figure("rope_diameter", value, Decimal("0.002"), _AT_LOCK, "tape gauge T2")
        _station(walk, checklist, f"HL {number}", "hand-line-diameter", figure, where="rail/static")


def measure_guardrails(walk: Round, checklist: Checklist) -> None:
    """Height and opening of each guardrail."""
    for tag, height, opening in (("GR HR", "42.25", "18.5"), ("GR BR", "41.5", "20.5"), ("GR G1", "42", "18.75")):
        walk.phone.wait(30, 80)
        measures = [
            _measure("guardrails-measures", "rail_height", Decimal(height), "at mid length", "tape T1", "0.25"),
            _measure(
                "guardrails-measures", "rail_opening", Decimal(opening), "widest, between two rails", "tape T1", "0.25"
            ),
        ]
        walk.look(checklist, "access/static", tag, ["guardrails-measures"], measures=measures)


def count_broken_wires(walk: Round, checklist: Checklist, planted: Planted) -> None:
    """The count that goes with a finding of broken wires."""
    walk.phone.wait(60, 120)
    measures = [
        {
            **_measure("lift-line-broken-wires", quantity, Decimal(count), "worst rope lay", "eye and glass", "1"),
            "unit": "count",
        }
        for quantity, count in (("broken_wires", 3), ("broken_wires_in_strand", 2))
    ]
    photos = [walk.phone.shoot(planted.scene, planted.tag, planted.amount)]
    found = _finding(
        walk, checklist, planted, "lift-line-broken-wires", "3 broken wires in one lay, 2 of them in one strand"
    )
    walk.look(
        checklist, "grid/static", planted.tag, ["lift-line-broken-wires"], measures=measures, photos=photos, **found
    )


def _finding(walk: Round, checklist: Checklist, planted: Planted | None, point: str, note: str) -> dict[str, Any]:
    """A figure at a part whose defect this walk has found answers that finding; else it is a figure only."""
    if planted is None or planted.key not in walk.seen:
        return {}
    asked = next(one for one in checklist.points() if one.id == point)
    return {"result": "finding", "findings": [walk.finding(planted, asked, note)]}


def _station(
    walk: Round,
    checklist: Checklist,
    tag: str,
    point: str,
    figure: Figure,
    planted: Planted | None = None,
    where: str = "grid/static",
) -> None:
    walk.phone.wait(25, 90)
    chance = walk.habits.chance
    readings = [figure.value + figure.spread * Decimal(round(chance.uniform(-1, 1), 2)) for _ in range(2)]
    readings = [(reading / _STEP).to_integral_value() * _STEP for reading in readings]
    least = min(readings)
    measure = _measure(point, figure.quantity, least, figure.station, figure.gauge, str(_STEP))
    measure["readings"] = [str(reading) for reading in readings]
    photos = []
    if planted is not None and walk.habits.days_ago == 0:
        photos = [walk.phone.shoot("rope_caliper" if point == ROPE else "loft_block", tag, 0.9, close=True)]
    found = _finding(walk, checklist, planted, point, f"{measure['value']} in at the marked station")
    walk.look(checklist, where, tag, [point], measures=[measure], photos=photos, **found)


def _usual(kind: str) -> Figure:
    return _rope(Decimal("0.2545")) if kind == ROPE else _groove(Decimal("0.1355"))


def _rope(value: Decimal) -> Figure:
    return Figure("rope_diameter", value, Decimal("0.0005"), _OVER_BLOCK, "wide-jaw caliper C1")


def _groove(value: Decimal) -> Figure:
    return Figure("groove_radius", value, Decimal("0.0005"), _ARC, "groove gauges G1")


def _measure(point: str, quantity: str, value: Decimal, station: str, gauge: str, resolution: str) -> dict[str, Any]:
    text = format(value.normalize(), "f")
    return {
        "point": point,
        "quantity": quantity,
        "value": text,
        "unit": "in",
        "typed": text,
        "readings": [],
        "station": station,
        "gauge": gauge,
        "resolution": resolution,
        "load_state": "unloaded",
        "hint": "none",
    }
