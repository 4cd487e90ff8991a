"""A collision more than two years ago in the invented house: its holds, its inspection, a line replaced, the releases.

Days count back from the day of the build. All of it is invented.
"""

import random
from collections.abc import Callable
from datetime import date, datetime, timedelta

from inspect_app.actions.event import allow_approach, open_event_walk, record_event
from inspect_app.actions.part import replace_part
from inspect_app.actions.tag_out import record_place, record_step, release_tag_out
from inspect_app.demo.crew import Habits
from inspect_app.demo.history import House, release_answers, sign
from inspect_app.demo.outing import ALOFT, BELOW, Outing, Share, walk_outing
from inspect_app.demo.planted import AFTER_COLLISION, KINKED_LINE, planted_by_key
from inspect_app.demo.repairs import FIRM
from inspect_app.domain.event import CHECKLIST, Danger, EventKind
from inspect_app.domain.inspection import Inspection
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import Step, TagAt
from inspect_app.store.event import list_events, list_held_by
from inspect_app.store.part import list_present_lives
from inspect_app.store.tag_out import get_tag_out

HAPPENED, INSPECTED, RELEASED = 868, AFTER_COLLISION, 865
HIT = "36"
WHAT = (
    "Legs 4 on 36 flown in while 35 went out: the pipes caught at about 20 ft and 36 was lifted at line 3 before both "
    "operators had stopped. Nobody hurt. Both sets stand as they stopped."
)
APPROACH = (
    "By ladder 1 and from the grid only, harness on. Nobody below sets 34 to 38; 35 and 36 are not moved until both "
    "battens are held by slings."
)
REMARKS = (
    "Sets 34 to 38 followed from the head blocks down after the collision. Line 3 of set 36 is kinked above its clamp; "
    "nothing else was found moved against its mark. How hard the pipes met is not known.\n"
    "Invented remarks of an invented inspector."
)
LOOKED = "Looked at from the grid down with the checklist after an event: no mark moved, nothing bright, nothing bent"
ENDED_PARTS = (KINKED_LINE, KINKED_LINE.replace("LL", "TA"), KINKED_LINE.replace("LL", "TB"))


def collision_days() -> dict[int, Callable[[House, datetime], None]]:
    """What happened, by days before today; the repair itself is that of a planted defect."""
    return {HAPPENED: _collide, INSPECTED: _inspect, RELEASED: _put_back}


def _collide(house: House, noon: datetime) -> None:
    """In the evening: the event with its holds, the locks and tags, and what the inspector says on the telephone."""
    admin, at = house.people["admin"], noon + timedelta(hours=9)
    event = record_event(
        house.db, at=at, actor=admin.id, house=house.id, kind=EventKind.COLLISION, danger=Danger.NOT_KNOWN, what=WHAT,
        line_set=house.line_set(HIT),
    )  # fmt: skip
    for n, tag_out in enumerate(list_held_by(house.db, house.id, event), start=1):
        record_step(
            house.db, at=at + timedelta(minutes=4 + n), actor=admin.id, house=house.id, tag_out=tag_out,
            step=Step.LOCK_AND_TAG_ON, who=admin.name, note=f"Lock and tag no. {n} on the rope lock",
        )  # fmt: skip
        found = get_tag_out(house.db, house.id, tag_out)
        if found is not None and found.line_set == house.line_set(HIT):
            record_place(
                house.db, at=at + timedelta(minutes=15), actor=admin.id, house=house.id, tag_out=tag_out,
                height="About 20 ft, as it stopped", load="Legs 4", tags_at=(TagAt.RAIL,),
            )  # fmt: skip
    inspector = house.people["inspector"]
    allow_approach(
        house.db, at=at + timedelta(minutes=50), actor=house.people["td"].id, house=house.id, event=event,
        name=inspector.name, credential=inspector.credential, who="The inspector and the technical director",
        how=APPROACH,
    )  # fmt: skip


def _inspect(house: House, noon: datetime) -> None:
    """The inspection of the sets on hold, from the grid down, signed by the inspector."""
    (event,) = list_events(house.db, house.id)
    starts = noon - timedelta(hours=2)
    walk = open_event_walk(
        house.db, at=starts, today=starts.date(), actor=house.people["inspector"].id, house=house.id, event=event.id,
        shelf=house.shelf,
    )  # fmt: skip
    held = [get_tag_out(house.db, house.id, key) for key in list_held_by(house.db, house.id, event.id)]
    chance = random.Random(f"{house.seed} event")  # noqa: S311 - variety, not a secret
    outing = Outing(
        "Inspection after an event",
        (CHECKLIST,),
        starts + timedelta(minutes=10),
        Habits(INSPECTED, chance, skip=0.0, operate=0.9),
        (Share("inspector", ALOFT | BELOW),),
        line_sets=frozenset(house.ground.numbers[tag.line_set] for tag in held if tag is not None and tag.line_set),
        opened=walk,
        locks_left="Five, on the rope locks of the sets on hold",
    )
    made = walk_outing(outing, house.phones, house.ground, house.memory, lambda _: None)
    when = made.ended + timedelta(hours=1)
    said = Inspection(
        body="Institute of Rigging Inspectors (invented)", number="0000", expires=f"end of {when.year + 2}",
        remarks=REMARKS,
    )  # fmt: skip
    sign(house, walk, when, "inspector", Role.INSPECTOR, said)


def _put_back(house: House, noon: datetime) -> None:
    """The neighbours are released; the kinked line is replaced with both its ends, and waits for its check."""
    (event,) = list_events(house.db, house.id)
    inspector = house.people["inspector"]
    for n, key in enumerate(list_held_by(house.db, house.id, event.id), start=1):
        tag_out = get_tag_out(house.db, house.id, key)
        if tag_out is None or tag_out.line_set == house.line_set(HIT):
            continue
        hung = [step.who for step in tag_out.steps]
        answers = {**release_answers(LOOKED, noon, hung), "work_by": "Nothing had to be put right"}
        release_tag_out(
            house.db, at=noon + timedelta(minutes=20 * n), today=noon.date(), actor=inspector.id, house=house.id,
            tag_out=key, role=Role.INSPECTOR, answers=answers,
        )  # fmt: skip
    _replace_line(house, noon + timedelta(hours=4))


def _replace_line(house: House, at: datetime) -> None:
    lives, on = list_present_lives(house.db, house.id), at.date()
    for tag in ENDED_PARTS:
        part = house.part(tag)
        new = replace_part(
            house.db, at=at, actor=house.people["td"].id, house=house.id, part=part, on=on, lot=_lot(on),
            attributes=dict(lives[part].attributes),
            reason=f"{planted_by_key('line-kinked').what}. New line with both ends, put in by {FIRM}.",
        )  # fmt: skip
        house.ground.lives[part] = new.id


def _lot(on: date) -> str:
    return f"R{on.year % 100:02}-9"
