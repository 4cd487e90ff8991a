"""The state of every set of a house on a day, from stops, restrictions, deficiencies, looks and re-looks."""

from collections import defaultdict
from datetime import date

from sqlite_utils import Database

from inspect_app.domain.attribute_value import shown_attribute
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.line_set import KIND_WORDS
from inspect_app.domain.part_attributes import specs_for
from inspect_app.domain.rail_card import SetState
from inspect_app.domain.restriction import RestrictionKind, expiry_words, is_expired, limit_words
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import get_house, list_line_sets
from inspect_app.store.part import list_parts, list_present_lives
from inspect_app.store.relook import list_relooks
from inspect_app.store.restriction import list_restrictions
from inspect_app.store.tag_out import list_standing

_Lists = defaultdict[str, list[str]]
_CAPACITY = "capacity_kg"


def list_set_states(db: Database, house: str, today: date) -> list[SetState]:
    """Every present set in walking order. What stands on a part of a set, or on an area it hangs in, counts for it."""
    set_of = {part.id: part.line_set for part in list_parts(db, house) if part.line_set}
    bars, limits = _bars(db, house, set_of), _Lists(list)
    for one in list_restrictions(db, house):
        line_set = one.line_set or set_of.get(one.part or "")
        if line_set is None:
            continue
        if not is_expired(one, today):
            limits[line_set].append(limit_words(one))
        elif one.kind is not RestrictionKind.MEASURE:
            bars[line_set].append(expiry_words(one))
        else:
            limits[line_set].append(expiry_words(one))
    _say_missing_limits(db, house, set_of, limits)
    walked, asked, posted = _last_looks(db, house), _relooks(db, house, set_of), _posted(db, house)
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
        )
        for one in list_line_sets(db, house)
    ]


def list_other_bars(db: Database, house: str) -> list[tuple[str, str]]:
    """(what, why) of the areas and parts of no set that are out of use."""
    return [(stop.scope, stop.why) for stop in list_standing(db, house) if not stop.line_set]


def _bars(db: Database, house: str, set_of: dict[str, str]) -> _Lists:
    bars = _Lists(list)
    for stop in list_standing(db, house):
        if stop.line_set:
            named = f"{stop.part_tag}: " if stop.part_tag else ""
            held = "On hold after an event: " if stop.event else "Stopped: "
            bars[stop.line_set].append(f"{held}{named}{stop.why}")
    for one in list_deficiencies(db, house, open_only=True):
        line_set = set_of.get(one.part)
        if line_set and one.grade is Grade.STOP_USE:
            bars[line_set].append(f"Deficiency {one.number} on {one.part_tag} is graded stop use: {one.what}")
    return bars


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


def _posted(db: Database, house: str) -> defaultdict[str, list[tuple[str, str]]]:
    """Capacities as they are posted on parts of each set; none is worked out."""
    lives, units = list_present_lives(db, house), get_house(db, house).units
    found: defaultdict[str, list[tuple[str, str]]] = defaultdict(list)
    for part in list_parts(db, house):
        life = lives.get(part.id)
        if part.line_set and life is not None and life.attributes.get(_CAPACITY):
            spec = next((one for one in specs_for(part.kind) if one.key == _CAPACITY), None)
            if spec is not None:
                found[part.line_set].append((part.tag, shown_attribute(spec, life.attributes[_CAPACITY], units)))
    return found
