"""The register of deficiencies: one row for each with what a manager sorts, filters and groups by."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date, tzinfo
from typing import Any, NamedTuple

from inspect_app.domain.checklist import GRADE_RANK, GRADE_TITLES, Grade
from inspect_app.domain.deficiency import OPEN_STATES, STATE_TITLES, Deficiency, DeficiencyState, state_words
from inspect_app.domain.errors import BadValue
from inspect_app.domain.repair_policy import CostSum, RepairPolicy, due_of, is_overdue, money
from inspect_app.domain.risk import NOT_ASSESSED, RiskMatrix, risk_level, risk_order
from inspect_app.domain.walk_record import Accepted


class RegisterRow(NamedTuple):
    """One deficiency as the register shows it. `due` is the day set or, where `due_set` is false, by the house's days;
    `age_days` counts from the day of finding; `risk_key` orders inside a grade, gravest first."""

    row: Deficiency
    state: str
    due: date
    due_set: bool
    overdue: bool
    accepted_until: str
    age_days: int
    who: str
    costs: tuple[CostSum, ...]
    risk: str
    risk_key: tuple[int, str, str]


def register_rows(
    rows: Iterable[Deficiency],
    *,
    policy: RepairPolicy,
    zone: tzinfo,
    today: date,
    accepted: Iterable[Accepted] = (),
    costs: Mapping[str, tuple[CostSum, ...]] | None = None,
    matrix: RiskMatrix | None = None,
) -> list[RegisterRow]:
    """The rows of the register. What the house accepts for a time is not overdue until its review date has passed."""
    given = list(accepted)
    return [_row(row, policy, zone, today, given, (costs or {}).get(row.id, ()), matrix) for row in rows]


def is_covered(row: Deficiency, accepted: Accepted) -> bool:
    """Whether an acceptance is about a deficiency: the one it names, or what was known of its part by then.

    What comes in later, also from a phone that was out of reach, is another fault until somebody says otherwise: it
    hides behind no acceptance.
    """
    if accepted.deficiency:
        return accepted.deficiency == row.id
    return accepted.part == row.part and (accepted.at is None or (row.known_at or row.found_at) <= accepted.at)


def accepted_until(row: Deficiency, accepted: Iterable[Accepted], today: date) -> str:
    """The review date until which the house accepts an open deficiency, as ISO text; '' without one, never stop use."""
    covers = [
        one.review_by
        for one in accepted
        if not one.ended and one.review_by >= today.isoformat() and is_covered(row, one)
    ]
    return min(covers) if covers and row.open and row.grade is not Grade.STOP_USE else ""


def _row(
    row: Deficiency,
    policy: RepairPolicy,
    zone: tzinfo,
    today: date,
    accepted: Sequence[Accepted],
    costs: tuple[CostSum, ...],
    matrix: RiskMatrix | None,
) -> RegisterRow:
    until = accepted_until(row, accepted, today)
    assessed = matrix is not None and bool(row.severity) and bool(row.probability)
    return RegisterRow(
        row=row,
        state=state_words(row, today),
        due=due_of(row, policy, zone),
        due_set=bool(row.due_on),
        overdue=not until and is_overdue(row, policy, zone, today),
        accepted_until=until,
        age_days=(today - row.found_at.astimezone(zone).date()).days,
        who=", ".join(filter(None, (row.responsible_name, row.contractor))),
        costs=costs,
        risk=risk_level(matrix, row.severity, row.probability) if matrix and assessed else "",
        risk_key=risk_order(matrix, row.severity, row.probability) if matrix and assessed else NOT_ASSESSED,
    )


def due_words(one: RegisterRow) -> str:
    """When an open deficiency is due, for paper; what the house accepts for a time is due on no day until then."""
    if one.accepted_until:
        return f"accepted until {one.accepted_until}"
    if one.row.state is DeficiencyState.PUT_OFF and one.row.put_off_until:
        due = f"put off until {one.row.put_off_until}"
    else:
        due = one.due.isoformat() + ("" if one.due_set else ", by the house's days")
    return due + (": overdue" if one.overdue else "")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What of the register is wanted; '' for everything. `state` also takes *open*, *closed* and *back* (put off, and
    the day has passed); `line_set` and `area` are ids, `older` a number of days."""

    state: str = "open"
    grade: str = ""
    line_set: str = ""
    area: str = ""
    who: str = ""
    overdue: str = ""
    older: str = ""
    recurring: str = ""
    sort: str = "grade"
    group: str = ""

    def as_query(self) -> dict[str, str]:
        """The wishes that differ from the usual ones, as they stand in an address."""
        usual = Wanted()
        pairs = ((one.name, str(getattr(self, one.name))) for one in fields(self))
        return {name: text for name, text in pairs if text != getattr(usual, name)}


STATE_CHOICES: Mapping[str, str] = {
    "open": "open",
    "all": "open and closed",
    "closed": "settled, or no fault",
    "back": "put off, and the day has passed",
    **{state.value: STATE_TITLES[state] for state in DeficiencyState},
}
SORT_TITLES: Mapping[str, str] = {
    "grade": "grade, then risk where assessed, then due",
    "due": "due",
    "age": "oldest first",
    "number": "number",
    "set": "set",
    "who": "who sees to it",
}
GROUP_TITLES: Mapping[str, str] = {
    "": "not grouped",
    "grade": "grade",
    "set": "set",
    "area": "area",
    "who": "who sees to it",
    "state": "state",
}


