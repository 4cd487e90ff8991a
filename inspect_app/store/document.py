"""Filed reports: which PDF was made of which seal, on which paper, with its digests; and the sealed data behind it."""

from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app.domain.errors import BadValue
from inspect_app.domain.ids import from_key, to_key


class Document(NamedTuple):
    """A filed PDF. `file` is its name below the data folder's reports/; digests are SHA-256 in hex."""

    id: str
    house: str
    walk: str
    seal_n: int
    number: str
    revision: int
    paper: str
    sha256: str
    data_sha256: str
    file: str
    bytes: int
    made_at: str


class SealedData(NamedTuple):
    """The canonical bytes of walk data as signature or amendment `n` sealed them, with the time of signing (UTC)."""

    n: int
    number: str
    data: bytes
    at: str


_COLUMNS = "id, house, walk, seal_n, number, revision, paper, sha256, data_sha256, file, bytes, made_at"


def _document(row: Any) -> Document:
    key, house, walk, n, number, revision, paper, sha256, data_sha256, file, size, made_at = row
    return Document(
        id=from_key(key),
        house=from_key(house),
        walk=from_key(walk) if walk else "",
        seal_n=n or 0,
        number=number,
        revision=revision,
        paper=paper,
        sha256=sha256.hex(),
        data_sha256=data_sha256.hex(),
        file=file,
        bytes=size,
        made_at=made_at,
    )


def get_sealed_data(db: Database, house: str, walk: str, n: int | None = None) -> SealedData | None:
    """What was sealed for a walk of the house: the newest seal, or number `n`; None when nobody has signed."""
    row = db.execute(
        "SELECT n, number, data, at FROM seal WHERE house = ? AND walk = ? AND (? IS NULL OR n = ?) "
        "ORDER BY n DESC LIMIT 1",
        (to_key(house), to_key(walk), n, n),
    ).fetchone()
    return SealedData(row[0], row[1], bytes(row[2]), row[3]) if row else None


def get_document(db: Database, house: str, number: str, revision: int, paper: str) -> Document | None:
    """The filed PDF of a report on one paper."""
    row = db.execute(
        f"SELECT {_COLUMNS} FROM document WHERE house = ? AND number = ? AND revision = ? AND paper = ?",
        (to_key(house), number, revision, paper),
    ).fetchone()
    return _document(row) if row else None


def list_documents(db: Database, house: str | None = None) -> list[Document]:
    """All filed PDFs, of one house or of every house, oldest first."""
    rows = db.execute(
        f"SELECT {_COLUMNS} FROM document WHERE ? IS NULL OR house = ? ORDER BY made_at, file",
        (house, to_key(house) if house else None),
    ).fetchall()
    return [_document(row) for row in rows]


def find_file_owner(db: Database, file: str) -> str | None:
    """The house whose report has this file name, or None."""
    row = db.execute("SELECT house FROM document WHERE file = ? LIMIT 1", (file,)).fetchone()
    return from_key(row[0]) if row else None


def add_document(db: Database, document: Document) -> None:
    """Insert a filed PDF. Raises IntegrityError when this report is filed on this paper already."""
    db.execute(
        f"INSERT INTO document({_COLUMNS}) VALUES (?,?,?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(document.id),
            to_key(document.house),
            to_key(document.walk),
            document.seal_n,
            document.number,
            document.revision,
            document.paper,
            bytes.fromhex(document.sha256),
            bytes.fromhex(document.data_sha256),
            document.file,
            document.bytes,
            document.made_at,
        ),
    )


class WalkNamed(NamedTuple):
    """A walk with what people call it by: its local date and, once signed, its report number."""

    id: str
    date_local: str
    number: str


def list_walk_names(db: Database, house: str) -> list[WalkNamed]:
    """All walks of a house, newest first."""
    rows = db.execute(
        "SELECT w.id, w.date_local, COALESCE(MIN(s.number), '') FROM walk w LEFT JOIN seal s ON s.walk = w.id "
        "WHERE w.house = ? GROUP BY w.id ORDER BY w.date_local DESC, w.id DESC",
        (to_key(house),),
    ).fetchall()
    return [WalkNamed(from_key(key), date_local, number) for key, date_local, number in rows]


def get_document_by_id(db: Database, house: str, document: str) -> Document | None:
    """A filed PDF of the house by its id; None also for text that is no id."""
    try:
        key = to_key(document)
    except BadValue:
        return None
    row = db.execute(f"SELECT {_COLUMNS} FROM document WHERE id = ? AND house = ?", (key, to_key(house))).fetchone()
    return _document(row) if row else None
