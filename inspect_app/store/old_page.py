"""Pages of old paper logs: their rows. The bytes lie beside the photos, under their SHA-256."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.old_page import OldPage

_COLUMNS = (
    "SELECT o.id, o.house, o.line_set, o.year, o.says, o.name, o.mime, o.bytes, o.sha256, o.received_at, "
    "coalesce(p.name, ''), coalesce(l.number, ''), coalesce(w.reason, '') FROM old_page o "
    "LEFT JOIN person p ON p.id = o.by LEFT JOIN line_set l ON l.id = o.line_set "
    "LEFT JOIN old_page_withdrawal w ON w.old_page = o.id WHERE o.house = ?"
)


def add_old_page(db: Database, page: OldPage, by: str) -> None:
    """Keep the row of a page whose bytes are in their file."""
    db.execute(
        "INSERT INTO old_page(id, house, line_set, year, says, name, mime, bytes, sha256, by, received_at) "
        "VALUES (?,?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(page.id), to_key(page.house), to_key(page.line_set) if page.line_set else None, page.year, page.says,
            page.name, page.mime, page.bytes, bytes.fromhex(page.sha256), to_key(by), _stamp(page.received_at),
        ),
    )  # fmt: skip


def add_old_page_withdrawal(db: Database, page: str, reason: str, by: str, at: datetime) -> None:
    """Take a page back; its bytes stay."""
    db.execute(
        "INSERT INTO old_page_withdrawal(old_page, reason, by, at) VALUES (?,?,?,?)",
        (to_key(page), reason, to_key(by), _stamp(at)),
    )


def old_pages(db: Database, house: str, line_set: str | None = None, *, withdrawn: bool = False) -> list[OldPage]:
    """The pages of a house, or those pinned to one set, by year; pages that were taken back only when asked for."""
    rows = db.execute(
        f"{_COLUMNS} AND (? IS NULL OR o.line_set = ?) AND (? OR w.old_page IS NULL) ORDER BY o.year, o.id",
        (to_key(house), line_set, to_key(line_set) if line_set else None, int(withdrawn)),
    )
    return [_to_page(row) for row in rows.fetchall()]


def get_old_page(db: Database, house: str, page: str) -> OldPage | None:
    """One page of the house, also one that was taken back."""
    row = db.execute(f"{_COLUMNS} AND o.id = ?", (to_key(house), to_key(page))).fetchone()
    return _to_page(row) if row else None


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")


def _to_page(row: Sequence[Any]) -> OldPage:
    return OldPage(
        from_key(row[0]), from_key(row[1]), from_key(row[2]) if row[2] else None, row[3], row[4], row[5], row[6],
        row[7], row[8].hex(), datetime.fromisoformat(row[9]), row[10], row[11], row[12],
    )  # fmt: skip
