"""What stands in a house's calendar: walks at a proposed day, examinations, re-looks, reviews, repairs and gauges."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import NamedTuple

from inspect_app.domain.dark_day import Blackout, Proposal, first_free, propose
from inspect_app.domain.due import STANDING_WORDS, Standing, Tolerance, standing_of
from inspect_app.domain.interval import after, soonest
from inspect_app.domain.interval_scope import Pull, ScopePlan
from inspect_app.domain.rule_set import Rule

PAPER_TOLERANCE = Tolerance(early_days=56)  # to find an examiner takes time (our choice, no source)
AHEAD = Tolerance(early_days=14)
MOST_FORWARD = 5  # parts that are named one by one


class ItemKind(StrEnum):
    """What an item of the calendar is about."""

    WALK = "walk"
    EXAMINATION = "examination"
    RELOOK = "relook"
    TREND = "trend"
    ACCEPTED = "accepted"
    REPAIR = "repair"
    MEASURE = "measure"  # a limit or temporary measure ends
    RECHECK = "recheck"
    GAUGE = "gauge"


KIND_TITLES: Mapping[ItemKind, str] = {
    ItemKind.WALK: "Walk",
    ItemKind.EXAMINATION: "Examination",
    ItemKind.RELOOK: "Look again",
    ItemKind.TREND: "Look again, by its measures",
    ItemKind.ACCEPTED: "Review of an accepted condition",
    ItemKind.REPAIR: "Repair due",
    ItemKind.MEASURE: "Last day of a limit or measure",
    ItemKind.RECHECK: "Re-check of a measure",
    ItemKind.GAUGE: "Gauge due for calibration",
}


@dataclass(frozen=True, slots=True)
class CalendarItem:
    """One thing on one day. `key` stays the same while it is the same thing; a later `anchor` makes it the next one.

    `day` is when it is to be done: for a walk the proposed day, which may differ from `due_on`. `day` is None when no
    day could be proposed. `about` is the id of what it is about. A walk has its `parts` by standing, `bare` of them
    without any look that counted and `late` past their day, and the day from which it is offered; `is_late` when its
    proposed day is the first free one rather than a day in time.
    """

    key: str
    kind: ItemKind
    title: str
    day: date | None
    due_on: date | None
    standing: Standing
    words: str = ""
    anchor: str = ""
    about: str = ""
    last_day: date | None = None
    reasons: tuple[str, ...] = ()
    offered_from: date | None = None
    parts: Mapping[Standing, int] | None = None
    bare: int = 0
    late: int = 0
    is_late: bool = False

    @property
    def total(self) -> int:
        """How many parts a walk is about."""
        return sum(self.parts.values()) if self.parts else 0

    @property
    def shown_on(self) -> date | None:
        """The day on which a calendar shows it."""
        return self.day or self.due_on


class Dated(NamedTuple):
    """Something with a date of its own: a re-look, a review, a repair."""

    key: str
    kind: ItemKind
    title: str
    on: date
    words: str
    about: str = ""


class Diary(NamedTuple):
    """When the house can be walked: its blackouts, and the days of the week that suit it."""

    blackouts: Sequence[Blackout]
    weekdays: frozenset[int] = frozenset(range(7))

    def is_free(self, day: date) -> bool:
        """Whether the house can be walked on a day."""
        return day.weekday() in self.weekdays and not any(span.covers(day) for span in self.blackouts)


def walk_item(plan: ScopePlan, diary: Diary, today: date, names: Mapping[str, str]) -> CalendarItem | None:
    """The next walk of a scope at the day proposed for it; `names` are the tags of parts by id."""
    due = plan.due
    if due is None:
        return None
    if due.due_on is None:
        day = first_free(today, diary.blackouts, diary.weekdays)
        proposal = Proposal(day, "nothing of it is recorded yet: the first free day", late=True)
    else:
        early = plan.before is not None and due.first is not None and due.first.why != ""
        proposal = propose(
            due.due_on, today, diary.blackouts, plan.tolerance, diary.weekdays, no_later=due.last_day, or_earlier=early
        )
    return CalendarItem(
        key=plan.key,
        kind=ItemKind.WALK,
        title=plan.title,
        day=proposal.day,
        due_on=due.due_on,
        standing=due.standing,
        words=proposal.words,
        anchor=plan.anchor,
        about=plan.checklist.id,
        last_day=due.last_day,
        reasons=tuple(reasons_of(plan, names)),
        offered_from=_back(due.due_on, plan.tolerance.early_days) if due.due_on else None,
        parts=due.parts,
        bare=due.bare,
        late=due.late,
        is_late=proposal.late,
    )


def _back(day: date, days: int) -> date:
    return date.fromordinal(max(1, day.toordinal() - days))


def reasons_of(plan: ScopePlan, names: Mapping[str, str]) -> Iterable[str]:
    """Why a scope is due when it is: the part, the look that its date is counted from, the interval and the rules."""
    due = plan.due
    if due is None:
        return
    if due.first is not None and due.due_on is not None:
        tag = names.get(due.first.part, "a part")
        if due.first.why:
            yield f"brought forward for {tag}: {due.first.why}"
        elif due.first.oldest_on is not None:
            yield f"counted from {tag}, last looked at as asked on {due.first.oldest_on}"
        yield from _also_forward(plan, due.first.part, names)
    if plan.interval is not None:
        yield f"every {plan.interval.words}"
    if plan.own is not None and plan.own.reason and plan.own.interval:
        yield f"the house's own interval: {plan.own.reason}"
    yield from (f"{rule.title}: {rule.citation}" for rule in plan.rules)


def _also_forward(plan: ScopePlan, first: str, names: Mapping[str, str]) -> Iterable[str]:
    """The other parts that something brings forward, the soonest first: a walk that is due by another part, or walked
    in part, must not hide what they ask."""
    forward = (due for due in plan.dues if due.why and due.part != first)
    others = sorted((due.due_on, due.part, due.why) for due in forward if due.due_on is not None)
    for on, part, why in others[:MOST_FORWARD]:
        yield f"{names.get(part, 'a part')} is asked for by {on}: {why}"
    if (more := len(others) - MOST_FORWARD) > 0:
        yield f"{more} more {'part is' if more == 1 else 'parts are'} brought forward"


def examination_item(rule: Rule, held_on: date | None, today: date) -> CalendarItem | None:
    """An examination that somebody else's paper answers, counted from the last one that is recorded."""
    if rule.interval is None:
        return None
    due_on = after(held_on, rule.interval) if held_on else None
    state = standing_of(due_on, today, PAPER_TOLERANCE) if due_on else Standing.NEVER_RECORDED
    last = f"last held on {held_on}" if held_on else "none is recorded"
    words = f"{last}; every {rule.interval.words}, by: {rule.who}. {rule.citation}."
    return CalendarItem(
        f"rule:{rule.id}", ItemKind.EXAMINATION, rule.title, due_on, due_on, state, words,
        held_on.isoformat() if held_on else "", rule.id, due_on,
    )  # fmt: skip


