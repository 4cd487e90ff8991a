"""Originals: kept to the byte beside the scaled picture, in either order, repeatable, and covered by verify."""

import hashlib
import io
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from PIL import Image
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions import original as module
from inspect_app.actions.original import save_original
from inspect_app.actions.photo import Kept, TooLarge, WrongKind, save_photo
from inspect_app.actions.verify import verify_data
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.store.device import Device, list_devices
from inspect_app.store.original import find_original
from inspect_app.store.photo import find_photo, photo_path, read_photo
from tests.walk_builder import add_person

AT = datetime(2026, 3, 4, 19, tzinfo=UTC)
Keep = Callable[..., Kept]


def a_jpeg(side: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (side, side), (90, 120, 60)).save(out, "JPEG", comment=b"Owner Name")
    return out.getvalue()


@pytest.fixture
def device(db: Database, house: House, pair: Callable[..., tuple[str, str]]) -> Device:
    person = add_person(db, house, "Ines Halloran", Role.TD)
    pair(person)
    return list_devices(db, house.id, person.id)[0]


@pytest.fixture
def keep(db: Database, settings: Settings, device: Device) -> Keep:
    def save(photo: str, content: bytes, sha256: str = "") -> Kept:
        return save_original(db, settings, at=AT, device=device, photo=photo, content=content, sha256=sha256)

    return save


@pytest.mark.parametrize("first", ["picture", "original"])
def test_picture_and_original_come_in_either_order_and_each_is_kept_to_the_byte(
    db: Database, settings: Settings, device: Device, keep: Keep, first: str
) -> None:
    photo, scaled, original = clock.new_id(), a_jpeg(600), a_jpeg(1500)
    steps = [
        lambda: save_photo(db, settings, at=AT, device=device, photo=photo, content=scaled),
        lambda: keep(photo, original, hashlib.sha256(original).hexdigest()),
    ]
    for step in steps if first == "picture" else reversed(steps):
        step()
    row, kept = find_photo(db, photo), find_original(db, photo)
    assert row is not None
    assert kept is not None
    assert read_photo(settings, row.sha256) == scaled
    assert read_photo(settings, kept.sha256) == original
    assert Image.open(io.BytesIO(read_photo(settings, row.sha256, "print") or b"")).size == (600, 600)
    assert verify_data(db, settings.data).holds


def test_sending_it_again_changes_nothing_and_other_bytes_are_held(db: Database, keep: Keep) -> None:
    photo, content = clock.new_id(), a_jpeg(40)
    assert [keep(photo, content).new for _ in range(2)] == [True, False]
    held = keep(photo, a_jpeg(50))
    assert held.state == "held"
    assert find_original(db, photo).sha256 == hashlib.sha256(content).hexdigest()  # type: ignore[union-attr]
    assert db.execute("SELECT kind FROM held").fetchall() == [("original",)]
    actions = [row[0] for row in db.execute("SELECT action FROM journal WHERE action LIKE 'original.%'")]
    assert actions == ["original.receive", "original.hold"]


def test_what_is_damaged_too_large_or_no_picture_is_not_kept(
    db: Database, keep: Keep, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo, content = clock.new_id(), a_jpeg(40)
    with pytest.raises(BadValue, match="damaged"):
        keep(photo, content, "0" * 64)
    with pytest.raises(WrongKind):
        keep(photo, b"<svg/>")
    with pytest.raises(BadValue, match="UUIDv7"):
        keep("x", content)
    monkeypatch.setattr(module, "MOST_BYTES", 10)
    with pytest.raises(TooLarge):
        keep(photo, content)
    assert find_original(db, photo) is None


@pytest.mark.parametrize("harm", ["altered", "missing"])
def test_verify_says_no_when_an_original_was_touched(db: Database, settings: Settings, keep: Keep, harm: str) -> None:
    photo, content = clock.new_id(), a_jpeg(40)
    keep(photo, content)
    path = photo_path(settings, hashlib.sha256(content).hexdigest())
    if harm == "altered":
        path.write_bytes(content[:-1] + b"\0")
    else:
        path.unlink()
    found = verify_data(db, settings.data)
    assert not found.holds
    assert [check.says for check in found.checks if not check.holds] == [
        f"originals: {photo} {'was altered' if harm == 'altered' else 'is missing'}"
    ]
