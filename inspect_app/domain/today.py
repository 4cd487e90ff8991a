"""Today: what is stopped, overdue, due and waiting in a house, as a list of sentences, gravest first."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from enum import StrEnum
from typing import NamedTuple

from inspect_app.domain.calendar_item import KIND_TITLES, CalendarItem, ItemKind
from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.due import Standing
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.rule_set import Rule
from inspect_app.domain.tag_out import GROUP_TITLES, RELEASING, STEP_TITLES, Group, TagOut, group_of_tag, still_asks

_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_SIGNERS = frozenset({Role.TD, Role.INSPECTOR})


class Matter(StrEnum):
    """What a sentence is about, in the order in which they are told."""

    STOPPED = "stopped"
    OVERDUE = "overdue"
    DUE = "due"
    WAITS = "waits"
    NEVER = "never_recorded"
    AHEAD = "ahead"


MATTER_TITLES: Mapping[Matter, str] = {
    Matter.STOPPED: "Out of use",
    Matter.OVERDUE: "Overdue",
    Matter.DUE: "Due",
    Matter.WAITS: "Waiting for somebody",
    Matter.NEVER: "Never recorded",
    Matter.AHEAD: "Next in the calendar",
}


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence. `about` is what it leads to, as (noun, id); `waits_for` the roles that can do something about it,
    or `person` the one who has to."""

    matter: Matter
    text: str
    about: tuple[str, str] = ("", "")
    waits_for: frozenset[Role] = frozenset()
    person: str = ""

    def is_for(self, person: str, roles: Iterable[Role]) -> bool:
        """Whether it waits for this person, by name or by a role."""
        return self.person == person if self.person else bool(self.waits_for & set(roles))


class OpenWalk(NamedTuple):
    """A walk that is not sealed, or sealed with entries that came late. `uncounted` wait for a countersign."""

    id: str
    title: str
    on: str
    is_closed: bool
    late: int
    uncounted: int


class Phone(NamedTuple):
    """A device of which something is missing, in words."""

    id: str
    name: str
    person: str
    missing: str


class Assigned(NamedTuple):
    """A deficiency and what it waits for; `person` is who has to do it, '' when a role has to."""

    id: str
    number: int
    text: str
    person: str
    roles: frozenset[Role]
    grade_rank: int


class Barred(NamedTuple):
    """A set that is not to be used though no stop stands on it: a grade rose by itself, or a limit ran out."""

    line_set: str
    scope: str
    why: Sequence[str]


class Withdrawal(NamedTuple):
    """A stop said to be on the wrong set, that waits for its second person; not for `by`."""

    tag_out: str
    scope: str
    by_name: str


@dataclass(frozen=True, slots=True)
class TodayFacts:
    """What a house's day is told from; `items` those of its calendar, `now` the moment, in words of its own `zone`."""

    now: datetime
    zone: tzinfo
    items: Sequence[CalendarItem]
    stops: Sequence[TagOut] = ()
    barred: Sequence[Barred] = ()
    walks: Sequence[OpenWalk] = ()
    held: int = 0
    phones: Sequence[Phone] = ()
    unmet: Sequence[Rule] = ()
    assigned: Sequence[Assigned] = ()
    unfinished: Sequence[TagOut] = ()  # back in use, checked by the repairer only
    has_rules: bool = True

    @property
    def today(self) -> date:
        """The day by the house's clock."""
        return self.now.astimezone(self.zone).date()


def day_words(day: date, today: date) -> str:
    """A day as people say it: today, tomorrow, yesterday, a weekday within a week, else the date."""
    ahead = (day - today).days
    named = {0: "today", 1: "tomorrow", -1: "yesterday"}
    if ahead in named:
        return named[ahead]
    if 1 < ahead < 7 or -7 < ahead < -1:
        return f"{_NAMES[day.weekday()]} {day.isoformat()}"
    return day.isoformat()


def since_words(day: date, today: date) -> str:
    """Since when, as people say it."""
    ago = (today - day).days
    if ago <= 0:
        return "since today"
    return (
        "since yesterday" if ago == 1 else f"since {_NAMES[day.weekday()]}" if ago < 7 else f"since {day.isoformat()}"
    )


