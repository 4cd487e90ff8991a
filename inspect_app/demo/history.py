"""Three years of the invented house, made through the same actions as the present: walks, repairs, stops, seals."""

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from functools import partial
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from inspect_app.actions.accepted_condition import accept_condition
from inspect_app.actions.checklist import review_checklist
from inspect_app.actions.deficiency import record_checked_repair, settle_deficiency
from inspect_app.actions.device import pair_device
from inspect_app.actions.seal import Signing, sign_walk
from inspect_app.actions.tag_out import ask_withdrawal, confirm_withdrawal, record_step, release_tag_out
from inspect_app.actions.walk import countersign_entries
from inspect_app.config import Settings
from inspect_app.demo import repairs
from inspect_app.demo.calendar import past_outings
from inspect_app.demo.crew import Ground, Memory
from inspect_app.demo.gauge import list_house_gauges
from inspect_app.demo.inspection import yearly_inspection
from inspect_app.demo.outing import Made, Outing, walk_outing
from inspect_app.demo.people import CAST
from inspect_app.demo.phone import NotAsPlanned, Office, Phone
from inspect_app.demo.planted import ACCEPTED_WELL, PLANTED, STOPPED_SET, WRONG_STOP_SET, planted_by_key
from inspect_app.domain.checklist import Review
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.fitting import competence_of
from inspect_app.domain.inspection import NO_INSPECTION, Inspection
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.domain.seal import STATEMENT, root_of
from inspect_app.domain.tag_out import Step
from inspect_app.domain.walk import How
from inspect_app.store.checklist import Shelf
from inspect_app.store.deficiency import find_deficiency_of_finding
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk import list_entries_of_walk
from inspect_app.store.walk_record import get_walk_record

Told = Callable[[str], None]
UNSIGNED = 21  # days ago: the walk that nobody has signed and whose helper's stretch waits for a countersign
HALF_SEEN = 51  # days ago: the walk of which only part of the helper's stretch was looked at again
PHONE_NAMES = {
    "td": "Wren's phone",
    "admin": "Petra's phone",
    "helper": "Juniper's phone",
    "inspector": "Tobias's tablet",
}


@dataclass
class House:
    """What the history works with: the database, the people with their phones, the ground, the memory."""

    db: Database
    settings: Settings
    id: str
    tz: str
    seed: int
    people: Mapping[str, Person]
    phones: dict[str, Phone]
    ground: Ground
    shelf: Shelf
    criteria: Mapping[str, Criterion]
    memory: Memory = field(default_factory=Memory)

    def part(self, tag: str) -> str:
        """The id of the part with this tag."""
        return self.ground.tags[tag].id

    def line_set(self, number: str) -> str:
        """The id of the set with this number."""
        return next(key for key, found in self.ground.numbers.items() if found == number)


def pair_phones(
    db: Database, *, at: datetime, house: str, tz: str, seed: int, people: Mapping[str, Person], office: Office
) -> dict[str, Phone]:
    """A paired phone for each person who walks."""
    roles = {player.key: player.roles for player in CAST}
    phones = {}
    for key, label in PHONE_NAMES.items():
        paired = pair_device(db, at=at, actor=people[key].id, house=house, label=label)
        chance = random.Random(f"{seed} {key}")  # noqa: S311 - variety, not a secret
        phones[key] = Phone(
            paired.device, paired.token, house, people[key], competence_of(roles[key]), tz, chance, office, at, seed
        )
    return phones


Happens = Callable[[House, datetime], None]


def make_history(house: House, *, today: datetime, told: Told, also: Mapping[int, Happens]) -> None:
    """Three years, oldest day first: each walk with its signature, and what happened between the walks.

    `also` happens besides, by days before today; it is given noon of its day or the end of the walk of that day.
    """
    _review_checklists(house, today - timedelta(days=1060))
    list_house_gauges(house.db, house.id, house.people["admin"].id, today - timedelta(days=1060), today.date())
    outings = {outing.habits.days_ago: outing for outing in past_outings(today, house.tz, house.seed)}
    events = _events()
    if set(also) & set(events):
        raise NotAsPlanned("two things are planned for one day")
    events |= also
    for days_ago in sorted({*outings, *events}, reverse=True):
        day = (today.astimezone(ZoneInfo(house.tz)) - timedelta(days=days_ago)).date()
        ended = datetime.combine(day, time(11, 15), ZoneInfo(house.tz)).astimezone(UTC)
        if days_ago in outings:
            made = walk_outing(outings[days_ago], house.phones, house.ground, house.memory, lambda _: None)
            number = _finish(house, outings[days_ago], made)
            ended = made.ended + timedelta(hours=3)
            entries = sum(len(ids) for ids in made.entries.values())
            told(f"{outings[days_ago].starts.date()}  {outings[days_ago].title}: {entries} entries, {number}")
        if days_ago in events:
            events[days_ago](house, ended)


