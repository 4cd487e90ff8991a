"""What was said is found in its house and nowhere else, whatever wrote it, and the check sees when that is not so."""

from pathlib import Path
from typing import Any

import pytest
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.part import replace_part
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.ids import from_key, to_key
from inspect_app.store.db import APPLICATION_ID, open_db, write_transaction
from inspect_app.store.look import rebuild_projections
from inspect_app.store.migrations import apply_migrations, migrations
from inspect_app.store.said import SOURCES, find_unlike_said, rebuild_said
from inspect_app.store.search import COUNTED, PER_PAGE, find_search_fault, search_said
from tests.walk_builder import BuiltWalk


@pytest.fixture
def built(db: Database, settings: Settings, house: House) -> BuiltWalk:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "watch", note="Poulie fêlée at the cheek")
    return walk


def texts(db: Database, house: House, *words: str, **more: Any) -> list[str]:
    return ["".join(text for text, _ in hit.pieces) for hit in search_said(db, house.id, words, **more).hits]


def test_a_note_is_found_without_its_accents_by_part_and_by_set(built: BuiltWalk, house: House) -> None:
    part = built.part("LB 1-1")
    for words in (("felee",), ("POULIE", "chee"), ("LB", "1-1", "poulie"), ("set", "1", "poulie")):
        (hit, *_) = search_said(built.db, house.id, words, kind="look").hits
        assert hit.part == part.id
        assert hit.who == built.td.name
        assert "not signed yet" in hit.marks
    assert ("fêlée", True) in search_said(built.db, house.id, ("felee",)).hits[0].pieces
    assert texts(built.db, house, "felee", kind="look", line_set=part.line_set or "")
    assert not texts(built.db, house, "felee", kind="event")
    assert not texts(built.db, house, "felee", line_set=built.part("LB 2-1").line_set or "")


def test_a_lot_is_found_with_its_part_and_says_when_it_was_taken_out(built: BuiltWalk, house: House) -> None:
    part = built.part("LB 1-1")
    with write_transaction(built.db) as db:
        db.execute("UPDATE part_life SET lot = 'Q-4471' WHERE part = ?", (to_key(part.id),))
    (hit,) = search_said(built.db, house.id, ("q-4471",)).hits
    assert (hit.noun, hit.part, hit.about[:6], hit.marks) == ("part_life", part.id, "LB 1-1", ())
    replace_part(
        built.db, at=built.at, actor=built.td.id, house=house.id, part=part.id, on=built.at.date(), lot="Q-5000",
        attributes={}, reason="cracked",
    )  # fmt: skip
    for lot, marks in (("q-4471", ("taken out",)), ("q-5000", ())):
        found = {hit.noun: hit.marks for hit in search_said(built.db, house.id, ("lot", lot), kind="house").hits}
        assert found == {"part_life": marks, "part_change": ()}
    assert find_search_fault(built.db) == ""


def test_another_house_finds_nothing(built: BuiltWalk, house: House, other_house: House) -> None:
    assert texts(built.db, house, "poulie")
    assert not texts(built.db, other_house, "poulie")
    # house ids stand in the index but are no words that anyone can look for
    assert not texts(built.db, house, f"h{to_key(house.id).hex()}")


def test_a_replaced_entry_is_found_and_marked(built: BuiltWalk, house: House) -> None:
    first = built.finding("LB 2-1", "watch", note="zincwhisker one")
    built.finding("LB 2-1", "watch", note="zincwhisker two", replaces=[first])
    marks = {hit.leads: hit.marks for hit in search_said(built.db, house.id, ("zincwhisker",), kind="look").hits}
    assert "replaced by a later entry" in marks.pop(first)
    assert all("replaced by a later entry" not in rest for rest in marks.values())


def test_a_new_name_is_found_and_the_old_one_is_not(built: BuiltWalk, house: House) -> None:
    part = built.part("LB 1-1")
    with write_transaction(built.db) as db:
        db.execute("UPDATE part SET tag = 'Quixote' WHERE id = ?", (to_key(part.id),))
        db.execute("UPDATE line_set SET label = 'Cyclorama' WHERE id = ?", (to_key(part.line_set or ""),))
    assert texts(built.db, house, "quixote", "poulie")
    assert texts(built.db, house, "cyclorama", "poulie")
    assert not texts(built.db, house, "1-1", "poulie")
    assert find_search_fault(built.db) == ""


