"""Conditions on use: what an inspector signs is put in force with the signature, in the same transaction."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.errors import BadValue
from inspect_app.domain.inspection import ConditionOnUse, Inspection
from inspect_app.domain.restriction import Restriction, RestrictionKind
from inspect_app.domain.walk_record import Signature
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.journal import item
from inspect_app.store.restriction import add_restriction


def place_conditions(db: Database, house: str, inspection: Inspection) -> Inspection:
    """The same with each condition's place in words. Raises BadValue for a set or area the house does not have."""
    if not inspection.conditions:
        return inspection
    places = {(row.id, ""): f"Line set {row.number}" for row in list_line_sets(db, house)}
    places |= {("", row.id): row.name for row in list_areas(db, house)}
    return replace(
        inspection, conditions=tuple(_placed(places, n, one) for n, one in enumerate(inspection.conditions, 1))
    )


def _placed(places: Mapping[tuple[str, str], str], n: int, one: ConditionOnUse) -> ConditionOnUse:
    scope = places.get((one.line_set, one.area))
    if scope is None:
        raise BadValue(f"Condition {n}: there is no such line set or area in this house.", "conditions")
    return replace(one, what=one.what.strip(), until=date.fromisoformat(one.until).isoformat(), scope=scope)


def put_in_force(db: Database, at: datetime, actor: str, house: str, walk: str, signature: Signature) -> list[Any]:
    """Let the conditions of a signature hold from now on; returns what the journal says of them."""
    items = []
    for one in signature.inspection.conditions:
        new = Restriction(
            id=clock.new_id(), house=house, kind=RestrictionKind.CONDITION, line_set=one.line_set or None,
            area=one.area or None, part=None, deficiency=None, what=one.what, load_limit="", travel_limit="",
            who=f"{signature.name}, {signature.role}", until=date.fromisoformat(one.until), recheck_on=None,
            by_name="", at=at, walk=walk,
        )  # fmt: skip
        add_restriction(db, new, actor)
        items.append(item("restriction", new.id, [new.kind.value, one.line_set, one.area, one.what, one.until, walk]))
    return items
