"""Deficiencies, their events and the findings that point at them; conditions the house has accepted."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import FINDS_AGAIN, OPEN_STATES, Answer, DeficiencyState, worse_grade
from inspect_app.domain.errors import Conflict
from inspect_app.domain.ids import from_key, to_key


def note_finding(
    db: Database,
    *,
    house: str,
    part: str,
    finding: str,
    answer: str,
    of: str | None,
    what: str,
    grade: str,
    at: datetime,
) -> None:
    """Let a finding make a deficiency or point at the one it answers; inside the caller's transaction.

    Call it once the finding, its look and the rows of `look_replaced` are written. A new finding makes a deficiency
    with the next number of the house; one that corrects an earlier look on the same point keeps the earlier number.
    *Still there* and *worse* find again what was settled; *worse* raises the grade; *not seen now* settles nothing.
    """
    if db.execute("SELECT 1 FROM deficiency_finding WHERE finding = ?", (to_key(finding),)).fetchone():
        return
    said = Answer(answer)
    known = _deficiency_of(db, house, of) if of else None
    if known is None and said is Answer.NEW:
        known = _corrected(db, finding)
    if known is None:
        if said is Answer.NOT_SEEN_NOW:
            return
        known = _open_new(db, house, part, what, grade, at)
    elif said in FINDS_AGAIN:
        _find_again(db, known, finding, said, Grade(grade), at)
    db.execute("INSERT INTO deficiency_finding(deficiency, finding) VALUES (?,?)", (known, to_key(finding)))


def _open_new(db: Database, house: str, part: str, what: str, grade: str, at: datetime) -> bytes:
    key = to_key(clock.new_id())
    db.execute(
        "INSERT INTO deficiency(id, house, number, part, what, grade, state, found_at) VALUES "
        "(?, ?, (SELECT coalesce(max(number), 0) + 1 FROM deficiency WHERE house = ?), ?, ?, ?, 'found', ?)",
        (key, to_key(house), to_key(house), to_key(part), what, grade, at.isoformat(timespec="milliseconds")),
    )
    return key


def _deficiency_of(db: Database, house: str, finding: str) -> bytes | None:
    """The deficiency that a finding points at, followed to the root of a chain of answers."""
    key: bytes | None = to_key(finding)
    seen: set[bytes] = set()
    while key is not None and key not in seen:
        seen.add(key)
        row = db.execute(
            "SELECT d.id FROM deficiency_finding f JOIN deficiency d ON d.id = f.deficiency "
            "WHERE f.finding = ? AND d.house = ?",
            (key, to_key(house)),
        ).fetchone()
        if row:
            return bytes(row[0])
        row = db.execute("SELECT of FROM finding WHERE id = ? AND house = ?", (key, to_key(house))).fetchone()
        key = row[0] if row else None
    return None


def _corrected(db: Database, finding: str) -> bytes | None:
    """The deficiency of the finding that this one corrects: same part and point, in a look that its look replaces."""
    row = db.execute(
        "SELECT d.deficiency FROM finding f JOIN look_replaced r ON r.by_entry = f.entry "
        "JOIN finding old ON old.entry = r.entry AND old.part = f.part AND old.point = f.point "
        "JOIN deficiency_finding d ON d.finding = old.id WHERE f.id = ? ORDER BY old.n LIMIT 1",
        (to_key(finding),),
    ).fetchone()
    return bytes(row[0]) if row else None


def _find_again(db: Database, key: bytes, finding: str, said: Answer, grade: Grade, at: datetime) -> None:
    state, known = db.execute("SELECT state, grade FROM deficiency WHERE id = ?", (key,)).fetchone()
    if said is Answer.WORSE:
        raised = worse_grade(Grade(known), grade)
        db.execute("UPDATE deficiency SET grade = ? WHERE id = ?", (raised.value, key))
    if DeficiencyState(state) not in OPEN_STATES:
        _add_event(
            db, key, state, DeficiencyState.FOUND.value, _recorder(db, finding), "", at, "Found again on a walk."
        )


def _recorder(db: Database, finding: str) -> bytes:
    row = db.execute(
        "SELECT e.by FROM finding f JOIN entry e ON e.id = f.entry WHERE f.id = ?", (to_key(finding),)
    ).fetchone()
    if row is None:
        raise Conflict("The finding must be written before it can point at a deficiency.")
    return bytes(row[0])


def _add_event(
    db: Database, key: bytes, old: str, new: str, by: bytes, role: str, at: datetime, note: str, proof: str = "{}"
) -> None:
    db.execute(
        "INSERT INTO deficiency_event(id, deficiency, from_state, to_state, by, role, at, note, proof) "
        "VALUES (?,?,?,?,?,?,?,?,?)",
        (to_key(clock.new_id()), key, old, new, by, role, at.isoformat(timespec="milliseconds"), note, proof),
    )
    db.execute("UPDATE deficiency SET state = ? WHERE id = ?", (new, key))


def find_deficiency_of_finding(db: Database, house: str, finding: str) -> str | None:
    """The id of the deficiency that a finding points at."""
    key = _deficiency_of(db, house, finding)
    return from_key(key) if key else None
