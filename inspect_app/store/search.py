"""The search of everything ever said in one house: what fits, newest first, with the words marked."""

from typing import NamedTuple

from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.search_words import match_text
from inspect_app.store.said import find_unlike_said
from inspect_app.store.seal import COVERED

PER_PAGE = 25
COUNTED = 1000  # no more are counted or shown: whoever finds more needs another word
MARK, END = "\x02", "\x03"  # stand around each word found; no text of the record has them
SNIPPET_WORDS = 40

# Table of a text -> whether it no longer stands, and in which words; `leads` is what the row leads to.
_STANDING = {
    "look": "SELECT 'replaced by a later entry' FROM look_replaced WHERE entry = ?",
    "finding": "SELECT 'replaced by a later entry' FROM look_replaced WHERE entry = ?",
    "tag_out": "SELECT state FROM tag_out WHERE id = ? AND state <> 'standing'",
    "deficiency": "SELECT replace(state, '_', ' ') FROM deficiency WHERE id = ?",
    "accepted_condition": "SELECT 'ended' FROM accepted_condition WHERE id = ? AND ended_at IS NOT NULL",
    "restriction": "SELECT 'ended' FROM restriction WHERE id = ? AND ended_at IS NOT NULL",
    "relook": "SELECT iif(done_at IS NULL, 'ended', 'done') FROM relook WHERE id = ? "
    "AND coalesce(done_at, ended_at) IS NOT NULL",
    "event": "SELECT 'withdrawn' FROM event_withdrawal WHERE event = ?",
    "old_page": "SELECT 'withdrawn' FROM old_page_withdrawal WHERE old_page = ?",
    "interval_scope": "SELECT 'ended' FROM interval_scope WHERE id = ? AND ended_at IS NOT NULL",
    "blackout": "SELECT 'ended' FROM blackout WHERE id = ? AND ended_at IS NOT NULL",
    "part_life": "SELECT 'taken out' FROM part_life WHERE id = ? AND retired_on IS NOT NULL",
    "part": "SELECT 'retired' FROM part WHERE id = ? AND retired_on IS NOT NULL",
    "line_set": "SELECT 'retired' FROM line_set WHERE id = ? AND retired_on IS NOT NULL",
}
_UNSIGNED = f"SELECT 'not signed yet' FROM look l WHERE l.entry = ? AND NOT {COVERED}"


class Hit(NamedTuple):
    """One text that fits. `pieces` are its words as (text, whether it was looked for); `marks` say what became of it.

    `noun` is the table it stands in and `leads` the id of what it is about; `at` is UTC text as stored.
    """

    noun: str
    kind: str
    about: str
    pieces: tuple[tuple[str, bool], ...]
    part: str
    line_set: str
    leads: str
    at: str
    who: str
    marks: tuple[str, ...]


class Found(NamedTuple):
    """One page of what fits, and how many texts fit in all, counted up to COUNTED."""

    hits: tuple[Hit, ...]
    total: int


def search_said(
    db: Database,
    house: str,
    words: tuple[str, ...],
    *,
    kind: str = "",
    line_set: str = "",
    page: int = 1,
    without: str = "",
) -> Found:
    """The texts of a house that hold all of the words, those that came in last first; none without a word.

    `without` is a kind that whoever asks may not see.
    """
    if not words:
        return Found((), 0)
    keys = [f"h{to_key(house).hex()}"]
    keys += [f"k{kind}"] if kind else []
    keys += [f"s{to_key(line_set).hex()}"] if line_set else []
    apart = " AND ".join(f'keys : "{key}"' for key in keys)
    match = f"({{about text}} : ({match_text(words)})) AND {apart}"
    match = f'({match}) NOT keys : "k{without}"' if without else match
    counted = "SELECT count(*) FROM (SELECT 1 FROM said_words WHERE said_words MATCH ? ORDER BY rowid DESC LIMIT ?)"
    (total,) = db.execute(counted, (match, COUNTED)).fetchone()
    rows = db.execute(
        "SELECT s.noun, s.kind, s.about, f.words, s.part, s.line_set, s.leads, s.at, coalesce(p.name, '') "
        "FROM (SELECT rowid AS id, snippet(said_words, 2, ?, ?, ' … ', ?) AS words FROM said_words "
        "WHERE said_words MATCH ? ORDER BY rowid DESC LIMIT ? OFFSET ?) f "
        "JOIN said s ON s.id = f.id LEFT JOIN person p ON p.id = s.by ORDER BY s.id DESC",
        (MARK, END, SNIPPET_WORDS, match, PER_PAGE, PER_PAGE * (max(page, 1) - 1)),
    ).fetchall()
    return Found(tuple(_to_hit(db, row) for row in rows), total)


def _to_hit(db: Database, row: tuple) -> Hit:  # type: ignore[type-arg]
    noun, kind, about, words, part, line_set, leads, at, who = row
    marks = [
        mark
        for query in (_STANDING.get(noun), _UNSIGNED if noun in ("look", "finding") else None)
        if query
        for (mark,) in db.execute(query, (leads,)).fetchall()[:1]
    ]
    return Hit(
        noun, kind, about.strip(), _pieces(words), _text(part), _text(line_set), _text(leads), at, who, tuple(marks)
    )


def _pieces(words: str) -> tuple[tuple[str, bool], ...]:
    first, *rest = words.split(MARK)
    found = [(first, False)]
    for piece in rest:
        marked, _, after = piece.partition(END)
        found += [(marked, True), (after, False)]
    return tuple(piece for piece in found if piece[0])


def _text(key: bytes | None) -> str:
    return from_key(key) if key else ""


def find_search_fault(db: Database) -> str:
    """What is wrong with the search in words, '' when its rows and its index agree with the record."""
    unlike = find_unlike_said(db)
    if unlike is not None:
        return f"{unlike[1]} texts of table {unlike[0]} are not as the record has them"
    try:
        db.execute("INSERT INTO said_words(said_words, rank) VALUES ('integrity-check', 1)")
    except sqlite3.DatabaseError:
        return "the index of its words is not that of its texts"
    return ""
