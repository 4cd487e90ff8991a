"""The report as a value: every section of the paper in order, made from sealed walk data alone. No HTML."""

from dataclasses import dataclass
from typing import NamedTuple

from inspect_app.domain.plan import Plan, plan_of
from inspect_app.domain.report_coverage import Coverage, PlaceRow, SetRow, coverage_of, places_of, sets_of
from inspect_app.domain.report_findings import (
    AcceptedShown,
    DeficiencyShown,
    DifferingShown,
    FindingShown,
    PhotoShown,
    SiblingShown,
    StopShown,
    accepted_of,
    deficiencies_of,
    differing_of,
    findings_of,
    loose_photos,
    siblings_of,
    stops_of,
)
from inspect_app.domain.report_measures import MeasureShown, measures_of
from inspect_app.domain.report_record import Record, TitleBlock, WalkData, record_of, rows, text, title_block
from inspect_app.domain.report_recordings import RecordingShown, recordings_of, tells_of_recordings
from inspect_app.domain.report_summary import SummaryLine, condition_lines, summary_of
from inspect_app.domain.report_words import NONE_RECORDED, zone
from inspect_app.domain.source import MARK_WORDS


class SourceUsed(NamedTuple):
    """A published source that a figure was judged by, with the clauses used and how each was checked."""

    source: str
    clauses: str
    mark: str


@dataclass(frozen=True, slots=True)
class ReportModel:
    """One report, section by section, in the order of print."""

    title: TitleBlock
    stops: tuple[StopShown, ...]
    summary: tuple[SummaryLine, ...]
    record: Record
    plan: Plan
    findings: tuple[FindingShown, ...]
    loose_photos: tuple[PhotoShown, ...]
    deficiencies: tuple[DeficiencyShown, ...]
    accepted: tuple[AcceptedShown, ...]
    coverage: Coverage
    measures: tuple[MeasureShown, ...]
    siblings: tuple[SiblingShown, ...]
    sets: tuple[SetRow, ...]
    places: tuple[PlaceRow, ...]
    differing: tuple[DifferingShown, ...]
    sources: tuple[SourceUsed, ...]
    bases: tuple[str, ...]
    recordings: tuple[RecordingShown, ...] = ()
    tells_of_recordings: bool = False

    @property
    def draft(self) -> bool:
        """Whether nobody has signed it."""
        return self.title.kind == "draft" or not self.record.signatures

    @property
    def for_decision(self) -> tuple[FindingShown, ...]:
        """Findings on which the owner is asked to decide."""
        return tuple(f for f in self.findings if f.grade != "watch")

    @property
    def photo_ids(self) -> tuple[str, ...]:
        """Ids of all photos shown, in order, each once."""
        shown = [photo for finding in self.findings for photo in finding.photos] + list(self.loose_photos)
        return tuple(dict.fromkeys(photo.id for photo in shown if not photo.absent))


def build_report(data: WalkData) -> ReportModel:
    """The report of walk data. Fields that are missing read as *none recorded*; nothing else is made up."""
    where = zone(text(data.get("house") or {}, "tz", "UTC"))
    title = title_block(data, where)
    stops, findings, measures = stops_of(data, where), findings_of(data, where), measures_of(data)
    deficiencies, differing, coverage = (
        deficiencies_of(data, where),
        differing_of(data, where),
        coverage_of(data, where),
    )
    record = record_of(data, where)
    conditions = [one for signed in record.signatures for one in signed.inspection.conditions]
    return ReportModel(
        title=title,
        stops=stops,
        summary=(
            *condition_lines(conditions),
            *summary_of(stops, findings, measures, deficiencies, differing, coverage),
        ),
        record=record,
        plan=plan_of(data, f"Grid plan, {title.house}, {title.facts[0].text}"),
        findings=findings,
        loose_photos=loose_photos(data, where),
        deficiencies=deficiencies,
        accepted=accepted_of(data),
        coverage=coverage,
        measures=measures,
        siblings=siblings_of(data),
        sets=sets_of(data),
        places=places_of(data),
        differing=differing,
        sources=_sources(data),
        bases=tuple(dict.fromkeys(finding.basis for finding in findings)),
        recordings=recordings_of(data, where),
        tells_of_recordings=tells_of_recordings(data),
    )


def _sources(data: WalkData) -> tuple[SourceUsed, ...]:
    """Each source with the clauses and marks it was used with, in the order of use."""
    used: dict[str, dict[str, set[str]]] = {}
    for measure in rows(data, "measures"):
        for verdict in rows(measure, "verdicts"):
            if text(verdict, "source"):
                by_mark = used.setdefault(text(verdict, "source"), {})
                by_mark.setdefault(text(verdict, "mark", NONE_RECORDED), set()).add(text(verdict, "clause"))
    return tuple(
        SourceUsed(source, ", ".join(sorted(filter(None, clauses))) or "no clause named", MARK_WORDS.get(mark, mark))
        for source, by_mark in used.items()
        for mark, clauses in sorted(by_mark.items())
    )
