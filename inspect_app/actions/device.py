"""Pairing a phone or browser with a person in a house, and the device that stands for a person's desk."""

import secrets
from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.session import hash_token
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.domain.ids import is_uuid7
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device, add_device, find_desk_device, get_device, set_device_paired
from inspect_app.store.journal import append_journal, item

NAME_LENGTH = 80


class Paired(NamedTuple):
    """A new pairing: the device's id and its token, which is shown this once and kept only as its SHA-256."""

    device: str
    token: str


def pair_device(
    db: Database, *, at: datetime, actor: str, house: str, label: str, kind: str = "phone", device: str = ""
) -> Paired:
    """Pair a device with the acting person in a house. Raises BadValue for a name that is empty or too long.

    `device` is the id under which it was paired before, if it was. When that was with the same person in the same
    house it keeps the id, and so its count of entries: what never came stays visible as a gap. Otherwise it is new.
    """
    name = " ".join(label.split())
    if not 0 < len(name) <= NAME_LENGTH:
        raise BadValue(f"Give the device a name of at most {NAME_LENGTH} characters.", "label")
    token = secrets.token_urlsafe(32)
    with write_transaction(db):
        known = get_device(db, house, device) if is_uuid7(device) else None
        if known is not None and known.person.id == actor and known.kind == kind:
            set_device_paired(db, known.id, name=name, token_hash=hash_token(token), at=at)
            paired = Paired(known.id, token)
        else:
            paired = Paired(clock.new_id(), token)
            digest = hash_token(token)
            add_device(db, paired.device, house=house, person=actor, name=name, kind=kind, token_hash=digest, at=at)
        items = [item("device", paired.device, {"person": actor, "kind": kind})]
        append_journal(db, at=at, actor=actor, action="device.pair", house=house, items=items)
    return paired


def desk_device(db: Database, *, at: datetime, actor: str, house: str) -> Device:
    """The device under which a person's typed entries are recorded; made at first use, with a token nobody knows."""
    with write_transaction(db):
        found = find_desk_device(db, house, actor)
        if found is not None:
            return found
        pair_device(db, at=at, actor=actor, house=house, label="Desk", kind="desk")
        made = find_desk_device(db, house, actor)
    if made is None:
        raise NotFound("There is no such person.")
    return made
