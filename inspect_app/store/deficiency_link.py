"""Which deficiency a finding points at: one for each fault, whatever the order in which its findings arrive."""

from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import FINDS_AGAIN, OPEN_STATES, Answer, DeficiencyState
from inspect_app.domain.deficiency_chain import Chain, Regraded, Said, chain_of, corrections
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.walk import DecisionKind
from inspect_app.store.deficiency import add_event


class _Known(NamedTuple):
    """A deficiency to which findings of a chain point."""

    id: bytes
    number: int
    state: DeficiencyState
    what: str


def link_finding(db: Database, *, house: str, part: str, finding: str, what: str, at: datetime) -> None:
    """Let a finding make a deficiency or join the one it belongs to; inside the caller's transaction.

    Call it once the finding, its look and the rows of `look_replaced` are written. `what` are the finding's words.
    Where a finding arrives between two that were counted as two faults, the higher number stays and says that it is
    the same as the lower one. *Still there* and *worse* find again what was settled; *not seen now* settles nothing.
    """
    said = _list_said(db, house, part)
    replaced = _list_replaced(db, part)
    decided = _list_regraded(db, part)
    pairs = corrections(said, replaced)
    _settle(db, house, part, chain_of(finding, said, replaced, decided), finding, what)
    for old in {old.id for old, new in pairs if new.id == finding}:
        _settle(db, house, part, chain_of(old, said, replaced, decided), finding, "")
    this = next(one for one in said if one.id == finding)
    if all(old.id != finding for old, _ in pairs):
        _find_again(db, this, at)


def _settle(db: Database, house: str, part: str, chain: Chain | None, finding: str, what: str) -> None:
    """Write what a chain comes to: one deficiency with its words, grade and date, and every finding pointing at it."""
    if chain is None:
        return
    known = _list_known(db, chain.members)
    if not known and finding not in chain.members:
        return
    if not known:
        key = _open_new(db, house, part, what, chain)
    else:
        key = known[0].id
        words = what if chain.speaker == finding and what else _words_of(db, chain.speaker) or known[0].what
        db.execute(
            "UPDATE deficiency SET what = ?, grade = ?, found_at = ? WHERE id = ?",
            (words, chain.grade.value, chain.found_at, key),
        )
    for member in sorted(chain.members):
        db.execute(
            "INSERT INTO deficiency_finding(deficiency, finding) VALUES (?,?) ON CONFLICT DO NOTHING",
            (key, to_key(member)),
        )
    if len(known) > 1:
        _join(db, known, finding)


def _open_new(db: Database, house: str, part: str, what: str, chain: Chain) -> bytes:
    key = to_key(clock.new_id())
    db.execute(
        "INSERT INTO deficiency(id, house, number, part, what, grade, state, found_at) VALUES "
        "(?, ?, (SELECT coalesce(max(number), 0) + 1 FROM deficiency WHERE house = ?), ?, ?, ?, 'found', ?)",
        (key, to_key(house), to_key(house), to_key(part), what, chain.grade.value, chain.found_at),
    )
    return key


def _join(db: Database, known: list[_Known], finding: str) -> None:
    """Close the higher numbers with a word on which one carries on; that one is open if any of them was."""
    kept, at = known[0], _received_at(db, finding)
    by = _recorder(db, finding)
    for other in known[1:]:
        note = f"The same fault as deficiency {kept.number}, as a later entry shows; it is followed there."
        add_event(db, other.id, other.state.value, DeficiencyState.SAME.value, by, "", at, note)
    if kept.state not in OPEN_STATES and any(other.state in OPEN_STATES for other in known[1:]):
        numbers = ", ".join(str(other.number) for other in known[1:])
        note = f"Open again: the same fault stood open under number {numbers}."
        add_event(db, kept.id, kept.state.value, DeficiencyState.FOUND.value, by, "", at, note)


