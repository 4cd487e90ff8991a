"""What belongs to the story of a deficiency besides its events: findings, photos, costs, the stops raised from it."""

from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.repair_policy import Cost
from inspect_app.domain.walk import DecisionKind, names_of
from inspect_app.store.blind_spot import not_aside_sql


class FindingOfDeficiency(NamedTuple):
    """A finding in the history of a deficiency; `withdrawn` when its look was replaced or taken back."""

    finding: str
    answer: str
    grade: str
    point: str
    point_text: str
    note: str
    wear: int | None
    by_name: str
    at: datetime
    walk: str
    walk_title: str
    date_local: str
    withdrawn: bool
    photos: tuple[str, ...]


def list_findings_of_deficiency(db: Database, house: str, deficiency: str) -> list[FindingOfDeficiency]:
    """Every finding that points at a deficiency, oldest first."""
    rows = db.execute(
        "SELECT f.id, f.answer, f.grade, f.point, f.point_text, coalesce(nullif(f.note, ''), l.note), f.wear, "
        "coalesce(p.name, ''), l.at, l.walk, "
        "coalesce(w.title, ''), coalesce(w.date_local, ''), "
        "EXISTS (SELECT 1 FROM look_replaced r WHERE r.entry = f.entry), f.entry, coalesce(c.name, '') "
        "FROM deficiency_finding d "
        "JOIN finding f ON f.id = d.finding JOIN look l ON l.entry = f.entry LEFT JOIN walk w ON w.id = l.walk "
        "LEFT JOIN person p ON p.id = l.by LEFT JOIN person c ON c.id = l.called_by "
        "WHERE d.deficiency = ? AND f.house = ? ORDER BY l.at, f.id",
        (to_key(deficiency), to_key(house)),
    ).fetchall()
    return [
        FindingOfDeficiency(
            from_key(key), answer, grade, point, text, note, wear, names_of(by, caller), datetime.fromisoformat(at),
            from_key(walk) if walk else "", title, day, bool(withdrawn), _photos_of(db, entry),
        )
        for key, answer, grade, point, text, note, wear, by, at, walk, title, day, withdrawn, entry, caller in rows
    ]  # fmt: skip


def _photos_of(db: Database, entry: bytes) -> tuple[str, ...]:
    rows = db.execute(
        "SELECT u.photo FROM photo_use u JOIN photo p ON p.id = u.photo WHERE u.entry = ? ORDER BY u.photo", (entry,)
    )
    return tuple(from_key(key) for (key,) in rows.fetchall())


class Worse(NamedTuple):
    """The last time that something open was told to be worse, since anybody last moved it on or gave it a grade."""

    by_name: str
    at: datetime
    note: str


def list_worse(db: Database, house: str) -> dict[str, Worse]:
    """What was found worse and nobody has answered since, by deficiency: a phone's *worse* keeps the grade it had."""
    rows = db.execute(
        "SELECT x.deficiency, coalesce(p.name, ''), coalesce(c.name, ''), l.at, coalesce(nullif(f.note, ''), l.note) "
        "FROM finding f JOIN look l ON l.entry = f.entry JOIN entry e ON e.id = f.entry "
        "JOIN deficiency_finding x ON x.finding = f.id JOIN deficiency d ON d.id = x.deficiency "
        "LEFT JOIN person p ON p.id = l.by LEFT JOIN person c ON c.id = l.called_by "
        "WHERE f.house = ? AND f.answer = 'worse' AND d.state NOT IN ('settled', 'no_fault', 'same') "
        f"AND NOT EXISTS (SELECT 1 FROM look_replaced r WHERE r.entry = f.entry) AND {not_aside_sql(db, house)} "
        "AND NOT EXISTS (SELECT 1 FROM decision g WHERE g.finding = f.id AND g.kind = ?) "
        "AND NOT EXISTS (SELECT 1 FROM deficiency_event v WHERE v.deficiency = d.id AND v.role <> '' "
        "AND v.at >= e.received_at) ORDER BY l.at, f.id",
        (to_key(house), DecisionKind.GRADE.value),
    )
    return {
        from_key(key): Worse(names_of(by, caller), datetime.fromisoformat(at), note)
        for key, by, caller, at, note in rows.fetchall()
    }


