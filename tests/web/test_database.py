"""Connections that wait between requests: nothing of one request is found in the next, and none outlives its file."""

import gc
import os
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db
from inspect_app.web.database import get_db, get_settings, keep_connections


@pytest.fixture
def kept(app: Flask) -> Iterator[Flask]:
    """An application whose connections wait, as those of a running server do."""
    keep_connections(app)
    yield app
    app.extensions.clear()
    gc.collect()


def path_of(app: Flask) -> Path:
    with app.app_context():
        return database_path(get_settings())


def in_request(app: Flask) -> Database:
    """The connection that one request had."""
    with app.app_context():
        db = get_db()
        db.execute("SELECT count(*) FROM house").fetchone()
        return db


def is_open(db: Database) -> bool:
    try:
        return bool(db.execute("SELECT 1").fetchone())
    except sqlite3.ProgrammingError:
        return False


def test_without_a_server_each_request_opens_and_closes_its_own(app: Flask) -> None:
    assert not is_open(in_request(app))


def test_the_next_request_has_the_connection_that_waits_on_whatever_thread(kept: Flask) -> None:
    first = in_request(kept)
    found: list[Database] = []
    thread = threading.Thread(target=lambda: found.append(in_request(kept)))
    thread.start()
    thread.join()
    assert found == [first]
    assert is_open(first)


def test_requests_at_the_same_time_have_one_each_and_few_wait_afterwards(kept: Flask) -> None:
    with kept.app_context():
        first = get_db()
        others = [in_request(kept)]
        assert others[0] is not first
    contexts = [kept.app_context() for _ in range(9)]
    for context in contexts:
        context.push()
        others.append(get_db())
    assert len({id(db) for db in others[1:]}) == 9
    for context in reversed(contexts):
        context.pop()
    assert sum(is_open(db) for db in {id(one): one for one in [first, *others]}.values()) == 4


def test_a_transaction_that_was_left_open_is_undone_and_its_connection_closed(kept: Flask) -> None:
    with kept.app_context():
        left = get_db()
        left.execute("BEGIN IMMEDIATE")
        left.execute("CREATE TABLE half_done(n)")
    assert not is_open(left)
    assert "half_done" not in in_request(kept).table_names()


def test_an_answer_that_was_left_half_read_does_not_show_the_next_request_the_past(kept: Flask) -> None:
    other = open_db(path_of(kept))
    other.execute("CREATE TABLE seen(n)")
    other.execute("INSERT INTO seen VALUES (1), (2), (3)")
    count = "SELECT count(*) FROM seen"
    for _ in range(2):  # also on a connection that has waited before
        in_request(kept)
        with kept.app_context():
            half_read = get_db().execute("SELECT n FROM seen")
            half_read.fetchone()
        other.execute("INSERT INTO seen VALUES (4)")
        with kept.app_context():
            assert get_db().execute(count).fetchone() == other.execute(count).fetchone()
        del half_read
    other.conn.close()


def test_a_file_that_was_put_in_its_place_is_read_by_the_next_request(kept: Flask, tmp_path: Path) -> None:
    before, path = in_request(kept), path_of(kept)
    shutil.copy(path, tmp_path / "copy.db")
    copy = open_db(tmp_path / "copy.db")
    copy.execute("CREATE TABLE restored(n)")
    copy.conn.close()
    os.replace(tmp_path / "copy.db", path)
    assert "restored" in in_request(kept).table_names()
    assert not is_open(before)


def test_a_child_process_leaves_the_connections_of_its_parent_alone(kept: Flask, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    first = in_request(kept)
    monkeypatch.setattr(os, "getpid", lambda: -1)
    assert in_request(kept) is not first
    assert is_open(first)
    first.conn.close()


def test_what_waits_is_closed_with_the_application_and_leaves_the_whole_in_one_file(kept: Flask) -> None:
    path, db = path_of(kept), in_request(kept)
    with kept.app_context():
        get_db().execute("CREATE TABLE written(n)")
    assert path.with_name(path.name + "-wal").exists()
    kept.extensions.clear()
    gc.collect()
    assert not is_open(db)
    assert not path.with_name(path.name + "-wal").exists()
