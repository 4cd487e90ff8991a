"""The one-minute summary: what a manager must know and decide, in sentences, without a count of remarks."""

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from inspect_app.domain.inspection import ConditionOnUse
from inspect_app.domain.report_coverage import Coverage
from inspect_app.domain.report_findings import DeficiencyShown, DifferingShown, FindingShown, StopShown
from inspect_app.domain.report_measures import MeasureShown
from inspect_app.domain.report_words import NONE_RECORDED, listed, shortened
from inspect_app.domain.tag_runs import runs_of


class SummaryLine(NamedTuple):
    """A label with its sentence; `grave` asks for weight in print."""

    label: str
    text: str
    grave: bool = False


def summary_of(
    stops: tuple[StopShown, ...],
    findings: tuple[FindingShown, ...],
    measures: tuple[MeasureShown, ...],
    deficiencies: tuple[DeficiencyShown, ...],
    differing: tuple[DifferingShown, ...],
    coverage: Coverage,
) -> tuple[SummaryLine, ...]:
    """The lines in the order in which they matter."""
    lines = [
        _first(stops, findings, coverage),
        _out_of_use(stops, findings),
        _graded("Restrict", "restrict", findings, "Decide the limit, make it known at the rail"),
        _graded("Repair by date", "repair_by", findings, "Set the date and the person"),
        _graded("Watch", "watch", findings, "Look again at the next walk"),
        _measured(measures),
        _reach(coverage),
        _gaps(coverage),
        _threshold(coverage),
        _from_before(deficiencies),
        _to_decide(differing, coverage),
    ]
    return tuple(line for line in lines if line)


def condition_lines(conditions: Iterable[ConditionOnUse]) -> tuple[SummaryLine, ...]:
    """What an inspector's signature allows use under; nothing when no condition was set."""
    said = [f"{one.scope}, until {one.until}: {shortened(one.what, 160)}" for one in conditions]
    return (SummaryLine("Conditions on use", ". ".join(said), grave=True),) if said else ()


def _first(stops: tuple[StopShown, ...], findings: tuple[FindingShown, ...], coverage: Coverage) -> SummaryLine | None:
    """What a manager has to decide before all else."""
    if not coverage.whole.of("in_scope") and not stops and not findings:
        return None
    standing = [stop for stop in stops if stop.standing]
    loose = [f for f in findings if f.grade == "stop_use" and f.counted and f.interim == NONE_RECORDED]
    said = []
    if loose:
        said.append(
            f"Take out of use, or say in writing why not: {_names(loose)}, graded stop use, where no stop stands."
        )
    if standing:
        said.append(f"Name who mends it, and by when: {listed([stop.scope for stop in standing], 12)}.")
        orphans = [stop.scope for stop in standing if stop.responsible == NONE_RECORDED]
        said += [f"Nobody is named as responsible for {listed(orphans, 12)}."] if orphans else []
    restricted = [finding for finding in findings if finding.grade == "restrict"]
    if restricted:
        said.append(f"{'Then set' if said else 'Set'} the limits of use under “Restrict”.")
    if not said:
        return SummaryLine("Decide first", "Nothing graded stop use or restrict stands in this record.")
    return SummaryLine("Decide first", " ".join(said), grave=True)


def _names(findings: Iterable[FindingShown]) -> str:
    labels: dict[str, list[str]] = {}
    for finding in findings:
        labels.setdefault(finding.part, []).append(finding.label)
    return listed([f"{part} ({', '.join(found)})" for part, found in labels.items()], 12)


def _out_of_use(stops: tuple[StopShown, ...], findings: tuple[FindingShown, ...]) -> SummaryLine:
    standing = [f"{stop.scope} ({shortened(stop.why, 90).rstrip('. ')})" for stop in stops if stop.standing]
    graded = [finding for finding in findings if finding.grade == "stop_use"]
    said = []
    if standing:
        said.append(f"{listed(standing, 8)}. Not to be used until released by a person entitled to do so.")
    if graded:
        said.append(f"Graded stop use on this walk: {_names(graded)}.")
    if not said:
        return SummaryLine(
            "Out of use", "No stop stands in this record, and no finding of this walk is graded stop use."
        )
    return SummaryLine("Out of use", " ".join(said), grave=True)


def _graded(label: str, grade: str, findings: tuple[FindingShown, ...], ask: str) -> SummaryLine | None:
    found = [finding for finding in findings if finding.grade == grade]
    return SummaryLine(label, f"{_names(found)}. {ask}.", grave=grade == "restrict") if found else None


