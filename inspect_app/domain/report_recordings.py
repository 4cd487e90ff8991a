"""Voice notes as the report names them: never written out, kept with the record, each with its digest."""

from collections.abc import Mapping
from datetime import tzinfo
from typing import Any, NamedTuple

from inspect_app.domain.report_record import WalkData, rows, text
from inspect_app.domain.report_words import PHOTO_HERE, moment


class RecordingShown(NamedTuple):
    """A voice note: at which parts it was spoken, by whom and when, and where it is."""

    id: str
    parts: str
    by: str
    kept: str


def recordings_of(data: WalkData, where: tzinfo) -> tuple[RecordingShown, ...]:
    """All voice notes, as the walk data list them."""
    return tuple(_shown(row, where) for row in rows(data, "recordings"))


def tells_of_recordings(data: WalkData) -> bool:
    """Whether the walk data say anything of voice notes; data sealed before there were any do not."""
    return "recordings" in data


def kept_of(row: Mapping[str, Any]) -> str:
    """What the report says of one voice note."""
    if text(row, "state") != PHOTO_HERE:
        return "voice note, had not reached the record when the report was made"
    return f"voice note, kept with the record, SHA-256 {text(row, 'sha256')}"


def _shown(row: Mapping[str, Any], where: tzinfo) -> RecordingShown:
    by = f"{text(row, 'by', 'name not recorded')}, {moment(text(row, 'at'), where)}"
    return RecordingShown(
        text(row, "id"), ", ".join(map(str, row.get("parts") or ())) or "no part named", by, kept_of(row)
    )
