"""The picture of a story: every mark at its day, nothing that the page's policy refuses, the same told in words."""

import re
from datetime import UTC, date, datetime
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

from inspect_app.domain.part_life_story import StoryItem, StoryKind
from inspect_app.output.story_picture import EDGE, story_svg

LOOK, LIFE = frozenset({StoryKind.LOOK}), frozenset({StoryKind.LIFE})
WIDTH, UNTIL = 424.0, date(2024, 1, 1)


def at(year: int, month: int, day: int) -> datetime:
    return datetime(year, month, day, 12, tzinfo=UTC)


def circles(svg: str) -> list[float]:
    return [float(x) for x in re.findall(r'<circle cx="([\d.]+)"', svg)]


def test_a_look_stands_at_its_day_between_the_first_year_and_today() -> None:
    items = [
        StoryItem(at(2020, 1, 1), LOOK, "a"),
        StoryItem(at(2022, 1, 1), LOOK, "b"),
        StoryItem(at(2024, 1, 1), LOOK, "c"),
    ]
    first, middle, last = circles(story_svg(items, UTC, "k", width=WIDTH, until=UNTIL))
    assert (first, last) == (EDGE, WIDTH - EDGE)
    # from 2020-01-01 to 2022-01-01 are 366 + 365 days, to 2024-01-01 1461
    assert abs(middle - (EDGE + (WIDTH - 2 * EDGE) * 731 / 1461)) < 0.01


def test_the_words_name_the_days_of_the_house() -> None:
    late = datetime(2023, 1, 1, 3, tzinfo=UTC)  # still the evening before in Chicago
    svg = story_svg([StoryItem(late, LOOK, "a")], ZoneInfo("America/Chicago"), "k", width=WIDTH, until=UNTIL)
    assert "1 entries from 2022-12-31 to 2022-12-31" in svg


def test_what_was_put_in_before_the_record_began_is_named_and_does_not_press_the_rest_together() -> None:
    items = [StoryItem(at(1974, 5, 1), LIFE, "Put in its place"), StoryItem(at(2023, 1, 1), LOOK, "a")]
    svg = story_svg(items, UTC, "k", width=WIDTH, until=UNTIL)
    assert "‹ 1974" in svg
    assert circles(svg) == [EDGE]


def test_the_picture_is_well_formed_told_in_words_and_without_styles() -> None:
    svg = story_svg([StoryItem(at(2023, 1, 1), LOOK, "<b>")], UTC, "k", width=WIDTH, until=UNTIL)
    ElementTree.fromstring(svg)
    assert "style" not in svg
    assert "Looks: 1" in svg
    assert story_svg([], UTC, "k", width=WIDTH, until=UNTIL) == ""
