"""Figures typed at the desk, judged as they are recorded: what each reads as, said at once as a phone does."""

from collections.abc import Mapping, Sequence
from typing import Any

from inspect_app.domain.gauge import Gauge, gauges_by_name, plain, resolution_in
from inspect_app.domain.judge import Result, worst
from inspect_app.domain.judged_measure import judging_attributes, lead_words, measure_words, verdicts_of
from inspect_app.domain.walk import Measure
from inspect_app.domain.walk_record import WalkRecord
from inspect_app.store.gauge import list_gauges
from inspect_app.web.database import get_db
from inspect_app.web.walk import criteria_here


def judge_typed(record: WalkRecord, looks: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write into each figure of these looks what is said of it now (`hint`), and return those that ask for a person.

    A sentence has the figure, the gravest verdict in its words with the strictest limit that says so, and how many
    other limits there are; review and report have all of them.
    """
    house = record.walk.house
    criteria, parts = criteria_here(house), {part.id: part for part in record.inventory.parts}
    gauges = gauges_by_name(list_gauges(get_db(), house, retired=True))
    asked = {
        (point.id, spec.quantity): spec.criterion
        for checklist in record.checklists
        for point in checklist.points()
        for spec in point.measures
    }
    said = []
    for look in looks:
        part = parts[look["part"]]
        attributes = judging_attributes(record.inventory, part)
        for typed in look.get("measures", ()):
            measure = _measure(part.id, typed, gauges)
            criterion = criteria.get(asked.get((measure.point, measure.quantity), ""))
            verdicts = verdicts_of(measure, criterion, attributes)
            typed["hint"] = worst(verdicts).hint
            if worst(verdicts).result in {Result.OUTSIDE, Result.CANNOT_TELL}:
                said.append(f"{part.tag}: {measure_words(measure)}: {lead_words(verdicts, measure.unit)}.")
    return said


def _measure(part: str, typed: Mapping[str, Any], gauges: Mapping[str, Gauge]) -> Measure:
    gauge = typed["gauge"] or ""
    step = resolution_in(gauges.get(plain(gauge)), typed["unit"])
    return Measure(
        "", part, typed["point"], typed["quantity"], typed["value"], typed["unit"], typed["typed"],
        typed["station"] or "", gauge, step,
    )  # fmt: skip
