"""Tag-outs, their steps, releases and withdrawals."""

import json
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part import PartKind
from inspect_app.domain.tag_out import Step, TagAt, TagCheck, TagEnding, TagOut, TagPlace, TagState, TagStep
from inspect_app.domain.tag_release import WithdrawalAsk, checked_by_repairer_only

_COLUMNS = (
    "t.id, t.house, t.line_set, t.area, t.part, t.from_entry, t.why, t.raised_by, coalesce(p.name, ''), t.raised_at, "
    "t.responsible, t.state, s.number, a.name, q.tag, q.kind, coalesce(s.kind, ''), t.event, "
    "EXISTS (SELECT 1 FROM part x WHERE x.area = t.area AND x.line_set IS NOT NULL AND x.retired_on IS NULL) "
    "FROM tag_out t LEFT JOIN person p ON p.id = t.raised_by "
    "LEFT JOIN line_set s ON s.id = t.line_set LEFT JOIN area a ON a.id = t.area LEFT JOIN part q ON q.id = t.part"
)


def raise_tag_out(
    db: Database,
    *,
    house: str,
    line_set: str | None,
    area: str | None,
    part: str | None,
    from_entry: str | None,
    why: str,
    by: str,
    at: datetime,
    event: str | None = None,
) -> str:
    """Take a set, an area or a part out of use and return the tag-out's id; inside the caller's transaction.

    `part` may stand beside `line_set`: the part the stop was raised on. The same entry raises a scope once only, so
    that an entry read twice makes no second stop. Raises BadValue when nothing is named.
    """
    if not (line_set or area or part):
        raise BadValue("A stop must name a line set, an area or a part.")
    keys = [_key(line_set), _key(area), _key(part)]
    if from_entry:
        known = db.execute(
            "SELECT id FROM tag_out WHERE from_entry = ? AND line_set IS ? AND area IS ? AND part IS ?",
            (to_key(from_entry), *keys),
        ).fetchone()
        if known:
            return from_key(known[0])
    new = clock.new_id()
    db.execute(
        "INSERT INTO tag_out(id, house, line_set, area, part, from_entry, why, raised_by, raised_at, state, event) "
        "VALUES (?,?,?,?,?,?,?,?,?,'standing',?)",
        (to_key(new), to_key(house), *keys, _key(from_entry), why, to_key(by), _stamp(at), _key(event)),
    )
    return new


def find_same_stop(
    db: Database,
    house: str,
    *,
    line_set: str | None,
    area: str | None,
    part: str | None,
    why: str,
    by: str,
    since: datetime,
) -> str | None:
    """The stop that stands which the same person raised since then by hand, on the same thing in the same words."""
    row = db.execute(
        "SELECT id FROM tag_out WHERE house = ? AND line_set IS ? AND area IS ? AND part IS ? AND why = ? "
        "AND raised_by = ? AND raised_at > ? AND state = 'standing' AND event IS NULL AND from_entry IS NULL",
        (to_key(house), _key(line_set), _key(area), _key(part), why, to_key(by), _stamp(since)),
    ).fetchone()
    return from_key(row[0]) if row else None


def list_standing(db: Database, house: str) -> list[TagOut]:
    """All tag-outs of a house that stand now, oldest first, with their steps."""
    rows = db.execute(
        f"SELECT {_COLUMNS} WHERE t.house = ? AND t.state = 'standing' ORDER BY t.raised_at, t.id", (to_key(house),)
    )
    return _with_steps(db, rows.fetchall())


def list_tag_outs(db: Database, house: str) -> list[TagOut]:
    """All tag-outs a house ever had, newest first, with their steps."""
    rows = db.execute(f"SELECT {_COLUMNS} WHERE t.house = ? ORDER BY t.raised_at DESC, t.id DESC", (to_key(house),))
    return _with_steps(db, rows.fetchall())


def list_tag_outs_of_set(db: Database, house: str, line_set: str) -> list[TagOut]:
    """All tag-outs that a set, a part of it, or an area in which it hangs ever had, oldest first, with their steps."""
    rows = db.execute(
        f"SELECT {_COLUMNS} WHERE t.house = ? AND (t.line_set = ? OR q.line_set = ? "
        "OR t.area IN (SELECT x.area FROM part x WHERE x.line_set = ?)) ORDER BY t.raised_at, t.id",
        (to_key(house), *(to_key(line_set),) * 3),
    )
    return _with_steps(db, rows.fetchall())


