"""The rule sets a house chose, its own intervals by checklist and scope, and examinations held by others."""

import json
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.interval_scope import HouseScope
from inspect_app.domain.rule_choice import Examination, RuleChoice


def list_rule_choices(db: Database, house: str) -> list[RuleChoice]:
    """Every choice of a rule set or rule, oldest first."""
    rows = db.execute(
        "SELECT c.id, c.what, c.applies, c.reason, coalesce(p.name, ''), c.at FROM rule_choice c "
        "LEFT JOIN person p ON p.id = c.by WHERE c.house = ? ORDER BY c.at, c.id",
        (to_key(house),),
    )
    return [
        RuleChoice(from_key(key), what, bool(applies), reason, name, datetime.fromisoformat(at))
        for key, what, applies, reason, name, at in rows.fetchall()
    ]


def add_rule_choice(db: Database, house: str, choice: RuleChoice, by: str) -> None:
    """Keep a choice; `by` is a person's id."""
    db.execute(
        "INSERT INTO rule_choice(id, house, what, applies, reason, by, at) VALUES (?,?,?,?,?,?,?)",
        (
            to_key(choice.id),
            to_key(house),
            choice.what,
            int(choice.applies),
            choice.reason,
            to_key(by),
            choice.at.isoformat(timespec="milliseconds"),
        ),
    )


def list_examinations(db: Database, house: str) -> list[Examination]:
    """The examinations of a house, the newest first."""
    rows = db.execute(
        "SELECT id, rule, held_on, examiner, paper FROM examination WHERE house = ? ORDER BY held_on DESC, id DESC",
        (to_key(house),),
    )
    return [
        Examination(from_key(key), house, rule, date.fromisoformat(on), examiner, paper)
        for key, rule, on, examiner, paper in rows.fetchall()
    ]


def add_examination(db: Database, examination: Examination, by: str, at: datetime) -> None:
    """Keep an examination that was held; `by` is who entered it."""
    db.execute(
        "INSERT INTO examination(id, house, rule, held_on, examiner, paper, by, at) VALUES (?,?,?,?,?,?,?,?)",
        (
            to_key(examination.id),
            to_key(examination.house),
            examination.rule,
            examination.held_on.isoformat(),
            examination.examiner,
            examination.paper,
            to_key(by),
            at.isoformat(timespec="milliseconds"),
        ),
    )


_SCOPE = (
    "SELECT id, house, checklist, name, line_sets, areas, interval, early_days, late_days, reason FROM interval_scope "
    "WHERE house = ? AND ended_at IS NULL"
)


def list_scopes(db: Database, house: str) -> list[HouseScope]:
    """The intervals that a house set itself, in the order they were made."""
    return [_to_scope(row) for row in db.execute(f"{_SCOPE} ORDER BY rowid", (to_key(house),)).fetchall()]


def get_scope(db: Database, house: str, scope: str) -> HouseScope | None:
    """One interval that the house set itself, in use."""
    row = db.execute(f"{_SCOPE} AND id = ?", (to_key(house), to_key(scope))).fetchone()
    return _to_scope(row) if row else None


def set_scope(db: Database, scope: HouseScope, by: str, at: datetime) -> None:
    """Write an interval of the house, new or changed."""
    values = (
        scope.checklist,
        scope.name,
        _ids(scope.line_sets),
        _ids(scope.areas),
        scope.interval,
        scope.early_days,
        scope.late_days,
        scope.reason,
        to_key(by),
        at.isoformat(timespec="milliseconds"),
    )
    db.execute(
        "INSERT INTO interval_scope(id, house, checklist, name, line_sets, areas, interval, early_days, late_days, "
        "reason, by, at) VALUES (?,?,?,?,?,?,?,?,?,?,?,?) ON CONFLICT(id) DO UPDATE SET "
        "checklist = excluded.checklist, name = excluded.name, line_sets = excluded.line_sets, "
        "areas = excluded.areas, interval = excluded.interval, "
        "early_days = excluded.early_days, late_days = excluded.late_days, reason = excluded.reason, "
        "by = excluded.by, at = excluded.at",
        (to_key(scope.id), to_key(scope.house), *values),
    )


def end_scope(db: Database, scope: str, at: datetime) -> None:
    """Take an interval of the house out of use."""
    db.execute(
        "UPDATE interval_scope SET ended_at = ? WHERE id = ?", (at.isoformat(timespec="milliseconds"), to_key(scope))
    )


def _ids(ids: frozenset[str] | None) -> str | None:
    return None if ids is None else json.dumps(sorted(ids))


def _named(text: str | None) -> frozenset[str] | None:
    return None if text is None else frozenset(json.loads(text))


def _to_scope(row: Sequence[Any]) -> HouseScope:
    key, house, checklist, name, line_sets, areas, interval, early, late, reason = row
    return HouseScope(
        *(from_key(key), from_key(house), checklist, name, _named(line_sets), _named(areas), interval, early, late),
        reason,
    )
