"""Grades as they stand today: raised where a restriction or a temporary measure for a deficiency has expired."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.deficiency import OPEN_STATES, Deficiency, DeficiencyState
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.restriction import Restriction, risen_grade
from inspect_app.store.restriction import list_restrictions

_Expired = dict[str, list[Restriction]]


def with_risen_grades(db: Database, house: str, rows: Sequence[Deficiency]) -> list[Deficiency]:
    """Deficiencies with the grade of today in the house; one that is closed keeps the grade it had."""
    expired = _by_deficiency(db, house)
    if not expired:
        return list(rows)
    day = _today(db, house)
    return [
        replace(row, grade=risen_grade(row.grade, expired[row.id], day)) if row.open and row.id in expired else row
        for row in rows
    ]


def grades_risen(db: Database, house: str) -> dict[str, Grade]:
    """The risen grade by deficiency, for those open ones whose grade has risen."""
    found: dict[str, Grade] = {}
    day = _today(db, house)
    for key, rows in _by_deficiency(db, house).items():
        row = db.execute("SELECT grade, state FROM deficiency WHERE id = ?", (to_key(key),)).fetchone()
        if row and DeficiencyState(row[1]) in OPEN_STATES:
            risen = risen_grade(Grade(row[0]), rows, day)
            if risen is not Grade(row[0]):
                found[key] = risen
    return found


def worst_risen(db: Database, house: str) -> dict[str, Grade]:
    """The gravest risen grade by part."""
    worst: dict[str, Grade] = {}
    for key, grade in grades_risen(db, house).items():
        part = from_key(db.execute("SELECT part FROM deficiency WHERE id = ?", (to_key(key),)).fetchone()[0])
        worst[part] = max(worst.get(part, grade), grade, key=lambda one: GRADE_RANK[one])
    return worst


def _by_deficiency(db: Database, house: str) -> _Expired:
    found: _Expired = {}
    for one in list_restrictions(db, house):
        if one.deficiency:
            found.setdefault(one.deficiency, []).append(one)
    return found


def _today(db: Database, house: str) -> date:
    row = db.execute("SELECT tz FROM house WHERE id = ?", (to_key(house),)).fetchone()
    try:
        zone = ZoneInfo(row[0] if row else "UTC")
    except (ZoneInfoNotFoundError, ValueError, OSError):
        zone = ZoneInfo("UTC")
    return clock.now().astimezone(zone).date()
