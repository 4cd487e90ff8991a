"""Demonstration pictures: real JPEG files that say what they are."""

from datetime import datetime
from io import BytesIO
from zoneinfo import ZoneInfo

import pytest
from PIL import Image

from inspect_app.demo.pictures import SCENES, draw_picture

TAKEN = datetime(2026, 3, 4, 10, 15, 30, tzinfo=ZoneInfo("America/Chicago"))


@pytest.mark.parametrize("scene", sorted(SCENES))
@pytest.mark.parametrize("amount", [0.0, 0.5, 1.0])
def test_every_scene_is_drawn_at_every_amount(scene: str, amount: float) -> None:
    picture = Image.open(BytesIO(draw_picture(scene, "LB 7-3", amount, 7, TAKEN)))
    picture.load()
    assert picture.format == "JPEG"
    assert picture.size == (1280, 1052)


def test_the_time_of_capture_and_what_it_is_stand_in_the_file() -> None:
    exif = Image.open(BytesIO(draw_picture("rope", "LL 9-4", 0.5, 7, TAKEN))).getexif()
    assert exif.get_ifd(0x8769)[0x9003] == "2026:03:04 10:15:30"
    assert exif.get_ifd(0x8769)[0x9011] == "-06:00"
    assert exif[0x010E] == "Demonstration picture, invented house"


def test_the_mark_is_in_the_picture_itself() -> None:
    picture = Image.open(BytesIO(draw_picture("ladder", "LD 2", 0.9, 7, TAKEN))).convert("RGB")
    strip = picture.crop((0, 960, 640, 1052))
    yellow = sum(1 for red, green, blue in strip.get_flattened_data() if red > 200 and green > 150 and blue < 120)
    assert yellow > 500


def test_one_seed_gives_one_picture_and_another_seed_another() -> None:
    first = draw_picture("loft_block", "LB 1-1", 0.5, 7, TAKEN)
    assert first == draw_picture("loft_block", "LB 1-1", 0.5, 7, TAKEN)
    assert first != draw_picture("loft_block", "LB 1-1", 0.5, 8, TAKEN)
    assert first != draw_picture("loft_block", "LB 1-1", 0.5, 7, TAKEN, close=True)


def test_a_picture_is_as_large_as_a_phones_small_one() -> None:
    sizes = [len(draw_picture(scene, "LB 7-3", 0.8, 7, TAKEN)) for scene in ("rope", "arbor", "open_well")]
    assert all(80_000 < size < 400_000 for size in sizes)
