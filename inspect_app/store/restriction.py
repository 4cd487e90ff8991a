"""Restrictions and temporary measures."""

from collections.abc import Collection, Iterable
from datetime import date, datetime
from typing import Any

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.restriction import Restriction, RestrictionKind

_COLUMNS = (
    "r.id, r.house, r.kind, r.line_set, r.area, r.part, r.deficiency, r.what, r.load_limit, r.travel_limit, r.who, "
    "r.until, r.recheck_on, coalesce(p.name, ''), r.at, r.ended_at, coalesce(e.name, ''), r.ended_reason, s.number, "
    "a.name, q.tag, d.number, r.walk, coalesce((SELECT min(x.number) FROM seal x WHERE x.walk = r.walk), ''), "
    "r.lifted_name, r.lifted_credential FROM restriction r LEFT JOIN person p ON p.id = r.by "
    "LEFT JOIN person e ON e.id = r.ended_by LEFT JOIN line_set s ON s.id = r.line_set "
    "LEFT JOIN area a ON a.id = r.area LEFT JOIN part q ON q.id = r.part LEFT JOIN deficiency d ON d.id = r.deficiency"
)


def add_restriction(db: Database, restriction: Restriction, by: str) -> None:
    """Keep a new one; inside the caller's transaction."""
    one = restriction
    db.execute(
        "INSERT INTO restriction(id, house, kind, line_set, area, part, deficiency, what, load_limit, travel_limit, "
        "who, until, recheck_on, by, at, walk) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
        (
            *(to_key(one.id), to_key(one.house), one.kind.value),
            *(_key(one.line_set), _key(one.area), _key(one.part), _key(one.deficiency)),
            *(one.what, one.load_limit, one.travel_limit, one.who, one.until.isoformat()),
            *(one.recheck_on.isoformat() if one.recheck_on else None, to_key(by), _stamp(one.at), _key(one.walk)),
        ),
    )


def end_restriction_row(
    db: Database, restriction: str, *, by: str, at: datetime, reason: str, name: str = "", credential: str = ""
) -> None:
    """Note who ended it, when and why; of a condition also the qualified person who lifted it, as typed."""
    db.execute(
        "UPDATE restriction SET ended_at = ?, ended_by = ?, ended_reason = ?, lifted_name = ?, lifted_credential = ? "
        "WHERE id = ?",
        (_stamp(at), to_key(by), reason, name, credential, to_key(restriction)),
    )


def list_restrictions(db: Database, house: str, *, ended: bool = False) -> list[Restriction]:
    """Those of a house that nobody has ended, the one that runs out first on top; with `ended` those as well."""
    where = "" if ended else " AND r.ended_at IS NULL"
    rows = db.execute(f"SELECT {_COLUMNS} WHERE r.house = ?{where} ORDER BY r.until, r.id", (to_key(house),))
    return [_to_restriction(row) for row in rows.fetchall()]


def get_restriction(db: Database, house: str, restriction: str) -> Restriction | None:
    """One of the house."""
    rows = db.execute(f"SELECT {_COLUMNS} WHERE r.house = ? AND r.id = ?", (to_key(house), to_key(restriction)))
    found = [_to_restriction(row) for row in rows.fetchall()]
    return found[0] if found else None


def restrictions_on(
    rows: Iterable[Restriction], *, line_set: str | None = None, part: str | None = None, areas: Collection[str] = ()
) -> list[Restriction]:
    """Those that bind a set, a part or one of the areas where it is, out of a house's."""
    return [
        one
        for one in rows
        if (line_set and one.line_set == line_set) or (part and one.part == part) or one.area in areas
    ]


def _key(text: str | None) -> bytes | None:
    return to_key(text) if text else None


def _text(key: bytes | None) -> str | None:
    return from_key(key) if key else None


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")


def _to_restriction(row: tuple[Any, ...]) -> Restriction:
    number, area, tag, deficiency_number = row[18:22]
    return Restriction(
        id=from_key(row[0]),
        house=from_key(row[1]),
        kind=RestrictionKind(row[2]),
        line_set=_text(row[3]),
        area=_text(row[4]),
        part=_text(row[5]),
        deficiency=_text(row[6]),
        what=row[7],
        load_limit=row[8],
        travel_limit=row[9],
        who=row[10],
        until=date.fromisoformat(row[11]),
        recheck_on=date.fromisoformat(row[12]) if row[12] else None,
        by_name=row[13],
        at=datetime.fromisoformat(row[14]),
        ended_at=datetime.fromisoformat(row[15]) if row[15] else None,
        ended_by_name=row[16],
        ended_reason=row[17],
        scope=f"Line set {number}" if number else area or tag or "",
        part_tag=tag or "",
        deficiency_number=deficiency_number or 0,
        walk=_text(row[22]) or "",
        report=row[23],
        lifted_name=row[24],
        lifted_credential=row[25],
    )
