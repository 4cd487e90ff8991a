"""The journal: written with the change, chained, and its chain shows every tampering."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlite_utils import Database

from inspect_app.domain.journal import GENESIS, JournalItem, JournalRow, canonical_items, first_break, row_hash
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.journal import append_journal, get_journal_head, item, list_journal
from inspect_app.store.migrations import apply_migrations

AT = datetime(2026, 3, 4, 19, 22, tzinfo=UTC)


@pytest.fixture
def db(tmp_path: Path) -> Database:
    db = open_db(tmp_path / "inspect.db")
    apply_migrations(db)
    return db


def test_it_is_written_only_inside_a_transaction(db: Database) -> None:
    with pytest.raises(RuntimeError):
        append_journal(db, at=AT, actor="system", action="x")


def test_the_chain_of_many_rows_holds_and_ends_in_the_head(db: Database) -> None:
    assert get_journal_head(db) == GENESIS
    for minute in range(5):
        with write_transaction(db):
            items = [item("entry", str(minute), {"minute": minute})]
            append_journal(db, at=AT + timedelta(minutes=minute), actor="system", action="entry.add", items=items)
    rows = list(list_journal(db))
    assert first_break(rows) is None
    assert rows[-1].hash == get_journal_head(db)


def chain(texts: list[str]) -> list[JournalRow]:
    rows, prev = [], GENESIS
    for n, text in enumerate(texts, 1):
        items = (JournalItem("t", text, "00"),)
        digest = row_hash(n, "2026", "a", text, "h", canonical_items(items), prev)
        rows.append(JournalRow(n, "2026", "a", text, "h", items, prev, digest))
        prev = digest
    return rows


@given(st.lists(st.text("abc", min_size=1, max_size=3), min_size=3, max_size=8), st.data())
def test_a_changed_dropped_or_swapped_row_is_found(texts: list[str], data: st.DataObject) -> None:
    rows = chain(texts)
    assert first_break(rows) is None
    at = data.draw(st.integers(0, len(rows) - 2))
    field = data.draw(st.sampled_from(["at", "actor", "action", "house"]))
    changed = list(rows)
    changed[at] = rows[at]._replace(**{field: "zz"})
    assert first_break(changed) == at + 1
    assert first_break(rows[:at] + rows[at + 1 :]) == at + 1
    swapped = list(rows)
    swapped[at], swapped[at + 1] = swapped[at + 1], swapped[at]
    assert first_break(swapped) == at + 1
