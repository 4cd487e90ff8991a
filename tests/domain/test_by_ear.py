"""Sounds of sets: what is taken in, how long it is, how loud, and which two are heard side by side."""

import contextlib
import io
import math
import wave
from array import array
from datetime import UTC, date, datetime

import pytest

from inspect_app.domain.by_ear import (
    SetSound,
    by_place,
    check_place,
    check_sound,
    length_words,
    levels,
    tenths_of,
)
from inspect_app.domain.errors import BadValue

AT = datetime(2026, 3, 4, 12, tzinfo=UTC)


def a_wav(seconds: float, rate: int = 8000, loud: float = 0.5, channels: int = 1, width: int = 2) -> bytes:
    """A sine of 440 Hz written by the standard library's own writer."""
    count = round(seconds * rate)
    tone = array("h", (round(32767 * loud * math.sin(2 * math.pi * 440 * n / rate)) for n in range(count)))
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(channels)
        out.setsampwidth(width)
        out.setframerate(rate)
        out.writeframes(tone.tobytes() if width == 2 else bytes(count))
    return file.getvalue()


def a_sound(key: str, on: date, place: str = "at the rail") -> SetSound:
    return SetSound(key, "h", "s", place, on, "", "audio/wav", 1, "00", 100, AT)


def test_a_wav_says_how_long_it_is() -> None:
    assert check_sound(a_wav(1)) == "audio/wav"
    assert tenths_of(a_wav(10.04), "audio/wav") == 100


@pytest.mark.parametrize("version", [0, 1])
def test_a_movie_header_says_how_long_an_mp4_is(version: int) -> None:
    """The fields in the order of ISO/IEC 14496-12, section 8.2.2: times, time scale, duration."""
    size = 8 if version else 4
    times, scale, duration = bytes(2 * size), (44_100).to_bytes(4, "big"), (441_000).to_bytes(size, "big")
    header = b"mvhd" + bytes([version, 0, 0, 0]) + times + scale + duration + bytes(80)
    content = b"\x00\x00\x00\x18ftypM4A \x00\x00\x00\x00" + b"\x00\x00\x00\x00moov\x00\x00\x00\x6c" + header
    assert check_sound(content) == "audio/mp4"
    assert tenths_of(content, "audio/mp4") == 100


def test_the_last_granule_says_how_long_an_opus_stream_is() -> None:
    """Header fields of RFC 7845, section 5.1, and page fields of RFC 3533, section 6."""
    head = b"OggS\x00\x02" + bytes(20) + b"\x01\x13OpusHead\x01\x01" + (312).to_bytes(2, "little") + bytes(7)
    last = b"OggS\x00\x04" + (480_000 + 312).to_bytes(8, "little") + bytes(14)
    assert tenths_of(head + last, "audio/ogg") == 100


def test_what_says_nothing_of_its_length_is_kept_all_the_same() -> None:
    assert tenths_of(b"\x1a\x45\xdf\xa3webm", "audio/webm") is None
    assert "not known here" in length_words(None)


@pytest.mark.parametrize(
    ("tenths", "told"), [(100, False), (70, False), (150, False), (69, True), (151, True), (1200, True)]
)
def test_a_length_far_from_ten_seconds_is_told_and_never_refused(tenths: int, told: bool) -> None:
    assert ("compare best" in length_words(tenths)) is told


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "Choose"), (b"MZ" * 40, "no WAV"), (b"RIFF\x00\x00\x00\x00WAVEjunk", "cannot be read"),
     (b"OggS" + bytes(4_000_000), "larger than 4 MB")],
)  # fmt: skip
def test_what_is_no_sound_is_refused_with_a_reason(content: bytes, words: str) -> None:
    with pytest.raises(BadValue, match=words):
        check_sound(content)


@pytest.mark.parametrize("at", range(4, 44))
def test_a_damaged_wav_is_refused_or_kept_and_never_an_error(at: int) -> None:
    for value in (0, 1, 0x7F, 0xFF):
        spoilt = bytearray(a_wav(0.2))
        spoilt[at] = value
        with contextlib.suppress(BadValue):
            assert check_sound(bytes(spoilt)) == "audio/wav"
        assert all(0 <= level <= 1 for level in levels(bytes(spoilt)))


def test_levels_of_a_sine_are_its_root_mean_square() -> None:
    """A sine of amplitude a has a root mean square of a / sqrt 2."""
    found = levels(a_wav(2, loud=0.5), bars=20)
    assert len(found) == 20
    assert all(level == pytest.approx(0.5 / math.sqrt(2), rel=0.01) for level in found)
    assert levels(a_wav(1, width=1)) == ()
    assert levels(b"no wave at all") == ()


def test_the_newest_of_the_last_two_years_stand_side_by_side() -> None:
    sounds = [
        a_sound("a", date(2024, 3, 1)), a_sound("b", date(2026, 3, 1)), a_sound("c", date(2025, 3, 1)),
        a_sound("d", date(2025, 9, 1)), a_sound("e", date(2026, 1, 1), "Grid"),
    ]  # fmt: skip
    rail, grid = by_place(sounds)  # in the order of the alphabet
    assert [sound.id for sound in rail.pair] == ["b", "d"]
    assert [year for year, _ in rail.years] == [2026, 2025, 2024]
    assert [sound.id for sound in grid.pair] == ["e"]


def test_the_name_of_a_place_is_kept_in_plain_blanks() -> None:
    assert check_place("  at   the rail ") == "at the rail"
    for wrong in ("", "x" * 61):
        with pytest.raises(BadValue):
            check_place(wrong)
