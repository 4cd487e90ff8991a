"""Photos: bytes kept as they came, clean upright copies, bombs and broken pictures, checked by decoders not our own.

The copies are taken apart by a small JPEG marker reader (ITU-T T.81, Annex B) and decoded by Chromium; the originals
carry metadata in the places that Exif 2.32 and XMP give them.
"""

import io
import json
import struct
import zlib
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pillow_heif
import pytest
from PIL import Image
from playwright.sync_api import Playwright
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions import photo as photo_action
from inspect_app.actions.photo import Kept, TooLarge, TooMany, WrongKind, decode_again, save_photo
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, NotSaved
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.output.picture import Picture, kind_of, make_copies
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device, list_devices
from inspect_app.store.entry import list_held
from inspect_app.store.photo import (
    COPIES,
    get_photo,
    list_missing_photos,
    photo_path,
    read_photo,
    set_photo_decoded,
    sweep_part_files,
)
from tests.published import published
from tests.walk_builder import add_person

AT = datetime(2026, 3, 4, 19, 30, tzinfo=UTC)
SECRETS = (b"GPSsecretN", b"SERIAL-4711", b"Owner Name", b"41.8781", b"comment-secret", b"xmp-secret")
RED, BLUE = (200, 30, 30), (30, 30, 200)


@pytest.fixture
def device(db: Database, house: House, pair: Callable[..., tuple[str, str]]) -> Device:
    person = add_person(db, house, "Ines Halloran", Role.TD)
    pair(person)
    return list_devices(db, house.id, person.id)[0]


