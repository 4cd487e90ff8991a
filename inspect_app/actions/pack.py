"""Gathering what a phone needs for a walk; every revision handed out is kept, so that it is known later."""

from collections.abc import Mapping
from datetime import datetime

from sqlite_utils import Database

from inspect_app.actions.entry_lookup import Revisions
from inspect_app.config import Settings
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.look_again import LookAgain
from inspect_app.domain.role import Role
from inspect_app.domain.second_look import LAPSES_AFTER
from inspect_app.domain.walk import WalkState
from inspect_app.domain.walk_record import Walk
from inspect_app.output.pack import LastLook, OpenOnPart, Pack, PackSource, make_pack
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.checklist import Shelf, load_shelf
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device
from inspect_app.store.gauge import list_gauges, list_stations
from inspect_app.store.house import get_house
from inspect_app.store.house_criteria import criteria_for
from inspect_app.store.look import list_open_findings, list_part_states
from inspect_app.store.measure_history import list_look_again
from inspect_app.store.membership import list_members
from inspect_app.store.photo import list_last_photos
from inspect_app.store.point_clock import zone_of
from inspect_app.store.reference import reference_at
from inspect_app.store.second_look import list_open_second_looks
from inspect_app.store.set_note import keep_off_sets, limits_by_place
from inspect_app.store.set_state import list_bars
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk import list_walks
from inspect_app.store.walk_record import get_inventory

PHOTOS_OF_PART = 2


def prepare_pack(
    db: Database,
    settings: Settings,
    *,
    at: datetime,
    device: Device,
    roles: frozenset[Role],
    look_again: Mapping[str, tuple[LookAgain, ...]] | None = None,
) -> Pack:
    """The pack of the device's house for its person; `look_again` is what its measures ask for, where that is known."""
    shelf = load_shelf(settings)
    keep_shelf(db, shelf, at)
    house = device.house
    walks = tuple(row.walk for row in list_walks(db, house) if row.walk.state is not WalkState.SEALED)
    today = at.astimezone(zone_of(get_house(db, house).tz)).date()
    return make_pack(
        PackSource(
            made_at=at,
            inventory=get_inventory(db, house),
            person=device.person,
            roles=roles,
            people=tuple(member.person for member in list_members(db, house) if not member.ended),
            last_seq=device.highest_seq,
            checklists=tuple(shelf.checklists.values()),
            older=_older(db, shelf, walks),
            criteria=criteria_for(db, house, reference_at(settings.shared).criteria),
            open=_open(db, house),
            last=_last(db, house),
            photos=list_last_photos(db, house, PHOTOS_OF_PART),
            accepted=tuple(list_accepted(db, house)),
            tag_outs=tuple(list_standing(db, house)),
            walks=walks,
            gauges=tuple(list_gauges(db, house)),
            stations=tuple(list_stations(db, house)),
            limits=limits_by_place(db, house, today),
            barred=frozenset(list_bars(db, house, today)),
            keep_off=keep_off_sets(db, house),
            second_looks=tuple(list_open_second_looks(db, house, at - LAPSES_AFTER)),
            look_again=list_look_again(db, house) if look_again is None else look_again,
        )
    )


def keep_shelf(db: Database, shelf: Shelf, at: datetime) -> None:
    """Keep the exact text of every checklist in use, once; writes only when one is new."""
    revisions = Revisions(db, shelf)
    if revisions.not_kept():
        with write_transaction(db):
            revisions.keep_all(at)


def _older(db: Database, shelf: Shelf, walks: tuple[Walk, ...]) -> tuple[Checklist, ...]:
    in_use = {one.revision for one in shelf.checklists.values()}
    wanted = {revision for walk in walks for _, revision in walk.scope.checklists} - in_use
    revisions = Revisions(db)
    return tuple(found for revision in sorted(wanted) if (found := revisions.get(revision)) is not None)


def _open(db: Database, house: str) -> dict[str, tuple[OpenOnPart, ...]]:
    found: dict[str, tuple[OpenOnPart, ...]] = {}
    for one in list_open_findings(db, house):
        row = OpenOnPart(one.finding, one.point, one.what, one.grade, one.at)
        found[one.part] = (*found.get(one.part, ()), row)
    return found


def _last(db: Database, house: str) -> dict[str, LastLook]:
    states = list_part_states(db, house).items()
    return {part: LastLook(state.result, state.at, state.ways) for part, state in states if state.result}
