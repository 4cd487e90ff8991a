"""Looking up what an entry names, for its check; what all entries of a batch name is read once for the batch."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app.domain.checklist import Checklist
from inspect_app.domain.entry import Entry, EventEntry, LookEntry, OpeningEntry, StopEntry
from inspect_app.domain.entry_check import EntryContext
from inspect_app.domain.role import Role
from inspect_app.store.checklist import Shelf, freeze_revision, get_revision
from inspect_app.store.device import Device
from inspect_app.store.entry_context import (
    find_device_owner,
    find_part_named,
    find_roles,
    find_walk_state,
    is_life_of,
    is_scope_of,
    is_sequence_taken,
)


class Revisions:
    """Revisions of checklists by their SHA-256: those kept in the store, each read at most once, and those in use.

    Within the one transaction of a batch it also remembers the roles of people and the owners of devices.
    """

    def __init__(self, db: Database, shelf: Shelf | None = None) -> None:
        self._db = db
        self._kept: dict[str, Checklist | None] = {}
        self._roles: dict[tuple[str, str], frozenset[Role] | None] = {}
        self._owners: dict[tuple[str, str], str | None] = {}
        self._shelf = shelf
        self._in_use = {one.revision: one for one in shelf.checklists.values()} if shelf else {}

    def get(self, revision: str) -> Checklist | None:
        """A revision by its SHA-256 in hex, or None when it is neither kept nor in use."""
        if revision not in self._kept:
            self._kept[revision] = get_revision(self._db, revision)
        return self._kept[revision] or self._in_use.get(revision)

    def keep(self, revision: str, at: datetime) -> None:
        """Keep the exact text of a revision in use for good, unless it is kept already."""
        in_use = self._in_use.get(revision)
        if self._kept.get(revision) is None and in_use is not None and self._shelf is not None:
            freeze_revision(self._db, in_use, self._shelf.sources[in_use.id], at)
            self._kept[revision] = in_use

    def look_again(self) -> None:
        """After a savepoint was undone: what was kept in it is not kept."""
        self._kept.clear()

    def keep_all(self, at: datetime) -> None:
        """Keep every revision in use: whoever was given one may come back with it after the files have changed."""
        for revision in self._in_use:
            self.get(revision)
            self.keep(revision, at)

    def roles_of(self, house: str, person: str) -> frozenset[Role] | None:
        """The roles a person holds in the house now; None for a person nobody knows."""
        key = (house, person)
        if key not in self._roles:
            self._roles[key] = find_roles(self._db, house, person)
        return self._roles[key]

    def owner_of(self, house: str, device: str) -> str | None:
        """The person whom a device of the house is paired with."""
        key = (house, device)
        if key not in self._owners:
            self._owners[key] = find_device_owner(self._db, house, device)
        return self._owners[key]

    def not_kept(self) -> bool:
        """Whether a revision in use has not been kept yet."""
        return any(get_revision(self._db, revision) is None for revision in self._in_use)


def context_of(
    db: Database, entry: Entry, device: Device, at: datetime, skew_ms: int | None, revisions: Revisions
) -> EntryContext:
    """Everything the check of an entry needs to know. `device` is the one it came through."""
    envelope, house = entry.envelope, device.house
    found = find_walk_state(db, envelope.walk) if envelope.walk else None
    look = entry if isinstance(entry, LookEntry) else None
    return EntryContext(
        house=house,
        sender=device.person.id,
        sending_device=device.id,
        owner=revisions.owner_of(house, envelope.device),
        roles=_roles(revisions, house, (device.person.id, envelope.by, envelope.called_by)),
        received_at=at,
        skew_ms=skew_ms,
        walk_state=found[1] if found and found[0] == house else None,
        walk_elsewhere=bool(found and found[0] != house),
        seq_taken=is_sequence_taken(db, envelope.device, envelope.seq),
        part=find_part_named(db, house, look.part) if look else None,
        life_known=not look or not look.life or is_life_of(db, look.part, look.life),
        checklist=revisions.get(look.revision) if look else None,
        scope_known=_is_scope_known(db, house, entry),
        unknown_revisions=_unknown_revisions(entry, revisions),
    )


def _roles(revisions: Revisions, house: str, people: tuple[str | None, ...]) -> dict[str, frozenset[Role]]:
    found = {person: revisions.roles_of(house, person) for person in people if person}
    return {person: roles for person, roles in found.items() if roles is not None}


def _is_scope_known(db: Database, house: str, entry: Entry) -> bool:
    if not isinstance(entry, StopEntry | EventEntry):
        return True
    named = {"line_set": entry.line_set, "area": entry.area, "part": entry.part}
    return all(is_scope_of(db, house, scope, thing) for scope, thing in named.items() if thing)


def _unknown_revisions(entry: Entry, revisions: Revisions) -> tuple[str, ...]:
    if not isinstance(entry, OpeningEntry):
        return ()
    return tuple(revision for _, revision in entry.checklists if revisions.get(revision) is None)