def two_halves(width: int = 1600, height: int = 1000) -> Image.Image:
    """Red on the left, blue on the right, so that a turn can be told."""
    image = Image.new("RGB", (width, height), RED)
    image.paste(BLUE, (width // 2, 0, width, height))
    return image


def exif_bytes(orientation: int) -> bytes:
    """Exif with orientation, owner, serial number, time of capture and a place."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x013B] = "Owner Name"
    exif[0xA431] = "SERIAL-4711"
    ifd = exif.get_ifd(0x8769)
    ifd[0x9003], ifd[0x9011], ifd[0xA431] = "2026:03:04 13:22:05", "-06:00", "SERIAL-4711"
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2], gps[29], gps[0x1B] = "N", (41.0, 52.0, 41.16), "2026:03:04", b"ASCII\x00\x00\x00GPSsecretN"
    return exif.tobytes()


def a_jpeg(orientation: int = 1, **given: object) -> bytes:
    out = io.BytesIO()
    xmp = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><place>41.8781 xmp-secret</place></x:xmpmeta>'
    exif = exif_bytes(orientation)
    two_halves().save(out, "JPEG", quality=90, exif=exif, comment=b"comment-secret", xmp=xmp, **given)
    return out.getvalue()


def saved_as(kind: str, image: Image.Image | None = None, **given: object) -> bytes:
    out = io.BytesIO()
    (image or two_halves()).save(out, kind, **given)
    return out.getvalue()


def a_heic() -> bytes:
    out = io.BytesIO()
    heif = pillow_heif.from_pillow(two_halves())
    heif.save(out, quality=90, exif=exif_bytes(1))
    return out.getvalue()


def keep(db: Database, settings: Settings, device: Device, content: bytes, photo: str = "", **given: str) -> Kept:
    return save_photo(db, settings, at=AT, device=device, photo=photo or clock.new_id(), content=content, **given)


def jpeg_segments(data: bytes) -> list[tuple[int, bytes]]:
    """(marker, payload) up to the start of scan: T.81, B.1.1.4."""
    assert data[:2] == b"\xff\xd8"
    found, at = [], 2
    while True:
        assert data[at] == 0xFF
        marker, (length,) = data[at + 1], struct.unpack(">H", data[at + 2 : at + 4])
        found.append((marker, data[at + 4 : at + 2 + length]))
        if marker == 0xDA:
            return found
        at += 2 + length


def pixel(data: bytes, x: float, y: float) -> tuple[int, int, int]:
    image = Image.open(io.BytesIO(data))
    return image.convert("RGB").getpixel((int(x * image.width), int(y * image.height)))  # type: ignore[return-value]


def is_near(colour: tuple[int, int, int], wanted: tuple[int, int, int]) -> bool:
    return all(abs(a - b) < 40 for a, b in zip(colour, wanted, strict=True))


def test_the_bytes_are_kept_as_they_came_and_can_be_found_by_their_digest(
    db: Database, settings: Settings, device: Device
) -> None:
    content = a_jpeg()
    kept = keep(db, settings, device, content)
    assert (kept.state, kept.new) == ("stored", True)
    assert photo_path(settings, kept.sha256).read_bytes() == content
    assert photo_path(settings, kept.sha256).stat().st_mode & 0o777 == 0o600
    row = get_photo(db, device.house, kept.id)
    assert row is not None
    assert (row.width, row.height, row.mime, row.bytes) == (1600, 1000, "image/jpeg", len(content))
    assert row.taken_at == "2026-03-04T13:22:05-06:00"


@pytest.mark.parametrize("name", COPIES)
def test_the_copies_hold_no_metadata_at_all(db: Database, settings: Settings, device: Device, name: str) -> None:
    content = a_jpeg(6)
    assert all(secret in content for secret in SECRETS), "else this test could not fail"
    kept = keep(db, settings, device, content)
    copy = read_photo(settings, kept.sha256, name)
    assert copy is not None
    segments = jpeg_segments(copy)
    assert [(marker, data[:5]) for marker, data in segments if 0xE0 <= marker <= 0xEF] == [(0xE0, b"JFIF\x00")]
    assert not [marker for marker, _ in segments if marker == 0xFE], "a comment"
    for secret in (*SECRETS, b"Exif", b"http", b"ICC_PROFILE", b"GPS"):
        assert secret not in copy


@published(
    "Records, passwords, files", "Exif 2.32", "tag 0x0112", "memory",
    names="orientation, red_at, size, _row, _column",
    rows=[
        (1, (0.25, 0.5), (1600, 1000), "top", "left"), (2, (0.75, 0.5), (1600, 1000), "top", "right"),
        (3, (0.75, 0.5), (1600, 1000), "bottom", "right"), (4, (0.25, 0.5), (1600, 1000), "bottom", "left"),
        (5, (0.5, 0.25), (1000, 1600), "left", "top"), (6, (0.5, 0.25), (1000, 1600), "right", "top"),
        (7, (0.5, 0.75), (1000, 1600), "right", "bottom"), (8, (0.5, 0.75), (1000, 1600), "left", "bottom"),
    ],
    what="orientation {orientation}: where row 0 and column 0 belong", value="{_row}, {_column}",
)  # fmt: skip
def test_a_copy_stands_upright_for_each_of_the_eight_orientations_of_exif(
    orientation: int, red_at: tuple[float, float], size: tuple[int, int]
) -> None:
    """Exif 2.32, tag 0x0112: where row 0 and column 0 of the stored picture belong."""
    picture = make_copies(a_jpeg(orientation))
    assert (picture.width, picture.height) == size
    for name, side in (("print", 1200), ("report", 600), ("thumb", 320)):
        copy = picture.copies[name]
        shown = Image.open(io.BytesIO(copy))
        assert max(shown.size) == side
        assert (shown.width < shown.height) == (size[0] < size[1])
        assert is_near(pixel(copy, *red_at), RED)
        assert is_near(pixel(copy, 1 - red_at[0], 1 - red_at[1]), BLUE)


@pytest.mark.parametrize(
    ("content", "mime"),
    [
        (saved_as("PNG"), "image/png"),
        (saved_as("WEBP", quality=90), "image/webp"),
        (saved_as("WEBP", lossless=True), "image/webp"),
        (saved_as("PNG", two_halves().convert("P")), "image/png"),
        (saved_as("PNG", two_halves().convert("RGBA")), "image/png"),
        (saved_as("JPEG", two_halves().convert("CMYK")), "image/jpeg"),
        (a_heic(), "image/heic"),
    ],
    ids=["png", "webp", "webp lossless", "png palette", "png alpha", "jpeg cmyk", "heic"],
)
def test_each_kind_of_picture_comes_in(
    db: Database, settings: Settings, device: Device, content: bytes, mime: str
) -> None:
    kept = keep(db, settings, device, content)
    row = get_photo(db, device.house, kept.id)
    assert row is not None
    assert (row.mime, row.state, row.width, row.height) == (mime, "stored", 1600, 1000)
    assert read_photo(settings, kept.sha256) == content
    copy = read_photo(settings, kept.sha256, "print")
    assert copy is not None
    assert is_near(pixel(copy, 0.25, 0.5), RED)
    assert is_near(pixel(copy, 0.75, 0.5), BLUE)


def test_grey_with_sixteen_bits_and_transparency_come_out_as_they_look() -> None:
    grey = Image.new("I;16", (400, 300), 32_768)
    assert is_near(pixel(make_copies(saved_as("PNG", grey)).copies["print"], 0.5, 0.5), (128, 128, 128))
    clear = Image.new("RGBA", (400, 300), (0, 0, 0, 0))
    assert is_near(pixel(make_copies(saved_as("PNG", clear)).copies["print"], 0.5, 0.5), (255, 255, 255))


def test_a_picture_smaller_than_a_copy_is_not_blown_up() -> None:
    picture = make_copies(saved_as("PNG", Image.new("RGB", (200, 100), RED)))
    assert {Image.open(io.BytesIO(copy)).size for copy in picture.copies.values()} == {(200, 100)}


@pytest.mark.browser
def test_an_independent_decoder_sees_the_same_upright_picture(driver: Playwright, tmp_path: Path) -> None:
    """Chromium decodes the copy of a turned JPEG and of a HEIC; it needs no orientation tag to show it right."""
    copies = {"turned": make_copies(a_jpeg(6)).copies["print"], "heic": make_copies(a_heic()).copies["thumb"]}
    pictures = "".join(f'<img id="{name}" src="{name}.jpg">' for name in copies)
    (tmp_path / "page.html").write_text(f"<!doctype html><title>copies</title>{pictures}")
    for name, data in copies.items():
        (tmp_path / f"{name}.jpg").write_bytes(data)
    look = """name => { const image = document.getElementById(name), canvas = document.createElement('canvas');
        canvas.width = image.naturalWidth; canvas.height = image.naturalHeight;
        const at = canvas.getContext('2d'); at.drawImage(image, 0, 0);
        return [canvas.width, canvas.height, ...at.getImageData(canvas.width / 4, canvas.height / 4, 1, 1).data] }"""
    options = [
        "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
        "--disable-component-update", "--allow-file-access-from-files",
    ]  # fmt: skip
    browser = driver.chromium.launch(executable_path="/usr/bin/chromium", args=options)
    page = browser.new_page()
    page.goto((tmp_path / "page.html").as_uri())
    turned, heic = page.evaluate(look, "turned"), page.evaluate(look, "heic")
    browser.close()
    assert turned[:2] == [750, 1200]
    assert is_near(tuple(turned[2:5]), RED)
    assert heic[:2] == [320, 200]
    assert is_near(tuple(heic[2:5]), RED)


def a_png_header(width: int, height: int) -> bytes:
    """A PNG (W3C PNG, 5.6) that claims a size and holds almost nothing."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = (chunk(b"IHDR", header), chunk(b"IDAT", zlib.compress(b"\0" * 1000)), chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)


@pytest.mark.parametrize(("width", "height"), [(20_000, 20_000), (6_325, 6_325), (2**31 - 1, 1), (1, 2**31 - 1)])
def test_a_bomb_is_refused_from_its_header(
    db: Database, settings: Settings, device: Device, width: int, height: int
) -> None:
    with pytest.raises(TooLarge, match="40 million"):
        keep(db, settings, device, a_png_header(width, height))
    assert db.execute("SELECT count(*) FROM photo").fetchone() == (0,)
    assert not list((settings.data / "photos").glob("*/*"))


def test_forty_million_pixels_fit_into_the_workers_memory() -> None:
    picture = make_copies(saved_as("PNG", Image.new("RGB", (8000, 5000), BLUE)))
    assert (picture.state, picture.width, picture.height) == ("stored", 8000, 5000)
    assert is_near(pixel(picture.copies["thumb"], 0.5, 0.5), BLUE)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_picture_that_breaks_off_is_kept_and_marked_as_damaged(
    db: Database, settings: Settings, device: Device, share: float
) -> None:
    whole = a_jpeg()
    broken = whole[: int(len(whole) * share)]
    kept = keep(db, settings, device, broken)
    assert kept.state == "damaged"
    assert read_photo(settings, kept.sha256) == broken
    row = get_photo(db, device.house, kept.id)
    assert row is not None
    assert row.state == "damaged"


def test_bytes_that_only_begin_like_a_picture_are_kept_and_marked(
    db: Database, settings: Settings, device: Device
) -> None:
    for head in (b"\xff\xd8\xff\xe0", b"\x89PNG\r\n\x1a\n", b"RIFF\x10\0\0\0WEBP", b"\0\0\0\x18ftypheic"):
        kept = keep(db, settings, device, head + b"nonsense" * 20)
        assert kept.state == "damaged"
        assert read_photo(settings, kept.sha256, "thumb") is None


@pytest.mark.parametrize(
    "content",
    [b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"<html>", b"GIF89a....", b"%PDF-1.7", b"II*\0....", b"8BPS",
     b"\0" * 50, b"MZ", b"\0\0\0\x18ftypisom"],
)  # fmt: skip
def test_anything_but_the_four_kinds_is_refused(
    db: Database, settings: Settings, device: Device, content: bytes
) -> None:
    assert kind_of(content) == ""
    with pytest.raises(WrongKind):
        keep(db, settings, device, content)


def test_a_page_hidden_behind_a_picture_is_not_in_its_copies() -> None:
    copies = make_copies(a_jpeg() + b"<script>alert(1)</script>").copies
    assert all(b"<script>" not in copy for copy in copies.values())


def test_sending_it_again_changes_nothing(db: Database, settings: Settings, device: Device) -> None:
    content, photo = a_jpeg(), clock.new_id()
    assert keep(db, settings, device, content, photo).new
    assert not keep(db, settings, device, content, photo).new
    assert db.execute("SELECT count(*) FROM photo").fetchone() == (1,)


def test_other_bytes_under_a_known_id_are_kept_and_held(db: Database, settings: Settings, device: Device) -> None:
    photo, other = clock.new_id(), saved_as("PNG")
    first = keep(db, settings, device, a_jpeg(), photo)
    kept = keep(db, settings, device, other, photo)
    assert kept.state == "held"
    assert read_photo(settings, kept.sha256) == other
    row = get_photo(db, device.house, photo)
    assert row is not None
    assert row.sha256 == first.sha256
    (held,) = list_held(db, device.house)
    assert json.loads(held.raw)["sha256"] == kept.sha256
    assert keep(db, settings, device, other, photo).new is False


def test_a_digest_that_does_not_match_keeps_nothing(db: Database, settings: Settings, device: Device) -> None:
    with pytest.raises(BadValue, match="arrived damaged"):
        keep(db, settings, device, a_jpeg(), sha256="0" * 64)
    assert not list((settings.data / "photos").glob("*/*"))


def test_too_many_bytes_an_empty_body_and_an_odd_id_are_refused(
    db: Database, settings: Settings, device: Device
) -> None:
    with pytest.raises(TooLarge, match="15 MB"):
        keep(db, settings, device, b"\xff\xd8\xff" + b"\0" * 15_000_000)
    with pytest.raises(BadValue, match="empty"):
        keep(db, settings, device, b"")
    with pytest.raises(BadValue, match="UUIDv7"):
        keep(db, settings, device, a_jpeg(), "photo-1")


def test_a_nearly_full_disk_refuses_photos_first(
    db: Database, settings: Settings, device: Device, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photo_action, "free_bytes", lambda _: photo_action.LEAST_FREE)
    with pytest.raises(NotSaved, match="disk is full"):
        keep(db, settings, device, a_jpeg())


def test_one_device_cannot_fill_the_disk_in_a_day(
    db: Database, settings: Settings, device: Device, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photo_action, "MOST_A_DAY", 1)
    keep(db, settings, device, a_jpeg())
    with pytest.raises(TooMany):
        keep(db, settings, device, saved_as("PNG"))
    tomorrow = AT + timedelta(days=1, seconds=1)
    photo = clock.new_id()
    assert save_photo(db, settings, at=tomorrow, device=device, photo=photo, content=saved_as("PNG")).new


def test_a_photo_that_ran_out_of_time_is_decoded_later(
    db: Database, settings: Settings, device: Device, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(photo_action, "make_copies", lambda _: Picture("undecoded"))
        kept = keep(db, settings, device, a_jpeg())
    assert kept.state == "undecoded"
    assert decode_again(db, settings, at=AT) == 1
    row = get_photo(db, device.house, kept.id)
    assert row is not None
    assert (row.state, row.width, row.taken_at) == ("stored", 1600, "2026-03-04T13:22:05-06:00")
    assert decode_again(db, settings, at=AT) == 0


def test_the_worker_that_dies_leaves_the_photo_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    broken = tmp_path / "worker.py"
    broken.write_text("import os; os.abort()")
    monkeypatch.setattr("inspect_app.output.picture.WORKER", broken)
    assert make_copies(a_jpeg()).state == "undecoded"


def test_half_written_files_are_swept_and_whole_ones_stay(db: Database, settings: Settings, device: Device) -> None:
    kept = keep(db, settings, device, a_jpeg())
    folder = photo_path(settings, kept.sha256).parent
    (folder / ".half.abc.part").write_bytes(b"x")
    assert sweep_part_files(settings) == 1
    assert not list(folder.glob(".*"))
    assert read_photo(settings, kept.sha256) is not None


def test_missing_photos_are_told_by_house(db: Database, settings: Settings, device: Device, other_house: House) -> None:
    kept, absent = keep(db, settings, device, a_jpeg()), clock.new_id()
    assert list_missing_photos(db, device.house, [kept.id, absent, absent]) == [absent]
    assert list_missing_photos(db, other_house.id, [kept.id]) == [kept.id]
    with write_transaction(db):
        set_photo_decoded(db, kept.id, state="damaged", width=None, height=None, taken_at="")
    assert list_missing_photos(db, device.house, [kept.id]) == []
