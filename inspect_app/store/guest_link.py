"""Read-only links for guests of a house, and their visits; only SHA-256 digests of secrets are kept."""

from datetime import datetime
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key


class GuestLink(NamedTuple):
    """One link: for whom and what for, made by whom, until when. `visits` are the times at which visits began."""

    id: str
    house: str
    guest: str
    purpose: str
    with_costs: bool
    by_name: str
    made_at: datetime
    expires_at: datetime
    ended_at: datetime | None = None
    ended_by_name: str = ""
    visits: tuple[datetime, ...] = ()

    def is_live(self, at: datetime) -> bool:
        """Whether it can be used now, as far as its own row tells."""
        return self.ended_at is None and at < self.expires_at


_COLUMNS = (
    "SELECT l.id, l.house, l.guest, l.purpose, l.with_costs, p.name, l.made_at, l.expires_at, l.ended_at, "
    "coalesce(e.name, '') FROM guest_link l JOIN person p ON p.id = l.by LEFT JOIN person e ON e.id = l.ended_by"
)
# its maker must still belong to the house and have an account in use: whoever leaves leaves no door open
_LIVE = (
    "l.ended_at IS NULL AND l.expires_at > ? AND EXISTS (SELECT 1 FROM membership m JOIN account a ON "
    "a.person = m.person WHERE m.house = l.house AND m.person = l.by AND m.ended_at IS NULL AND a.disabled_at IS NULL)"
)


def find_live_link(db: Database, token_hash: bytes, at: datetime) -> GuestLink | None:
    """The link with this SHA-256 of its secret, while it may be used."""
    row = db.execute(f"{_COLUMNS} WHERE l.token_hash = ? AND {_LIVE}", (token_hash, _stamp(at))).fetchone()
    return _to_link(row) if row else None


def find_live_visit(db: Database, token_hash: bytes, at: datetime) -> GuestLink | None:
    """The link of the visit with this SHA-256 of its cookie, while both the visit and the link last."""
    row = db.execute(
        f"{_COLUMNS} JOIN guest_visit v ON v.link = l.id WHERE v.token_hash = ? AND v.ends_at > ? AND {_LIVE}",
        (token_hash, _stamp(at), _stamp(at)),
    ).fetchone()
    return _to_link(row) if row else None


def list_guest_links(db: Database, house: str) -> list[GuestLink]:
    """All links of a house with their visits, newest first."""
    visits: dict[bytes, list[datetime]] = {}
    for link, begun in db.execute(
        "SELECT v.link, v.begun_at FROM guest_visit v JOIN guest_link l ON l.id = v.link WHERE l.house = ? "
        "ORDER BY v.begun_at DESC",
        (to_key(house),),
    ).fetchall():
        visits.setdefault(link, []).append(datetime.fromisoformat(begun))
    rows = db.execute(f"{_COLUMNS} WHERE l.house = ? ORDER BY l.made_at DESC, l.id DESC", (to_key(house),)).fetchall()
    return [_to_link(row)._replace(visits=tuple(visits.get(row[0], ()))) for row in rows]


def add_guest_link(db: Database, link: GuestLink, token_hash: bytes, by: str) -> None:
    """Keep a new link."""
    db.execute(
        "INSERT INTO guest_link(id, house, guest, purpose, with_costs, token_hash, by, made_at, expires_at) "
        "VALUES (?,?,?,?,?,?,?,?,?)",
        (
            *(to_key(link.id), to_key(link.house), link.guest, link.purpose, int(link.with_costs), token_hash),
            *(to_key(by), _stamp(link.made_at), _stamp(link.expires_at)),
        ),
    )


def end_guest_link_row(db: Database, link: str, by: str, at: datetime) -> None:
    """End a link, and every visit through it, at once."""
    db.execute(
        "UPDATE guest_link SET ended_at = ?, ended_by = ? WHERE id = ? AND ended_at IS NULL",
        (_stamp(at), to_key(by), to_key(link)),
    )


def add_guest_visit(
    db: Database, visit: str, link: str, token_hash: bytes, begun_at: datetime, ends_at: datetime
) -> None:
    """Keep that a visit began, and until when it may last."""
    db.execute(
        "INSERT INTO guest_visit(id, link, token_hash, begun_at, ends_at) VALUES (?,?,?,?,?)",
        (to_key(visit), to_key(link), token_hash, _stamp(begun_at), _stamp(ends_at)),
    )


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")


def _to_link(row: tuple[Any, ...]) -> GuestLink:
    key, house, guest, purpose, costs, name, made, expires, ended, ended_by = row
    return GuestLink(
        *(from_key(key), from_key(house), guest, purpose, bool(costs), name, datetime.fromisoformat(made)),
        *(datetime.fromisoformat(expires), datetime.fromisoformat(ended) if ended else None, ended_by),
    )
