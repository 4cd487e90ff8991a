"""Figures of a part that nobody has to measure: worked out from what is recorded of it, and judged like any other."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.fleet import Fleet, Place, fleet_angle, fleet_verdicts, groove_offset, tread_ratio
from inspect_app.domain.house import Inventory
from inspect_app.domain.house_criteria import governing_words
from inspect_app.domain.judge import Result, Verdict, judge, limits_for
from inspect_app.domain.judged_measure import judging_attributes
from inspect_app.domain.limit_form import attribute_number
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.rope import WINDOW_DIAMETERS, lay_length, window_mm
from inspect_app.domain.units import Number, convert, decimal_text, with_sign
from inspect_app.domain.worksheets.words import length_words, rounded

COUNTED_OVER = "Lengths that broken wires are counted over"
COUNT_OVER_LONGER = "an estimate (common practice, no source): count over the longer"
MEASURE_IT = "until then measure it on the grid"
NO_DRUM = "not worked out: where the ropes lie on the drum is not recorded; measure it at both ends of their lay"
PLACES = (("x_mm", "across"), ("y_mm", "upstage"), ("z_mm", "above the deck"))
LINE_ENDS = frozenset({PartKind.TERMINATION_ARBOR, PartKind.TERMINATION_BATTEN})
SHEAVE_KINDS = frozenset(
    {PartKind.HEAD_BLOCK, PartKind.LOFT_BLOCK, PartKind.MULE_BLOCK, PartKind.DOUBLE_PURCHASE, PartKind.DRUM}
)
ROPE_KINDS = frozenset({PartKind.LIFT_LINE, PartKind.DRUM, PartKind.HANGER})


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
    attributes = judging_attributes(inventory, part)
    found: list[WorkedFigure] = []
    for title, figures in (
        ("Tread diameter over rope diameter", _ratios(part, inventory.house.units, attributes, criteria)),
        ("Fleet angle", _fleets(part, inventory, criteria)),
        ("Sleeve", _sleeves(part, attributes, criteria)),
        ("First measured diameter of a new rope", _new_ropes(part, inventory.house.units, attributes, criteria)),
        (COUNTED_OVER, _counted_over(part, inventory.house.units, attributes)),
    ):
        try:
            found += figures
        except BadValue as error:
            found.append(WorkedFigure(title, "", "", why_not=error.message))
    return tuple(found)


def outside_by_record(
    inventory: Inventory, criteria: Mapping[str, Criterion]
) -> tuple[tuple[WorkedFigure, tuple[Part, ...]], ...]:
    """Every worked-out figure of the house that a limit puts outside, with the parts of which the same is said.

    A head block's fleet angle is left to its loft blocks, of which each has its own.
    """
    of_set: dict[str | None, list[Part]] = {}
    for part in inventory.parts:
        if part.retired_on is None:
            of_set.setdefault(part.line_set, []).append(part)
    fleet = criteria["fleet-angle"].title if "fleet-angle" in criteria else ""
    found: dict[WorkedFigure, list[Part]] = {}
    for parts in of_set.values():
        own = replace(inventory, parts=tuple(parts))
        for part in parts:
            for figure in worked_figures(part, own, criteria):
                again = part.kind is PartKind.HEAD_BLOCK and figure.title == fleet
                if not again and any(verdict.result is Result.OUTSIDE for verdict in figure.verdicts):
                    found.setdefault(figure, []).append(part)
    return tuple((figure, tuple(parts)) for figure, parts in found.items())


def counted_over(criterion: Criterion, attributes: Mapping[str, str], units: str) -> str:
    """Over what length of this rope the counts of a criterion are taken; '' where its documents count over different
    ones, or what is recorded of the rope does not tell."""
    windows = {_window(rule.window) for rule in criterion.rules}
    window = next(iter(windows)) if len(windows) == 1 else ""
    try:
        rope, measured = (attribute_number(attributes, key) for key in ("rope_diameter_mm", "rope_lay_mm"))
        if not window or rope is None:
            return ""
        if window != "one_lay":
            return length_words(window_mm(window, rope), units)
        lay = lay_length(rope, attributes.get("rope_construction", ""), measured)
    except BadValue:
        return ""
    least, most = (length_words(one, units) for one in (lay.least_mm, lay.most_mm))
    return f"about {least} to {most}, {COUNT_OVER_LONGER}" if lay.estimated else f"{least}, {lay.words}"


def _window(words: str) -> str:
    """The length that a rule names as its window, by its key; '' for any other place."""
    if words.startswith(("one rope lay", "one strand in one rope lay")):
        return "one_lay"
    return next((key for key in WINDOW_DIAMETERS if words == key.replace("_", " rope ")), "")


def fleet_figure(loft: Part, inventory: Inventory, criteria: Mapping[str, Criterion]) -> WorkedFigure | None:
    """The fleet angle of the line over one loft block, or why it is not worked out; None for any other part."""
    return next(_fleets(loft, inventory, criteria), None) if loft.kind is PartKind.LOFT_BLOCK else None


def _judged(
    criterion: Criterion, value: Number, unit: str, attributes: Mapping[str, str]
) -> tuple[tuple[Verdict, ...], str]:
    limits = limits_for(criterion, attributes)
    return judge(value, unit, None, limits), governing_words(criterion, limits)


def _ratios(
    part: Part, units: str, attributes: Mapping[str, str], criteria: Mapping[str, Criterion]
) -> Iterator[WorkedFigure]:
    criterion = criteria.get("tread-ratio")
    tread, rope = (attribute_number(attributes, key) for key in ("tread_diameter_mm", "rope_diameter_mm"))
    if part.kind not in SHEAVE_KINDS or criterion is None or tread is None or rope is None:
        return
    ratio = tread_ratio(tread, rope)
    verdicts, governing = _judged(criterion, ratio, "none", attributes)
    shown = [length_words(one, units) for one in (tread, rope)]
    how = f"from the recorded tread of {shown[0]} and nominal rope of {shown[1]}; not measured"
    yield WorkedFigure(criterion.title, decimal_text(ratio, 2), how, verdicts, governing)


def _fleets(part: Part, inventory: Inventory, criteria: Mapping[str, Criterion]) -> Iterator[WorkedFigure]:
    if part.kind is PartKind.DRUM and "fleet-angle-drum" in criteria:
        yield WorkedFigure(criteria["fleet-angle-drum"].title, "", "", why_not=NO_DRUM)
    criterion = criteria.get("fleet-angle")
    if criterion is None or part.kind not in (PartKind.HEAD_BLOCK, PartKind.LOFT_BLOCK) or part.line_set is None:
        return
    runs = [_run(loft, inventory) for loft in _lofts(part, inventory)]
    known = [run for run in runs if run.fleet is not None]
    if not known:
        whys = dict.fromkeys(run.why_not for run in runs)
        if whys:
            yield WorkedFigure(criterion.title, "", "", why_not=f"not worked out: {'; '.join((*whys, MEASURE_IT))}")
        return
    widest = max(known, key=lambda run: run.fleet.ratio if run.fleet else Fraction(0))
    yield _fleet_figure(part, widest, runs, inventory, criterion)


class _Run(NamedTuple):
    """One line from its head block to its loft block: the angle, or why there is none."""

    loft: Part
    head: Part | None
    fleet: Fleet | None
    why_not: str = ""


def _fleet_figure(
    part: Part, run: _Run, runs: Sequence[_Run], inventory: Inventory, criterion: Criterion
) -> WorkedFigure:
    """The angle judged in degrees and as a ratio, for a document writes its limit in one or the other."""
    fleet, attributes = run.fleet, judging_attributes(inventory, part)
    if fleet is None or run.head is None:
        raise BadValue(run.why_not, "x_mm")
    limits = limits_for(criterion, attributes)
    units = inventory.house.units
    how = (
        f"worked out from the places of the parts and the groove of line {run.loft.line}, blocks taken as parallel: "
        f"{length_words(fleet.offset_mm, units)} sideways over {length_words(fleet.distance_mm, units)}; "
        "not measured on the rope"
    )
    if part.kind is PartKind.HEAD_BLOCK and len(runs) > 1:
        lacking = [one.loft.tag for one in runs if one.fleet is None]
        how += f"; the widest of {len(runs) - len(lacking)} lines, each loft block has its own"
        how += f"; not worked out for {', '.join(lacking)}" if lacking else ""
    other = run.loft if part.kind is PartKind.HEAD_BLOCK else run.head
    one_in = f", 1 in {rounded(1 / fleet.ratio, 3)}" if fleet.ratio else ""
    shown = f"{decimal_text(Fraction(round(fleet.degrees * 100), 100))}°{one_in}, to {other.tag}"
    return WorkedFigure(criterion.title, shown, how, fleet_verdicts(fleet, limits), governing_words(criterion, limits))


def _present(part: Part, inventory: Inventory, kind: PartKind) -> list[Part]:
    return [
        one for one in inventory.parts if one.line_set == part.line_set and one.kind is kind and one.retired_on is None
    ]


def _lofts(part: Part, inventory: Inventory) -> list[Part]:
    return [part] if part.kind is PartKind.LOFT_BLOCK else _present(part, inventory, PartKind.LOFT_BLOCK)


def _run(loft: Part, inventory: Inventory) -> _Run:
    heads = _present(loft, inventory, PartKind.HEAD_BLOCK)
    if len(heads) != 1:
        many = f"the set has {len(heads)} head blocks, and which of them this line leaves is not recorded"
        return _Run(loft, None, None, many if heads else "no head block is recorded in this set")
    head, turned = heads[0], _present(loft, inventory, PartKind.MULE_BLOCK)
    by_mule = [one.tag for one in turned if one.line in (None, loft.line)]
    if by_mule:
        return _Run(loft, head, None, f"{', '.join(by_mule)} turns the line on its way to {loft.tag}")
    for one in (head, loft):
        lacking = [words for key, words in PLACES if getattr(one, key) is None]
        if lacking:
            return _Run(loft, head, None, f"the place of {one.tag} is not recorded ({', '.join(lacking)})")
    try:
        found = _fleet(head, loft, inventory)
    except BadValue as error:
        return _Run(loft, head, None, error.message.rstrip("."))
    return _Run(loft, head, None, found) if isinstance(found, str) else _Run(loft, head, found)


def _fleet(head: Part, loft: Part, inventory: Inventory) -> Fleet | str:
    """The angle of one line, or what of its groove is not recorded."""
    axis = next((one.axis for one in inventory.line_sets if one.id == loft.line_set), "across")
    start, end = _place(head), _place(loft)
    attributes = judging_attributes(inventory, head)
    pitch, grooves = (attribute_number(attributes, key) for key in ("groove_pitch_mm", "grooves"))
    if grooves == 1:
        return fleet_angle(start, end, axis, 0)
    if pitch is None or grooves is None or grooves.denominator != 1 or loft.line is None:
        return (
            f"grooves and the distance from groove to groove are not recorded for {head.tag}, and its middle is not "
            "where this line leaves it"
        )
    shift = groove_offset(loft.line, int(grooves), pitch)
    upward, downward = (fleet_angle(start, end, axis, one) for one in (shift, -shift))
    first = attributes.get("groove_first", "")
    if first not in ("downstage", "upstage") and upward.offset_mm != downward.offset_mm:
        return f"it is not recorded for {head.tag} at which end line 1 has its groove, and the line lies off its middle"
    return downward if first == "upstage" else upward


def _place(part: Part) -> Place:
    return Place(part.x_mm or 0, part.y_mm or 0, part.z_mm or 0)


def _sleeves(part: Part, attributes: Mapping[str, str], criteria: Mapping[str, Criterion]) -> Iterator[WorkedFigure]:
    """The metal of a sleeve as recorded: what the trade names as a fault is one before anybody climbs."""
    criterion = criteria.get("sleeve-swage")
    if part.kind not in LINE_ENDS or criterion is None or attributes.get("sleeve_material") != "aluminium":
        return
    verdicts, governing = _judged(criterion, 1, "count", attributes)
    yield WorkedFigure("Sleeve recorded as", "aluminium", "from the record of this line end", verdicts, governing)


def _new_ropes(
    part: Part, units: str, attributes: Mapping[str, str], criteria: Mapping[str, Criterion]
) -> Iterator[WorkedFigure]:
    criterion = criteria.get("rope-diameter-new")
    nominal, first = (attribute_number(attributes, key) for key in ("rope_diameter_mm", "rope_baseline_mm"))
    if part.kind not in ROPE_KINDS or criterion is None or nominal is None or first is None:
        return
    verdicts, governing = _judged(criterion, first, "mm", attributes)
    unit = "in" if units == "imperial" else "mm"
    shown, size = (with_sign(convert(one, "mm", unit), unit) for one in (first, nominal))
    how = f"the first measure recorded, against a nominal {size}"
    yield WorkedFigure(criterion.title, shown, how, verdicts, governing)


def _counted_over(part: Part, units: str, attributes: Mapping[str, str]) -> Iterator[WorkedFigure]:
    rope, measured = (attribute_number(attributes, key) for key in ("rope_diameter_mm", "rope_lay_mm"))
    if part.kind not in ROPE_KINDS or rope is None:
        return
    windows = (
        f"{times} diameters {length_words(window_mm(key, rope), units)}" for key, times in WINDOW_DIAMETERS.items()
    )
    try:
        lay = lay_length(rope, attributes.get("rope_construction", ""), measured)
    except BadValue as error:
        yield WorkedFigure(COUNTED_OVER, "", f"{'; '.join(windows)}. {error.message.rstrip('.')}")
        return
    span = length_words(lay.least_mm, units)
    if lay.estimated:
        span = f"about {span} to {length_words(lay.most_mm, units)}"
    yield WorkedFigure(COUNTED_OVER, "", f"{'; '.join((f'one lay {span}', *windows))}. One lay: {lay.words}")