def list_stops_of_deficiency(db: Database, house: str, deficiency: str, standing_only: bool = False) -> list[str]:
    """The ids of the tag-outs raised by an entry of its findings, or, for stop use, on its part; oldest first."""
    rows = db.execute(
        "SELECT t.id FROM tag_out t JOIN deficiency d ON d.id = ? AND d.house = t.house WHERE t.house = ? "
        "AND (t.state = 'standing' OR NOT ?) AND ((t.part = d.part AND d.grade = 'stop_use' AND (t.state = 'standing' "
        "OR t.raised_at >= d.found_at)) OR t.from_entry IN (SELECT f.entry FROM deficiency_finding x "
        "JOIN finding f ON f.id = x.finding WHERE x.deficiency = d.id)) ORDER BY t.raised_at, t.id",
        (to_key(deficiency), to_key(house), int(standing_only)),
    )
    return [from_key(key) for (key,) in rows.fetchall()]


def add_cost(
    db: Database, deficiency: str, *, kind: str, amount: Decimal, currency: str, what: str, by: str, at: datetime
) -> str:
    """Keep an estimate or something paid; returns its id."""
    new = clock.new_id()
    db.execute(
        "INSERT INTO deficiency_cost(id, deficiency, kind, amount, currency, what, by, at) VALUES (?,?,?,?,?,?,?,?)",
        (
            *(to_key(new), to_key(deficiency), kind, str(amount), currency, what, to_key(by)),
            at.isoformat(timespec="milliseconds"),
        ),
    )
    return new


def list_costs(db: Database, house: str, deficiency: str = "") -> dict[str, list[Cost]]:
    """The costs of the deficiencies of a house (or of one), oldest first, by deficiency."""
    rows = db.execute(
        "SELECT c.deficiency, c.kind, c.amount, c.currency, c.what, coalesce(p.name, ''), c.at FROM deficiency_cost c "
        "JOIN deficiency d ON d.id = c.deficiency LEFT JOIN person p ON p.id = c.by "
        "WHERE d.house = ? AND (? OR d.id = ?) ORDER BY c.at, c.rowid",
        (to_key(house), int(not deficiency), to_key(deficiency) if deficiency else b""),
    )
    found: dict[str, list[Cost]] = {}
    for key, kind, amount, currency, what, by_name, at in rows.fetchall():
        cost = Cost(kind, Decimal(amount), currency, what, by_name, datetime.fromisoformat(at))
        found.setdefault(from_key(key), []).append(cost)
    return found


class Attachment(NamedTuple):
    """A file that belongs to a deficiency. `shows` is before, after or paper; the bytes lie among the photos by their
    digest, a picture with its clean copies beside it."""

    id: str
    house: str
    deficiency: str
    name: str
    shows: str
    note: str
    mime: str
    bytes: int
    sha256: str
    by_name: str
    at: datetime

    @property
    def picture(self) -> bool:
        """Whether there are copies of it to look at."""
        return self.mime.startswith("image/")


def add_attachment(db: Database, attachment: Attachment, by: str) -> None:
    """Add the row of a file whose bytes are in their place."""
    db.execute(
        "INSERT INTO attachment(id, house, deficiency, name, shows, note, mime, bytes, sha256, by, received_at) "
        "VALUES (?,?,?,?,?,?,?,?,?,?,?)",
        (
            *(to_key(attachment.id), to_key(attachment.house), to_key(attachment.deficiency), attachment.name),
            *(attachment.shows, attachment.note, attachment.mime, attachment.bytes, bytes.fromhex(attachment.sha256)),
            *(to_key(by), attachment.at.isoformat(timespec="milliseconds")),
        ),
    )


_ATTACHMENT = (
    "SELECT c.id, c.house, c.deficiency, c.name, c.shows, c.note, c.mime, c.bytes, c.sha256, coalesce(p.name, ''), "
    "c.received_at FROM attachment c LEFT JOIN person p ON p.id = c.by WHERE c.house = ?"
)


def list_attachments(db: Database, house: str, deficiency: str) -> list[Attachment]:
    """The files of one deficiency, oldest first."""
    rows = db.execute(
        f"{_ATTACHMENT} AND c.deficiency = ? ORDER BY c.received_at, c.id", (to_key(house), to_key(deficiency))
    )
    return [_to_attachment(row) for row in rows.fetchall()]


def get_attachment(db: Database, house: str, attachment: str) -> Attachment | None:
    """One file of the house."""
    row = db.execute(f"{_ATTACHMENT} AND c.id = ?", (to_key(house), to_key(attachment))).fetchone()
    return _to_attachment(row) if row else None


def _to_attachment(row: tuple) -> Attachment:  # type: ignore[type-arg]
    key, house, deficiency, name, shows, note, mime, size, sha256, by_name, at = row
    return Attachment(
        from_key(key), from_key(house), from_key(deficiency), name, shows, note, mime, size, sha256.hex(), by_name,
        datetime.fromisoformat(at),
    )  # fmt: skip