def wanted_from(given: Mapping[str, str]) -> Wanted:
    """The wishes in an address; unknown names are left out. Raises BadValue for a choice that is none."""
    names = {one.name for one in fields(Wanted)}
    wanted = Wanted(**{name: text.strip() for name, text in given.items() if name in names})
    allowed: tuple[tuple[str, Iterable[str]], ...] = (
        ("state", STATE_CHOICES), ("sort", SORT_TITLES), ("group", GROUP_TITLES), ("grade", ("", *Grade)),
    )  # fmt: skip
    for name, choices in allowed:
        if getattr(wanted, name) not in set(choices):
            raise BadValue(f"The register knows no such {name}. Choose one from the list.", name)
    if wanted.older and not (wanted.older.isascii() and wanted.older.isdigit() and len(wanted.older) < 6):
        raise BadValue("Write a whole number of days.", "older")
    return wanted


def select(rows: Iterable[RegisterRow], wanted: Wanted, today: date) -> list[RegisterRow]:
    """The wanted rows in the wanted order."""
    found = [row for row in rows if _is_wanted(row, wanted, today)]
    return sorted(found, key=_SORTS[wanted.sort])


def _is_wanted(row: RegisterRow, wanted: Wanted, today: date) -> bool:
    one = row.row
    return (
        _in_state(one, wanted.state, today)
        and wanted.grade in ("", one.grade.value)
        and wanted.line_set in ("", one.line_set_id)
        and wanted.area in ("", one.area)
        and (not wanted.who or wanted.who.casefold() in row.who.casefold())
        and (not wanted.overdue or row.overdue)
        and (not wanted.recurring or one.recurring)
        and (not wanted.older or row.age_days >= int(wanted.older))
    )


def _in_state(one: Deficiency, state: str, today: date) -> bool:
    if state == "all":
        return True
    if state == "open":
        return one.state in OPEN_STATES
    if state == "closed":
        return one.state not in OPEN_STATES
    if state == "back":
        return one.back_from_put_off(today)
    return one.state.value == state


def _by_grade(row: RegisterRow) -> tuple[Any, ...]:
    return -GRADE_RANK[row.row.grade], row.risk_key, row.due, row.row.number


_SORTS: Mapping[str, Callable[[RegisterRow], tuple[Any, ...]]] = {
    "grade": _by_grade,
    "due": lambda row: (row.due, *_by_grade(row)),
    "age": lambda row: (-row.age_days, row.row.number),
    "number": lambda row: (row.row.number,),
    "set": lambda row: (not row.row.line_set, _natural(row.row.line_set), *_by_grade(row)),
    "who": lambda row: (not row.who, row.who.casefold(), *_by_grade(row)),
}


def _natural(number: str) -> tuple[int, str]:
    digits = "".join(sign for sign in number if sign.isdecimal())[:9]
    return int(digits) if digits else 10**9, number


def grouped(rows: Sequence[RegisterRow], group: str) -> list[tuple[str, list[RegisterRow]]]:
    """The rows under headings, in the order in which these come first; one without a heading when not grouped."""
    if not group:
        return [("", list(rows))]
    found: dict[str, list[RegisterRow]] = {}
    for row in sorted(rows, key=_SORTS[group]) if group in _SORTS else rows:
        found.setdefault(_HEADS[group](row), []).append(row)
    return list(found.items())


_HEADS: Mapping[str, Callable[[RegisterRow], str]] = {
    "grade": lambda row: GRADE_TITLES[row.row.grade],
    "set": lambda row: f"Set {row.row.line_set}" if row.row.line_set else "No set",
    "area": lambda row: row.row.area_name or "No area",
    "who": lambda row: row.who or "Nobody named",
    "state": lambda row: STATE_TITLES[row.row.state],
}

COLUMNS = (
    "Number", "Grade", "Risk level", "State", "Set", "Area", "Part", "What", "Found on", "Age in days", "Due on",
    "Due set by", "Overdue", "Responsible", "Contractor", "Order number", "Accepted until", "Again of number",
    "Estimate", "Paid", "To come", "Put right by", "Done on",
)  # fmt: skip


def register_table(rows: Iterable[RegisterRow], zone: tzinfo) -> list[list[str]]:
    """The rows as a table of text with a heading line, for a file."""
    return [list(COLUMNS), *(_cells(row, zone) for row in rows)]


def _cells(row: RegisterRow, zone: tzinfo) -> list[str]:
    one, due = row.row, (row.due.isoformat(), "a person" if row.due_set else "the house's days")
    return [
        *(str(one.number), GRADE_TITLES[one.grade], row.risk, row.state, one.line_set, one.area_name, one.part_tag),
        *(one.what, one.found_at.astimezone(zone).date().isoformat(), str(row.age_days)),
        *(due if one.open else ("", "")),
        *("yes" if row.overdue else "", one.responsible_name, one.contractor, one.order_number, row.accepted_until),
        str(one.again_of or ""),
        "; ".join(money(cost.estimate, cost.currency) for cost in row.costs if cost.estimate is not None),
        "; ".join(money(cost.paid, cost.currency) for cost in row.costs if cost.paid),
        "; ".join(money(cost.to_come, cost.currency) for cost in row.costs if one.open and cost.to_come),
        *(one.put_right_by, one.done_on),
    ]
