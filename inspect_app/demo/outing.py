"""One walk with its crew, from the opening to the closing of each phone; the same for the past and for today."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from inspect_app.demo.crew import Ground, Habits, Memory, Round
from inspect_app.demo.gauge import count_broken_wires, measure_guardrails, walk_gauge_round
from inspect_app.demo.phone import Phone
from inspect_app.demo.planted import planted_by_key
from inspect_app.domain.checklist import Vantage

GAUGE_ROUND = "gauge-round"
ALOFT = frozenset({Vantage.GRID, Vantage.MACHINE, Vantage.ACCESS})
BELOW = frozenset({Vantage.RAIL, Vantage.DECK, Vantage.BRIDGE, Vantage.BATTEN})


@dataclass(frozen=True, slots=True)
class Share:
    """What one person of the crew walks: everything of some vantages, at some stops only on some sets."""

    who: str
    vantages: frozenset[Vantage]
    only: Mapping[str, frozenset[str]] = field(default_factory=dict)  # stop id -> set numbers
    just_those: bool = False  # nothing but the stops named in `only`


@dataclass(frozen=True, slots=True)
class Outing:
    """A walk to be made."""

    title: str
    checklists: tuple[str, ...]
    starts: datetime
    habits: Habits
    crew: tuple[Share, ...]
    leave_out: frozenset[str] = frozenset()  # stops of the walk that nobody gets to
    overview: Mapping[str, str] = field(default_factory=dict)
    line_sets: frozenset[str] | None = None  # set numbers, None for all
    opened: str = ""  # the walk, where somebody at the desk has opened it already
    locks_left: str = ""


@dataclass(frozen=True, slots=True)
class Made:
    """A walk that was made and sent: its id, when the last phone was done, and the entries of each person."""

    walk: str
    ended: datetime
    entries: Mapping[str, tuple[str, ...]]


def walk_outing(
    outing: Outing, phones: Mapping[str, Phone], ground: Ground, memory: Memory, told: Callable[[str], None]
) -> Made:
    """Make the walk: open it if need be, walk every share, close every phone; then send all when everybody is down."""
    first = phones[outing.crew[0].who]
    first.moment = outing.starts
    walk = outing.opened or first.new_id()
    seen: set[str] = set()
    for n, share in enumerate(outing.crew):
        phone = phones[share.who]
        phone.begin(walk, outing.starts + timedelta(minutes=3 * n))
        if n == 0 and not outing.opened:
            _open(outing, phones, ground)
        _walk_share(outing, share, Round(phone, ground, outing.habits, memory, seen, outing.overview))
        told(f"{phone.person.name}: {len(phone.own)} entries, {len(phone.shots)} photos on the phone")
    ended = max(phones[share.who].moment for share in outing.crew) + timedelta(minutes=4)
    entries = {}
    for n, share in enumerate(outing.crew):
        phone = phones[share.who]
        entries[share.who] = tuple(entry for _, entry in phone.own)
        phone.moment = ended + timedelta(minutes=n)
        _close(outing, phone, phones)
        phone.send(ended + timedelta(minutes=len(outing.crew) + n), told)
    return Made(walk, ended + timedelta(minutes=2 * len(outing.crew)), entries)


def _open(outing: Outing, phones: Mapping[str, Phone], ground: Ground) -> None:
    phone = phones[outing.crew[0].who]
    names = [phones[share.who].person.name for share in outing.crew]
    local = phone.moment.astimezone(ZoneInfo(phone.tz))
    phone.note(
        "opening",
        title=outing.title,
        date_local=local.date().isoformat(),
        scope={
            "checklists": [{"id": key, "revision": ground.checklists[key].revision} for key in outing.checklists],
            "line_sets": _scope(outing, ground),
            "areas": None,
        },
        people={
            "aloft": names[:1],
            "deck": names[-1],
            "radio": "channel 4",
            "rescue": "stage door, house line 10",
            "down_at": (local + timedelta(hours=5)).strftime("%H:%M"),
        },
        hangs={line_set.id: line_set.label for line_set in ground.inventory.line_sets if line_set.label},
        cautions_read=True,
    )


def _scope(outing: Outing, ground: Ground) -> list[str] | None:
    if outing.line_sets is None:
        return None
    return [line_set.id for line_set in ground.inventory.line_sets if line_set.number in outing.line_sets]


def _walk_share(outing: Outing, share: Share, walk: Round) -> None:
    for key in outing.checklists:
        checklist = walk.ground.checklists[key]
        if key == GAUGE_ROUND:
            _gauge(share, walk)
            continue
        for stop in checklist.stops:
            left_out = stop.id in outing.leave_out or (share.just_those and stop.id not in share.only)
            if stop.vantage in share.vantages and not left_out:
                everywhere = None if outing.line_sets is None else outing.line_sets | {""}
                walk.walk(checklist, stop, share.only.get(stop.id, everywhere))


def _gauge(share: Share, walk: Round) -> None:
    if Vantage.GRID not in share.vantages:
        return
    checklist = walk.ground.checklists[GAUGE_ROUND]
    walk_gauge_round(walk, checklist)
    measure_guardrails(walk, checklist)
    wires = planted_by_key("rope-wires")
    if wires.key in walk.seen:
        count_broken_wires(walk, checklist, wires)


def _close(outing: Outing, phone: Phone, phones: Mapping[str, Phone]) -> None:
    at = phone.moment.astimezone(ZoneInfo(phone.tz)).strftime("%H:%M")
    people = [(phones[share.who].person.name, at) for share in outing.crew]
    usual = "P2 on the rope lock of set 31" if outing.habits.days_ago < 66 else "none"
    phone.close(people=people, locks_left=outing.locks_left or usual)
