"""A work order: what is to be put right and where, what binds meanwhile, what proof comes back, and who checks it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, tzinfo
from typing import NamedTuple

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import DeficiencyEvent, DeficiencyState
from inspect_app.domain.deficiency_move import needs_inspector
from inspect_app.domain.deficiency_register import RegisterRow
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.report_findings import FindingShown
from inspect_app.domain.report_measures import MeasureShown, VerdictGroup
from inspect_app.domain.report_words import GRADE_MEANS, GRADES, moment, shortened
from inspect_app.domain.restriction import KIND_TITLES, Restriction, expiry_words, is_expired, limit_words
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import GROUP_TITLES, RELEASING, Group, TagOut, group_of, group_of_tag

MOST_PHOTOS = 6
MOST_LOOKS = 3  # printed in full, the newest; the others are told in one line
CAUTIONS = (
    "This order releases nothing and allows no use. What is out of use stays as it is: it is not moved, also not to "
    "work on it, before a qualified person has said how.",
    "The stage below is clear and somebody on the deck keeps it so. Every tool is tethered. Nobody works aloft alone.",
    "Loads are off or balanced and each set is locked and ringed as the house has it; a motorised set is locked out, "
    "one lock for each person.",
    "Whoever goes up knows where the open wells and hatches are.",
    "Stop if unsure. What is found beside this order is left as it is and written down below.",
)  # common practice, no source
PROOF = (
    "What was done, and after which instructions of the maker",
    "Parts used: maker, part number, batch or serial number",
    "How it was tried: empty and loaded, how far, with whom; what was measured",
    "Photos before and after: how many, where they are",
    "What else was found, or could not be done",
)  # common practice, no source
LOAD_PATH_PROOF = "Papers that came with each part in the load path (certificate, test, torque)"


class Place(NamedTuple):
    """Where the part is, each as it is read; '' or None where that says nothing."""

    tag: str
    kind: PartKind
    line_set: str = ""
    label: str = ""
    line: int | None = None
    well: str = ""
    area: str = ""

    @property
    def rows(self) -> tuple[tuple[str, str], ...]:
        """What the order prints, in the order in which a person goes there."""
        found = (
            ("Area", self.area),
            ("Set", " ".join(filter(None, (self.line_set, self.label)))),
            ("Part", f"{self.tag}, {kind_title(self.kind)}"),
            ("Lift line", f"{self.line}, counted from the head block" if self.line else ""),
            ("Well", self.well),
        )
        return tuple((head, text) for head, text in found if text)


class PhotoPrinted(NamedTuple):
    """A photo by id and its caption; `absent` says why there is no picture, '' when there is one."""

    id: str
    caption: str
    absent: str = ""


@dataclass(frozen=True, slots=True)
class FoundPrinted:
    """One look that found it: the fact, the wear, the citations; `stop_words` are what the checklist says ends use."""

    head: str
    point: str
    fact: str
    wear: str
    citations: tuple[str, ...]
    stop_words: str
    photos: tuple[PhotoPrinted, ...] = ()


@dataclass(frozen=True, slots=True)
class WorkOrder:
    """One order, all of it text. `stops` and `limits` are what binds the place now; `facts` are (head, text)."""

    number: int
    tag: str
    where: str
    place: tuple[tuple[str, str], ...]
    what: str
    grade: str
    grade_word: str
    grade_means: str
    facts: tuple[tuple[str, str], ...]
    due: str
    overdue: bool
    who: str
    order_number: str
    stops: tuple[str, ...]
    limits: tuple[str, ...]
    found: tuple[FoundPrinted, ...]
    check: str
    release: tuple[str, ...]
    proof: tuple[str, ...]
    more_photos: int
    earlier: str = ""
    page: str = ""

    @property
    def photo_ids(self) -> tuple[str, ...]:
        """The photos whose pictures it prints."""
        return tuple(photo.id for row in self.found for photo in row.photos if not photo.absent)


class Bound(NamedTuple):
    """What stands against a place now: tag-outs, and restrictions and temporary measures that nobody has ended."""

    stops: Sequence[TagOut] = ()
    restrictions: Sequence[Restriction] = ()


def work_order(
    row: RegisterRow,
    place: Place,
    events: Iterable[DeficiencyEvent],
    found: Sequence[FoundPrinted],
    bound: Bound,
    *,
    zone: tzinfo,
    today: date,
    page: str = "",
) -> WorkOrder:
    """The order for one deficiency; `found` newest first, `page` the address of its page in the log.

    Costs are left out: the paper goes to whoever does the work.
    """
    one, group = row.row, group_of(place.kind, on_line_set=False)
    shown, left = _few_photos(found[:MOST_LOOKS])
    older = found[MOST_LOOKS:]
    return WorkOrder(
        number=one.number,
        tag=place.tag,
        where=", ".join(filter(None, (f"set {place.line_set}" if place.line_set else "", place.area))),
        place=place.rows,
        what=one.what,
        grade=one.grade.value,
        grade_word=GRADES[one.grade.value],
        grade_means=GRADE_MEANS[one.grade.value],
        facts=_facts(row, tuple(events), zone),
        due=row.due.isoformat() + ("" if row.due_set else " (by the house's days)"),
        overdue=row.overdue,
        who=row.who,
        order_number=one.order_number,
        stops=tuple(_stop_words(stop, zone) for stop in bound.stops),
        limits=tuple(_limit(one, today) for one in bound.restrictions) or _no_limit(one.grade, bound.stops),
        found=shown,
        check=_check(group, row),
        release=tuple(_release(stop) for stop in bound.stops),
        proof=PROOF if group is Group.OTHER else (*PROOF[:2], LOAD_PATH_PROOF, *PROOF[2:]),
        more_photos=left + sum(len(look.photos) for look in older),
        earlier="; ".join(look.head for look in older),
        page=page,
    )


def _facts(row: RegisterRow, events: Sequence[DeficiencyEvent], zone: tzinfo) -> tuple[tuple[str, str], ...]:
    one = row.row
    moved = [event for event in events if event.from_state != event.to_state]
    decided = next((event for event in reversed(moved) if event.to_state == DeficiencyState.DECIDED), None)
    back = moved[-1] if moved and moved[-1].to_state == DeficiencyState.SENT_BACK else None
    recurring = f"found again after number {one.again_of} was checked and settled" if one.recurring else ""
    again = f"found again after number {one.again_of} was closed" if one.again_of and not one.recurring else recurring
    found = (
        ("State", row.state),
        ("Risk, inside the grade", row.risk),
        ("Decision", decided.proof.get("decision", "") or decided.note if decided else "none is recorded yet"),
        ("Decided by", _signed(decided, zone) if decided else ""),
        ("Sent back", f"{back.note or back.proof.get('reason', '')} ({_signed(back, zone)})" if back else ""),
        ("Found on", one.found_at.astimezone(zone).date().isoformat()),
        ("Again", again),
        ("Accepted", f"by the house until {row.accepted_until}" if row.accepted_until else ""),
    )
    return tuple((head, text) for head, text in found if text)


def _signed(event: DeficiencyEvent, zone: tzinfo) -> str:
    role = f", {event.role.replace('_', ' ')}" if event.role else ""
    return f"{event.by_name or 'name not recorded'}{role}, {moment(event.at.isoformat(), zone)}"


def _stop_words(stop: TagOut, zone: tzinfo) -> str:
    named = f" ({stop.part_tag})" if stop.part_tag and stop.part_tag not in stop.scope else ""
    held = "On hold after an event" if stop.event else "Out of use"
    return (
        f"{held}: do not move. {stop.scope}{named}: {stop.why.rstrip('.')}. "
        f"Raised by {stop.raised_by_name}, {moment(stop.raised_at.isoformat(), zone)}."
    )


def _limit(one: Restriction, today: date) -> str:
    if is_expired(one, today):
        return expiry_words(one)
    return f"{one.scope or one.part_tag}, {KIND_TITLES[one.kind]}: {limit_words(one)}"


def _no_limit(grade: Grade, stops: Sequence[TagOut]) -> tuple[str, ...]:
    """What is missing where the grade asks for a limit or a stop and the log has none."""
    if grade is Grade.RESTRICT and not stops:
        return ("No limit is recorded in the log: ask before it is used, and within which limit.",)
    if grade is Grade.STOP_USE and not stops:
        return ("No tag-out stands in the log for this place: ask before anything is moved or used.",)
    return ()


def _check(group: Group, row: RegisterRow) -> str:
    if needs_inspector(group, row.row.grade):
        return f"a qualified inspector other than who put it right ({GROUP_TITLES[group]})"
    return "a technical director or a qualified inspector, other than who put it right"


def _release(stop: TagOut) -> str:
    group = group_of_tag(stop)
    who = " or a ".join(ROLE_TITLES[role].lower() for role in Role if role in RELEASING[group])
    paper = ", with an engineer's paper" if group is Group.STRUCTURE else ""
    return f"{stop.scope}: released in the log only by a {who}{paper} ({GROUP_TITLES[group]}), after the check"


def _few_photos(found: Sequence[FoundPrinted]) -> tuple[tuple[FoundPrinted, ...], int]:
    """The looks with no more than MOST_PHOTOS photos in all, and how many are left out."""
    left, kept, over = MOST_PHOTOS, [], 0
    for one in found:
        few = one.photos[:left]
        over, left = over + len(one.photos) - len(few), left - len(few)
        kept.append(FoundPrinted(one.head, one.point, one.fact, one.wear, one.citations, one.stop_words, few))
    return tuple(kept), over


def found_printed(shown: FindingShown) -> FoundPrinted:
    """A finding of walk data as the order prints it, with every rule that is cited of its figures."""
    cited = [f"Basis of the point: {shown.basis}"] if shown.basis else []
    for measure in shown.measures:
        at = f", {measure.station}" if measure.station and measure.station != "none recorded" else ""
        cited += [f"{measure.quantity} {measure.value}{at}: {_group(group)}" for group in measure.groups]
        cited += [] if measure.groups else [f"{measure.quantity} {measure.value}{at}: no criterion"]
        cited += [f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in _about(measure)]
    cited += [_group(group) for group in shown.conditions]
    return FoundPrinted(
        head=f"{shown.answer}, {shown.by}",
        point=shown.point,
        fact=shown.fact,
        wear=shown.wear,
        citations=tuple(cited),
        stop_words=shown.stop_words,
        photos=tuple(PhotoPrinted(one.id, one.caption.partition(", ")[2], one.absent) for one in shown.photos),
    )


def _about(measure: MeasureShown) -> Iterable[str]:
    """What is said with a figure's verdicts: what governs and who chose it, and what it was measured on."""
    return filter(None, (measure.governing, measure.former, measure.differs))