def list_standing_on_part(db: Database, house: str, part: str) -> list[tuple[str, str | None]]:
    """(id, entry that raised it) of the stops that stand and were raised on this very part, oldest first."""
    rows = db.execute(
        "SELECT id, from_entry FROM tag_out WHERE house = ? AND part = ? AND state = 'standing' ORDER BY raised_at, id",
        (to_key(house), to_key(part)),
    )
    return [(from_key(key), from_key(entry) if entry else None) for key, entry in rows.fetchall()]


def set_tag_out_source(db: Database, tag_out: str, *, from_entry: str, why: str, by: str, at: datetime) -> None:
    """Let an entry that arrived later stand as the one that raised a tag-out, with its reason, person and time."""
    db.execute(
        "UPDATE tag_out SET from_entry = ?, why = ?, raised_by = ?, raised_at = ? WHERE id = ?",
        (to_key(from_entry), why, to_key(by), _stamp(at), to_key(tag_out)),
    )


def get_tag_out(db: Database, house: str, tag_out: str) -> TagOut | None:
    """One tag-out of the house."""
    rows = db.execute(f"SELECT {_COLUMNS} WHERE t.house = ? AND t.id = ?", (to_key(house), to_key(tag_out)))
    found = _with_steps(db, rows.fetchall())
    return found[0] if found else None


def find_tag_out_of_entry(db: Database, house: str, entry: str) -> TagOut | None:
    """The tag-out that an entry raised."""
    rows = db.execute(f"SELECT {_COLUMNS} WHERE t.house = ? AND t.from_entry = ?", (to_key(house), to_key(entry)))
    found = _with_steps(db, rows.fetchall())
    return found[0] if found else None


def add_step(db: Database, *, tag_out: str, step: Step, who: str, note: str, by: str, at: datetime) -> str:
    """Record a step; returns its id."""
    new = clock.new_id()
    db.execute(
        "INSERT INTO tag_step(id, tag_out, step, who, note, by, at) VALUES (?,?,?,?,?,?,?)",
        (to_key(new), to_key(tag_out), step.value, who, note, to_key(by), _stamp(at)),
    )
    return new


def add_place(
    db: Database,
    *,
    tag_out: str,
    height: str,
    load: str,
    tags_at: Iterable[TagAt],
    lockout_point: str,
    by: str,
    at: datetime,
) -> str:
    """Record how the thing was left and where tags hang; returns the row's id."""
    new, tags = clock.new_id(), " ".join(dict.fromkeys(one.value for one in tags_at))
    db.execute(
        "INSERT INTO tag_place(id, tag_out, height, load, tags_at, lockout_point, by, at) VALUES (?,?,?,?,?,?,?,?)",
        (to_key(new), to_key(tag_out), height, load, tags, lockout_point, to_key(by), _stamp(at)),
    )
    return new


def find_lockout_point(db: Database, line_set: str) -> str | None:
    """Where a motorised set is locked off, as its control's record says; '' when nobody wrote it, None for others."""
    row = db.execute("SELECT kind FROM line_set WHERE id = ?", (to_key(line_set),)).fetchone()
    if row is None or row[0] != LineSetKind.MOTOR:
        return None
    found = db.execute(
        "SELECT json_extract(l.attributes, '$.isolator') FROM part p JOIN part_life l ON l.part = p.id "
        "WHERE p.line_set = ? AND p.kind = ? AND p.retired_on IS NULL AND l.retired_on IS NULL ORDER BY p.tag",
        (to_key(line_set), PartKind.CONTROL.value),
    ).fetchall()
    return "; ".join(dict.fromkeys(point.strip() for (point,) in found if point and point.strip()))


_STANDS_FOR_ITS_SET = (PartKind.SET_TRAVEL, PartKind.HOIST, PartKind.ARBOR, PartKind.ROPE_SET, PartKind.BATTEN)


def find_part_to_look_at(db: Database, tag_out: TagOut) -> str | None:
    """The part that a look after the release is asked for: the one stopped, else one standing for its set or area."""
    if tag_out.part:
        return tag_out.part
    rows = db.execute(
        "SELECT id, kind FROM part WHERE retired_on IS NULL AND (line_set = ? OR (? IS NULL AND area = ?)) "
        "ORDER BY tag",
        (_key(tag_out.line_set), _key(tag_out.line_set), _key(tag_out.area)),
    ).fetchall()
    order = [kind.value for kind in _STANDS_FOR_ITS_SET]
    rows.sort(key=lambda row: order.index(row[1]) if row[1] in order else len(order))
    return from_key(rows[0][0]) if rows else None


