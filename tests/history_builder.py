"""A house with a few years of history for tests: annual inspections with measures, a quarterly walk, repairs, a stop.

Days count back from `now`, so that what is recent stays recent. What it holds is told by its fields and below.
"""

from datetime import datetime, timedelta
from typing import Any

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.accepted_condition import accept_condition
from inspect_app.actions.deficiency import move_deficiency
from inspect_app.actions.event import record_event
from inspect_app.actions.tag_out import stop_thing
from inspect_app.config import Settings
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.store.checklist import freeze_revision
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import list_areas, list_line_sets
from tests.walk_builder import BuiltWalk, Phone, _shelf, add_person

S = DeficiencyState
ANNUAL_DAYS = (900, 735, 570, 400)  # ago; the last of them is the last inspection
DIAMETERS = ("0.2550", "0.2510", "0.2470", "0.2430")
WALK_DAY, STOP_DAY = 200, 30
STOPPED_FOR = "Hand line jumps in the lock"
DUCT = "No footing beyond the duct"
HAPPENED = "Roofers worked over the grid"


class History:
    """The house as it became. `built.td` walks and signs quarterly, `inspector` yearly."""

    def __init__(self, db: Database, settings: Settings, house: House, now: datetime) -> None:
        self.db, self.house, self.now = db, house, now.replace(hour=18, minute=0, second=0, microsecond=0)
        self.built = BuiltWalk(db, settings, house, "annual-hands-on")
        self.shelf = _shelf(settings.checklists, settings.shared)
        self.inspector: Person = add_person(db, house, "Mara Okafor", Role.INSPECTOR)
        self.inspectors_phone = Phone(db, house, self.inspector, "Inspector's phone")

    def day(self, ago: int) -> datetime:
        """The moment so many days ago."""
        return self.now - timedelta(days=ago)

    def begin(self, checklist: str, ago: int) -> BuiltWalk:
        """Open a walk on a day."""
        walk = self.built
        walk.checklist = self.shelf.checklists[checklist]
        with write_transaction(self.db):
            freeze_revision(self.db, walk.checklist, self.shelf.sources[checklist], walk.at)
        walk.id, walk.at, walk.sent = clock.new_id(), self.day(ago), {}
        scope = {
            "checklists": [{"id": checklist, "revision": walk.checklist.revision}], "line_sets": None, "areas": None,
        }  # fmt: skip
        people = {"aloft": [walk.td.name], "deck": "Joan Pell", "radio": "4", "rescue": "kit", "down_at": "22:00"}
        walk.send(
            "opening", title=walk.checklist.title, date_local=walk.at.date().isoformat(), scope=scope, people=people,
            hangs={}, cautions_read=True,
        )  # fmt: skip
        return walk

    def end(self, by_inspector: bool) -> None:
        """Close the walk and sign it."""
        self.built.close()
        if by_inspector:
            self.built.sign(
                self.inspector, role=Role.INSPECTOR, name=self.inspector.name, credential="Rigging engineer"
            )
        else:
            self.built.sign()

    def the_one(self, part: str) -> Deficiency:
        """The newest deficiency of a part."""
        rows = [row for row in list_deficiencies(self.db, self.house.id) if row.part_tag == part]
        return rows[-1]

    def move(self, part: str, to: DeficiencyState, ago: int, person: Person, role: Role, **proof: str) -> None:
        """One move in the life of the newest deficiency of a part."""
        given = {
            "decision": "replace it", "contractor": "Harbour Rigging", "put_right_by": "Harbour Rigging",
            "what": "new one, torqued", "looked_at": "tried it", "reason": "waits for the dark week",
            "decided_by": "R. Abara", "due_on": self.day(ago - 30).date().isoformat(),
            "done_on": self.day(ago).date().isoformat(), **proof,
        }  # fmt: skip
        move_deficiency(
            self.db, at=self.day(ago), actor=person.id, house=self.house.id, deficiency=self.the_one(part).id,
            to_state=to, role=role, proof=given,
        )  # fmt: skip

    def settle(self, part: str, ago: int) -> None:
        """The whole way from found to settled."""
        for to, person, role in (
            (S.DECIDED, self.built.td, Role.TD), (S.WORK_DONE, self.built.td, Role.TD),
            (S.CHECKED, self.inspector, Role.INSPECTOR), (S.SETTLED, self.inspector, Role.INSPECTOR),
        ):  # fmt: skip
            self.move(part, to, ago, person, role)


def make_history(db: Database, settings: Settings, house: House, now: datetime) -> History:
    """Four years' worth: LL 1-1 wears, LB 2-1 gets worse, HB 2 comes back, LB 1-2 is not reached, set 1 is stopped."""
    history = History(db, settings, house, now)
    for n, (ago, figure) in enumerate(zip(ANNUAL_DAYS, DIAMETERS, strict=True)):
        walk = history.begin("annual-hands-on", ago)
        walk.look("LL 1-1", points=["lift-line-diameter"], measures=[diameter(figure)])
        walk.look("HB 1")
        if n == 0:
            walk.look("LB 1-2")
            walk.finding("HB 2", "watch", note="bolt turns by hand", wear=None)
        elif n == 2:
            walk.look("LB 1-2", "not_reached", reason=DUCT)
        elif n == 3:
            walk.finding("LB 2-1", "watch", note="flange polished", wear=1)
            walk.finding("LB 2-2", "watch", note="paint gone", wear=1)
        history.end(by_inspector=True)
        if n == 0:
            history.settle("HB 2", ago - 20)
    walk = history.begin("grid-quarterly", WALK_DAY)
    old = history.the_one("LB 2-1").findings[0]
    walk.finding("LB 2-1", "restrict", answer="worse", of=old, note="groove cut through", wear=3)
    walk.finding("HB 2", "repair_by", note="bolt turns by hand again", wear=None)
    walk.look("LB 1-2", "not_reached", reason=DUCT)
    history.end(by_inspector=False)
    history.move("LB 2-1", S.DECIDED, WALK_DAY - 5, walk.td, Role.TD)
    until = (now + timedelta(days=60)).date().isoformat()
    history.move("LB 2-2", S.PUT_OFF, WALK_DAY - 5, walk.td, Role.TD, until=until)
    stop_thing(
        db, at=history.day(STOP_DAY), actor=walk.td.id, house=house.id, why=STOPPED_FOR,
        line_set=list_line_sets(db, house.id)[0].id,
    )  # fmt: skip
    record_event(
        db, at=history.day(STOP_DAY), actor=walk.td.id, house=house.id, kind=EventKind.CONSTRUCTION, danger=Danger.NO,
        what=HAPPENED, area=list_areas(db, house.id)[0].id,
    )  # fmt: skip
    accept_condition(
        db, at=history.day(STOP_DAY), actor=walk.td.id, house=house.id, part=walk.part("HB 3").id,
        what="guard missing on the upstage side", accepted_by="R. Abara", role="manager", reason="is being made",
        paper="", review_by=(now + timedelta(days=90)).date().isoformat(),
    )  # fmt: skip
    return history


def diameter(value: str) -> dict[str, Any]:
    """A rope diameter as a phone sends it."""
    return {
        "point": "lift-line-diameter", "quantity": "rope_diameter", "value": value, "unit": "in", "typed": value,
        "readings": [value], "station": "over the loft block", "gauge": "caliper C1", "load_state": "unloaded",
        "resolution": "0.0005",
    }  # fmt: skip
