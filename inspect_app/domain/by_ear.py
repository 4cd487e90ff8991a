"""By ear: a short recording of each set at the same place, so that this year can be heard beside last year.

The length of a recording is read from its bytes where the container says it in one place: WAVE (by the standard
library), MP4 (ISO/IEC 14496-12, movie header box; from memory) and Ogg Opus (RFC 7845, section 4; from memory).
A browser's WebM often says nothing of its length; then nothing is said here either.
"""

import io
import wave
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from inspect_app.domain.errors import BadValue
from inspect_app.domain.recording import MOST_BYTES, kind_of_sound

WANTED_TENTHS = 100
NEAR_TENTHS = (70, 150)  # common practice, no source: long enough for a turn of every sheave, short enough to compare
LONGEST_PLACE, LONGEST_NOTE = 60, 300
USUAL_PLACE = "at the rail, hand line at walking pace"
_WAV = "audio/wav"
_NO_WAVE = (wave.Error, EOFError, ValueError, ZeroDivisionError, RuntimeError)  # what reading a damaged file raises


@dataclass(frozen=True, slots=True)
class SetSound:
    """One recording. `tenths` is its length in tenths of a second, None where its container does not say."""

    id: str
    house: str
    line_set: str
    place: str
    recorded_on: date
    note: str
    mime: str
    bytes: int
    sha256: str
    tenths: int | None
    received_at: datetime
    by_name: str = ""
    set_number: str = ""


def check_sound(content: bytes) -> str:
    """The media type of a recording that may be kept. Raises BadValue on the field `file`."""
    if not content:
        raise BadValue("Choose a recording.", "file")
    if len(content) > MOST_BYTES:
        raise BadValue("The recording is larger than 4 MB. Ten seconds are far smaller.", "file")
    mime = _WAV if content[:4] == b"RIFF" and content[8:12] == b"WAVE" else kind_of_sound(content)
    if not mime:
        raise BadValue("This is no WAV, WebM, Ogg or MP4 recording. Only these are kept.", "file")
    if mime == _WAV and tenths_of(content, mime) is None:
        raise BadValue("This WAV file cannot be read. Record it anew.", "file")
    return mime


def tenths_of(content: bytes, mime: str) -> int | None:
    """The length of a recording in tenths of a second, or None where its container does not say."""
    seconds = None
    if mime == _WAV:
        seconds = _wav_seconds(content)
    elif mime == "audio/mp4":
        seconds = _mp4_seconds(content)
    elif mime == "audio/ogg":
        seconds = _opus_seconds(content)
    return round(seconds * 10) if seconds is not None and 0 <= seconds < 36_000 else None


def _wav_seconds(content: bytes) -> float | None:
    try:
        with wave.Wave_read(io.BytesIO(content)) as sound:
            return float(sound.getnframes() / sound.getframerate())
    except _NO_WAVE:
        return None


def _mp4_seconds(content: bytes) -> float | None:
    """Time scale and duration of the movie header box, version 0 or 1."""
    at = content.find(b"mvhd")
    if at < 0:
        return None
    body = content[at + 4 :]
    wide = body[:1] == b"\x01"
    scale_at, size = (20, 8) if wide else (12, 4)
    scale = int.from_bytes(body[scale_at : scale_at + 4], "big")
    length = body[scale_at + 4 : scale_at + 4 + size]
    duration = int.from_bytes(length, "big")
    if len(length) < size or not scale or duration in (0, 2 ** (8 * size) - 1):
        return None
    return duration / scale


def _opus_seconds(content: bytes) -> float | None:
    """The granule position of the last page less the samples to be skipped, at 48 kHz."""
    head, last = content.find(b"OpusHead"), content.rfind(b"OggS")
    if head < 0 or last < 0 or len(content) < last + 14:
        return None
    skip = int.from_bytes(content[head + 10 : head + 12], "little")
    granule = int.from_bytes(content[last + 6 : last + 14], "little", signed=True)
    return (granule - skip) / 48_000 if granule > skip else None


def length_words(tenths: int | None) -> str:
    """What is told about the length of a recording; it is never refused for it."""
    if tenths is None:
        return "Its length is not known here: about ten seconds compare best."
    said = f"{tenths / 10:g} seconds"
    if NEAR_TENTHS[0] <= tenths <= NEAR_TENTHS[1]:
        return f"{said}."
    return f"{said}: about ten seconds compare best."


def levels(content: bytes, bars: int = 100) -> tuple[float, ...]:
    """How loud a WAVE recording is over its length: the root mean square of each of `bars` equal pieces, as a share of
    full scale. Empty for anything but 16-bit WAVE."""
    try:
        with wave.Wave_read(io.BytesIO(content)) as sound:
            if sound.getsampwidth() != 2:
                return ()
            samples = array("h", sound.readframes(sound.getnframes()))
    except _NO_WAVE:
        return ()
    if len(samples) < bars:
        return ()
    step = len(samples) / bars
    pieces = (samples[round(n * step) : round((n + 1) * step)] for n in range(bars))
    return tuple((sum(value * value for value in piece) / len(piece)) ** 0.5 / 32_768 for piece in pieces)


def check_place(place: str) -> str:
    """The named place as it is kept, so that the same words mean the same place. Raises BadValue on `place`."""
    words = " ".join(place.split())
    if not words:
        raise BadValue("Name the place, in the same words each year.", "place")
    if len(words) > LONGEST_PLACE:
        raise BadValue(f"The name of a place has at most {LONGEST_PLACE} signs.", "place")
    return words


@dataclass(frozen=True, slots=True)
class PlaceYears:
    """The sounds of one set at one place, by year, the newest year first, and in each the newest first."""

    place: str
    years: tuple[tuple[int, tuple[SetSound, ...]], ...]

    @property
    def pair(self) -> tuple[SetSound, ...]:
        """The newest of the last two years that have one: this year beside last year."""
        return tuple(sounds[0] for _, sounds in self.years[:2])


def by_place(sounds: Iterable[SetSound]) -> list[PlaceYears]:
    """Sounds of one set under their places, places in the order of the alphabet."""
    places: dict[str, list[SetSound]] = {}
    for sound in sounds:
        places.setdefault(sound.place, []).append(sound)
    return [PlaceYears(place, _years(places[place])) for place in sorted(places, key=str.casefold)]


def _years(sounds: Sequence[SetSound]) -> tuple[tuple[int, tuple[SetSound, ...]], ...]:
    newest_first = sorted(sounds, key=lambda one: (one.recorded_on, one.received_at), reverse=True)
    return tuple((year, tuple(rows)) for year, rows in groupby(newest_first, key=lambda one: one.recorded_on.year))