def set_responsible(db: Database, tag_out: str, responsible: str) -> None:
    """Name who sees to it that the thing is put right."""
    db.execute("UPDATE tag_out SET responsible = ? WHERE id = ?", (responsible, to_key(tag_out)))


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")


def _key(text: str | None) -> bytes | None:
    return to_key(text) if text else None


def _text(key: bytes | None) -> str | None:
    return from_key(key) if key else None


def _with_steps(db: Database, rows: Iterable[tuple[object, ...]]) -> list[TagOut]:
    return [_to_tag_out(db, row) for row in rows]


def _to_tag_out(db: Database, row: tuple) -> TagOut:  # type: ignore[type-arg]
    number, area, tag, kind, set_kind, event, over_sets = row[12:19]
    scope = f"Line set {number}" if number else area or tag or ""
    return TagOut(
        id=from_key(row[0]),
        house=from_key(row[1]),
        line_set=_text(row[2]),
        area=_text(row[3]),
        part=_text(row[4]),
        from_entry=_text(row[5]),
        why=row[6],
        raised_by=from_key(row[7]),
        raised_by_name=row[8],
        raised_at=datetime.fromisoformat(row[9]),
        responsible=row[10],
        state=TagState(row[11]),
        scope=scope,
        part_tag=tag or "",
        part_kind=PartKind(kind) if kind else None,
        steps=_steps(db, row[0]),
        dead_hung=set_kind == LineSetKind.DEAD,
        motorised=set_kind == LineSetKind.MOTOR,
        event=_text(event),
        places=_places(db, row[0]),
        over_sets=bool(over_sets),
    )


def _places(db: Database, tag_out: bytes) -> tuple[TagPlace, ...]:
    rows = db.execute(
        "SELECT l.height, l.load, l.tags_at, l.lockout_point, coalesce(p.name, ''), l.at FROM tag_place l "
        "LEFT JOIN person p ON p.id = l.by WHERE l.tag_out = ? ORDER BY l.at, l.id",
        (tag_out,),
    )
    return tuple(
        TagPlace(height, load, tuple(TagAt(one) for one in tags.split()), point, name, datetime.fromisoformat(at))
        for height, load, tags, point, name, at in rows.fetchall()
    )


def _steps(db: Database, tag_out: bytes) -> tuple[TagStep, ...]:
    rows = db.execute(
        "SELECT s.step, s.who, s.by, coalesce(p.name, ''), s.at, s.note FROM tag_step s "
        "LEFT JOIN person p ON p.id = s.by WHERE s.tag_out = ? ORDER BY s.at, s.id",
        (tag_out,),
    )
    return tuple(
        TagStep(Step(step), who, from_key(by), name, datetime.fromisoformat(at), note)
        for step, who, by, name, at, note in rows.fetchall()
    )


def add_release(
    db: Database, tag_out: str, *, by: str, role: str, at: datetime, reason: str, proof: str, answers: Mapping[str, str]
) -> None:
    """Put the thing back into use; who may, and whether all is said, is judged before."""
    db.execute(
        "INSERT INTO tag_release(tag_out, by, role, at, reason, proof, answers) VALUES (?,?,?,?,?,?,?)",
        (to_key(tag_out), to_key(by), role, _stamp(at), reason, proof, json.dumps(dict(answers), ensure_ascii=False)),
    )
    db.execute("UPDATE tag_out SET state = 'released' WHERE id = ?", (to_key(tag_out),))


def add_withdrawal_ask(db: Database, tag_out: str, *, by: str, at: datetime, reason: str) -> None:
    """Note that the raiser says it is the wrong set. It stands until somebody else confirms it."""
    db.execute(
        "INSERT INTO withdrawal_ask(tag_out, by, at, reason) VALUES (?,?,?,?)",
        (to_key(tag_out), to_key(by), _stamp(at), reason),
    )


