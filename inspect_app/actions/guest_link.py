"""Making and ending read-only links for guests, and beginning a visit through one; each use is in the journal."""

import hashlib
import secrets
from datetime import datetime, timedelta

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.walk import require_role
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.store.db import write_transaction
from inspect_app.store.guest_link import (
    GuestLink,
    add_guest_link,
    add_guest_visit,
    end_guest_link_row,
    find_live_link,
    list_guest_links,
)
from inspect_app.store.journal import append_journal, item

USUAL_DAYS, MOST_DAYS = 30, 180
MOST_LINKS = 50  # of one house in use at a time
VISIT = timedelta(hours=12)
LONGEST_GUEST, LONGEST_PURPOSE = 120, 300
_SECRET_BYTES = 32  # 256 random bits


def make_guest_link(
    db: Database, *, at: datetime, actor: str, house: str, guest: str, purpose: str, days: int, with_costs: bool
) -> tuple[GuestLink, str]:
    """A new link to one house, and the secret of its address, which is told this once.

    Raises BadValue on a field, NotAllowed.
    """
    guest, purpose = " ".join(guest.split()), " ".join(purpose.split())
    for field, text, longest, words in (
        ("guest", guest, LONGEST_GUEST, "Name the guest"),
        ("purpose", purpose, LONGEST_PURPOSE, "Say what for"),
    ):
        if not text or len(text) > longest:
            raise BadValue(f"{words}, in up to {longest} characters.", field)
    if not 1 <= days <= MOST_DAYS:
        raise BadValue(f"A link lasts from 1 to {MOST_DAYS} days.", "days")
    secret = secrets.token_urlsafe(_SECRET_BYTES)
    with write_transaction(db):
        require_role(db, house, actor, "guest.invite")
        if sum(one.is_live(at) for one in list_guest_links(db, house)) >= MOST_LINKS:
            raise BadValue(f"{MOST_LINKS} links are in use. End one first.", "guest")
        link = GuestLink(clock.new_id(), house, guest, purpose, with_costs, "", at, at + timedelta(days=days))
        add_guest_link(db, link, hash_of(secret), actor)
        said = [guest, purpose, with_costs, link.expires_at.isoformat(timespec="milliseconds")]
        _journal(db, at, actor, "guest.link", house, item("guest_link", link.id, said))
    return link, secret


def end_guest_link(db: Database, *, at: datetime, actor: str, house: str, link: str) -> None:
    """End a link at once, visits under way as well. Raises NotFound, Conflict, NotAllowed."""
    with write_transaction(db):
        require_role(db, house, actor, "guest.invite")
        found = next((one for one in list_guest_links(db, house) if one.id == link), None)
        if found is None:
            raise NotFound("There is no such link in this house.")
        if found.ended_at is not None:
            raise Conflict("This link was ended already.")
        end_guest_link_row(db, link, actor, at)
        _journal(db, at, actor, "guest.end", house, item("guest_link", link, ["ended"]))


def begin_visit(db: Database, *, at: datetime, secret: str) -> tuple[GuestLink, str] | None:
    """Exchange the secret of an address for that of a visit; None when the link is unknown, expired or ended.

    A visit lasts half a day at most and never longer than its link. It stands in the journal under the link's id.
    """
    with write_transaction(db):
        link = find_live_link(db, hash_of(secret), at)
        if link is None:
            return None
        visit, token = clock.new_id(), secrets.token_urlsafe(_SECRET_BYTES)
        ends = min(at + VISIT, link.expires_at)
        add_guest_visit(db, visit, link.id, hash_of(token), at, ends)
        said = [link.id, at.isoformat(timespec="milliseconds"), ends.isoformat(timespec="milliseconds")]
        _journal(db, at, link.id, "guest.visit", link.house, item("guest_visit", visit, said))
    return link, token


def hash_of(secret: str) -> bytes:
    """What is kept of a secret: its SHA-256. It has 256 random bits, so no slow hash is needed."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).digest()


def _journal(db: Database, at: datetime, actor: str, action: str, house: str, what: object) -> None:
    append_journal(db, at=at, actor=actor, action=action, house=house, items=[what])  # type: ignore[list-item]