def test_index_and_record_agree_after_a_rebuild_of_either(built: BuiltWalk, house: House) -> None:
    before = texts(built.db, house, "poulie")
    with write_transaction(built.db) as db:
        rebuild_projections(db)
    assert find_search_fault(built.db) == ""
    with write_transaction(built.db) as db:
        rebuild_said(db)
    assert find_search_fault(built.db) == ""
    assert sorted(texts(built.db, house, "poulie")) == sorted(before)


@pytest.mark.parametrize(
    "harm",
    [
        "DELETE FROM said WHERE noun = 'finding'",
        "UPDATE said SET text = 'nothing at all' WHERE noun = 'finding'",
        "INSERT INTO said_words(said_words) VALUES ('delete-all')",
    ],
)
def test_the_check_sees_what_is_missing_or_altered(built: BuiltWalk, harm: str) -> None:
    assert find_search_fault(built.db) == ""
    built.db.execute(harm)
    assert find_search_fault(built.db)


def test_results_come_in_pages_newest_first(built: BuiltWalk, house: House) -> None:
    with write_transaction(built.db) as db:
        for n in range(PER_PAGE + 2):
            db.execute(
                "INSERT INTO house_answer VALUES (?,?,'q',?,?,?)",
                (
                    to_key(clock.new_id()),
                    to_key(house.id),
                    f"wordhere {n}",
                    to_key(built.td.id),
                    "2026-01-01T00:00:00Z",
                ),
            )
    first, second = (search_said(built.db, house.id, ("wordhere",), page=page) for page in (1, 2))
    assert (first.total, len(first.hits), len(second.hits)) == (PER_PAGE + 2, PER_PAGE, 2)
    assert "".join(text for text, _ in first.hits[0].pieces) == f"wordhere {PER_PAGE + 1}"
    assert first.total < COUNTED


def test_every_source_can_be_read_and_amounts_are_not_among_them(built: BuiltWalk) -> None:
    assert find_unlike_said(built.db) is None
    assert not {"deficiency_cost", "journal", "person"} & {source.table for source in SOURCES}


def test_what_an_older_file_holds_is_found_after_the_step(tmp_path: Path) -> None:
    db = open_db(tmp_path / "older.db")
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    migrations.apply(db, stop_before="m0015_search")
    key, person = b"\x01" * 16, b"\x02" * 16
    db.execute("INSERT INTO person(id, name, salt) VALUES (?, 'Ines', x'00')", (person,))
    db.execute(
        "INSERT INTO house(id, name, tz, units, datum, demo, line_names, settings, created_at) "
        "VALUES (?, 'Old', 'UTC', 'metric', 'plaster line', 0, '{}', '{}', '2025-01-01')",
        (key,),
    )
    db.execute(
        "INSERT INTO blackout VALUES (?, ?, '2025-01-01', '2025-01-02', 'Wagner on stage', '', ?, '2025-01-01', NULL)",
        (b"\x03" * 16, key, person),
    )
    apply_migrations(db)
    (hit,) = search_said(db, from_key(key), ("wagner",)).hits
    assert (hit.noun, hit.who) == ("blackout", "Ines")
    assert find_search_fault(db) == ""


def test_a_lot_that_an_older_file_holds_is_found_after_its_step(tmp_path: Path) -> None:
    db = open_db(tmp_path / "older.db")
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    migrations.apply(db, stop_before="m0019_search_lot")
    db.execute("PRAGMA foreign_keys=OFF")
    house, area, part = (bytes([n]) * 16 for n in range(1, 4))
    db.execute(
        "INSERT INTO house(id, name, tz, units, datum, demo, line_names, settings, created_at) "
        "VALUES (?, 'Old', 'UTC', 'metric', 'plaster line', 0, '{}', '{}', '2025-01-01')",
        (house,),
    )
    db.execute("INSERT INTO area(id, house, kind, name) VALUES (?, ?, 'grid', 'Grid')", (area, house))
    db.execute(
        "INSERT INTO part(id, house, tag, kind, area) VALUES (?, ?, 'HB 1', 'head_block', ?)", (part, house, area)
    )
    db.execute("INSERT INTO part_life(id, part, lot, attributes) VALUES (?, ?, 'Q-4471', '{}')", (b"\x04" * 16, part))
    for table in ("said", "to_rebuild"):  # as a release before this step left them, whose triggers knew no lots
        db.execute(f"DELETE FROM {table}")
    db.execute("PRAGMA foreign_keys=ON")
    apply_migrations(db)
    (hit,) = search_said(db, from_key(house), ("q-4471",)).hits
    assert (hit.noun, hit.part) == ("part_life", from_key(part))
    assert find_search_fault(db) == ""
