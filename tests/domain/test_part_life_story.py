"""The story of a part: in order, life by life, with what was replaced still there, and two photos to compare."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.checklist import Way
from inspect_app.domain.part import Life
from inspect_app.domain.part_life_story import (
    LookPlace,
    StoryItem,
    StoryKind,
    by_part,
    chapters_of,
    life_items,
    look_item,
    only,
    pair_of,
    photos_of,
)
from inspect_app.domain.walk import Countersign, How, Look, LookResult

START = datetime(2020, 1, 1, 12, tzinfo=UTC)
OLD = Life("old", "p", date(2015, 1, 1), date(2022, 6, 1), "A1")
NOW = Life("now", "p", date(2022, 6, 1), None, "B2")


def look(n: int, **more: Any) -> Look:
    values: dict[str, Any] = {"result": LookResult.NO_FINDING} | more
    return Look(
        entry=f"e{n}", part="p", in_pass="grid", checklist="c", points=(), ways=frozenset({Way.SEEN_CLOSE}), by="x",
        by_name="Ines", at=START + timedelta(days=n), **values,
    )  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(-3000, 3000), max_size=30, unique=True))
def test_chapters_keep_everything_once_each_newest_first(days: list[int]) -> None:
    items = [look_item(look(n), LookPlace()) for n in days]
    chapters = chapters_of(items, [NOW, OLD], UTC)
    told = [item.entry for chapter in chapters for item in chapter.items]
    assert sorted(told) == sorted(item.entry for item in items)
    for chapter in chapters:
        moments = [item.at for item in chapter.items]
        assert moments == sorted(moments, reverse=True)
        if chapter.life is None:
            assert all(at.date() < date(2015, 1, 1) for at in moments)


def test_an_entry_that_names_its_life_stands_there_whatever_its_day() -> None:
    (late,) = [look_item(look(2000), LookPlace(life="old"))]
    now, old = chapters_of([late], [NOW, OLD], UTC)
    assert (now.items, [item.entry for item in old.items]) == ((), ["e2000"])
    assert "2015-01-01 to 2022-06-01, lot A1" in old.title


def test_lives_begin_and_end_in_the_story() -> None:
    heads = [(item.head, item.at.date()) for item in life_items([NOW, OLD], UTC, "p")]
    assert ("Taken out for good", date(2022, 6, 1)) in heads
    assert ("Put in its place", date(2022, 6, 1)) in heads


def test_a_replaced_entry_is_kept_marked_and_leads_to_what_replaced_it() -> None:
    item = look_item(look(1, replaced_by=("e2",)), LookPlace("w", "Walk", True))
    assert item.gone
    assert item.replaced_by == ("e2",)
    assert item.marks == ("replaced by a later entry",)


def test_what_is_not_signed_or_not_countersigned_says_so() -> None:
    item = look_item(look(1, needs_countersign=True), LookPlace("w", "Walk", False))
    assert item.marks == ("not signed yet", "not countersigned: does not count")


def test_the_day_of_a_countersignature_is_the_houses() -> None:
    sign = Countersign("t", "Tom", How.BESIDE_THEM, datetime(2020, 3, 5, 3, tzinfo=UTC))
    item = look_item(look(1, countersigns=(sign,)), LookPlace(), zone=timezone(timedelta(hours=-6)))
    assert item.facts == (("Countersigned", "Tom, 2020-03-04"),)


def test_the_story_can_be_narrowed_to_a_kind_and_a_year() -> None:
    items = [look_item(look(0, photos=("a",)), LookPlace()), look_item(look(400), LookPlace())]
    assert [item.entry for item in only(items, StoryKind.PHOTO, None, UTC)] == ["e0"]
    assert [item.entry for item in only(items, None, 2021, UTC)] == ["e400"]
    assert only(items, StoryKind.PHOTO, 2021, UTC) == []


def story_with_photos() -> list[StoryItem]:
    return [
        look_item(look(1, photos=("a",)), LookPlace("w1")),
        look_item(look(5, photos=("b",)), LookPlace("w1")),
        look_item(look(9, photos=("c", "d")), LookPlace("w2")),
    ]


def test_the_newest_photo_is_compared_with_the_last_of_an_earlier_walk() -> None:
    photos = photos_of(story_with_photos())
    pair = pair_of(photos, "", "")
    assert pair is not None
    assert [one.id for one in pair] == ["b", "c"]
    assert pair_of(photos[:1], "", "") is None


def test_any_two_photos_can_be_chosen_and_the_older_one_stands_first() -> None:
    photos = photos_of(story_with_photos())
    for older, newer in (("a", "d"), ("d", "a")):
        pair = pair_of(photos, older, newer)
        assert pair is not None
        assert [one.id for one in pair] == ["a", "d"]
    same = pair_of(photos, "c", "c")
    assert same is not None
    assert same[0].id != same[1].id


def of_a_set(*shots: tuple[str, int, str, str]) -> list[StoryItem]:
    """Looks with one photo each: (tag, day, photo, walk); the part is its tag in small letters."""
    return [
        look_item(replace(look(day, photos=(photo,)), part=tag.lower()), LookPlace(walk), tag)
        for tag, day, photo, walk in shots
    ]


SET = of_a_set(
    ("LB 10-1", 1, "a", "w1"), ("LB 2-1", 2, "b", "w1"), ("LB 2-1", 3, "c", "w1"), ("LB 10-1", 8, "d", "w2"),
    ("HB 2", 9, "e", "w3"), ("LB 2-1", 10, "f", "w1"),
)  # fmt: skip


def test_in_a_set_two_photos_of_one_part_from_two_walks_are_compared() -> None:
    pair = pair_of(photos_of(SET), "", "")
    assert pair is not None
    assert [(one.tag, one.id) for one in pair] == [("LB 10-1", "a"), ("LB 10-1", "d")]
    one_walk_each = [item for item in SET if item.photos != ("a",)]
    pair = pair_of(photos_of(one_walk_each), "", "")
    assert pair is not None
    assert [one.id for one in pair] == ["c", "f"]  # the two newest of the one part that has two
    assert pair_of(photos_of(of_a_set(("LB 1-1", 1, "a", "w1"), ("LB 1-2", 2, "b", "w2"))), "", "") is None


def test_a_chosen_photo_of_a_set_stands_beside_one_of_its_own_part_unless_two_are_chosen() -> None:
    photos = photos_of(SET)
    for older, newer in (("", "c"), ("c", ""), ("c", "c"), ("none", "c")):
        pair = pair_of(photos, older, newer)
        assert pair is not None
        assert [one.id for one in pair] == ["b", "c"]
    pair = pair_of(photos, "e", "b")
    assert pair is not None
    assert [one.id for one in pair] == ["b", "e"]
    assert pair_of(photos, "", "e") is None  # the only photo of its part


def test_photos_of_a_set_are_offered_by_part_as_people_count() -> None:
    assert [(tag, [one.id for one in own]) for tag, own in by_part(photos_of(SET))] == [
        ("HB 2", ["e"]), ("LB 2-1", ["f", "c", "b"]), ("LB 10-1", ["d", "a"]),
    ]  # fmt: skip