def _review_checklists(house: House, at: datetime) -> None:
    inspector = house.people["inspector"]
    for key in ("grid-quarterly", "rail-deck-monthly", "gauge-round"):
        review = Review(inspector.name, inspector.credential, at.date().isoformat())
        review_checklist(
            house.db,
            at=at,
            actor=inspector.id,
            house=house.id,
            checklist=house.shelf.checklists[key],
            sources=dict(house.shelf.sources[key]),
            review=review,
            remark="Fitted to the house; invented review of an invented house.",
        )


def _finish(house: House, outing: Outing, made: Made) -> str:
    """Countersign, sign and tell the report's number; the walk of a few weeks ago stays unsigned."""
    days_ago = outing.habits.days_ago
    if days_ago == UNSIGNED:
        return "not signed yet"
    at = made.ended + timedelta(hours=1)
    if any(share.who == "helper" for share in outing.crew):
        countersign_stretch(house, made, at, part_seen=days_ago == HALF_SEEN)
    signer, role = ("inspector", Role.INSPECTOR) if outing.crew[0].who == "inspector" else ("td", Role.TD)
    when, said = at + timedelta(minutes=40), NO_INSPECTION
    if role is Role.INSPECTOR:
        said = yearly_inspection(house.db, house.id, when.date(), newest=days_ago < 365)
    return "report " + sign(house, made.walk, when, signer, role, said)


def countersign_stretch(house: House, made: Made, at: datetime, part_seen: bool = False) -> None:
    """The technical director's word for what the helper recorded; with `part_seen` for the first half of it only."""
    record = get_walk_record(house.db, house.id, made.walk)
    waiting = [look.entry for look in record.looks if look.needs_countersign] if record else []
    half = len(waiting) // 2
    groups = ((waiting[:half], How.LOOKED_AGAIN), (waiting[half:], How.DID_NOT_SEE))
    for entries, how in groups if part_seen else ((waiting, How.BESIDE_THEM),):
        if entries:
            countersign_entries(
                house.db,
                at=at,
                actor=house.people["td"].id,
                house=house.id,
                walk=made.walk,
                entries=entries,
                how=how,
            )


def sign(
    house: House,
    walk: str,
    at: datetime,
    who: str = "td",
    role: Role = Role.TD,
    inspection: Inspection = NO_INSPECTION,
) -> str:
    """Sign a walk as it stands and return its report number."""
    person = house.people[who]
    root = root_of(list_entries_of_walk(house.db, house.id, walk))
    signing = Signing(role, person.name, person.credential, STATEMENT, root, inspection=inspection)
    signature = sign_walk(
        house.db, at=at, actor=person.id, house=house.id, walk=walk, signing=signing, criteria=house.criteria
    )
    return signature.number


def _events() -> dict[int, Happens]:
    """What happened between the walks, by days before today."""
    events: dict[int, Happens] = {
        planted.until: partial(_repair, key=planted.key) for planted in PLANTED if planted.until is not None
    }
    events[245] = _stop_wrong_set
    events[392] = _accept_open_well
    events[45] = _name_responsible
    events[repairs.POLICY_DAY] = _set_policy
    office = {done.days_ago: partial(_act, done=done) for done in repairs.DONE}
    if set(office) & set(events):
        raise NotAsPlanned("two things are planned for one day")
    return events | office


def _set_policy(house: House, at: datetime) -> None:
    repairs.set_policy(house.db, at=at, house=house.id, people=house.people)


def _act(house: House, at: datetime, done: repairs.Office) -> None:
    repairs.act(house.db, done, at=at, house=house.id, people=house.people, known=house.memory.known)


_DONE = {
    "label-first": "New number painted on the arbor, read from the rail at both trims",
    "label-again": "Right number stencilled, read from the rail at both trims",
    "rung-loose": "Rung welded by the ladder's maker, pulled and stood upon from a harness",
    "line-kinked": "Line 3 replaced from arbor to batten; ends pulled, all six lines evenly tight",
    "lock-creeps": "Cam and shoes replaced and set, house's test pull held ten times without creep",
}


