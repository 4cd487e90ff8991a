"""The file of a phone's unsent entries: read to the letter, and whatever is odd told in words or kept as it is."""

import base64
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.unsent_file import read_unsent_file

ID = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
TEXTS = st.text(st.characters(codec="utf-8"), max_size=60)


def file_of(**given: Any) -> bytes:
    file = {"format": "inspect-log/unsent/1", "house": ID, "device": ID, "made_at": "2026-03-04T19:00:00Z",
            "entries": [], "photos": [], **given}  # fmt: skip
    return json.dumps(file).encode()


@given(st.lists(TEXTS, max_size=6), st.lists(st.binary(max_size=40), max_size=3))
def test_entries_and_photos_come_out_byte_for_byte(entries: list[str], photos: list[bytes]) -> None:
    rows = [{"id": ID, "sha256": "", "mime": "image/jpeg", "data": base64.b64encode(one).decode()} for one in photos]
    file = read_unsent_file(file_of(entries=entries, photos=rows))
    assert [one.text for one in file.entries] == entries
    assert [one.content for one in file.photos] == photos
    for one in file.entries:
        assert bool(one.problem) == (one.data is None and one.text.strip(" \t\r\n") != "null")


def test_spaces_order_and_figures_of_an_entry_are_not_touched() -> None:
    text = '{ "b":1.50,\n "a" : "\\u00e9" }'
    (entry,) = read_unsent_file(file_of(entries=[text])).entries
    assert entry.text == text
    assert entry.data == {"b": 1.5, "a": "é"}


@pytest.mark.parametrize("odd", [7, None, [], {}, {"id": 1}])
def test_an_entry_that_is_no_text_is_kept_as_it_stands(odd: object) -> None:
    (entry,) = read_unsent_file(file_of(entries=[odd])).entries
    assert json.loads(entry.text) == odd


@pytest.mark.parametrize("odd", [7, None, "x", {}, {"id": ID}, {"id": ID, "data": "***"}, {"id": ID, "data": "é"}])
def test_an_odd_photo_is_told_and_spoils_nothing(odd: object) -> None:
    good = {"id": ID, "sha256": "", "mime": "image/jpeg", "data": "AAAA"}
    first, second = read_unsent_file(file_of(photos=[odd, good])).photos
    assert first.problem
    assert not second.problem


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "cut short"),
        (b"\xff\xfe", "cannot be read"),
        (b"[]", "no file that the walk page saved"),
        (b"{}", "no file that the walk page saved"),
        (file_of()[:-9], "cut short"),
        (file_of(format="something else"), "no file that the walk page saved"),
        (file_of(format="inspect-log/unsent/2"), "newer walk page"),
        (file_of(house="x"), "which house and phone"),
        (file_of(device=None), "which house and phone"),
        (file_of(entries={}), "damaged"),
    ],
)
def test_what_is_no_such_file_is_refused_in_words(content: bytes, words: str) -> None:
    with pytest.raises(BadValue, match=words) as caught:
        read_unsent_file(content)
    assert caught.value.field == "file"


def test_a_byte_order_mark_does_no_harm() -> None:
    assert read_unsent_file(b"\xef\xbb\xbf" + file_of()).house == ID