def _measured(measures: tuple[MeasureShown, ...]) -> SummaryLine:
    outside = [m for m in measures if any(v.state == "outside" for v in m.verdicts)]
    unsure = [m for m in measures if m not in outside and any(v.state == "cannot_tell" for v in m.verdicts)]
    if not measures:
        return SummaryLine("Measures", "No figure was measured on this walk.")
    said = []
    if outside:
        said.append(f"Outside a cited criterion: {listed([f'{m.part}, {m.quantity} {m.value}' for m in outside])}.")
    if unsure:
        named = list(dict.fromkeys(f"{m.part}, {m.quantity}" for m in unsure))
        said.append(f"Too close to a limit to tell with the gauge used: {listed(named)}.")
    if not said:
        said.append("No figure measured on this walk is outside the criterion cited for it, where one is cited.")
    return SummaryLine("Measures", " ".join(said), grave=bool(outside))


def _reach(coverage: Coverage) -> SummaryLine:
    whole, near = coverage.whole, coverage.nearness
    asked, seen = whole.of("in_scope"), whole.of("looked_at")
    if not asked:
        return SummaryLine("Reach", "No part was in the scope of this walk.")
    if not seen:
        return SummaryLine("Reach", f"Of {_parts(asked)} in scope, none was looked at.", grave=True)
    nearest = (
        (near.handled, "with a hand on them"),
        (near.close, "from close by"),
        (near.farther, "from afar or by ear"),
    )
    how = listed([f"{number} {words}" for number, words in nearest if number])
    told = f": {how}" if sum(near) == seen else ""
    left = f"; {asked - seen} {'was' if asked - seen == 1 else 'were'} not" if asked > seen else ""
    return SummaryLine(
        "Reach", f"Of {_parts(asked)} in scope, {seen} {'was' if seen == 1 else 'were'} looked at{told}{left}."
    )


def _gaps(coverage: Coverage) -> SummaryLine | None:
    whole = coverage.whole
    if not whole.of("in_scope"):
        return None
    said = []
    if coverage.not_reached:
        counted = (
            _parts(whole.of("not_reached")) if whole.of("not_reached") else "no part as a whole, but some in one pass"
        )
        reasons: Counter[str] = Counter()
        for gap in coverage.not_reached:
            reasons[gap.reason] += len(gap.tags)
        often = shortened(reasons.most_common(1)[0][0].rstrip("."), 110)
        said.append(f"Not reached: {counted}; {'reason' if len(reasons) == 1 else 'most often'}: “{often}”.")
    if whole.of("not_looked_at"):
        said.append(f"Without any entry: {_parts(whole.of('not_looked_at'))}.")
    if whole.of("not_applicable"):
        said.append(f"Set aside as not applicable: {_parts(whole.of('not_applicable'))}.")
    if not said and whole.of("looked_at") == whole.of("in_scope"):
        said.append("Every part in scope has a look.")
    return SummaryLine("Not seen", " ".join(said), grave=bool(coverage.not_reached)) if said else None


def _parts(number: int) -> str:
    return "1 part" if number == 1 else f"{number} parts"


def _threshold(coverage: Coverage) -> SummaryLine | None:
    if not coverage.shares:
        return None
    said = [
        f"{s.title}: {s.share} of its points answered, {s.threshold} asked for; it {s.verdict}."
        for s in coverage.shares
    ]
    return SummaryLine("Checklists", " ".join(said))  # fmt: skip


def _from_before(deficiencies: tuple[DeficiencyShown, ...]) -> SummaryLine | None:
    if not deficiencies:
        return None
    said = []
    for words, answer in (
        ("Worse", "worse"),
        ("Still there", "still there"),
        ("Not looked at on this walk", "not looked at on this walk"),
    ):
        named = [f"no. {d.number} {d.part}" for d in deficiencies if d.answer == answer]
        if named:
            said.append(f"{words}: {listed(named, 8)}.")
    unseen = [f"no. {d.number} {d.part}" for d in deficiencies if d.answer.startswith("not seen now")]
    if unseen:
        said.append(f"Not seen now, which settles nothing: {listed(unseen, 8)}.")
    return SummaryLine("Open deficiencies", " ".join(said)) if said else None


def _to_decide(differing: tuple[DifferingShown, ...], coverage: Coverage) -> SummaryLine | None:
    said = []
    undecided = [row.part for row in differing if row.decided.startswith("not decided")]
    if undecided:
        said.append(f"Two looks differ on {listed(undecided)}; until decided the worse counts.")
    tags = [tag for gap in coverage.not_counted if gap.reason != "withdrawn" for tag in gap.tags]
    if tags:
        short = shortened(runs_of(tags), 160)
        said.append(f"Entries that do not count before a countersign or a decision: {short}.")
    return SummaryLine("Left to decide", " ".join(said)) if said else None
