"""Figures of a part that nobody has to measure: worked out from what is recorded of it, and judged like any other."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.fleet import Fleet, Place, fleet_angle, groove_offset, tread_ratio
from inspect_app.domain.house import Inventory
from inspect_app.domain.house_criteria import governing_words
from inspect_app.domain.judge import Verdict, judge, limits_for
from inspect_app.domain.judged_measure import attributes_of
from inspect_app.domain.limit_form import attribute_number
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.units import Number, convert, decimal_text, with_sign

HUNDREDTH = Decimal("0.01")  # of a degree: as fine as places in whole millimetres allow
NO_GROOVE = (
    "not worked out: grooves and the distance from groove to groove are not recorded for the head block, and its "
    "middle is not where this line leaves it"
)
SHEAVE_KINDS = frozenset(
    {PartKind.HEAD_BLOCK, PartKind.LOFT_BLOCK, PartKind.MULE_BLOCK, PartKind.DOUBLE_PURCHASE, PartKind.DRUM}
)


@dataclass(frozen=True, slots=True)
class WorkedFigure:
    """One figure with its verdicts. `shown` is the value, `how` where it comes from; `why_not` when there is none."""

    title: str
    shown: str
    how: str
    verdicts: tuple[Verdict, ...] = ()
    governing: str = ""
    why_not: str = ""


def worked_figures(part: Part, inventory: Inventory, criteria: Mapping[str, Criterion]) -> tuple[WorkedFigure, ...]:
    """All that can be worked out for one part; a record that cannot be read is said instead of raised."""
    attributes = attributes_of(inventory.house, inventory, part.id)
    found: list[WorkedFigure] = []
    for title, figures in (
        ("Tread diameter over rope diameter", _ratios(part, attributes, criteria)),
        ("Fleet angle", _fleets(part, inventory, criteria)),
        ("First measured diameter of a new rope", _new_ropes(part, inventory.house.units, attributes, criteria)),
    ):
        try:
            found += figures
        except BadValue as error:
            found.append(WorkedFigure(title, "", "", why_not=error.message))
    return tuple(found)


def _judged(
    criterion: Criterion, value: Number, unit: str, attributes: Mapping[str, str], step: Decimal | None = None
) -> tuple[tuple[Verdict, ...], str]:
    limits = limits_for(criterion, attributes)
    fitting = [one for one in limits if one.unit == unit or unit not in ("none", "deg")]
    return judge(value, unit, step, fitting), governing_words(criterion, limits)


def _ratios(part: Part, attributes: Mapping[str, str], criteria: Mapping[str, Criterion]) -> Iterator[WorkedFigure]:
    criterion = criteria.get("tread-ratio")
    tread, rope = (attribute_number(attributes, key) for key in ("tread_diameter_mm", "rope_diameter_mm"))
    if part.kind not in SHEAVE_KINDS or criterion is None or tread is None or rope is None:
        return
    ratio = tread_ratio(tread, rope)
    verdicts, governing = _judged(criterion, ratio, "none", attributes)
    how = f"from the recorded tread of {decimal_text(tread)} mm and rope of {decimal_text(rope)} mm; not measured"
    yield WorkedFigure(criterion.title, decimal_text(ratio, 2), how, verdicts, governing)


def _fleets(part: Part, inventory: Inventory, criteria: Mapping[str, Criterion]) -> Iterator[WorkedFigure]:
    criterion = criteria.get("fleet-angle")
    if criterion is None or part.kind not in (PartKind.HEAD_BLOCK, PartKind.LOFT_BLOCK) or part.line_set is None:
        return
    attributes = attributes_of(inventory.house, inventory, part.id) | {"fleet_at": "block"}
    for fleet, other in _widest(part, inventory):
        if not fleet.from_groove:
            yield WorkedFigure(criterion.title, "", "", why_not=NO_GROOVE)
            continue
        verdicts, governing = _judged(criterion, fleet.degrees, "deg", attributes, fleet.step_degrees)
        shown = f"{fleet.degrees.quantize(HUNDREDTH)}° to {other.tag}"
        yield WorkedFigure(criterion.title, shown, fleet.words, verdicts, governing)


def _widest(part: Part, inventory: Inventory) -> list[tuple[Fleet, Part]]:
    """The fleet angle of a loft block to its head block; for a head block the widest of its lines."""
    same = [one for one in inventory.parts if one.line_set == part.line_set and one.retired_on is None]
    heads = [one for one in same if one.kind is PartKind.HEAD_BLOCK]
    if part.kind is PartKind.LOFT_BLOCK:
        pairs = [(head, part, head) for head in heads[:1]]
    else:
        pairs = [(part, loft, loft) for loft in same if loft.kind is PartKind.LOFT_BLOCK]
    axis = next((one.axis for one in inventory.line_sets if one.id == part.line_set), "across")
    found = [
        (fleet, other) for head, loft, other in pairs if (fleet := _fleet(head, loft, axis, inventory)) is not None
    ]
    return [max(found, key=lambda row: row[0].degrees)] if found else []


def _fleet(head: Part, loft: Part, axis: str, inventory: Inventory) -> Fleet | None:
    start, end = _place(head), _place(loft)
    if start is None or end is None:
        return None
    attributes = attributes_of(inventory.house, inventory, head.id)
    pitch, grooves = (attribute_number(attributes, key) for key in ("groove_pitch_mm", "grooves"))
    if grooves == 1:
        return fleet_angle(start, end, axis, 0)
    if pitch is None or grooves is None or loft.line is None or grooves.denominator != 1:
        return fleet_angle(start, end, axis)
    return fleet_angle(start, end, axis, groove_offset(loft.line, int(grooves), pitch))


def _place(part: Part) -> Place | None:
    if part.x_mm is None or part.y_mm is None or part.z_mm is None:
        return None
    return Place(part.x_mm, part.y_mm, part.z_mm)


def _new_ropes(
    part: Part, units: str, attributes: Mapping[str, str], criteria: Mapping[str, Criterion]
) -> Iterator[WorkedFigure]:
    criterion = criteria.get("rope-diameter-new")
    nominal, first = (attribute_number(attributes, key) for key in ("rope_diameter_mm", "rope_baseline_mm"))
    if part.kind is not PartKind.LIFT_LINE or criterion is None or nominal is None or first is None:
        return
    verdicts, governing = _judged(criterion, first, "mm", attributes)
    unit = "in" if units == "imperial" else "mm"
    shown, size = (with_sign(convert(one, "mm", unit), unit) for one in (first, nominal))
    how = f"the first measure recorded, against a nominal {size}"
    yield WorkedFigure(criterion.title, shown, how, verdicts, governing)
