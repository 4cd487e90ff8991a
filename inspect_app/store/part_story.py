"""Rows of a part's story that no other reader gives: in which walk each look was made, and which ids changes have."""

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part_life_story import LookPlace


def list_look_places(db: Database, house: str, part: str) -> dict[str, LookPlace]:
    """By entry, the walk of every look at a part, with the number of its report once it is signed."""
    rows = db.execute(
        "SELECT l.entry, l.walk, coalesce(w.title, ''), coalesce(w.date_local, ''), coalesce(w.state = 'sealed', 0), "
        "coalesce((SELECT number FROM seal s WHERE s.walk = l.walk ORDER BY s.n DESC LIMIT 1), ''), l.life "
        "FROM look l LEFT JOIN walk w ON w.id = l.walk WHERE l.house = ? AND l.part = ?",
        (to_key(house), to_key(part)),
    )
    return {
        from_key(entry): LookPlace(
            *(from_key(walk) if walk else "", f"{title}, {day}" if title else day, bool(signed), number),
            from_key(life) if life else None,
        )
        for entry, walk, title, day, signed, number, life in rows.fetchall()
    }
