"""What the office of the invented house decided, ordered, paid and put off between the walks."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.actions.deficiency import move_deficiency
from inspect_app.actions.repair_plan import change_policy, comment_on, record_cost
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import DeficiencyState
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import find_deficiency_of_finding

FIRM = "Millbrook Stage Repairs (invented)"
POLICY_DAY = 1050  # days ago: the house names its days and its currency
S = DeficiencyState


class Office(NamedTuple):
    """One thing that was done about a planted defect: by whom, days before today, and with what.

    Figures in `days` are days from then: `due_on` and `until` ahead, `done_on` back.
    """

    days_ago: int
    key: str
    who: str
    to_state: DeficiencyState | None
    texts: Mapping[str, str]
    days: Mapping[str, int] = {}
    cost: str = ""


DONE = (
    Office(500, "hand-line", "manager", S.DECIDED,
           {"decision": "New hand lines for sets 15 to 20 in one order, with the season's first.", "contractor": FIRM},
           {"due_on": 470}, "1840.00"),
    Office(485, "groove", "td", None,
           {"comment": "Same lot as the blocks of sets 13 and 15, 18 in all: B-0417. Each to be looked at in its "
            "groove; nobody gets to those at well 6 since the duct."}),
    Office(470, "groove", "manager", S.DECIDED,
           {"decision": "Sheave to be replaced; the maker is asked for one of the same groove.", "contractor": FIRM},
           {"due_on": 510}, "620.50"),
    Office(305, "leak", "manager", S.PUT_OFF,
           {"decision": "The roof is mended with the building works; until then the streak is photographed each walk.",
            "decided_by": "Odile Marchbanks"}, {"until": 430}),
    Office(300, "rope-thin", "td", S.DECIDED,
           {"decision": "All six lift lines of the set to be replaced together.", "contractor": FIRM},
           {"due_on": 330}, "2650.00"),
    Office(238, "stacks", "td", S.DECIDED,
           {"decision": "A second rack on the bridge, so that no stack stands above the kick rail.",
            "responsible": "Wren Halloway"}, {"due_on": 300}, "380.00"),
    Office(210, "hatch-rim", "td", S.DECIDED,
           {"decision": "Rim to be painted again with a paint for floors.", "responsible": "Juniper Ashdown"},
           {"due_on": 150}),
    Office(100, "hand-line", "manager", S.IN_HAND, {"contractor": FIRM, "order_number": "PO 2026-014"}),
    Office(48, "collar", "td", S.DECIDED,
           {"decision": "Two split collars ordered; the set stays out of use until they are on and looked at.",
            "contractor": FIRM}, {"due_on": 62}, "146.00"),
    Office(40, "hatch-rim", "helper", S.WORK_DONE,
           {"put_right_by": "Juniper Ashdown", "what": "Rim painted, two coats", "parts_used": "Floor paint, yellow"},
           {"done_on": 1}),
    Office(35, "rope-thin", "manager", None, {"comment": "In the budget of the coming year; asked again in spring."}),
)  # fmt: skip
_ROLES = {"td": Role.TD, "manager": Role.MANAGER, "helper": Role.HELPER}


def set_policy(db: Database, *, at: datetime, house: str, people: Mapping[str, Person]) -> None:
    """The house names its own days and its currency."""
    days = {Grade.STOP_USE: "0", Grade.RESTRICT: "30", Grade.REPAIR_BY: "150", Grade.WATCH: "365"}
    change_policy(db, at=at, actor=people["manager"].id, house=house, days=days, currency="USD")


def act(
    db: Database, done: Office, *, at: datetime, house: str, people: Mapping[str, Person], known: Mapping[str, str]
) -> None:
    """Carry out one thing on the day `at`; nothing when the defect was never noticed. `known`: finding by key."""
    found = find_deficiency_of_finding(db, house, known.get(done.key, "")) if done.key in known else None
    if found is None:
        return
    actor = people[done.who].id
    proof = dict(done.texts)
    for name, days in done.days.items():
        ahead = timedelta(days=-days if name == "done_on" else days)
        proof[name] = (at + ahead).date().isoformat()
    if done.to_state is not None:
        move_deficiency(
            db, at=at, actor=actor, house=house, deficiency=found, to_state=done.to_state, role=_ROLES[done.who],
            proof=proof,
        )  # fmt: skip
    else:
        comment_on(db, at=at, actor=actor, house=house, deficiency=found, text=done.texts["comment"])
    if done.cost:
        record_cost(
            db, at=at, actor=people["manager"].id, house=house, deficiency=found, kind="estimate", amount=done.cost,
            what="quote, invented",
        )  # fmt: skip