def _group(group: VerdictGroup) -> str:
    return ". ".join(filter(None, (group.words.rstrip("."), "; ".join(group.rules))))


class OrderLine(NamedTuple):
    """One line of the list in front of the orders of one contractor."""

    number: int
    tag: str
    what: str
    grade_word: str
    due: str
    overdue: bool
    order_number: str
    stopped: bool


def order_lines(orders: Iterable[WorkOrder]) -> tuple[OrderLine, ...]:
    """The list in front of several orders."""
    return tuple(
        OrderLine(
            one.number, one.tag, shortened(one.what, 120), one.grade_word, one.due, one.overdue, one.order_number,
            bool(one.stops),
        )
        for one in orders
    )  # fmt: skip


def contractors(rows: Iterable[RegisterRow]) -> list[tuple[str, int]]:
    """(who, how many orders) for each contractor, and each person without one, who has something open to do."""
    names: dict[str, str] = {}
    counts: dict[str, int] = {}
    for row in rows:
        name = doer(row)
        if name and is_to_do(row):
            key = name.casefold()
            names.setdefault(key, name)
            counts[key] = counts.get(key, 0) + 1
    return [(names[key], counts[key]) for key in sorted(names)]


def doer(row: RegisterRow) -> str:
    """Who does the work: the contractor, or else the person who is responsible."""
    return row.row.contractor or row.row.responsible_name


def is_to_do(row: RegisterRow) -> bool:
    """Whether there is work to do on it: open, not put off, not done already."""
    done = (DeficiencyState.WORK_DONE, DeficiencyState.CHECKED, DeficiencyState.PUT_OFF)
    return row.row.open and row.row.state not in done
