"""Seals: signatures and amendments of walks with the exact data that was signed. Rows are written once."""

import json
from collections.abc import Iterable
from datetime import datetime

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.inspection import inspection_from
from inspect_app.domain.walk_record import Signature

_COLUMNS = (
    "n, number, root_sha256, journal_head, person, name, role, credential, statement, drawn, gaps_reason, complete, "
    "at, inspection"
)

# A look `l` that a seal covers: what came in after the last signature is signed by none until an amendment.
COVERED = "EXISTS (SELECT 1 FROM sealed_entry q WHERE q.walk = l.walk AND q.entry = l.entry)"


def list_seals(db: Database, house: str, walk: str) -> list[Signature]:
    """The seals of a walk, the signature first, then amendments."""
    rows = db.execute(
        f"SELECT {_COLUMNS} FROM seal WHERE house = ? AND walk = ? ORDER BY n", (to_key(house), to_key(walk))
    )
    return [
        Signature(
            n=row[0],
            number=row[1],
            root_sha256=row[2].hex(),
            journal_head=row[3].hex(),
            person=from_key(row[4]),
            name=row[5],
            role=row[6],
            credential=row[7],
            statement=row[8],
            drawn=row[9],
            gaps_reason=row[10],
            complete=bool(row[11]),
            at=datetime.fromisoformat(row[12]),
            inspection=inspection_from(json.loads(row[13])),
        )
        for row in rows.fetchall()
    ]


def get_seal_data(db: Database, house: str, walk: str, n: int | None = None) -> bytes | None:
    """The canonical walk data of one seal, of the newest without `n`; None when there is none."""
    row = db.execute(
        "SELECT data FROM seal WHERE house = ? AND walk = ? AND (? IS NULL OR n = ?) ORDER BY n DESC LIMIT 1",
        (to_key(house), to_key(walk), n, n),
    ).fetchone()
    return bytes(row[0]) if row else None


def list_numbers(db: Database, house: str) -> list[str]:
    """Every report number the house has given out."""
    return [row[0] for row in db.execute("SELECT DISTINCT number FROM seal WHERE house = ?", (to_key(house),))]


def list_sealed_entries(db: Database, walk: str) -> dict[str, int]:
    """The entries that a seal of the walk covers, with the number of that seal."""
    rows = db.execute("SELECT entry, n FROM sealed_entry WHERE walk = ?", (to_key(walk),))
    return {from_key(entry): n for entry, n in rows.fetchall()}


def add_seal(db: Database, *, house: str, walk: str, signature: Signature, data: bytes) -> None:
    """Write a seal; inside the transaction that also journals it."""
    row = signature
    db.execute(
        "INSERT INTO seal(walk, house, n, number, root_sha256, journal_head, person, name, role, credential, "
        "statement, drawn, gaps_reason, complete, at, data, inspection) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(walk),
            to_key(house),
            row.n,
            row.number,
            bytes.fromhex(row.root_sha256),
            bytes.fromhex(row.journal_head),
            to_key(row.person),
            row.name,
            row.role,
            row.credential,
            row.statement,
            row.drawn,
            row.gaps_reason,
            int(row.complete),
            row.at.isoformat(timespec="milliseconds"),
            data,
            json.dumps(row.inspection.to_json() if row.inspection.said else {}, ensure_ascii=False),
        ),
    )


def add_sealed_entries(
    db: Database, walk: str, n: int, rows: Iterable[tuple[str, str, Iterable[tuple[str, str]]]]
) -> None:
    """Put entries under a seal: (entry, SHA-256 in hex, its photos as (id, SHA-256))."""
    db.conn.executemany(
        "INSERT INTO sealed_entry(walk, n, entry, sha256, photos) VALUES (?,?,?,?,?)",
        [
            (to_key(walk), n, to_key(entry), bytes.fromhex(sha256), json.dumps([list(photo) for photo in photos]))
            for entry, sha256, photos in rows
        ],
    )
