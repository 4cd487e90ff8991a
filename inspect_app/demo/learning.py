"""What the invented house learns from: labels that were read, two pages of its old paper log, and sets heard by ear."""

import io
import math
import random
import wave
from array import array
from datetime import date, datetime, timedelta

from inspect_app.actions.by_ear import keep_set_sound
from inspect_app.actions.label_audit import record_labels
from inspect_app.actions.old_page import keep_old_page
from inspect_app.demo.canvas import Board
from inspect_app.demo.history import House
from inspect_app.domain.by_ear import USUAL_PLACE
from inspect_app.domain.label_audit import PLACE_KINDS, LabelPlace, ReadState

RATE = 8000
READ = ("1", "2", "3", "4", "6", "7", "9", "10")
ODD = {("6", LabelPlace.HEAD_BLOCK): ("read", "5"), ("9", LabelPlace.BATTEN_END): (ReadState.MISSING.value, "")}
PAGES = (  # set or house, year, what it says, what is written on it
    (
        "4", "2004", "New hand line, lock shoes turned",
        ("12 Sept  Set 4   new hand line", "14 Sept  Set 4   lock shoes turned"),
    ),
    (
        "", "1997", "Visit by the makers, all heads greased",
        ("3 June   makers here, all heads greased", "4 June   list to the office"),
    ),
)  # fmt: skip
HEARD = (("4", 730, False), ("4", 365, False), ("4", 12, True), ("10", 12, False))


def plant_learning(house: House, today: datetime) -> None:
    """Labels of some sets (one differs, one is missing), old pages, and ten-second sounds made by the program."""
    actor, day = house.people["td"].id, today.date()
    for number in READ:
        line_set = house.line_set(number)
        kinds = {part.kind for part in house.ground.tags.values() if part.line_set == line_set}
        read = {
            place: ODD.get((number, place), ("read", number)) for place, kind in PLACE_KINDS.items() if kind in kinds
        }
        record_labels(
            house.db, at=today, actor=actor, house=house.id, line_set=line_set, read_on=day - timedelta(days=20),
            read=read,
        )  # fmt: skip
    for number, year, says, lines in PAGES:
        keep_old_page(
            house.db, house.settings, at=today, actor=actor, house=house.id,
            line_set=house.line_set(number) if number else None, year=year, says=says, name=f"log-{year}.jpg",
            content=_page(year, lines, today, house.seed),
        )  # fmt: skip
    for number, days, ticks in HEARD:
        _heard(house, actor, number, day - timedelta(days=days), ticks, today)


def _heard(house: House, actor: str, number: str, on: date, ticks: bool, at: datetime) -> None:
    keep_set_sound(
        house.db, house.settings, at=at, actor=actor, house=house.id, line_set=house.line_set(number),
        place=USUAL_PLACE, recorded_on=on, note="Demonstration: a sound made by the program.",
        content=make_sound(random.Random(f"{house.seed} {number} {on.year}"), ticks=ticks),  # noqa: S311
    )  # fmt: skip


def _page(year: str, lines: tuple[str, ...], at: datetime, seed: int) -> bytes:
    """A ruled page with two lines of writing."""
    board = Board(random.Random(f"{seed} {year}"), (226, 218, 196))  # noqa: S311
    for n in range(9):
        board.slab((140, 240 + 96 * n, 1460, 242 + 96 * n), (150, 146, 134), edge=0)
    board.text((160, 130), year, 64, (50, 56, 84))
    for n, line in enumerate(lines):
        board.text((160, 210 + 96 * n), line, 48, (50, 56, 84))
    return board.to_jpeg(at, f"page of {year}")


def make_sound(chance: random.Random, *, ticks: bool, seconds: int = 10) -> bytes:
    """A WAV: an even whisper that swells with the pull, and with `ticks` a knock at each half turn."""
    noise = [chance.uniform(-1, 1) for _ in range(RATE)]
    samples = array("h")
    for n in range(RATE * seconds):
        level = 0.03 + 0.01 * math.sin(2 * math.pi * n / RATE / 2.5)
        if ticks and n % (RATE // 2) < 240:
            level += 0.35 * (1 - n % (RATE // 2) / 240)
        samples.append(round(32_767 * level * noise[n % RATE]))
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes(samples.tobytes())
    return file.getvalue()
