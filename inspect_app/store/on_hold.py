"""Looks that were recorded where an event kept everyone off: kept as they came, and shown as what they are."""

from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.event import Danger
from inspect_app.domain.ids import from_key, to_key


class LookOnHold(NamedTuple):
    """A look at a part that was on hold then, before a named person had said who may approach and how."""

    part: str
    part_tag: str
    walk: str
    walk_title: str
    at: datetime
    by_name: str
    event: str
    what: str
    scope: str


def list_looks_on_hold(
    db: Database, house: str, *, walk: str | None = None, part: str | None = None, event: str | None = None
) -> list[LookOnHold]:
    """The looks made under a hold of an event whose danger was not excluded, of a walk, a part or an event; by time.

    What says that a part was not reached or does not apply is left out, as is the inspection after the event itself.
    """
    rows = db.execute(
        "SELECT DISTINCT l.entry, l.part, q.tag, l.walk, coalesce(w.title, ''), l.at, coalesce(p.name, ''), e.id, "
        "e.what, coalesce('Line set ' || s.number, a.name, '') "
        "FROM tag_out t JOIN event e ON e.id = t.event "
        "JOIN part q ON q.house = t.house AND (q.line_set = t.line_set OR (t.line_set IS NULL AND q.area = t.area)) "
        "JOIN look l ON l.part = q.id LEFT JOIN walk w ON w.id = l.walk LEFT JOIN person p ON p.id = l.by "
        "LEFT JOIN line_set s ON s.id = t.line_set LEFT JOIN area a ON a.id = t.area "
        "WHERE t.house = ? AND e.danger <> ? AND l.result IN ('no_finding', 'finding') AND l.at > t.raised_at "
        "AND l.walk IS NOT e.walk "
        "AND NOT EXISTS (SELECT 1 FROM event_approach x WHERE x.event = e.id AND x.at <= l.at) "
        "AND NOT EXISTS (SELECT 1 FROM tag_release r WHERE r.tag_out = t.id AND r.at <= l.at) "
        "AND NOT EXISTS (SELECT 1 FROM tag_withdrawal r WHERE r.tag_out = t.id AND r.at <= l.at) "
        "AND (? IS NULL OR l.walk = ?) AND (? IS NULL OR l.part = ?) AND (? IS NULL OR e.id = ?) "
        "ORDER BY l.at, l.entry",
        (to_key(house), Danger.NO.value, *_twice(walk), *_twice(part), *_twice(event)),
    )
    return [
        LookOnHold(
            *(from_key(part_key), tag, from_key(walk_key) if walk_key else "", title, datetime.fromisoformat(at), name),
            *(from_key(event_key), what, scope),
        )
        for _, part_key, tag, walk_key, title, at, name, event_key, what, scope in rows.fetchall()
    ]


def _twice(text: str | None) -> tuple[bytes | None, bytes | None]:
    key = to_key(text) if text else None
    return key, key
