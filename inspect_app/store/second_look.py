"""Second looks: the draw of each walk, the entries drawn, and what the second person found."""

import json
from collections.abc import Sequence
from datetime import datetime
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part import PartKind
from inspect_app.domain.second_look import SecondAnswer, SecondLook, Wanted
from inspect_app.domain.walk import COUNTING


class Draw(NamedTuple):
    """A draw as it was made: from its seed, share and candidates anyone can draw again."""

    walk: str
    seed: bytes
    percent: str
    candidates: tuple[str, ...]
    at: datetime


class Compared(NamedTuple):
    """One second answer with the kind of part and the point it was about."""

    kind: PartKind
    point: str
    agrees: bool
    tag: str
    at: datetime
    part: str


_SAW = ", ".join(repr(how.value) for how in sorted(COUNTING))
# What hung there at the first look hangs there still: else the second is at another thing. The first half is asked once
# for all, as no index leads to the lives of a part.
_SAME_THING = (
    "(s.part NOT IN (SELECT part FROM part_life WHERE retired_on IS NOT NULL) OR NOT EXISTS (SELECT 1 FROM part_life v "
    "JOIN look f ON f.entry = s.entry WHERE v.part = s.part AND v.retired_on >= substr(f.at, 1, 10)))"
)
_COLUMNS = "s.id, s.walk, s.entry, s.part, s.pass, s.points, s.people, s.at"


def add_draw(db: Database, house: str, made: Draw, by: str) -> None:
    """Keep the draw of a walk, once."""
    db.execute(
        "INSERT INTO second_look_draw(walk, house, seed, percent, candidates, by, at) VALUES (?,?,?,?,?,?,?)",
        (
            to_key(made.walk), to_key(house), made.seed, made.percent, json.dumps(list(made.candidates)), to_key(by),
            _stamp(made.at),
        ),
    )  # fmt: skip


def get_draw(db: Database, house: str, walk: str) -> Draw | None:
    """The draw of a walk of the house; None where none was made."""
    row = db.execute(
        "SELECT walk, seed, percent, candidates, at FROM second_look_draw WHERE house = ? AND walk = ?",
        (to_key(house), to_key(walk)),
    ).fetchone()
    if row is None:
        return None
    return Draw(from_key(row[0]), row[1], row[2], tuple(json.loads(row[3])), datetime.fromisoformat(row[4]))


def list_draws(db: Database, house: str, most: int = 24) -> list[tuple[Draw, set[str]]]:
    """The last draws of a house, newest first, each with the entries that were kept as drawn."""
    rows = db.execute(
        "SELECT walk, seed, percent, candidates, at FROM second_look_draw WHERE house = ? ORDER BY at DESC LIMIT ?",
        (to_key(house), most),
    ).fetchall()
    found = []
    for walk, seed, percent, fit, at in rows:
        kept = {
            from_key(entry)
            for (entry,) in db.execute("SELECT entry FROM second_look WHERE walk = ?", (walk,)).fetchall()
        }
        made = Draw(from_key(walk), seed, percent, tuple(json.loads(fit)), datetime.fromisoformat(at))
        found.append((made, kept))
    return found


def add_second_look(db: Database, house: str, second: SecondLook) -> None:
    """Keep an entry that was drawn."""
    db.execute(
        "INSERT INTO second_look(id, house, walk, entry, part, pass, points, people, at) VALUES (?,?,?,?,?,?,?,?,?)",
        (
            to_key(second.id), to_key(house), to_key(second.walk), to_key(second.entry), to_key(second.part),
            second.in_pass, json.dumps(list(second.points)), json.dumps(list(second.people)), _stamp(second.at),
        ),
    )  # fmt: skip