def get_withdrawal_ask(db: Database, tag_out: str) -> WithdrawalAsk | None:
    """What the raiser asked, whether it was confirmed or not."""
    row = db.execute(
        "SELECT w.by, coalesce(p.name, ''), w.at, w.reason FROM withdrawal_ask w LEFT JOIN person p ON p.id = w.by "
        "WHERE w.tag_out = ?",
        (to_key(tag_out),),
    ).fetchone()
    return WithdrawalAsk(from_key(row[0]), row[1], datetime.fromisoformat(row[2]), row[3]) if row else None


def add_withdrawal(db: Database, tag_out: str, *, by: str, second: str, at: datetime, reason: str) -> None:
    """Withdraw a stop that was raised on the wrong set, both people named."""
    db.execute(
        "INSERT INTO tag_withdrawal(tag_out, by, second, at, reason) VALUES (?,?,?,?,?)",
        (to_key(tag_out), to_key(by), to_key(second), _stamp(at), reason),
    )
    db.execute("UPDATE tag_out SET state = 'withdrawn' WHERE id = ?", (to_key(tag_out),))


def get_ending(db: Database, tag_out: str) -> TagEnding | None:
    """How a tag-out ended: its release or withdrawal."""
    key = to_key(tag_out)
    row = db.execute(
        "SELECT 'released', p.name, r.role, '', r.at, r.reason, r.proof, r.answers FROM tag_release r "
        "JOIN person p ON p.id = r.by WHERE r.tag_out = ? UNION ALL "
        "SELECT 'withdrawn', p.name, '', s.name, w.at, w.reason, '', '{}' FROM tag_withdrawal w "
        "JOIN person p ON p.id = w.by JOIN person s ON s.id = w.second WHERE w.tag_out = ?",
        (key, key),
    ).fetchone()
    if row is None:
        return None
    state, by, role, second, at, reason, proof, answers = row
    return TagEnding(TagState(state), by, role, second, datetime.fromisoformat(at), reason, proof, json.loads(answers))


def add_tag_check(db: Database, tag_out: str, *, by: str, role: str, at: datetime, looked_at: str) -> None:
    """Keep the check by another person that a release lacked."""
    db.execute(
        "INSERT INTO tag_check(tag_out, by, role, at, looked_at) VALUES (?,?,?,?,?)",
        (to_key(tag_out), to_key(by), role, _stamp(at), looked_at),
    )


def get_tag_check(db: Database, tag_out: str) -> TagCheck | None:
    """The check by another person after a release, if there was one."""
    row = db.execute(
        "SELECT c.by, p.name, c.role, c.at, c.looked_at FROM tag_check c JOIN person p ON p.id = c.by "
        "WHERE c.tag_out = ?",
        (to_key(tag_out),),
    ).fetchone()
    return TagCheck(from_key(row[0]), row[1], row[2], datetime.fromisoformat(row[3]), row[4]) if row else None


def list_unfinished(db: Database, house: str) -> list[TagOut]:
    """What is back in use checked by its repairer only, oldest release first."""
    rows = db.execute(
        "SELECT r.tag_out, r.answers FROM tag_release r JOIN tag_out t ON t.id = r.tag_out WHERE t.house = ? "
        "AND NOT EXISTS (SELECT 1 FROM tag_check c WHERE c.tag_out = r.tag_out) ORDER BY r.at, r.tag_out",
        (to_key(house),),
    ).fetchall()
    keys = [from_key(key) for key, answers in rows if checked_by_repairer_only(json.loads(answers))]
    found = [get_tag_out(db, house, key) for key in keys]
    return [one for one in found if one is not None]


class StopScope(NamedTuple):
    """What a stop takes out of use: a set (with the part it was raised on, if any), an area, or a part of no set."""

    line_set: str | None
    area: str | None
    part: str | None


def find_scope(
    db: Database, house: str, *, line_set: str | None = None, area: str | None = None, part: str | None = None
) -> StopScope | None:
    """What a stop on exactly one of these takes out of use; None when it is not in the house."""
    key = to_key(house)
    if part:
        row = db.execute("SELECT line_set FROM part WHERE house = ? AND id = ?", (key, to_key(part))).fetchone()
        return StopScope(_text(row[0]), None, part) if row else None
    table, wanted = ("line_set", line_set) if line_set else ("area", area)
    if (
        not wanted
        or not db.execute(f"SELECT 1 FROM {table} WHERE house = ? AND id = ?", (key, to_key(wanted))).fetchone()
    ):
        return None
    return StopScope(line_set, None if line_set else area, None)
