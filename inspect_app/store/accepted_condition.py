"""Conditions that a house has accepted, with who accepted them, why, and until when."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.walk_record import Accepted


def list_accepted(db: Database, house: str, ended_too: bool = False) -> list[Accepted]:
    """The accepted conditions of a house by review date; ended ones only when asked for."""
    rows = db.execute(
        "SELECT c.id, c.part, q.tag, c.what, c.accepted_by, c.role, c.reason, c.paper, c.review_by, c.ended_at, "
        "c.deficiency, c.ended_why, c.at "
        "FROM accepted_condition c JOIN part q ON q.id = c.part WHERE c.house = ? AND (? OR c.ended_at IS NULL) "
        "ORDER BY c.review_by, c.id",
        (to_key(house), int(ended_too)),
    )
    return [
        Accepted(
            *(from_key(key), from_key(part), tag, what, by, role, reason, paper, review_by, ended is not None),
            *(from_key(deficiency) if deficiency else "", why, datetime.fromisoformat(at)),
        )
        for key, part, tag, what, by, role, reason, paper, review_by, ended, deficiency, why, at in rows.fetchall()
    ]


def add_accepted(
    db: Database,
    *,
    house: str,
    part: str,
    what: str,
    accepted_by: str,
    role: str,
    reason: str,
    paper: str,
    review_by: str,
    by: str,
    at: datetime,
    deficiency: str = "",
) -> str:
    """Keep an accepted condition; returns its id."""
    new = clock.new_id()
    db.execute(
        "INSERT INTO accepted_condition(id, house, part, what, accepted_by, role, reason, paper, review_by, by, at, "
        "deficiency) VALUES (?,?,?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(new),
            to_key(house),
            to_key(part),
            what,
            accepted_by,
            role,
            reason,
            paper,
            review_by,
            to_key(by),
            at.isoformat(timespec="milliseconds"),
            to_key(deficiency) if deficiency else None,
        ),
    )
    return new


def end_accepted(db: Database, house: str, condition: str, at: datetime) -> bool:
    """End an accepted condition; False when it had ended or is not of this house."""
    cursor = db.execute(
        "UPDATE accepted_condition SET ended_at = ?, ended_why = 'by hand' WHERE house = ? AND id = ? "
        "AND ended_at IS NULL",
        (at.isoformat(timespec="milliseconds"), to_key(house), to_key(condition)),
    )
    return bool(cursor.rowcount)


def end_accepted_of_part(db: Database, deficiency: bytes, at: datetime, why: str) -> None:
    """End what is accepted on the part of a deficiency: it got worse, so it is not what the house accepted."""
    db.execute(
        "UPDATE accepted_condition SET ended_at = ?, ended_why = ? WHERE ended_at IS NULL "
        "AND part = (SELECT part FROM deficiency WHERE id = ?)",
        (at.isoformat(timespec="milliseconds"), why, deficiency),
    )
