"""Rows of a part's story that no other reader gives: in which walk each look was made, and which ids changes have."""

from collections import defaultdict

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part_life_story import LookPlace
from inspect_app.store.seal import COVERED


def list_look_places(db: Database, house: str, part: str) -> dict[str, LookPlace]:
    """By entry, the walk of every look at a part, with the number of its report once it is signed."""
    rows = db.execute(
        f"SELECT l.entry, l.walk, coalesce(w.title, ''), coalesce(w.date_local, ''), {COVERED}, "
        f"coalesce((SELECT number FROM seal s WHERE s.walk = l.walk AND {COVERED} ORDER BY s.n DESC LIMIT 1), ''), "
        "l.life "
        "FROM look l LEFT JOIN walk w ON w.id = l.walk WHERE l.house = ? AND l.part = ?",
        (to_key(house), to_key(part)),
    )
    unseen = _unseen_photos(db, house, part)
    return {
        from_key(entry): LookPlace(
            *(from_key(walk) if walk else "", f"{title}, {day}" if title else day, bool(signed), number),
            from_key(life) if life else None,
            frozenset(unseen[entry]),
        )
        for entry, walk, title, day, signed, number, life in rows.fetchall()
    }


def _unseen_photos(db: Database, house: str, part: str) -> dict[bytes, set[str]]:
    """By entry, the photos that its look names and of which there is no copy to show."""
    rows = db.execute(
        "SELECT u.entry, u.photo FROM look l JOIN photo_use u ON u.entry = l.entry "
        "LEFT JOIN photo p ON p.id = u.photo AND p.house = l.house AND p.state = 'stored' "
        "WHERE l.house = ? AND l.part = ? AND p.id IS NULL",
        (to_key(house), to_key(part)),
    )
    found: dict[bytes, set[str]] = defaultdict(set)
    for entry, photo in rows.fetchall():
        found[entry].add(from_key(photo))
    return found
