"""Deficiencies: the thing to repair that findings point at, where it stands, and what happened to it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from inspect_app.domain.checklist import GRADE_RANK, Grade


class DeficiencyState(StrEnum):
    """Where a deficiency stands."""

    FOUND = "found"
    DECIDED = "decided"
    IN_HAND = "in_hand"
    WORK_DONE = "work_done"
    CHECKED = "checked"
    SETTLED = "settled"
    SENT_BACK = "sent_back"
    PUT_OFF = "put_off"
    NO_FAULT = "no_fault"
    SAME = "same"  # as another one, which carries on


STATE_TITLES: Mapping[DeficiencyState, str] = {
    DeficiencyState.FOUND: "found",
    DeficiencyState.DECIDED: "decided",
    DeficiencyState.IN_HAND: "in hand",
    DeficiencyState.WORK_DONE: "work done",
    DeficiencyState.CHECKED: "checked",
    DeficiencyState.SETTLED: "settled",
    DeficiencyState.SENT_BACK: "sent back",
    DeficiencyState.PUT_OFF: "put off",
    DeficiencyState.NO_FAULT: "no fault",
    DeficiencyState.SAME: "same as another",
}
CLOSED_STATES = frozenset({DeficiencyState.SETTLED, DeficiencyState.NO_FAULT})
OPEN_STATES = frozenset(DeficiencyState) - CLOSED_STATES - {DeficiencyState.SAME}


class Answer(StrEnum):
    """What a finding says of a deficiency that is known."""

    NEW = "new"
    STILL_THERE = "still_there"
    WORSE = "worse"
    NOT_SEEN_NOW = "not_seen_now"


FINDS_AGAIN = frozenset({Answer.NEW, Answer.STILL_THERE, Answer.WORSE})  # *not seen now* settles nothing, finds nothing


@dataclass(frozen=True, slots=True)
class Deficiency:
    """One deficiency as it stands. `findings` are the ids of the findings that point at it, oldest first.

    Dates are ISO text, '' when there is none. `due_on` is the date somebody set; without one the house's days for the
    grade count (domain/repair_policy.py). `responsible` and `repairer` are ids of people of the house; a contractor
    goes by name. `again_of` is the number of the settled or dismissed one that this is again, `again_of_id` its id.
    `found_at` is when somebody saw it, `known_at` when the first of its findings came into the log.
    """

    id: str
    house: str
    number: int
    part: str
    what: str
    grade: Grade
    state: DeficiencyState
    found_at: datetime
    due_on: str = ""
    part_tag: str = ""
    part_kind: str = ""
    line_set: str = ""
    findings: tuple[str, ...] = ()
    line_set_id: str = ""
    area: str = ""
    area_name: str = ""
    severity: str = ""
    probability: str = ""
    responsible: str = ""
    responsible_name: str = ""
    contractor: str = ""
    order_number: str = ""
    put_off_until: str = ""
    repairer: str = ""
    put_right_by: str = ""
    done_on: str = ""
    own_check: bool = False
    again_of: int | None = None
    again_of_id: str = ""
    recurring: bool = False
    made_by: str = ""
    known_at: datetime | None = None

    @property
    def open(self) -> bool:
        """Whether somebody still has to do something about it."""
        return self.state in OPEN_STATES

    def back_from_put_off(self, today: date) -> bool:
        """Whether the day until which it was put off has passed, or its grade has risen to stop use, which is never put
        off, so that it waits for a decision again."""
        ended = self.put_off_until < today.isoformat() or self.grade is Grade.STOP_USE
        return self.state is DeficiencyState.PUT_OFF and ended

    def put_off(self, today: date) -> bool:
        """Whether it rests by a decision whose day has not passed."""
        return self.state is DeficiencyState.PUT_OFF and not self.back_from_put_off(today)


@dataclass(frozen=True, slots=True)
class DeficiencyEvent:
    """One move or remark in the life of a deficiency, with the proof as it was given."""

    from_state: str
    to_state: str
    by: str
    by_name: str
    role: str
    at: datetime
    note: str
    proof: Mapping[str, str]
    id: str = ""


def worse_grade(known: Grade, said: Grade) -> Grade:
    """The graver of two grades: a finding raises a deficiency's grade, it never lowers it."""
    return max(known, said, key=lambda grade: GRADE_RANK[grade])


def state_words(row: Deficiency, today: date) -> str:
    """The state as it is read: with the date of a put-off, or the mark of a check by the repairer alone."""
    if row.state is DeficiencyState.PUT_OFF:
        if row.back_from_put_off(today):
            why = "stop use now" if row.grade is Grade.STOP_USE else "that day has passed"
            return f"put off until {row.put_off_until}: {why}, decide again"
        return f"put off until {row.put_off_until}"
    if row.state is DeficiencyState.WORK_DONE and row.own_check:
        return "work done, checked by the repairer only: unfinished"
    return STATE_TITLES[row.state]
