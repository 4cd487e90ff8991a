"""Voice notes: kept once under their id, checked by their bytes, sealed with the walk, told when missing."""

import hashlib
import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions import recording as recording_action
from inspect_app.actions.photo import TooLarge, TooMany, WrongKind
from inspect_app.actions.recording import save_recording
from inspect_app.actions.verify import verify_data
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, NotSaved
from inspect_app.domain.house import House
from inspect_app.domain.recording import MOST_BYTES
from inspect_app.domain.report import build_report
from inspect_app.domain.review import review_of
from inspect_app.domain.role import Role
from inspect_app.domain.walk_data import Issue, walk_data_of
from inspect_app.store.device import Device, list_devices
from inspect_app.store.device_count import list_device_counts
from inspect_app.store.entry import list_held
from inspect_app.store.journal import list_journal
from inspect_app.store.photo import photo_path, read_photo
from inspect_app.store.recording import find_recording
from inspect_app.store.walk_record import get_walk_record
from tests.walk_builder import BuiltWalk, add_person

AT = datetime(2026, 3, 4, 19, 30, tzinfo=UTC)
SOUND = b"OggS\x00\x02" + bytes(200)


@pytest.fixture
def device(db: Database, house: House, pair: Callable[..., tuple[str, str]]) -> Device:
    person = add_person(db, house, "Ines Halloran", Role.TD)
    pair(person)
    return list_devices(db, house.id, person.id)[0]


def test_a_voice_note_is_kept_byte_for_byte_and_once(db: Database, settings: Settings, device: Device) -> None:
    key, digest = clock.new_id(), hashlib.sha256(SOUND).hexdigest()
    given = {"device": device, "recording": key, "content": SOUND, "sha256": digest}
    first = save_recording(db, settings, at=AT, **given)
    again = save_recording(db, settings, at=AT + timedelta(days=9), **given)
    assert (first.new, again.new, first.sha256) == (True, False, digest)
    assert read_photo(settings, digest) == SOUND
    row = find_recording(db, key)
    assert row is not None
    assert (row.mime, row.bytes, row.received_at) == ("audio/ogg", len(SOUND), AT)
    assert [one.action for one in list_journal(db)].count("recording.receive") == 1


def test_other_bytes_under_a_known_id_are_kept_and_held(db: Database, settings: Settings, device: Device) -> None:
    key, other = clock.new_id(), SOUND + b"more"
    save_recording(db, settings, at=AT, device=device, recording=key, content=SOUND)
    kept = save_recording(db, settings, at=AT, device=device, recording=key, content=other)
    assert kept.state == "held"
    assert read_photo(settings, hashlib.sha256(other).hexdigest()) == other
    (held,) = list_held(db, device.house)
    assert json.loads(held.raw)["id"] == key
    assert "another recording" in held.why


@pytest.mark.parametrize(
    ("given", "error"),
    [
        ({"recording": "1"}, BadValue),
        ({"content": b""}, BadValue),
        ({"sha256": "0" * 64}, BadValue),
        ({"content": b"OggS" + bytes(MOST_BYTES)}, TooLarge),
        ({"content": b"<html>" + bytes(50)}, WrongKind),
    ],
)
def test_what_cannot_be_a_voice_note_is_refused_and_nothing_is_kept(
    db: Database, settings: Settings, device: Device, given: dict[str, object], error: type[Exception]
) -> None:
    whole = {"recording": clock.new_id(), "content": SOUND, **given}
    with pytest.raises(error):
        save_recording(db, settings, at=AT, device=device, **whole)  # type: ignore[arg-type]
    assert not list((settings.data / "photos").glob("*/*"))


def test_a_full_disk_and_a_day_of_too_many_are_told_before_anything_is_written(
    db: Database, settings: Settings, device: Device, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recording_action, "MOST_A_DAY", 1)
    save_recording(db, settings, at=AT, device=device, recording=clock.new_id(), content=SOUND)
    with pytest.raises(TooMany):
        save_recording(db, settings, at=AT, device=device, recording=clock.new_id(), content=SOUND + b"2")
    monkeypatch.setattr(recording_action, "free_bytes", lambda settings: 1000)
    with pytest.raises(NotSaved, match="disk is full"):
        save_recording(db, settings, at=AT, device=device, recording=clock.new_id(), content=SOUND + b"3")


def test_verify_misses_a_voice_note_and_sees_one_that_was_altered(
    db: Database, settings: Settings, device: Device
) -> None:
    kept = save_recording(db, settings, at=AT, device=device, recording=clock.new_id(), content=SOUND)
    path = photo_path(settings, kept.sha256)

    def says() -> tuple[bool, str]:
        check = next(one for one in verify_data(db, settings.data).checks if one.says.startswith("voice notes"))
        return check.holds, check.says

    assert says() == (True, "voice notes: all 1 fit their digests")
    path.write_bytes(SOUND + b"x")
    assert says() == (False, f"voice notes: {kept.id} was altered")
    path.unlink()
    assert says() == (False, f"voice notes: {kept.id} is missing")


def test_a_walk_names_its_voice_notes_and_is_not_whole_until_they_came(
    db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    here, gone = clock.new_id(), clock.new_id()
    walk.finding("LB 1-1", "watch", recordings=[here])
    walk.look("LB 1-2", recordings=[gone])
    kept = save_recording(db, settings, at=walk.at, device=walk.phone.device, recording=here, content=SOUND)

    def data() -> dict[str, object]:
        record = get_walk_record(db, house.id, walk.id)
        assert record is not None
        assert record.has_gaps
        return walk_data_of(record, review_of(record, walk.criteria), Issue("draft"))

    said = data()
    rows = {row["id"]: row for row in said["recordings"]}  # type: ignore[attr-defined]
    assert set(rows) == {here, gone}
    assert rows[here]["sha256"] == kept.sha256
    assert (rows[here]["mime"], rows[here]["state"]) == ("audio/ogg", "stored")
    assert (rows[here]["by"], rows[here]["parts"]) == ("Ines Halloran", ["LB 1-1"])
    assert (rows[gone]["sha256"], rows[gone]["state"]) == ("", "missing")
    assert {one.recordings_missing for one in list_device_counts(db, house.id)} >= {1}

    model = build_report(said)
    assert [one.kept for one in model.recordings] == [
        f"voice note, kept with the record, SHA-256 {kept.sha256}",
        "voice note, had not reached the record when the report was made",
    ]
    assert model.findings[0].recordings == (f"voice note, kept with the record, SHA-256 {kept.sha256}",)


def test_data_sealed_before_there_were_voice_notes_still_render_and_say_nothing_of_them(
    db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "watch")
    record = get_walk_record(db, house.id, walk.id)
    assert record is not None
    data = walk_data_of(record, review_of(record, walk.criteria), Issue("draft"))
    assert build_report(data).tells_of_recordings
    del data["recordings"]
    for finding in data["findings"]:
        del finding["recordings"]
    old = build_report(data)
    assert not old.tells_of_recordings
    assert old.recordings == old.findings[0].recordings == ()
