"""What the demonstration house learns from: its sounds are of the length asked for and differ by their knocks."""

import random

from inspect_app.demo.learning import make_sound
from inspect_app.domain.by_ear import NEAR_TENTHS, check_sound, levels, tenths_of


def test_a_demonstration_sound_is_ten_seconds_of_wave() -> None:
    sound = make_sound(random.Random(1), ticks=False)
    assert check_sound(sound) == "audio/wav"
    tenths = tenths_of(sound, "audio/wav")
    assert tenths is not None
    assert NEAR_TENTHS[0] <= tenths <= NEAR_TENTHS[1]


def test_a_knock_stands_out_in_the_picture() -> None:
    still, knocks = (levels(make_sound(random.Random(1), ticks=ticks)) for ticks in (False, True))
    assert max(still) < 0.05
    assert max(knocks) > 2 * max(still)
    assert make_sound(random.Random(1), ticks=True) == make_sound(random.Random(1), ticks=True)