def sentences_of(facts: TodayFacts) -> tuple[Sentence, ...]:
    """All sentences of a day, in the order in which they are told; what is graded stop use leads its matter."""
    rows = [*map(lambda stop: _stopped(stop, facts), facts.stops), *map(_barred, facts.barred)]
    rows += [row for item in facts.items for row in _item(item, facts.today)]
    rows += [*_walks(facts), *_held(facts), *_phones(facts), *_unfinished(facts), *_assigned(facts), *_rules(facts)]
    order = {matter: n for n, matter in enumerate(Matter)}
    stops = {("deficiency", row.id) for row in facts.assigned if row.grade_rank == GRADE_RANK[Grade.STOP_USE]}
    return tuple(sorted(rows, key=lambda row: (order[row.matter], row.about not in stops)))


def _stopped(stop: TagOut, facts: TodayFacts) -> Sentence:
    since = since_words(stop.raised_at.astimezone(facts.zone).date(), facts.today)
    asks = still_asks(stop)
    group = group_of_tag(stop)
    roles = RELEASING[group]
    who = " or ".join(ROLE_TITLES[role].lower() for role in Role if role in roles)
    if asks:
        waits = "nobody has recorded yet: " + "; ".join(STEP_TITLES[step].lower() for step in asks)
    elif stop.responsible:
        waits = f"{stop.responsible} sees to it; released only by a {who} ({GROUP_TITLES[group]})"
    else:
        waits = f"nobody is named who sees to it; released only by a {who} ({GROUP_TITLES[group]})"
    scope = f"{stop.scope} ({stop.part_tag})" if stop.part_tag and stop.part_tag not in stop.scope else stop.scope
    text = f"{scope} is stopped {since}: {stop.why.rstrip('.')}. Waits: {waits}."
    for_whom = frozenset(Role) - {Role.HELPER} if asks or not stop.responsible else roles
    return Sentence(Matter.STOPPED, text, ("tag_out", stop.id), for_whom)


def _barred(one: Barred) -> Sentence:
    why = "; ".join(text.rstrip(".") for text in one.why)
    return Sentence(Matter.STOPPED, f"{one.scope} is not to be used: {why}.", ("line_set", one.line_set), _SIGNERS)


_FOR_KIND: Mapping[ItemKind, frozenset[Role]] = {
    ItemKind.WALK: _SIGNERS,
    ItemKind.EXAMINATION: frozenset({Role.TD, Role.MANAGER}),
    ItemKind.RELOOK: _SIGNERS,
    ItemKind.TREND: _SIGNERS,
    ItemKind.ACCEPTED: frozenset({Role.TD, Role.INSPECTOR, Role.MANAGER}),
    ItemKind.REPAIR: frozenset({Role.TD, Role.MANAGER}),
    ItemKind.MEASURE: frozenset({Role.TD, Role.INSPECTOR, Role.MANAGER}),
    ItemKind.RECHECK: _SIGNERS,
    ItemKind.GAUGE: frozenset({Role.TD}),
}
_NOUN: Mapping[ItemKind, str] = {
    ItemKind.WALK: "calendar",
    ItemKind.EXAMINATION: "interval",
    ItemKind.RELOOK: "part",
    ItemKind.TREND: "part",
    ItemKind.ACCEPTED: "part",
    ItemKind.REPAIR: "deficiency",
    ItemKind.MEASURE: "restriction",
    ItemKind.RECHECK: "restriction",
    ItemKind.GAUGE: "gauge",
}


_MATTER: Mapping[Standing, Matter] = {
    Standing.OVERDUE: Matter.OVERDUE,
    Standing.DUE: Matter.DUE,
    Standing.NEVER_RECORDED: Matter.NEVER,
    Standing.DONE: Matter.AHEAD,
}


def _item(item: CalendarItem, today: date) -> Iterable[Sentence]:
    about, roles = (_NOUN[item.kind], item.about), _FOR_KIND[item.kind]
    if item.kind is ItemKind.WALK:
        if item.due_on is not None:
            is_ahead = item.standing is Standing.DUE and item.offered_from is not None and today < item.offered_from
            matter = Matter.AHEAD if is_ahead else _MATTER[item.standing]
            yield Sentence(matter, _walk_text(item, today), about, roles)
        if item.parts is not None and item.parts[Standing.NEVER_RECORDED]:
            yield Sentence(Matter.NEVER, _never_text(item, today), about, roles)
    elif item.standing is not Standing.DONE:
        yield Sentence(_MATTER[item.standing], _dated_text(item, today), about, roles)


def _never_text(item: CalendarItem, today: date) -> str:
    never = item.parts[Standing.NEVER_RECORDED] if item.parts else 0
    partly = never - item.bare
    said = [f"{item.bare} of {_count(item.total, 'part')} never recorded at all"] if item.bare else []
    if partly:
        said.append(f"{partly} of {_count(item.total, 'part')} with points that nobody has looked at as asked")
    text = f"{item.title}: {', and '.join(said)}"
    return f"{text}; {_proposed(item, today)}." if item.due_on is None else f"{text}."


