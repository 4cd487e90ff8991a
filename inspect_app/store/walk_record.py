"""Everything that the store knows of one walk, gathered into one value."""

from collections.abc import Iterable
from dataclasses import replace

from sqlite_utils import Database

from inspect_app.domain.checklist import Checklist, Review
from inspect_app.domain.house import Inventory
from inspect_app.domain.walk import Look
from inspect_app.domain.walk_record import WalkRecord
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.checklist import get_review, get_revision
from inspect_app.store.deficiency import list_deficiencies, list_numbers_of_findings
from inspect_app.store.house import get_house, list_areas, list_line_sets
from inspect_app.store.measure_history import list_outlooks_of_walk
from inspect_app.store.part import list_lives_named, list_parts, list_present_lives
from inspect_app.store.recording import list_recordings_of_walk
from inspect_app.store.seal import list_sealed_entries, list_seals
from inspect_app.store.tag_out import list_tag_outs
from inspect_app.store.walk import (
    get_opening,
    get_walk,
    list_closings,
    list_devices_of_walk,
    list_entries_of_walk,
    list_known_before,
)
from inspect_app.store.walk_look import list_decisions, list_looks_of_walk, list_photos_of_walk


def get_inventory(db: Database, house: str) -> Inventory:
    """The whole house with its retired areas, sets and parts, and the present life of each part. Raises NotFound."""
    return Inventory(
        get_house(db, house),
        tuple(list_areas(db, house, retired=True)),
        tuple(list_line_sets(db, house, retired=True)),
        tuple(list_parts(db, house, retired=True)),
        list_present_lives(db, house),
    )


def get_walk_record(db: Database, house: str, walk: str) -> WalkRecord | None:
    """One walk of the house with all that arrived for it, late entries too; None when there is no such walk.

    `late` names the entries that no seal covers, once there is a seal.
    """
    found = get_walk(db, house, walk)
    if found is None:
        return None
    signatures = list_seals(db, house, walk)
    sealed = list_sealed_entries(db, walk)
    entries = list_entries_of_walk(db, house, walk)
    closings = list_closings(db, house, walk)
    checklists = _checklists(db, found.scope.checklists)
    deficiencies = list_deficiencies(db, house)
    looks, inventory = tuple(list_looks_of_walk(db, house, walk)), get_inventory(db, house)
    return WalkRecord(
        walk=found,
        inventory=_with_measured_lives(db, inventory, looks),
        checklists=checklists,
        reviews=_reviews(db, house, checklists),
        opening=get_opening(db, house, walk),
        closings=tuple(closings),
        devices=tuple(list_devices_of_walk(db, house, walk, closings)),
        looks=looks,
        decisions=tuple(list_decisions(db, walk)),
        known_before=list_known_before(db, house, walk),
        photos=tuple(list_photos_of_walk(db, house, walk)),
        tag_outs=tuple(list_tag_outs(db, house)),
        deficiencies=tuple(row for row in deficiencies if row.open),
        numbers=list_numbers_of_findings(db, house),
        accepted=tuple(list_accepted(db, house)),
        entries=tuple(entries),
        signatures=tuple(signatures),
        late=tuple(entry for entry, _ in entries if signatures and entry not in sealed),
        recordings=tuple(list_recordings_of_walk(db, house, walk)),
        outlooks=tuple(one for part in list_outlooks_of_walk(db, house, walk, inventory).values() for one in part),
    )


def _with_measured_lives(db: Database, inventory: Inventory, looks: Iterable[Look]) -> Inventory:
    """The house with what was measured and has been replaced since: a figure is judged by what hung there."""
    present = {life.id for life in inventory.lives.values()}
    ended = {one.life for look in looks for one in look.measures if one.life and one.life not in present}
    return replace(inventory, earlier=list_lives_named(db, inventory.house.id, ended)) if ended else inventory


def _checklists(db: Database, chosen: tuple[tuple[str, str], ...]) -> tuple[Checklist, ...]:
    kept = (get_revision(db, revision) for _, revision in chosen)
    return tuple(checklist for checklist in kept if checklist is not None)


def _reviews(db: Database, house: str, checklists: tuple[Checklist, ...]) -> dict[str, Review]:
    found = {checklist.revision: get_review(db, house, checklist.revision) for checklist in checklists}
    return {revision: review for revision, review in found.items() if review is not None}
