"""A data folder in one file and back: what is kept, and every way in which a restore says no."""

import hashlib
import io
import shutil
import zipfile
from pathlib import Path

import pytest
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.backup import make_backup, restore_backup
from inspect_app.actions.verify import verify_data
from inspect_app.config import Settings
from inspect_app.domain.errors import Conflict, NotFound, NotSaved
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db
from inspect_app.store.photo import keep_photo_files
from tests.walk_builder import BuiltWalk

AT = clock.now()


@pytest.fixture
def kept(db: Database, settings: Settings, house, tmp_path: Path) -> Path:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1")
    walk.close()
    walk.sign()
    keep_photo_files(settings, b"a photo", {"thumb": b"small"})
    (settings.data / "reports" / "r.pdf").write_bytes(b"%PDF-")
    return make_backup(settings.data, tmp_path / "kept.zip", AT)


def contents(folder: Path) -> dict[str, str]:
    names = ("photos", "reports", "checklists")
    files = [path for name in names for path in sorted((folder / name).rglob("*")) if path.is_file()]
    return {path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def test_what_was_kept_comes_back_and_holds(kept: Path, settings: Settings, db: Database, tmp_path: Path) -> None:
    journal = db.execute("SELECT * FROM journal ORDER BY n").fetchall()
    assert kept.stat().st_mode & 0o077 == 0
    assert restore_backup(kept, tmp_path / "new") >= 5
    assert contents(tmp_path / "new") == contents(settings.data)
    assert len(contents(tmp_path / "new")) == 3
    opened = open_data_folder(tmp_path / "new")
    again = open_db(database_path(opened.settings))
    assert again.execute("SELECT * FROM journal ORDER BY n").fetchall() == journal
    assert verify_data(again, tmp_path / "new").holds
    again.conn.close()
    with zipfile.ZipFile(kept) as packed:
        assert not [name for name in packed.namelist() if "secret" in name or name.startswith(("lan", "backups"))]


def test_a_backup_is_made_while_somebody_writes(settings: Settings, db: Database, house, tmp_path: Path) -> None:
    db.execute("BEGIN IMMEDIATE")
    db.execute("UPDATE house SET name = 'half done'")
    path = make_backup(settings.data, None, AT)
    db.execute("ROLLBACK")
    assert path.parent == settings.data / "backups"
    restore_backup(path, tmp_path / "new")
    again = open_db(tmp_path / "new" / "inspect.db")
    assert again.execute("SELECT name FROM house").fetchone()[0] == house.name
    again.conn.close()
    with pytest.raises(Conflict):
        make_backup(settings.data, path, AT)


def test_a_folder_that_holds_anything_is_left_alone(kept: Path, tmp_path: Path) -> None:
    full = tmp_path / "full"
    full.mkdir()
    (full / "mine.txt").write_text("mine")
    with pytest.raises(Conflict, match="not empty"):
        restore_backup(kept, full)
    assert [path.name for path in full.iterdir()] == ["mine.txt"]
    with pytest.raises(Conflict, match="not empty"):
        restore_backup(kept, full / "mine.txt")


def rewritten(kept: Path, to: Path, change) -> Path:
    """The backup with its files passed through `change(name, content)`; None leaves one out."""
    with zipfile.ZipFile(kept) as old, zipfile.ZipFile(to, "w") as new:
        for name in old.namelist():
            content = change(name, old.read(name))
            if content is not None:
                new.writestr(name, content)
    return to


def _flip(name: str, content: bytes) -> bytes:
    return b"another photo" if content == b"a photo" else content


def _leave_out(name: str, content: bytes) -> bytes | None:
    return None if content == b"a photo" else content


def _no_list(name: str, content: bytes) -> bytes | None:
    return None if name == "SHA256SUMS" else content


def _hurt_database(name: str, content: bytes) -> bytes:
    return content.replace(b"SQLite format 3", b"SQLite format X") if name == "inspect.db" else content


@pytest.mark.parametrize("change", [_flip, _leave_out, _no_list, _hurt_database])
def test_a_backup_that_does_not_hold_restores_nothing(kept: Path, tmp_path: Path, change) -> None:
    bad, new = rewritten(kept, tmp_path / "bad.zip", change), tmp_path / "new"
    with pytest.raises(Conflict):
        restore_backup(bad, new)
    assert not new.exists()
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".new")]


@pytest.mark.parametrize(
    "name", ["../evil", "/evil", "photos/../../evil", "secret.key", "other/x", "photos\\..\\x", ".", "photos"]
)
def test_no_file_leaves_the_folder(kept: Path, tmp_path: Path, name: str) -> None:
    bad, digest = tmp_path / "bad.zip", hashlib.sha256(b"evil").hexdigest()
    shutil.copyfile(kept, bad)

    def add(old: str, content: bytes) -> bytes:
        return content + f"{digest}  {name}\n".encode() if old == "SHA256SUMS" else content

    rewritten(kept, bad, add)
    with zipfile.ZipFile(bad, "a") as packed:
        packed.writestr(name, b"evil")
    with pytest.raises(Conflict):
        restore_backup(bad, tmp_path / "new")
    assert not (tmp_path / "evil").exists()
    assert not (tmp_path / "new").exists()


def _spoil(raw: bytes, name: str, change) -> bytes:
    """The bytes of a ZIP with the packed content of one file changed in place."""
    with zipfile.ZipFile(io.BytesIO(raw)) as packed:
        info = packed.getinfo(name)
    start = info.header_offset + 30 + len(name) + int.from_bytes(raw[info.header_offset + 28 :][:2], "little")
    end = start + info.compress_size
    return raw[:start] + change(raw[start:end]) + raw[end:]


@pytest.mark.parametrize("name", ["inspect.db", "SHA256SUMS"])
def test_a_damaged_byte_is_said_so_wherever_it_is(kept: Path, tmp_path: Path, name: str) -> None:
    bad = tmp_path / "bad.zip"
    bad.write_bytes(_spoil(kept.read_bytes(), name, lambda packed: b"\xff" * len(packed)))
    with pytest.raises(Conflict, match="cannot be read"):
        restore_backup(bad, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_a_backup_locked_by_a_pass_phrase_is_said_so(kept: Path, tmp_path: Path) -> None:
    raw = bytearray(kept.read_bytes())
    for mark, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = raw.find(mark)
        while at >= 0:
            raw[at + flags] |= 1
            at = raw.find(mark, at + 4)
    (tmp_path / "bad.zip").write_bytes(raw)
    with pytest.raises(Conflict, match="cannot be read"):
        restore_backup(tmp_path / "bad.zip", tmp_path / "new")


def test_nothing_is_unpacked_that_the_disk_will_not_take(kept: Path, tmp_path: Path, monkeypatch) -> None:
    room = shutil.disk_usage(tmp_path)._replace(free=17 << 20)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: room)
    bomb = rewritten(kept, tmp_path / "bomb.zip", lambda name, content: content)
    with zipfile.ZipFile(bomb, "a", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("photos/bomb", bytes(20 << 20))
    assert bomb.stat().st_size < 17 << 20
    with pytest.raises(NotSaved, match="free some space"):
        restore_backup(bomb, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_what_is_no_backup_is_said_so(tmp_path: Path) -> None:
    (tmp_path / "x.zip").write_bytes(b"not a zip at all")
    with pytest.raises(Conflict, match="cannot be read"):
        restore_backup(tmp_path / "x.zip", tmp_path / "new")
    with pytest.raises(NotFound):
        make_backup(tmp_path / "nowhere", tmp_path / "y.zip", AT)