def dated_item(row: Dated, today: date) -> CalendarItem:
    """Something that stands at its own date; it is overdue the day after."""
    state = standing_of(row.on, today, AHEAD)
    return CalendarItem(row.key, row.kind, row.title, row.on, row.on, state, row.words, "", row.about, row.on)


def pull_rows(pulls: Iterable[Pull], names: Mapping[str, str]) -> list[Dated]:
    """Parts whose measures ask for a look that no checklist of the house brings."""
    return [
        Dated(
            f"pull:{pull.part}:{pull.quantity}", ItemKind.TREND,
            f"{names.get(pull.part, 'A part')}: look again", pull.on, pull.why, pull.part,
        )
        for pull in pulls
    ]  # fmt: skip


class Expected(NamedTuple):
    """A later round of a walk, if each before it is walked on its proposed day; `day` is None where none is free.

    `why` says what makes it sooner than the interval does, '' otherwise.
    """

    key: str
    title: str
    day: date | None
    due_on: date
    words: str
    why: str = ""


def expected_rounds(item: CalendarItem, plan: ScopePlan, diary: Diary, today: date, until: date) -> list[Expected]:
    """The rounds that follow the next walk of a scope, up to a day. The longest list is one a day for a year.

    Where the measures of a part ask for two looks before a day, the second round is not expected later than that.
    """
    found: list[Expected] = []
    last = item.day or item.due_on
    before = plan.before if last is not None and plan.before is not None and plan.before > last else None
    while plan.interval is not None and last is not None and len(found) < 366:
        due_on, firm = after(last, plan.interval), soonest(last, *(rule.interval for rule in plan.rules))
        second = before is not None and not found and last + timedelta(days=1) < before <= due_on
        if second and before is not None:
            due_on = before - timedelta(days=1)
            firm = min(due_on, firm or due_on)
        if due_on > until:
            break
        said = propose(due_on, today, diary.blackouts, plan.tolerance, diary.weekdays, no_later=firm, or_earlier=second)
        day = said.day if said.day and said.day > last else None
        why = f"second look before {before}, by the measures" if second else ""
        found.append(Expected(item.key, item.title, day, due_on, said.words, why))
        last = max(day or due_on, last + timedelta(days=1))
    return found


def in_order(items: Iterable[CalendarItem]) -> tuple[CalendarItem, ...]:
    """Items by day; those without a day first."""
    return tuple(sorted(items, key=lambda one: (one.shown_on or date.min, one.kind, one.title, one.key)))


def standing_words(item: CalendarItem) -> str:
    """How an item stands in words: the four are told apart everywhere."""
    return STANDING_WORDS[item.standing]
