"""What the pages of deficiencies share: the house's day and policy, its people, and its register."""

from datetime import date
from zoneinfo import ZoneInfo

from flask import g

from inspect_app import clock
from inspect_app.domain.deficiency_register import RegisterRow, register_rows
from inspect_app.domain.repair_policy import RepairPolicy, cost_sums, policy_of
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.deficiency_story import list_costs
from inspect_app.store.membership import list_members
from inspect_app.store.reference import reference_at
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.guest_pass import costs_hidden


def zone() -> ZoneInfo:
    """The time zone of the house of the page."""
    return ZoneInfo(g.house.tz)


def today() -> date:
    """The day that it is in the house."""
    return clock.now().astimezone(zone()).date()


def policy() -> RepairPolicy:
    """The house's days per grade and currency."""
    return policy_of(g.house.settings, reference_at(get_settings().shared).repair_days)


def people(house_id: str) -> list[tuple[str, str]]:
    """(id, name) of those who belong to the house now."""
    return [(row.person.id, row.person.name) for row in list_members(get_db(), house_id) if not row.ended]


def register(house_id: str) -> list[RegisterRow]:
    """Every deficiency of the house as the register shows it."""
    db = get_db()
    told = {} if costs_hidden() else list_costs(db, house_id)
    costs = {key: cost_sums(rows) for key, rows in told.items()}
    return register_rows(
        list_deficiencies(db, house_id),
        policy=policy(),
        zone=zone(),
        today=today(),
        accepted=list_accepted(db, house_id),
        costs=costs,
        matrix=reference_at(get_settings().shared).risk,
    )
