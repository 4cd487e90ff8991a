"""Work orders put together: each deficiency with its looks, citations, photos, and what binds its place now."""

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import date, tzinfo
from typing import Any

from sqlite_utils import Database

from inspect_app.actions.seal import draft_data
from inspect_app.config import Settings
from inspect_app.domain.deficiency_register import RegisterRow
from inspect_app.domain.errors import DomainError
from inspect_app.domain.part import Part
from inspect_app.domain.report_findings import findings_of
from inspect_app.domain.report_words import ANSWERS, moment, reads
from inspect_app.domain.work_order import Bound, FoundPrinted, PhotoPrinted, Place, WorkOrder, found_printed, work_order
from inspect_app.store.deficiency import list_deficiency_events
from inspect_app.store.deficiency_story import FindingOfDeficiency, list_findings_of_deficiency
from inspect_app.store.document import get_sealed_data
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import list_parts
from inspect_app.store.photo import get_photo, read_photo
from inspect_app.store.reference import reference_at
from inspect_app.store.restriction import list_restrictions
from inspect_app.store.tag_out import list_standing

NO_PICTURE = "This photo had not reached the record, or has no picture, when the order was printed."
_SIZES = ("report", "print")  # 600 px on the long side is enough for the width of a column
WalkData = Mapping[str, Any]


class _Gathering:
    """What the orders of one house share, each read once."""

    def __init__(self, db: Database, settings: Settings, house: str, zone: tzinfo) -> None:
        self.db, self.settings, self.house, self.zone = db, settings, house, zone
        self.parts: dict[str, Part] = {part.id: part for part in list_parts(db, house, retired=True)}
        self.sets = {one.id: one for one in list_line_sets(db, house, retired=True)}
        self.areas = {one.id: one.name for one in list_areas(db, house, retired=True)}
        self.stops, self.restrictions = list_standing(db, house), list_restrictions(db, house)
        self._walks: dict[str, WalkData] = {}

    def place(self, part: Part) -> Place:
        line_set = self.sets.get(part.line_set or "")
        well = self.parts.get(part.well or "")
        return Place(
            part.tag, part.kind, line_set.number if line_set else "", line_set.label if line_set else "", part.line,
            well.tag if well else "", self.areas.get(part.area, ""),
        )  # fmt: skip

    def bound(self, part: Part, deficiency: str) -> Bound:
        """What stands on the part, on its set, or on its area; and what was put in place for the deficiency."""

        def binds(one: Any) -> bool:
            on_part = one.part == part.id and not one.line_set
            return bool(on_part or (one.line_set and one.line_set == part.line_set) or one.area == part.area)

        limits = [one for one in self.restrictions if one.deficiency == deficiency or binds(one)]
        return Bound([stop for stop in self.stops if binds(stop)], limits)

    def walk(self, walk: str) -> WalkData:
        """What was sealed for a walk, or what would be sealed now; nothing when it cannot be put together."""
        if walk not in self._walks:
            sealed = get_sealed_data(self.db, self.house, walk)
            try:
                criteria = reference_at(self.settings.shared).criteria
                data = sealed.data if sealed else draft_data(self.db, self.house, walk, criteria)
                self._walks[walk] = json.loads(data)
            except DomainError:
                self._walks[walk] = {}
        return self._walks[walk]

    def found(self, row: FindingOfDeficiency) -> FoundPrinted:
        """One look as it was sealed, or from the record alone where the walk data does not have it."""
        data = self.walk(row.walk) if row.walk else {}
        same = [one for one in data.get("findings", ()) if one.get("id") == row.finding]
        if same:
            return found_printed(findings_of({**data, "findings": same}, self.zone)[0])
        wear = f"{row.wear} of 0 to 4" if row.wear is not None else ""
        head = f"{reads(ANSWERS, row.answer)}, {row.by_name}, {moment(row.at.isoformat(), self.zone)}"
        photos = tuple(PhotoPrinted(photo, "") for photo in row.photos)
        return FoundPrinted(head, row.point_text, row.note or row.point_text, wear, (), "", photos)


def gather_orders(
    db: Database,
    settings: Settings,
    house: str,
    rows: Sequence[RegisterRow],
    *,
    zone: tzinfo,
    today: date,
    page_of: Callable[[str], str] = lambda deficiency: "",
) -> tuple[list[WorkOrder], dict[str, bytes]]:
    """The orders for rows of the register, and the JPEGs that they print by photo id."""
    shared = _Gathering(db, settings, house, zone)
    orders: list[WorkOrder] = []
    pictures: dict[str, bytes] = {}
    for row in rows:
        part = shared.parts[row.row.part]
        findings = [one for one in list_findings_of_deficiency(db, house, row.row.id) if not one.withdrawn]
        found = [_with_pictures(shared, shared.found(one), pictures) for one in reversed(findings)]
        orders.append(
            work_order(
                row, shared.place(part), list_deficiency_events(db, row.row.id), found,
                shared.bound(part, row.row.id), zone=zone, today=today, page=page_of(row.row.id),
            )
        )  # fmt: skip
    wanted = {photo for order in orders for photo in order.photo_ids}
    return orders, {photo: content for photo, content in pictures.items() if photo in wanted}


def _with_pictures(shared: _Gathering, found: FoundPrinted, pictures: dict[str, bytes]) -> FoundPrinted:
    """The look with each photo whose picture is here; the others say that there is none."""
    shown = []
    for photo in found.photos:
        row = get_photo(shared.db, shared.house, photo.id)
        copies = (read_photo(shared.settings, row.sha256, size) for size in _SIZES) if row else ()
        content = next(filter(None, copies), None)
        if content:
            pictures[photo.id] = content
        shown.append(photo if content else photo._replace(absent=photo.absent or NO_PICTURE))
    return FoundPrinted(
        found.head, found.point, found.fact, found.wear, found.citations, found.stop_words, tuple(shown)
    )
