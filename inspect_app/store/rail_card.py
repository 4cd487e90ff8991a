"""Cards for the rail: each issue of each set's card, and which of them hangs there."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.rail_card import RailCard


def list_cards(db: Database, house: str) -> list[RailCard]:
    """Every card ever issued in a house, oldest first."""
    rows = db.execute(
        "SELECT c.line_set, c.revision, c.digest, c.issued_at, coalesce(p.name, ''), c.swapped_at, "
        "coalesce(s.name, '') FROM rail_card c LEFT JOIN person p ON p.id = c.issued_by "
        "LEFT JOIN person s ON s.id = c.swapped_by WHERE c.house = ? ORDER BY c.line_set, c.revision",
        (to_key(house),),
    )
    return [
        RailCard(
            from_key(key), revision, digest.hex(), datetime.fromisoformat(at), by,
            datetime.fromisoformat(swapped) if swapped else None, swapper,
        )
        for key, revision, digest, at, by, swapped, swapper in rows.fetchall()
    ]  # fmt: skip


def add_card(db: Database, house: str, line_set: str, digest: str, *, by: str, at: datetime) -> int:
    """Issue the next card of a set; returns its revision, which counts from 1 without gaps."""
    key = to_key(line_set)
    last = db.execute("SELECT coalesce(max(revision), 0) FROM rail_card WHERE line_set = ?", (key,)).fetchone()
    db.execute(
        "INSERT INTO rail_card(id, house, line_set, revision, digest, issued_at, issued_by) VALUES (?,?,?,?,?,?,?)",
        (to_key(clock.new_id()), to_key(house), key, last[0] + 1, bytes.fromhex(digest), _stamp(at), to_key(by)),
    )
    return int(last[0]) + 1


def set_card_swapped(db: Database, line_set: str, revision: int, *, by: str, at: datetime) -> None:
    """Note that this card hangs at the rail now, in place of the one before."""
    db.execute(
        "UPDATE rail_card SET swapped_at = ?, swapped_by = ? WHERE line_set = ? AND revision = ?",
        (_stamp(at), to_key(by), to_key(line_set), revision),
    )


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")