def _find_again(db: Database, said: Said, at: datetime) -> None:
    row = db.execute(
        "SELECT d.id, d.state FROM deficiency_finding x JOIN deficiency d ON d.id = x.deficiency "
        "WHERE x.finding = ? AND d.state <> 'same'",
        (to_key(said.id),),
    ).fetchone()
    if row is None or said.answer not in FINDS_AGAIN:
        return
    key, state = row
    if said.answer is Answer.WORSE:  # a condition that got worse is not the one the house accepted
        db.execute(
            "UPDATE accepted_condition SET ended_at = ? WHERE ended_at IS NULL "
            "AND part = (SELECT part FROM deficiency WHERE id = ?)",
            (at.isoformat(timespec="milliseconds"), key),
        )
    if DeficiencyState(state) not in OPEN_STATES:
        by = _recorder(db, said.id)
        add_event(db, key, state, DeficiencyState.FOUND.value, by, "", at, "Found again on a walk.")


def _list_said(db: Database, house: str, part: str) -> list[Said]:
    rows = db.execute(
        "SELECT f.id, f.entry, f.point, f.of, f.answer, f.grade, l.at, e.received_at FROM finding f "
        "JOIN look l ON l.entry = f.entry JOIN entry e ON e.id = f.entry WHERE f.part = ? AND f.house = ?",
        (to_key(part), to_key(house)),
    )
    return [
        Said(
            from_key(key), from_key(entry), point, from_key(of) if of else None, Answer(answer), Grade(grade), at, came
        )
        for key, entry, point, of, answer, grade, at, came in rows.fetchall()
    ]


def _list_replaced(db: Database, part: str) -> dict[str, list[str]]:
    """The entries that looks at a part replace, by the entry that replaces them."""
    rows = db.execute(
        "SELECT r.by_entry, r.entry FROM look_replaced r JOIN look l ON l.entry = r.by_entry WHERE l.part = ?",
        (to_key(part),),
    )
    found: dict[str, list[str]] = {}
    for newer, old in rows.fetchall():
        found.setdefault(from_key(newer), []).append(from_key(old))
    return found


def _list_regraded(db: Database, part: str) -> list[Regraded]:
    rows = db.execute(
        "SELECT finding, choice, at FROM decision WHERE part = ? AND kind = ? AND finding IS NOT NULL",
        (to_key(part), DecisionKind.GRADE.value),
    )
    return [Regraded(from_key(finding), Grade(choice), at) for finding, choice, at in rows.fetchall()]


def _list_known(db: Database, members: frozenset[str]) -> list[_Known]:
    marks = ",".join("?" * len(members))
    rows = db.execute(
        "SELECT DISTINCT d.id, d.number, d.state, d.what FROM deficiency_finding x "
        f"JOIN deficiency d ON d.id = x.deficiency WHERE x.finding IN ({marks}) AND d.state <> 'same' "
        "ORDER BY d.number",
        [to_key(member) for member in sorted(members)],
    )
    return [_Known(bytes(key), number, DeficiencyState(state), what) for key, number, state, what in rows.fetchall()]


def _words_of(db: Database, speaker: str) -> str:
    """The words under which the fault goes of which this finding speaks; '' when it pointed at none yet."""
    row = db.execute(
        "SELECT d.what FROM deficiency_finding x JOIN deficiency d ON d.id = x.deficiency "
        "WHERE x.finding = ? AND d.state <> 'same' ORDER BY d.number LIMIT 1",
        (to_key(speaker),),
    ).fetchone()
    return str(row[0]) if row else ""


def _recorder(db: Database, finding: str) -> bytes:
    row = db.execute("SELECT e.by FROM finding f JOIN entry e ON e.id = f.entry WHERE f.id = ?", (to_key(finding),))
    return bytes(row.fetchone()[0])


def _received_at(db: Database, finding: str) -> datetime:
    row = db.execute(
        "SELECT e.received_at FROM finding f JOIN entry e ON e.id = f.entry WHERE f.id = ?", (to_key(finding),)
    )
    return datetime.fromisoformat(row.fetchone()[0])
