"""The register on paper: what is open, what waits for a check, what rests, what was settled, what the house accepts."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, tzinfo
from typing import NamedTuple

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import DeficiencyEvent, DeficiencyState
from inspect_app.domain.deficiency_register import RegisterRow, is_covered
from inspect_app.domain.report_words import GRADE_MEANS, GRADES
from inspect_app.domain.walk_record import Accepted

S = DeficiencyState
ORDER = (Grade.STOP_USE, Grade.RESTRICT, Grade.REPAIR_BY, Grade.WATCH)
WAITING = frozenset({S.WORK_DONE, S.CHECKED})
Moves = Mapping[str, Sequence[DeficiencyEvent]]


class PaperRow(NamedTuple):
    """One deficiency, all of it text. `when` is the day that its section is about; `late` marks it as overdue."""

    number: str
    part: str
    where: str
    what: str
    grade: str
    state: str
    when: str
    late: bool
    who: str


class PaperSection(NamedTuple):
    """A table of the register: its rows, or the words that say what an empty one means."""

    title: str
    about: str
    when: str
    rows: tuple[PaperRow, ...]
    none: str


class AcceptedRow(NamedTuple):
    """A condition the house has accepted, with the numbers it covers; `late` when its review date has passed."""

    part: str
    what: str
    accepted_by: str
    reason: str
    paper: str
    review_by: str
    late: bool
    covers: str


@dataclass(frozen=True, slots=True)
class RegisterPaper:
    """The whole register as printed on `today`; `since` is the day from which settled ones are listed."""

    today: str
    since: str
    sections: tuple[PaperSection, ...]
    accepted: tuple[AcceptedRow, ...]


def register_paper(
    rows: Sequence[RegisterRow],
    moves: Moves,
    accepted: Iterable[Accepted],
    *,
    today: date,
    since: date,
    zone: tzinfo,
) -> RegisterPaper:
    """Every open deficiency in exactly one place, and those that were closed on or after `since`. No score."""
    open_rows = [row for row in rows if row.row.open and not row.accepted_until]
    waiting = [row for row in open_rows if row.row.state in WAITING]
    resting = [row for row in open_rows if row.row.put_off(today)]
    to_do = [row for row in open_rows if row not in waiting and row not in resting]
    sections = [_grade_section(grade, to_do) for grade in ORDER]
    sections.append(
        PaperSection(
            "Work done, waiting for somebody else",
            "Put right by the account of who did it. It counts as open until another person has checked it.",
            "Put right on", _rows(waiting, lambda row: row.row.done_on, lambda row: (row.row.done_on, row.row.number)),
            "None.",
        )
    )  # fmt: skip
    sections.append(
        PaperSection(
            "Put off", "Open, and resting by a named decision until a day. Stop use is never put off.", "Put off until",
            _rows(resting, lambda row: row.row.put_off_until, lambda row: (row.row.put_off_until, row.row.number)),
            "None.",
        )
    )  # fmt: skip
    sections.append(_closed(rows, moves, since, zone))
    listed = accepted_rows(accepted, rows, today)
    return RegisterPaper(today.isoformat(), since.isoformat(), tuple(sections), listed)


def _grade_section(grade: Grade, rows: Iterable[RegisterRow]) -> PaperSection:
    return PaperSection(
        f"Open: {GRADES[grade.value]}",
        GRADE_MEANS[grade.value],
        "Due",
        _rows([row for row in rows if row.row.grade is grade], _due, lambda row: (row.due.isoformat(), row.row.number)),
        "None is recorded. That says nothing about what has not been looked at.",
    )


def _due(row: RegisterRow) -> str:
    return row.due.isoformat() + ("" if row.due_set else " (house's days)")


def closed_on(events: Sequence[DeficiencyEvent], zone: tzinfo) -> date | None:
    """The day on which it was settled, or found to be no fault, the last time; None when no move says so."""
    ends = [
        event for event in events if event.to_state in (S.SETTLED, S.NO_FAULT) and event.to_state != event.from_state
    ]
    return max(event.at for event in ends).astimezone(zone).date() if ends else None


def _closed(rows: Iterable[RegisterRow], moves: Moves, since: date, zone: tzinfo) -> PaperSection:
    days = {row.row.id: closed_on(moves.get(row.row.id, ()), zone) for row in rows if not row.row.open}
    found = [
        row for row in rows
        if row.row.state in (S.SETTLED, S.NO_FAULT) and (day := days.get(row.row.id)) is not None and day >= since
    ]  # fmt: skip
    return PaperSection(
        f"Settled, or found to be no fault, since {since.isoformat()}",
        "Checked by somebody other than the repairer, or dismissed with a reason; the log has who and why.",
        "On",
        _rows(found, lambda row: str(days[row.row.id]), lambda row: (str(days[row.row.id]), row.row.number)),
        "None.",
    )


def _rows(
    rows: Iterable[RegisterRow], when: Callable[[RegisterRow], str], key: Callable[[RegisterRow], tuple[str, int]]
) -> tuple[PaperRow, ...]:
    return tuple(_row(row, when(row)) for row in sorted(rows, key=key))


def _row(row: RegisterRow, when: str) -> PaperRow:
    one = row.row
    again = (
        f" Found again after number {one.again_of}{' was settled' if one.recurring else ''}." if one.again_of else ""
    )
    order = f"order {one.order_number}" if one.order_number else ""
    return PaperRow(
        number=str(one.number),
        part=one.part_tag,
        where=", ".join(filter(None, (f"set {one.line_set}" if one.line_set else "", one.area_name))),
        what=f"{one.what.rstrip('.')}.{again}",
        grade=GRADES[one.grade.value],
        state=row.state,
        when=when,
        late=row.overdue,
        who=", ".join(filter(None, (row.who or "nobody yet", order))),
    )


def accepted_rows(accepted: Iterable[Accepted], rows: Sequence[RegisterRow], today: date) -> tuple[AcceptedRow, ...]:
    """The accepted conditions of a house, each with the numbers that it covers today."""
    return tuple(_accepted(one, rows, today) for one in accepted)


def _accepted(one: Accepted, rows: Iterable[RegisterRow], today: date) -> AcceptedRow:
    covered = [str(row.row.number) for row in rows if row.accepted_until and is_covered(row.row, one)]
    return AcceptedRow(
        part=one.part_tag,
        what=one.what,
        accepted_by=", ".join(filter(None, (one.accepted_by, one.role.replace("_", " ")))),
        reason=one.reason,
        paper=one.paper,
        review_by=one.review_by,
        late=one.review_by < today.isoformat(),
        covers=", ".join(covered),
    )
