"""Recording sets by ear at the desk: kept, told about, played, and shown side by side."""

import io
import wave
from collections.abc import Callable
from datetime import date

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.domain.house import House
from inspect_app.store.house import list_line_sets
from inspect_app.store.set_sound import list_set_sounds


def a_wav(seconds: int) -> bytes:
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(8000)
        out.writeframes(b"\x10\x20" * 8000 * seconds)
    return file.getvalue()


@pytest.fixture
def send(
    client: FlaskClient, sign_in: Callable[..., object], csrf: Callable[[FlaskClient], str], db: Database, house: House
) -> Callable[..., object]:
    sign_in(client)
    path = f"/houses/{house.id}/by-ear/{list_line_sets(db, house.id)[0].id}"

    def post(content: bytes, day: str = "2026-03-04", **form: str) -> object:
        given = {"file": (io.BytesIO(content), "a.wav"), "place": "at the rail", "recorded_on": day, **form}
        return client.post(path, data={**given, "csrf_token": csrf(client)}, content_type="multipart/form-data")

    post.path = path  # type: ignore[attr-defined]
    return post


def test_two_years_stand_side_by_side_and_play(
    client: FlaskClient, send: Callable[..., object], db: Database, house: House
) -> None:
    assert send(a_wav(10), "2025-03-04").status_code == 303  # type: ignore[attr-defined]
    assert send(a_wav(3)).status_code == 303  # type: ignore[attr-defined]
    page = client.get(send.path).text  # type: ignore[attr-defined]
    assert page.count("<audio") == 2
    assert page.count('class="levels"') == 2
    assert page.index("<strong>2025</strong>") < page.index("<strong>2026</strong>")
    assert "3 seconds: about ten seconds compare best." in page
    newest = list_set_sounds(db, house.id)[0]
    assert (newest.recorded_on, newest.tenths) == (date(2026, 3, 4), 30)
    sound = client.get(f"/houses/{house.id}/by-ear/sounds/{newest.id}", headers={"Range": "bytes=0-3"})
    assert (sound.status_code, sound.data, sound.mimetype) == (206, b"RIFF", "audio/wav")
    assert "2025, 2026" in client.get(f"/houses/{house.id}/by-ear").text


@pytest.mark.parametrize(
    ("content", "form", "words"),
    [
        (b"not a sound", {}, "This is no WAV"),
        (a_wav(1), {"place": "  "}, "Name the place"),
        (a_wav(1), {"day": "2999-01-01"}, "has not come yet"),
        (a_wav(1), {"day": "soon"}, "YYYY-MM-DD"),
    ],
)
def test_a_mistake_is_said_and_nothing_is_kept(
    send: Callable[..., object], db: Database, house: House, content: bytes, form: dict[str, str], words: str
) -> None:
    answer = send(content, **form)
    assert answer.status_code == 422  # type: ignore[attr-defined]
    assert words in answer.text  # type: ignore[attr-defined]
    assert list_set_sounds(db, house.id) == []
