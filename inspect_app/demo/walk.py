"""The full walk of today: grid, gallery, rail and gauge round, recorded through the field API as phones do it."""

import random
from collections.abc import Callable, Mapping
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import NamedTuple
from zoneinfo import ZoneInfo

from flask import Flask

from inspect_app import clock
from inspect_app.actions.account import revoke_device
from inspect_app.actions.report import file_report
from inspect_app.actions.walk import countersign_entries
from inspect_app.demo.calendar import GRID, LAST_SETS, RAIL
from inspect_app.demo.crew import Habits
from inspect_app.demo.field_office import FieldOffice
from inspect_app.demo.history import House, sign
from inspect_app.demo.outing import ALOFT, BELOW, GAUGE_ROUND, Made, Outing, Share, walk_outing
from inspect_app.demo.people import DemoAccount
from inspect_app.demo.phone import NotAsPlanned, Phone
from inspect_app.domain.walk import How
from inspect_app.store.walk_record import get_walk_record

WALKERS = {
    "td": ("wren", "Wren's phone"),
    "admin": ("petra", "Petra's phone"),
    "helper": ("juniper", "Juniper's phone"),
}
LASTS = timedelta(hours=6)
# Record photos from the same spots at each full walk.
OVERVIEW: Mapping[str, str] = {
    **dict.fromkeys(("HB 1", "HB 10", "HB 20", "HB 30", "HB 40"), "head_block"),
    **dict.fromkeys(("HM R1", "HM R2", "HM R3", "HM R4"), "head_beam"),
    **dict.fromkeys(("GD 1-1", "GD 2-2", "GD 4-3", "GD 5-4"), "grid_deck"),
    **dict.fromkeys(("LB 1-1", "LB 12A-3", "LB 26-5"), "loft_block"),
    **dict.fromkeys(("AR 4", "AR 28", "AR 39"), "arbor"),
    **dict.fromkeys(("TA 2-1", "TA 26-4"), "line_end"),
    **dict.fromkeys(("RL 2", "RL 15"), "rope_lock"),
    **dict.fromkeys(("BT 4", "BT 19"), "batten_end"),
    "AP 2": "temporary_point",
    "GR HR": "guardrail",
    "LD 1": "ladder",
}


class Walked(NamedTuple):
    """Today's walk: its id, its report number and the PDF in the data folder."""

    walk: str
    number: str
    pdf: Path


def walk_today(house: House, app: Flask, accounts: list[DemoAccount], told: Callable[[str], None]) -> Walked:
    """Make, countersign in part, sign and file the walk of today."""
    office = FieldOffice(app)
    try:
        phones = _pair_again(house, office, accounts)
        told("Phones paired; " + _loaded(office, phones["td"], house))
        made = walk_outing(_outing(house), phones, house.ground, house.memory, told)
        tally = office.get_tally(phones["td"], made.walk)
        missing, gaps = len(tally["photos_missing"]), sum(len(runs) for runs in tally["gaps"].values())
        told(f"The office has {tally['count']} entries; {missing} photos missing, {gaps} gaps")
    finally:
        office.close()
    told(_countersign_first_half(house, made))
    number = sign(house, made.walk, clock.now())
    told(f"Signed as report {number}")
    pdf = file_report(
        house.db,
        house.settings.data,
        house.id,
        made.walk,
        "Letter",
        clock.now(),
        actor=house.people["td"].id,
        say=lambda text: told(text) if _is_worth_telling(text) else None,
    )
    return Walked(made.walk, number, pdf)


def _is_worth_telling(text: str) -> bool:
    """Every tenth page is enough."""
    page = text.rpartition(" ")[2]
    return not text.startswith("Laying out page") or page.endswith("0")


def _pair_again(house: House, office: FieldOffice, accounts: list[DemoAccount]) -> dict[str, Phone]:
    """New phones for three people: each signs in and pairs; the old pairings are withdrawn."""
    passwords = {account.username: account.password for account in accounts}
    phones = {}
    for key, (username, label) in WALKERS.items():
        old = house.phones[key]
        revoke_device(house.db, at=clock.now(), actor=house.people["admin"].id, device=old.device, house=house.id)
        paired = office.pair(username, passwords[username], house.id, label)
        chance = random.Random(f"{house.seed} {key} today")  # noqa: S311 - variety, not a secret
        phones[key] = Phone(
            paired.device,
            paired.token,
            house.id,
            old.person,
            old.competence,
            house.tz,
            chance,
            office,
            clock.now(),
            house.seed,
        )
    return phones


def _loaded(office: FieldOffice, phone: Phone, house: House) -> str:
    """Load the pack as the page does; the walk uses exactly the revisions that the pack offers."""
    pack = office.get_pack(phone)
    offered = {checklist["id"]: checklist["revision"] for checklist in pack["checklists"]}
    for key in (GRID, RAIL, GAUGE_ROUND):
        if offered.get(key) != house.ground.checklists[key].revision:
            raise NotAsPlanned(f"the pack offers another revision of {key}")
    return f"the pack holds {len(pack['parts'])} parts and {len(offered)} checklists"


def _outing(house: House) -> Outing:
    habits = Habits(0, random.Random(f"{house.seed} today"), skip=0.025, operate=0.6, most_seconds=28)  # noqa: S311
    kept_back = frozenset(house.ground.numbers.values()) - LAST_SETS | {""}
    crew = (
        Share("td", ALOFT),
        Share("admin", BELOW, {"set-at-rail": kept_back}),
        Share("helper", BELOW, {"set-at-rail": LAST_SETS}, just_those=True),
    )
    title = "Grid, gallery and rail walk with gauge round"
    lists = (GRID, RAIL, GAUGE_ROUND)
    return Outing(title, lists, _starts(house.tz), habits, crew, overview=OVERVIEW)


def _starts(tz: str) -> datetime:
    """Early enough that everybody is down by now, at an hour at which people work: if need be, of the day before."""
    latest = clock.now().astimezone(ZoneInfo(tz)) - LASTS
    if 7 <= latest.hour <= 16:
        return latest
    day = latest.date() - timedelta(days=latest.hour < 7)
    return datetime.combine(day, time(9, 0), latest.tzinfo)


def _countersign_first_half(house: House, made: Made) -> str:
    """The helper's second half waits: it is in the report, and does not count."""
    record = get_walk_record(house.db, house.id, made.walk)
    waiting = [look.entry for look in record.looks if look.needs_countersign] if record else []
    seen = waiting[: len(waiting) // 2]
    countersign_entries(
        house.db,
        at=clock.now(),
        actor=house.people["td"].id,
        house=house.id,
        walk=made.walk,
        entries=seen,
        how=How.BESIDE_THEM,
    )
    return f"{len(seen)} of the helper's {len(waiting)} entries countersigned; the others wait and do not count"