def _repair(house: House, at: datetime, key: str) -> None:
    """Settle a deficiency by somebody other than the repairer; what was stopped for it goes back into use."""
    inspector = house.people["inspector"].id
    deficiency = find_deficiency_of_finding(house.db, house.id, house.memory.known[key])
    if deficiency is None:
        raise NotAsPlanned(f"no deficiency was made for {key}")
    record_checked_repair(
        house.db,
        at=at,
        actor=inspector,
        house=house.id,
        deficiency=deficiency,
        role=Role.INSPECTOR,
        put_right_by="Millbrook Stage Repairs (invented)",
        put_right_by_id="",
        done_on=(at - timedelta(days=1)).date().isoformat(),
        what=_DONE[key],
    )
    part = house.ground.tags[planted_by_key(key).tag]
    for tag_out in list_standing(house.db, house.id):
        if tag_out.line_set == part.line_set:
            release_tag_out(
                house.db,
                at=at + timedelta(minutes=20),
                today=at.date(),
                actor=inspector,
                house=house.id,
                tag_out=tag_out.id,
                role=Role.INSPECTOR,
                answers=release_answers(_DONE[key], at, [step.who or step.by_name for step in tag_out.steps]),
            )
    settle_deficiency(
        house.db,
        at=at + timedelta(minutes=30),
        actor=inspector,
        house=house.id,
        deficiency=deficiency,
        role=Role.INSPECTOR,
    )


def release_answers(done: str, at: datetime, hung: list[str]) -> dict[str, str]:
    """All that a release is asked, as the invented house answers it."""
    return {
        "reason": done,
        "work_by": "Millbrook Stage Repairs (invented)",
        "checked_by": "The qualified inspector",
        "checked": "Each fastening, by hand and with a torque wrench; the parts beside it; the set's neighbours by eye",
        "travel_empty": "Grid to deck and back, twice; even and quiet",
        "travel_loaded": "Grid to deck and back with the usual drop on; lock held at three heights",
        "travel_first": "The qualified inspector",
        "travel_second": "The technical director",
        "locks_off": f"{', '.join(dict.fromkeys(hung)) or 'None was hung'}: each took off their own",
        "label": "Nothing on label and schedule changes",
        "crew_told": "All operators, at the call, by the technical director",
        "relook_on": (at.date() + timedelta(days=30)).isoformat(),
    }


def _stop_wrong_set(house: House, at: datetime) -> None:
    """A helper hears set 7 by radio and stops set 6; both who were there take it back."""
    phone = house.phones["helper"]
    phone.begin("", at)
    phone.note("stop", why="Rope lock creeps", line_set=house.line_set(WRONG_STOP_SET))
    phone.send(at + timedelta(minutes=1))
    wrong = next(t for t in list_standing(house.db, house.id) if t.line_set == house.line_set(WRONG_STOP_SET))
    at += timedelta(minutes=25)
    ask_withdrawal(
        house.db,
        at=at,
        actor=house.people["helper"].id,
        house=house.id,
        tag_out=wrong.id,
        reason="Set 7 was meant and is stopped; heard wrongly over the radio. Lock of set 6 tried by both: holds.",
    )
    confirm_withdrawal(
        house.db, at=at + timedelta(minutes=2), actor=house.people["td"].id, house=house.id, tag_out=wrong.id
    )


def _accept_open_well(house: House, at: datetime) -> None:
    manager = house.people["manager"]
    review_by = at.date() + timedelta(days=392 + 75)
    accept_condition(
        house.db,
        at=at,
        actor=manager.id,
        house=house.id,
        part=house.part(ACCEPTED_WELL),
        what="Head well open to the walkway for about 6 ft beside sets 26 to 30; low chain in place of the rail",
        accepted_by=manager.name,
        role="Facility manager",
        reason="The rail is made to measure and ordered. Until then: chain up, harness on, nobody alone on the grid.",
        paper="Letter of the facility manager, kept with the rescue plan",
        review_by=review_by.isoformat(),
    )


def _name_responsible(house: House, at: datetime) -> None:
    stopped = next(t for t in list_standing(house.db, house.id) if t.line_set == house.line_set(STOPPED_SET))
    record_step(
        house.db,
        at=at,
        actor=house.people["td"].id,
        house=house.id,
        tag_out=stopped.id,
        step=Step.TOLD_RAIL,
        who="All operators, at the call",
        note="Two split collars ordered; the set stays out of use until they are on and looked at",
        responsible=house.people["td"].name,
    )
