"""Roles and the one table of who may do what in a house."""

from collections.abc import Iterable
from enum import StrEnum


class Role(StrEnum):
    """A role belongs to a membership of one house; a person may hold several and acts under one named."""

    TD = "technical_director"
    MANAGER = "facility_manager"
    INSPECTOR = "qualified_inspector"
    HELPER = "helper"
    ADMIN = "administrator"


ROLE_TITLES = {
    Role.TD: "Technical director",
    Role.MANAGER: "Facility manager",
    Role.INSPECTOR: "Qualified inspector",
    Role.HELPER: "Helper",
    Role.ADMIN: "Administrator",
}

EVERYONE = frozenset(Role)
_KEEPERS = frozenset({Role.TD, Role.ADMIN})
_SIGNERS = frozenset({Role.TD, Role.INSPECTOR})
_REPAIRERS = frozenset({Role.TD, Role.INSPECTOR, Role.MANAGER})

# permission -> roles. Routes name one of these; `public` and `signed_in` need no role.
PERMISSIONS: dict[str, frozenset[Role]] = {
    "house.view": EVERYONE,
    "house.edit": _KEEPERS,
    "house.members": frozenset({Role.ADMIN}),
    "checklist.view": EVERYONE,
    "checklist.review": _SIGNERS,
    "criteria.view": EVERYONE,
    "criteria.sign": frozenset({Role.INSPECTOR}),
    "criteria.govern": _SIGNERS,
    "walk.view": EVERYONE,
    "walk.record": EVERYONE,
    "walk.close": EVERYONE,
    "walk.countersign": _SIGNERS,
    "walk.decide": _SIGNERS,
    "walk.sign": _SIGNERS,
    "walk.held": _SIGNERS,
    "walk.import": frozenset({Role.TD}),
    "report.view": EVERYONE,
    "hand_over.view": EVERYONE,
    "hand_over.make": frozenset({Role.TD, Role.MANAGER, Role.INSPECTOR, Role.ADMIN}),
    "hand_over.answer": frozenset({Role.TD, Role.MANAGER, Role.ADMIN}),
    "guest.invite": frozenset({Role.TD, Role.MANAGER, Role.ADMIN}),
    "photo.view": EVERYONE,
    "photo.original": frozenset({Role.TD, Role.INSPECTOR, Role.ADMIN}),
    "stop.raise": EVERYONE,
    "stop.withdraw": EVERYONE,
    "stop.step": EVERYONE,
    "stop.release": _SIGNERS,
    "restriction.set": _SIGNERS,
    "event.approach": _SIGNERS,
    "deficiency.view": EVERYONE,
    "deficiency.make": _REPAIRERS,
    "deficiency.move": _REPAIRERS | {Role.HELPER},  # which move: domain/deficiency_move.py
    "deficiency.assign": _REPAIRERS,
    "deficiency.grade": _SIGNERS,
    "deficiency.cost": frozenset({Role.TD, Role.MANAGER}),
    "deficiency.remark": EVERYONE,
    "deficiency.policy": frozenset({Role.TD, Role.MANAGER, Role.ADMIN}),
    "condition.accept": frozenset({Role.TD, Role.INSPECTOR, Role.MANAGER}),
    "journal.view": frozenset({Role.TD, Role.INSPECTOR, Role.ADMIN, Role.MANAGER}),
    "calendar.view": EVERYONE,
    "calendar.feed": EVERYONE,  # addresses of one's own; all of them for those who keep the house
    "calendar.plan": frozenset({Role.TD, Role.MANAGER, Role.ADMIN}),
    "interval.edit": _SIGNERS,
    "relook.ask": _SIGNERS,
    "digest.choose": EVERYONE,  # for oneself
    "device.pair": EVERYONE,
    "device.revoke": _KEEPERS,
}


def allows(permission: str, roles: Iterable[Role]) -> bool:
    """Whether any of `roles` carries `permission`. Raises KeyError on a permission that is not in the table."""
    granted = PERMISSIONS[permission]
    return any(role in granted for role in roles)
