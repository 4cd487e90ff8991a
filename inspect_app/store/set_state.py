"""The state of every set of a house on a day, from stops, restrictions, deficiencies, looks and re-looks."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.attribute_value import shown_attribute
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.judge import BALANCE_WORDS
from inspect_app.domain.line_set import COUNTERWEIGHT_KINDS, KIND_WORDS
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.part_attributes import specs_for
from inspect_app.domain.rail_card import SetState
from inspect_app.domain.restriction import Restriction, RestrictionKind, expiry_words, is_expired, limit_words
from inspect_app.domain.tag_out import TagOut
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import get_house, list_line_sets
from inspect_app.store.part import list_parts, list_present_lives
from inspect_app.store.relook import list_relooks
from inspect_app.store.restriction import list_restrictions
from inspect_app.store.tag_out import list_standing

_Lists = defaultdict[str, list[str]]
_Pairs = defaultdict[str, list[tuple[str, str]]]
_CAPACITY = "capacity_kg"
_WEIGHTS = {
    PartKind.COUNTERWEIGHTS: (
        ("Pipe weight that stays on", "pipe_weight_kg"),
        ("One whole brick", "brick_kg"),
        ("One half brick", "half_brick_kg"),
        ("One brick of a third size", "third_brick_kg"),
    ),
    PartKind.ROPE_LOCK: (("Imbalance on the lock's plate", "imbalance_kg"),),
}


class SetPlaces(NamedTuple):
    """By part the set that it belongs to, and by area the sets that have a part in it."""

    of_part: dict[str, str]
    in_area: dict[str, tuple[str, ...]]

    def sets_of(self, one: TagOut | Restriction) -> tuple[str, ...]:
        """The sets that a stop or a restriction bears on: its own, that of its part, or all that hang in its area."""
        if one.line_set:
            return (one.line_set,)
        if one.part:
            return (self.of_part[one.part],) if one.part in self.of_part else ()
        return self.in_area.get(one.area or "", ())


def set_places(db: Database, house: str) -> SetPlaces:
    """Where the present parts of the sets of a house are."""
    parts = list_parts(db, house)
    areas: defaultdict[str, dict[str, None]] = defaultdict(dict)
    for part in parts:
        if part.line_set:
            areas[part.area][part.line_set] = None
    of_part = {part.id: part.line_set for part in parts if part.line_set}
    return SetPlaces(of_part, {area: tuple(sets) for area, sets in areas.items()})


def list_bars(db: Database, house: str, today: date) -> dict[str, list[str]]:
    """What keeps sets out of use today, by set: stops, limits that ran out, deficiencies graded stop use."""
    return _bars(db, house, set_places(db, house), list_restrictions(db, house), today)


def list_set_states(db: Database, house: str, today: date) -> list[SetState]:
    """Every present set in walking order. What stands on a part of a set counts for it, and a stop on an area for all
    sets that hang there."""
    places = set_places(db, house)
    bars, limits, around = _uses(db, house, places, today)
    walked, asked, (posted, weights) = _last_looks(db, house), _relooks(db, house, places.of_part), _posted(db, house)
    return [
        SetState(
            line_set=one.id,
            number=one.number,
            label=one.label,
            kind=KIND_WORDS[one.kind],
            bars=tuple(bars[one.id]),
            limits=tuple(limits[one.id]),
            posted=tuple(posted[one.id]),
            last_walk=walked.get(one.id, ""),
            relook_on=asked.get(one.id, ""),
            around=tuple(around[one.id]),
            weights=tuple(weights[one.id]) if one.kind in COUNTERWEIGHT_KINDS else (),
        )
        for one in list_line_sets(db, house)
    ]


def list_use(
    db: Database, house: str, line_set: str, today: date
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """What keeps one set out of use, what limits its own use and what limits the areas where it hangs: `bars`, `limits`
    and `around` of its SetState, without the looks and figures of the whole house."""
    bars, limits, around = _uses(db, house, set_places(db, house), today)
    return tuple(bars[line_set]), tuple(limits[line_set]), tuple(around[line_set])


def _uses(db: Database, house: str, places: SetPlaces, today: date) -> tuple[_Lists, _Lists, _Lists]:
    restrictions = list_restrictions(db, house)
    bars, limits, around = _bars(db, house, places, restrictions, today), _Lists(list), _Lists(list)
    for one in restrictions:
        for line_set in () if _bars_use(one, today) else places.sets_of(one):
            (around if one.area else limits)[line_set].append(f"{_where(one)}{_limit_words(one, today)}")
    _say_missing_limits(db, house, places.of_part, limits)
    return bars, limits, around


def list_other_bars(db: Database, house: str) -> list[tuple[str, str]]:
    """(what, why) of the areas and parts of no set that are out of use, by a stop or by a grade that says so."""
    stops = [stop for stop in list_standing(db, house) if not stop.line_set]
    stopped = {stop.part for stop in stops}
    graded = [
        (one.part_tag, f"Deficiency {one.number} is graded stop use: {one.what}")
        for one in list_deficiencies(db, house, open_only=True)
        if one.grade is Grade.STOP_USE and not one.line_set_id and one.part not in stopped
    ]
    return [*((stop.scope, stop.why) for stop in stops), *graded]


def list_other_limits(db: Database, house: str, today: date) -> list[tuple[str, str]]:
    """(what, limit) of the areas and parts of no set whose use is limited."""
    return [(one.scope, _limit_words(one, today)) for one in list_restrictions(db, house) if not one.line_set]


def _limit_words(one: Restriction, today: date) -> str:
    return expiry_words(one) if is_expired(one, today) else limit_words(one)


def _bars(db: Database, house: str, places: SetPlaces, restrictions: Sequence[Restriction], today: date) -> _Lists:
    bars = _Lists(list)
    for stop in list_standing(db, house):
        held = "On hold after an event: " if stop.event else "Stopped: "
        for line_set in places.sets_of(stop):
            bars[line_set].append(f"{held}{_where(stop)}{stop.why}")
    for row in list_deficiencies(db, house, open_only=True):
        own = places.of_part.get(row.part)
        if own and row.grade is Grade.STOP_USE:
            bars[own].append(f"Deficiency {row.number} on {row.part_tag} is graded stop use: {row.what}")
    for one in restrictions:
        if _bars_use(one, today):
            for line_set in places.sets_of(one):
                bars[line_set].append(f"{_where(one)}{expiry_words(one)}")
    return bars


def _bars_use(one: Restriction, today: date) -> bool:
    """Whether it ran out and left nothing that allows use of a set. A measure that ran out raises its deficiency
    instead, and what ran out for an area is said on each card and decided for the area."""
    return is_expired(one, today) and one.kind is not RestrictionKind.MEASURE and not one.area


def _where(one: TagOut | Restriction) -> str:
    """The part or area that a text is about, where it is not about the whole set."""
    if isinstance(one, TagOut) and one.part_tag:
        return f"{one.part_tag}: "
    return f"{one.scope}: " if one.area else ""


def _say_missing_limits(db: Database, house: str, set_of: dict[str, str], limits: _Lists) -> None:
    """Whatever is graded restrict and has no limit yet says so on its set."""
    for one in list_unlimited(db, house):
        line_set = set_of.get(one.part)
        if line_set:
            limits[line_set].append(
                f"Deficiency {one.number} on {one.part_tag} is graded restrict and has no limit yet ({one.what}): "
                "ask before use"
            )


def list_unlimited(db: Database, house: str) -> list[Deficiency]:
    """Open deficiencies graded restrict for which nobody has said which load, travel, who and until."""
    limited = {one.deficiency for one in list_restrictions(db, house) if one.kind is RestrictionKind.LIMIT}
    return [
        one
        for one in list_deficiencies(db, house, open_only=True)
        if one.grade is Grade.RESTRICT and one.id not in limited
    ]


def _last_looks(db: Database, house: str) -> dict[str, str]:
    """The local day of the newest look at any part of a set, by set."""
    rows = db.execute(
        "SELECT p.line_set, max(w.date_local) FROM look l JOIN part p ON p.id = l.part JOIN walk w ON w.id = l.walk "
        "WHERE p.house = ? AND p.line_set IS NOT NULL AND l.result <> 'withdrawn' GROUP BY p.line_set",
        (to_key(house),),
    )
    return {from_key(key): day for key, day in rows.fetchall()}


def _relooks(db: Database, house: str, set_of: dict[str, str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for one in list_relooks(db, house):
        line_set = set_of.get(one.part)
        if line_set:
            found[line_set] = min(found.get(line_set, "9999"), one.look_on.isoformat())
    return found


def _shown(part: Part, life: Life, key: str, units: str) -> str:
    if not life.attributes.get(key):
        return ""
    spec = next((one for one in specs_for(part.kind) if one.key == key), None)
    return shown_attribute(spec, life.attributes[key], units) if spec is not None else ""


def _posted(db: Database, house: str) -> tuple[_Pairs, _Pairs]:
    """Capacities as they are posted on parts of each set, and what the arbor is looked at by; none is worked out."""
    lives, units = list_present_lives(db, house), get_house(db, house).units
    posted: _Pairs = defaultdict(list)
    weights: _Pairs = defaultdict(list)
    for part in list_parts(db, house):
        life = lives.get(part.id)
        if not part.line_set or life is None:
            continue
        if figure := _shown(part, life, _CAPACITY, units):
            posted[part.line_set].append((part.tag, figure))
        for words, key in _WEIGHTS.get(part.kind, ()):
            if figure := _shown(part, life, key, units):
                more = f"; {BALANCE_WORDS}" if key == "imbalance_kg" else ""
                weights[part.line_set].append((words, figure + more))
    return posted, weights
