"""The data folder: private, locked, and never started anew over what was there."""

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from inspect_app.domain.errors import Conflict, NotSaved
from inspect_app.store.data_folder import check_integrity, open_data_folder, read_secret, server_lock
from inspect_app.store.db import open_db
from inspect_app.store.migrations import is_up_to_date

ROOT = Path(__file__).parent.parent.parent


def mode(path: Path) -> int:
    return path.stat().st_mode & 0o777


def test_a_new_folder_is_private_and_complete(tmp_path: Path) -> None:
    old = os.umask(0)
    try:
        folder = open_data_folder(tmp_path / "new" / "data")
    finally:
        os.umask(old)
    data = folder.settings.data
    assert mode(data) == 0o700
    assert {mode(data / name) for name in ("secret.key", "house.marker", "inspect.db")} == {0o600}
    assert {mode(data / name) for name in ("photos", "reports", "checklists", "backups")} == {0o700}
    assert len(read_secret(folder.settings)) == 32
    assert "journal_mode=" in folder.mode


def test_opening_again_keeps_key_and_installation(tmp_path: Path) -> None:
    first = open_data_folder(tmp_path)
    key = read_secret(first.settings)
    second = open_data_folder(tmp_path)
    assert (second.install, read_secret(second.settings)) == (first.install, key)


@pytest.mark.parametrize("fault", ["missing", "empty"])
def test_a_lost_database_is_not_replaced_by_an_empty_one(tmp_path: Path, fault: str) -> None:
    open_data_folder(tmp_path)
    for name in ("inspect.db", "inspect.db-wal", "inspect.db-shm"):
        (tmp_path / name).unlink(missing_ok=True)
    if fault == "empty":
        (tmp_path / "inspect.db").touch()
    with pytest.raises(Conflict, match="restore the last backup"):
        open_data_folder(tmp_path)
    assert not (tmp_path / "inspect.db").exists() or (tmp_path / "inspect.db").stat().st_size == 0


def test_a_start_that_was_cut_off_before_the_marker_can_be_repeated(tmp_path: Path) -> None:
    (tmp_path / "inspect.db").touch()
    (tmp_path / "secret.key.part").write_bytes(b"half")
    assert open_data_folder(tmp_path).install


@pytest.mark.parametrize("content", [b"not a database at all" * 100, b"SQLite format 3\x00" + b"\xff" * 5000])
def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "inspect.db").write_bytes(content)
    with pytest.raises((Conflict, NotSaved), match=r"left alone|not a database|damaged"):
        open_data_folder(tmp_path)
    assert (tmp_path / "inspect.db").read_bytes() == content


def test_damage_inside_is_found_before_serving(tmp_path: Path) -> None:
    folder = open_data_folder(tmp_path)
    check_integrity(folder.settings)
    path = tmp_path / "inspect.db"
    raw = bytearray(path.read_bytes())
    for place in range(8192, len(raw), 4096):
        raw[place : place + 64] = b"\xa5" * 64
    path.write_bytes(bytes(raw))
    with pytest.raises(Conflict, match="is damaged"):
        check_integrity(folder.settings)


def test_a_key_that_others_can_read_is_refused(tmp_path: Path) -> None:
    open_data_folder(tmp_path)
    (tmp_path / "secret.key").chmod(0o644)
    with pytest.raises(Conflict, match="chmod 600"):
        open_data_folder(tmp_path)


def test_a_missing_or_short_key_is_told(settings) -> None:
    (settings.data / "secret.key").write_bytes(b"short")
    with pytest.raises(Conflict, match="cut short"):
        read_secret(settings)


def test_a_marker_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    open_data_folder(tmp_path)
    (tmp_path / "house.marker").write_text("{")
    with pytest.raises(Conflict, match="cannot be read"):
        open_data_folder(tmp_path)


def test_a_path_that_cannot_be_a_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(NotSaved, match="cannot be used"):
        open_data_folder(tmp_path / "file" / "data")


def test_two_servers_never_share_a_folder(tmp_path: Path) -> None:
    open_data_folder(tmp_path)
    program = (
        "from pathlib import Path; from inspect_app.store.data_folder import server_lock\n"
        f"with server_lock(Path({str(tmp_path)!r})): print('got it')"
    )
    command = [sys.executable, "-c", program]
    with server_lock(tmp_path), pytest.raises(Conflict, match="already running"), server_lock(tmp_path):
        pytest.fail("locked twice")
    with server_lock(tmp_path):
        held = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    free = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert "already running" in held.stderr
    assert free.stdout == "got it\n"


def test_many_who_open_a_new_folder_at_once_get_one_installation(tmp_path: Path) -> None:
    found: list[str] = []
    threads = [
        threading.Thread(target=lambda: found.append(open_data_folder(tmp_path / "data").install)) for _ in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 8
    assert len(set(found)) == 1


def test_a_newer_schema_waits_until_the_running_server_stops(tmp_path: Path) -> None:
    open_data_folder(tmp_path)
    db = open_db(tmp_path / "inspect.db")
    db.execute("DELETE FROM _sqlite_migrations")
    assert not is_up_to_date(db)
    db.conn.close()
    with server_lock(tmp_path), pytest.raises(Conflict, match="a server is running on it"):
        open_data_folder(tmp_path)