def list_people_of(db: Database, entries: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """For each look, everybody who made it or stood by it: recorder, caller, companions, countersigners who saw it."""
    found: dict[str, tuple[str, ...]] = {}
    for entry in entries:
        row = db.execute("SELECT by, called_by, with_people FROM look WHERE entry = ?", (to_key(entry),)).fetchone()
        if row is not None:
            called = (from_key(row[1]),) if row[1] else ()
            signed = db.execute(
                f"SELECT by FROM countersign WHERE entry = ? AND how IN ({_SAW}) ORDER BY at", (to_key(entry),)
            ).fetchall()
            saw = (from_key(by) for (by,) in signed)
            found[entry] = tuple(dict.fromkeys((from_key(row[0]), *called, *json.loads(row[2]), *saw)))
    return found


def list_open_second_looks(db: Database, house: str, since: datetime) -> list[SecondLook]:
    """Those of the house drawn since then that nobody has answered, oldest first."""
    rows = db.execute(
        f"SELECT {_COLUMNS} FROM second_look s WHERE s.house = ? AND s.at >= ? AND {_SAME_THING} AND NOT EXISTS "
        "(SELECT 1 FROM second_look_answer a WHERE a.second_look = s.id) ORDER BY s.at, s.id",
        (to_key(house), _stamp(since)),
    )
    return [_to_second(row) for row in rows.fetchall()]


def list_wanted(db: Database, house: str) -> list[Wanted]:
    """Those that nobody has answered, with where they are, oldest first."""
    rows = db.execute(
        f"SELECT {_COLUMNS}, p.tag, p.kind, p.line_set, coalesce(l.number, ''), a.name, coalesce(n.name, '') "
        "FROM second_look s JOIN part p ON p.id = s.part JOIN area a ON a.id = p.area "
        "LEFT JOIN line_set l ON l.id = p.line_set JOIN look k ON k.entry = s.entry LEFT JOIN person n ON n.id = k.by "
        f"WHERE s.house = ? AND p.retired_on IS NULL AND {_SAME_THING} AND NOT EXISTS "
        "(SELECT 1 FROM second_look_answer x "
        "WHERE x.second_look = s.id) ORDER BY s.at, p.tag",
        (to_key(house),),
    )
    return [
        Wanted(
            _to_second(row), row[8], PartKind(row[9]), from_key(row[10]) if row[10] else None, row[11], row[12], row[13]
        )
        for row in rows.fetchall()
    ]


def set_answers(db: Database, walk: str, answers: Sequence[SecondAnswer]) -> None:
    """Keep what a walk answered; an amendment of it puts its answers in the place of the earlier ones."""
    for one in answers:
        db.execute(
            "INSERT INTO second_look_answer(second_look, point, agrees, entry, walk, at) VALUES (?,?,?,?,?,?) "
            "ON CONFLICT(second_look, point) DO NOTHING",
            (
                to_key(one.second_look), one.point, int(one.agrees), to_key(one.entry), to_key(walk),
                _stamp(one.at),
            ),
        )  # fmt: skip


def drop_answers(db: Database, walk: str) -> None:
    """Forget what a walk answered, before it is worked out anew from its newest seal."""
    db.execute("DELETE FROM second_look_answer WHERE walk = ?", (to_key(walk),))


def list_compared(db: Database, house: str) -> list[Compared]:
    """Every second answer of the house, newest first."""
    rows = db.execute(
        "SELECT p.kind, a.point, a.agrees, p.tag, a.at, p.id FROM second_look_answer a "
        "JOIN second_look s ON s.id = a.second_look JOIN part p ON p.id = s.part WHERE s.house = ? "
        "ORDER BY a.at DESC, p.tag, a.point",
        (to_key(house),),
    )
    return [
        Compared(PartKind(kind), point, bool(agrees), tag, datetime.fromisoformat(at), from_key(part))
        for kind, point, agrees, tag, at, part in rows.fetchall()
    ]


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")


def _to_second(row: Sequence[Any]) -> SecondLook:
    return SecondLook(
        from_key(row[0]), from_key(row[1]), from_key(row[2]), from_key(row[3]), row[4], tuple(json.loads(row[5])),
        tuple(json.loads(row[6])), datetime.fromisoformat(row[7]),
    )  # fmt: skip