def _proposed(item: CalendarItem, today: date) -> str:
    return f"proposed for {day_words(item.day, today)}" if item.day else f"no day can be proposed: {item.words}"


def _walk_text(item: CalendarItem, today: date) -> str:
    why = f" ({item.reasons[0]})" if item.reasons else ""
    if item.standing is not Standing.OVERDUE:
        return f"{item.title} is due {day_words(item.due_on or today, today)}{why}; {_proposed(item, today)}."
    days = (today - (item.last_day or today)).days
    parts = f", {item.late} of {_count(item.total, 'part')} by now" if item.late else ""
    return (
        f"{item.title} was due {item.due_on} and is overdue by {_count(days, 'day')}{parts}{why}; "
        f"{_proposed(item, today)}."
    )


def _dated_text(item: CalendarItem, today: date) -> str:
    head = f"{KIND_TITLES[item.kind]}: {item.title.split(': look again')[0]}"
    words = f". {item.words[0].upper()}{item.words[1:].rstrip('.')}." if item.words else "."
    if item.due_on is None:
        return f"{head}{words}"
    if item.standing is Standing.OVERDUE:
        days = (today - item.due_on).days
        return f"{head}, by {item.due_on}: overdue by {days} day{'' if days == 1 else 's'}{words}"
    return f"{head}, by {day_words(item.due_on, today)}{words}"


def _walks(facts: TodayFacts) -> Iterable[Sentence]:
    for walk in facts.walks:
        about = ("walk", walk.id)
        if walk.uncounted:
            text = f"{walk.title} of {walk.on}: {_count(walk.uncounted, 'look')} by a helper wait to be countersigned."
            yield Sentence(Matter.WAITS, text, about, _SIGNERS)
        if walk.late:
            verb = "waits" if walk.late == 1 else "wait"
            came = f"{_count(walk.late, 'entry', 'entries')} came after it was signed and {verb} for an amendment"
            yield Sentence(Matter.WAITS, f"{walk.title} of {walk.on}: {came}.", about, _SIGNERS)
        elif walk.is_closed:
            text = f"{walk.title} of {walk.on} waits to be reviewed and signed; until then it restarts no date."
            yield Sentence(Matter.WAITS, text, about, _SIGNERS)
        else:
            text = f"{walk.title} of {walk.on} is still open: nobody has said that everybody is down."
            yield Sentence(Matter.WAITS, text, about, frozenset(Role))


def _held(facts: TodayFacts) -> Iterable[Sentence]:
    if facts.held:
        verb = "was" if facts.held == 1 else "were"
        text = f"{_count(facts.held, 'entry', 'entries')} from phones could not be understood and {verb} held"
        yield Sentence(Matter.WAITS, f"{text} for a person to read.", ("held", ""), _SIGNERS)


def _phones(facts: TodayFacts) -> Iterable[Sentence]:
    for phone in facts.phones:
        text = f"{phone.name} of {phone.person} has not sent everything: {phone.missing}."
        yield Sentence(Matter.WAITS, text, ("device", ""), _SIGNERS)


def _unfinished(facts: TodayFacts) -> Iterable[Sentence]:
    for stop in facts.unfinished:
        text = f"{stop.scope} is back in use, checked by the repairer only: it waits for a check by somebody else."
        yield Sentence(Matter.WAITS, text, ("tag_out", stop.id), RELEASING[Group.OTHER])


def _assigned(facts: TodayFacts) -> Iterable[Sentence]:
    for row in sorted(facts.assigned, key=lambda one: (-one.grade_rank, one.number)):
        yield Sentence(Matter.WAITS, row.text, ("deficiency", row.id), row.roles, row.person)


def _rules(facts: TodayFacts) -> Iterable[Sentence]:
    if not facts.has_rules:
        text = "No rule set is chosen for this house; dates follow the intervals of the checklists alone."
        yield Sentence(Matter.WAITS, text, ("interval", ""), _SIGNERS)
    for rule in facts.unmet:
        wanted = ", ".join(sorted(rule.checklists)) or "none is named"
        text = f"{rule.title} ({rule.citation}) asks for a checklist that cannot be used here: {wanted}."
        yield Sentence(Matter.WAITS, text, ("interval", ""), _SIGNERS)


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def is_pressing(sentences: Iterable[Sentence]) -> bool:
    """Whether something is stopped or overdue."""
    return any(row.matter in (Matter.STOPPED, Matter.OVERDUE) for row in sentences)
