"""Which deficiency a finding points at: one for each fault, whatever the order in which its findings arrive."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.deficiency import FINDS_AGAIN, OPEN_STATES, Answer, DeficiencyState
from inspect_app.domain.deficiency_chain import Chain, Cut, Regraded, Said, chain_of, corrections
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.walk import DecisionKind
from inspect_app.store.accepted_condition import end_accepted_of_part
from inspect_app.store.deficiency import add_event


class _Known(NamedTuple):
    """A deficiency to which findings of a chain point."""

    id: bytes
    number: int
    state: DeficiencyState
    what: str
    grade: Grade
    by_hand: bool
    found_at: str


class _Closed(NamedTuple):
    """A deficiency that was settled or dismissed, when, and which findings point at it."""

    id: bytes
    settled: bool
    cut: Cut


class _Told(NamedTuple):
    """All that was told of a part: findings, what replaces what, decided grades, joined findings, closings."""

    said: list[Said]
    replaced: dict[str, list[str]]
    decided: list[Regraded]
    joined: list[tuple[str, str]]
    closed: list[_Closed]


def link_finding(db: Database, *, house: str, part: str, finding: str, what: str, at: datetime) -> None:
    """Let a finding make a deficiency or join the one it belongs to; inside the caller's transaction.

    Call it once the finding, its look and the rows of `look_replaced` are written. `what` are the finding's words.
    Where a finding arrives between two that were counted as two faults, the higher number stays and says that it is
    the same as the lower one. What is found after its deficiency was settled has a new number that names the old one;
    *not seen now* settles nothing.
    """
    told = _tell(db, house, part)
    pairs = corrections(told.said, told.replaced)
    this = next(one for one in told.said if one.id == finding)
    raised = _settle(db, house, part, told, finding, what)
    for old in {old.id for old, new in pairs if new.id == finding}:
        _settle(db, house, part, told, finding, "", of=old)
    if all(old.id != finding for old, _ in pairs):
        _find_again(db, this, at, raised)


def _tell(db: Database, house: str, part: str) -> _Told:
    root_by_hand(db, part)
    joined, closed = _list_joined(db, part), _list_closed(db, part)
    return _Told(_list_said(db, house, part), _list_replaced(db, part), _list_regraded(db, part), joined, closed)


def _settle(db: Database, house: str, part: str, told: _Told, finding: str, what: str, of: str = "") -> bool:
    """Write what a chain comes to: one deficiency with its words, grade and date, and every finding pointing at it.

    The chain is that of `of`, or else of `finding`, the one that arrived. Returns whether a grade that was known rose.
    """
    cuts = [one.cut for one in told.closed]
    chain = chain_of(of or finding, told.said, told.replaced, told.decided, told.joined, cuts)
    known = _list_known(db, chain.members) if chain else []
    if chain is None or (not known and finding not in chain.members):
        return False
    if known:
        kept = known[0]
        key = kept.id
        words = what if chain.speaker == finding and what else _words_of(db, chain.speaker) or kept.what
        words, found_at = (kept.what, min(kept.found_at, chain.found_at)) if kept.by_hand else (words, chain.found_at)
        db.execute(
            "UPDATE deficiency SET what = ?, grade = ?, found_at = ? WHERE id = ?",
            (words, chain.grade.value, found_at, key),
        )
    else:
        key = _open_new(db, house, part, what, chain)
    for member in sorted(chain.members):
        db.execute(
            "INSERT INTO deficiency_finding(deficiency, finding) VALUES (?,?) ON CONFLICT DO NOTHING",
            (key, to_key(member)),
        )
    if len(known) > 1:
        _join(db, known, finding)
    _name_earlier(db, key, chain, told)
    return bool(known) and GRADE_RANK[chain.grade] > GRADE_RANK[known[0].grade]


def _open_new(db: Database, house: str, part: str, what: str, chain: Chain) -> bytes:
    key = to_key(clock.new_id())
    db.execute(
        "INSERT INTO deficiency(id, house, number, part, what, grade, state, found_at) VALUES "
        "(?, ?, (SELECT coalesce(max(number), 0) + 1 FROM deficiency WHERE house = ?), ?, ?, ?, 'found', ?)",
        (key, to_key(house), to_key(house), to_key(part), what, chain.grade.value, chain.found_at),
    )
    return key


def _name_earlier(db: Database, key: bytes, chain: Chain, told: _Told) -> None:
    """Let an open deficiency name the last closed one of the part that it is again: answered, or at the same point."""
    own = [one for one in told.said if one.id in chain.members and one.answer in FINDS_AGAIN]
    first = min(one.true_at or one.at for one in own)
    before = [
        one
        for one in told.closed
        if one.id != key
        and one.cut.at < first
        and (one.cut.members & chain.related or _same_point(own, [x for x in told.said if x.id in one.cut.members]))
    ]
    last = max(before, key=lambda one: one.cut.at, default=None)
    db.execute(
        "UPDATE deficiency SET again_of = ?, recurring = ? WHERE id = ? AND state NOT IN ('settled', 'no_fault')",
        (last.id if last else None, int(bool(last and last.settled)), key),
    )


def _same_point(some: Sequence[Said], others: Sequence[Said]) -> bool:
    """Whether two faults are at one point of the part; two defects that are named must be the same."""
    return any(
        one.point == other.point and (not one.defect or not other.defect or one.defect == other.defect)
        for one in some
        for other in others
    )


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


_LATE = "An entry from before this was closed arrived afterwards. Read it: it was not known then."


def _find_again(db: Database, said: Said, at: datetime, raised: bool) -> None:
    """What a finding does to the state: it brings back what was put off, and sends back work that did not hold."""
    row = db.execute(
        "SELECT d.id, d.state FROM deficiency_finding x JOIN deficiency d ON d.id = x.deficiency "
        "WHERE x.finding = ? AND d.state <> 'same'",
        (to_key(said.id),),
    ).fetchone()
    if row is None or said.answer not in FINDS_AGAIN:
        return
    key, state = row[0], DeficiencyState(row[1])
    worse = said.answer is Answer.WORSE or said.grade is Grade.STOP_USE
    if worse:  # a condition that got worse is not the one the house accepted
        end_accepted_of_part(db, key, at, "worse")
    to_state, note = _moved_by(db, key, state, said, worse, raised)
    if note:
        by = _recorder(db, said.id)
        add_event(db, key, state.value, to_state.value, by, "", _received_at(db, said.id), note)


def _moved_by(
    db: Database, key: bytes, state: DeficiencyState, said: Said, worse: bool, raised: bool
) -> tuple[DeficiencyState, str]:
    if state is DeficiencyState.PUT_OFF and worse:
        return DeficiencyState.FOUND, "Found worse than when it was put off: it waits for a decision again."
    if state in (DeficiencyState.WORK_DONE, DeficiencyState.CHECKED) and (said.true_at or said.at) > _since(
        db, key, state
    ):
        return DeficiencyState.SENT_BACK, "Found again on a walk after the work was done."
    if state not in OPEN_STATES and raised:
        return DeficiencyState.FOUND, "Open again: an entry that was not known when this was closed makes it graver."
    if state not in OPEN_STATES and (said.true_at or said.at) <= _since(db, key, state):
        return state, _LATE
    return state, ""


def _since(db: Database, key: bytes, state: DeficiencyState) -> str:
    """When a deficiency came into the state it is in."""
    row = db.execute(
        "SELECT at FROM deficiency_event WHERE deficiency = ? AND to_state = ? AND from_state <> to_state "
        "ORDER BY rowid DESC LIMIT 1",
        (key, state.value),
    ).fetchone()
    return str(row[0]) if row else ""


def _list_closed(db: Database, part: str) -> list[_Closed]:
    """The settled and dismissed deficiencies of a part, with the findings that point at each."""
    rows = db.execute(
        "SELECT id, state FROM deficiency WHERE part = ? AND state IN ('settled', 'no_fault') ORDER BY number",
        (to_key(part),),
    ).fetchall()
    closed = []
    for key, state in rows:
        links = db.execute("SELECT finding FROM deficiency_finding WHERE deficiency = ?", (key,)).fetchall()
        cut = Cut(frozenset(from_key(finding) for (finding,) in links), _since(db, key, DeficiencyState(state)))
        closed.append(_Closed(bytes(key), state == DeficiencyState.SETTLED, cut))
    return closed


def _list_joined(db: Database, part: str) -> list[tuple[str, str]]:
    """Pairs of findings that a person said are one fault: those of a deficiency and of the one that carries it on."""
    rows = db.execute(
        "SELECT x.finding, y.finding FROM deficiency d JOIN deficiency_finding x ON x.deficiency = d.id "
        "JOIN deficiency_finding y ON y.deficiency = d.same_as WHERE d.part = ? AND d.state = 'same'",
        (to_key(part),),
    )
    return [(from_key(one), from_key(other)) for one, other in rows.fetchall()]


def root_by_hand(db: Database, part: str) -> None:
    """Let each deficiency that was entered by hand on a part stand for a finding of its own id, which phones answer."""
    db.execute(
        "INSERT INTO deficiency_finding(deficiency, finding) SELECT id, id FROM deficiency "
        "WHERE part = ? AND made_by IS NOT NULL ON CONFLICT DO NOTHING",
        (to_key(part),),
    )


def _list_by_hand(db: Database, house: str, part: str) -> list[Said]:
    """What was entered by hand, as the first thing told of its fault; no point of it is like any other."""
    rows = db.execute(
        "SELECT id, grade, found_at FROM deficiency WHERE part = ? AND house = ? AND made_by IS NOT NULL",
        (to_key(part), to_key(house)),
    )
    return [
        Said(key, key, f"by hand {key}", None, Answer.NEW, Grade(grade), at, at)
        for key, grade, at in ((from_key(row[0]), row[1], row[2]) for row in rows.fetchall())
    ]


_TRUE_MS = 300_000  # a clock that is off by more is set right, as where the last look is chosen (store/look.py)


def _list_said(db: Database, house: str, part: str) -> list[Said]:
    rows = db.execute(
        "SELECT f.id, f.entry, f.point, f.of, f.answer, f.grade, l.at, e.received_at, e.skew_ms, f.defect "
        "FROM finding f JOIN look l ON l.entry = f.entry JOIN entry e ON e.id = f.entry "
        "WHERE f.part = ? AND f.house = ?",
        (to_key(part), to_key(house)),
    )
    return _list_by_hand(db, house, part) + [
        Said(
            from_key(key), from_key(entry), point, from_key(of) if of else None, Answer(answer), Grade(grade), at, came,
            _true_time(at, skew_ms or 0), defect,
        )
        for key, entry, point, of, answer, grade, at, came, skew_ms, defect in rows.fetchall()
    ]  # fmt: skip


def _true_time(at: str, skew_ms: int) -> str:
    if abs(skew_ms) <= _TRUE_MS:
        return at
    return (datetime.fromisoformat(at) + timedelta(milliseconds=skew_ms)).isoformat(timespec="milliseconds")


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
    """Grades that people decided: for a finding at review, or for a deficiency, which all its findings share."""
    rows = db.execute(
        "SELECT finding, choice, at FROM decision WHERE part = ? AND kind = ? AND finding IS NOT NULL UNION ALL "
        "SELECT x.finding, d.decided_grade, d.graded_at FROM deficiency d "
        "JOIN deficiency_finding x ON x.deficiency = d.id WHERE d.part = ? AND d.decided_grade <> ''",
        (to_key(part), DecisionKind.GRADE.value, to_key(part)),
    )
    return [Regraded(from_key(finding), Grade(choice), at) for finding, choice, at in rows.fetchall()]


def _list_known(db: Database, members: frozenset[str]) -> list[_Known]:
    marks = ",".join("?" * len(members))
    rows = db.execute(
        "SELECT DISTINCT d.id, d.number, d.state, d.what, d.grade, d.made_by IS NOT NULL, d.found_at "
        "FROM deficiency_finding x JOIN deficiency d ON d.id = x.deficiency "
        f"WHERE x.finding IN ({marks}) AND d.state <> 'same' ORDER BY d.number",
        [to_key(member) for member in sorted(members)],
    )
    return [
        _Known(bytes(key), number, DeficiencyState(state), what, Grade(grade), bool(by_hand), found_at)
        for key, number, state, what, grade, by_hand, found_at in rows.fetchall()
    ]


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
