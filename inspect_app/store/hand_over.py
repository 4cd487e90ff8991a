"""Hand-over packs that were filed, the house's own answers, and what a pack needs beside its tables."""

import json
from collections.abc import Iterator
from datetime import datetime
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.errors import BadValue
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.walk import COUNTING
from inspect_app.store.seal import COVERED


class Pack(NamedTuple):
    """A filed pack. `first` and `last` are days or ''; files lie below reports/; digests are SHA-256 in hex."""

    id: str
    house: str
    number: str
    first: str
    last: str
    paper: str
    with_costs: bool
    pdf_file: str
    pdf_sha256: str
    data_sha256: str
    zip_file: str
    zip_sha256: str
    zip_bytes: int
    by_name: str
    made_at: datetime


_COLUMNS = (
    "k.id, k.house, k.number, k.first, k.last, k.paper, k.with_costs, k.pdf_file, k.pdf_sha256, k.data_sha256, "
    "k.zip_file, k.zip_sha256, k.zip_bytes, coalesce(p.name, ''), k.made_at "
    "FROM hand_over_pack k LEFT JOIN person p ON p.id = k.by"
)


def list_packs(db: Database, house: str | None = None) -> list[Pack]:
    """The packs of a house, or of every house, newest first."""
    rows = db.execute(
        f"SELECT {_COLUMNS} WHERE ? IS NULL OR k.house = ? ORDER BY k.made_at DESC, k.id DESC",
        (house, to_key(house) if house else None),
    )
    return [_to_pack(row) for row in rows.fetchall()]


def get_pack(db: Database, house: str, pack: str) -> Pack | None:
    """One pack of the house; None also for text that is no id."""
    try:
        key = to_key(pack)
    except BadValue:
        return None
    row = db.execute(f"SELECT {_COLUMNS} WHERE k.house = ? AND k.id = ?", (to_key(house), key)).fetchone()
    return _to_pack(row) if row else None


def add_pack(db: Database, pack: Pack, by: str) -> None:
    """Keep the row of a pack whose files are in place. `by` is a person's id, or 16 zero bytes for the terminal."""
    db.execute(
        "INSERT INTO hand_over_pack(id, house, number, first, last, paper, with_costs, pdf_file, pdf_sha256, "
        "data_sha256, zip_file, zip_sha256, zip_bytes, by, made_at) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
        (
            *(to_key(pack.id), to_key(pack.house), pack.number, pack.first, pack.last, pack.paper),
            *(int(pack.with_costs), pack.pdf_file, bytes.fromhex(pack.pdf_sha256), bytes.fromhex(pack.data_sha256)),
            *(pack.zip_file, bytes.fromhex(pack.zip_sha256), pack.zip_bytes, to_key(by) if by else bytes(16)),
            pack.made_at.isoformat(timespec="milliseconds"),
        ),
    )


def find_pack_file_owner(db: Database, file: str) -> str | None:
    """The house whose pack has this file name, or None."""
    row = db.execute(
        "SELECT house FROM hand_over_pack WHERE zip_file = ? OR pdf_file = ? LIMIT 1", (file, file)
    ).fetchone()
    return from_key(row[0]) if row else None


def list_answers(db: Database, house: str) -> dict[str, tuple[str, str, str]]:
    """By question, the newest answer with who gave it and when (UTC)."""
    rows = db.execute(
        "SELECT h.question, h.answer, coalesce(p.name, ''), h.at FROM house_answer h "
        "LEFT JOIN person p ON p.id = h.by WHERE h.house = ? ORDER BY h.rowid",
        (to_key(house),),
    )
    return {question: (answer, name, at) for question, answer, name, at in rows.fetchall()}


def add_answer(db: Database, house: str, question: str, answer: str, by: str, at: datetime) -> str:
    """Keep a new answer beside the earlier ones; returns its id."""
    new = clock.new_id()
    db.execute(
        "INSERT INTO house_answer(id, house, question, answer, by, at) VALUES (?,?,?,?,?,?)",
        (to_key(new), to_key(house), question, answer, to_key(by), at.isoformat(timespec="milliseconds")),
    )
    return new


def list_look_stubs(db: Database, house: str, of: str) -> list[dict[str, Any]]:
    """The looks with rows in `of` (finding or measure): when, their result, whether another replaces them, and whether
    they count: on a signed walk, and countersigned where a helper made them.
    """
    if of not in ("finding", "measure"):
        raise ValueError(f"looks are listed by finding or measure, not by {of}")
    marks = ", ".join("?" * len(COUNTING))
    rows = db.execute(
        "SELECT l.entry, l.at, l.result, EXISTS (SELECT 1 FROM look_replaced y WHERE y.entry = l.entry), "
        f"{COVERED} AND (l.needs_countersign = 0 OR EXISTS (SELECT 1 FROM countersign c "
        f"WHERE c.entry = l.entry AND c.how IN ({marks}))) FROM look l "
        f"WHERE l.house = ? AND l.entry IN (SELECT entry FROM {of} WHERE house = ?)",
        (*COUNTING, to_key(house), to_key(house)),
    )
    return [
        {"id": from_key(key), "at": at, "result": result, "replaced": bool(replaced), "counts": bool(counts)}
        for key, at, result, replaced, counts in rows.fetchall()
    ]


def each_sealed(db: Database, house: str, first: str, last: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """(walk, sealed data) of the newest seal of each signed walk of a period, one in memory at a time."""
    walks = db.execute(
        "SELECT w.id FROM walk w WHERE w.house = ? AND w.date_local BETWEEN ? AND ? AND w.state = 'sealed'",
        (to_key(house), first or "0000", last or "9999"),
    ).fetchall()
    for (walk,) in walks:
        row = db.execute("SELECT data FROM seal WHERE walk = ? ORDER BY n DESC LIMIT 1", (walk,)).fetchone()
        if row:
            yield from_key(walk), json.loads(row[0])


def list_signed_checklists(db: Database, house: str) -> dict[str, list[str]]:
    """By signed walk of the house, the titles of its checklists as its newest signature has them."""
    found: dict[str, list[str]] = {}
    for walk, title in db.execute(
        "SELECT s.walk, json_extract(j.value, '$.title') "
        "FROM seal s, json_each(CAST(s.data AS TEXT), '$.checklists') j "
        "WHERE s.house = ? AND s.n = (SELECT max(o.n) FROM seal o WHERE o.walk = s.walk) ORDER BY s.walk, j.id",
        (to_key(house),),
    ).fetchall():
        found.setdefault(from_key(walk), []).append(str(title or ""))
    return found


def _to_pack(row: tuple[Any, ...]) -> Pack:
    key, house, number, first, last, paper, costs, pdf, pdf_sha, data_sha, file, sha, size, name, at = row
    return Pack(
        *(from_key(key), from_key(house), number, first, last, paper, bool(costs), pdf, pdf_sha.hex(), data_sha.hex()),
        *(file, sha.hex(), size, name, datetime.fromisoformat(at)),
    )
