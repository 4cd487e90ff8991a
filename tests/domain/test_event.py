"""What became of an event, in words: its holds first, then its inspection."""

import pytest

from inspect_app.domain.event import Aftermath


@pytest.mark.parametrize(
    ("after", "words"),
    [
        (Aftermath(5, ("Set 34", "Set 36"), "open"), "still on hold: Set 34, Set 36; inspection not signed yet"),
        (Aftermath(5, ("Set 36",), "sealed"), "still on hold: Set 36; inspection signed"),
        (Aftermath(5, (), "sealed"), "all its 5 holds have ended; inspection signed"),
        (Aftermath(1, (), "sealed"), "its hold has ended; inspection signed"),
        (Aftermath(), "nothing was put on hold; no inspection yet"),
    ],
)
def test_what_became_of_an_event_is_told(after: Aftermath, words: str) -> None:
    assert after.words == words
