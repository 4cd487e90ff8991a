"""The story of a part and of a set: two photos beside each other, from those that there is something to show of."""

import io
import re
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient
from PIL import Image
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.event import record_event
from inspect_app.actions.photo import save_photo
from inspect_app.config import Settings
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from tests.walk_builder import BuiltWalk

SignIn = Callable[..., Person]


class Shot:
    """Looks at parts with photos, each a colour of its own; one that is not sent stays on the phone."""

    def __init__(self, db: Database, settings: Settings, house: House) -> None:
        self.db, self.settings, self.count = db, settings, 0
        self.walk = BuiltWalk(db, settings, house)
        self.walk.open()

    def look(self, tag: str, sent: bool = True) -> str:
        """Look at a part with one photo; the photo's id."""
        photo, out, self.count = clock.new_id(), io.BytesIO(), self.count + 1
        self.walk.look(tag, photos=[photo])
        Image.new("RGB", (80, 60), (9 * self.count, 120, 60)).save(out, "JPEG")
        if sent:
            device = self.walk.phone.device
            save_photo(self.db, self.settings, at=self.walk.at, device=device, photo=photo, content=out.getvalue())
        return photo

    def next_walk(self) -> None:
        """Everything that follows is of another walk."""
        self.walk.id = clock.new_id()
        self.walk.open()


@pytest.fixture
def shot(db: Database, settings: Settings, house: House) -> Shot:
    return Shot(db, settings, house)


def compared(page: str) -> list[tuple[str, str]]:
    """What stands beside each other: what the picture is called, and the id of its photo; every photo is there."""
    box = re.search(r"<div class=\"compare\" data-compare>.*?\n</div>", page, re.DOTALL)
    return re.findall(r'<img src="[^"]*/photos/([0-9a-f-]+)/print" alt="(.*?)"', box.group()) if box else []


def test_photos_of_a_sets_part_are_compared_with_its_tag_and_any_two_can_be_chosen(
    client: FlaskClient, sign_in: SignIn, house: House, shot: Shot
) -> None:
    first, other = shot.look("LB 1-1"), shot.look("HB 1")
    shot.next_walk()
    second = shot.look("LB 1-1")
    newest = shot.look("LB 1-2")  # of a part that has no other
    shot.look("LB 2-1")  # of another set
    sign_in(client, Role.INSPECTOR)
    path = f"/houses/{house.id}/line-sets/{shot.walk.part('LB 1-1').line_set}/story"
    page = client.get(path).text
    assert compared(page) == [
        (first, "Earlier photo of LB 1-1, 2026-03-04"), (second, "Later photo of LB 1-1, 2026-03-04"),
    ]  # fmt: skip
    assert "compare.js" in page
    offered = page[page.index('id="newer"') : page.index("Compare these")]
    assert re.findall(r'optgroup label="(.*?)"', offered) == ["HB 1", "LB 1-1", "LB 1-2"]
    assert set(re.findall(r'option value="(.*?)"', offered)) == {first, other, second, newest}
    assert "Two parts beside each other" not in page
    page = client.get(f"{path}?older={other}&newer={newest}").text
    assert [key for key, _ in compared(page)] == [other, newest]
    assert "Two parts beside each other" in page
    for photo, _ in compared(page):
        assert client.get(f"/houses/{house.id}/photos/{photo}/print").status_code == 200


def test_a_set_without_two_photos_of_a_part_says_so(
    client: FlaskClient, sign_in: SignIn, house: House, shot: Shot
) -> None:
    shot.look("LB 1-1")
    shot.look("LB 1-2")
    sign_in(client, Role.TD)
    line_set = shot.walk.part("LB 1-1").line_set
    page = client.get(f"/houses/{house.id}/line-sets/{line_set}/story").text
    assert compared(page) == []
    assert "No part of this set has two photos yet" in page
    assert (
        "two photos" not in client.get(f"/houses/{house.id}/line-sets/{shot.walk.part('LB 2-1').line_set}/story").text
    )


def test_a_photo_that_is_still_on_the_phone_is_not_compared_and_its_look_says_so(
    client: FlaskClient, sign_in: SignIn, house: House, shot: Shot
) -> None:
    shown = [shot.look("LB 1-1"), shot.look("LB 1-1")]
    shot.look("LB 1-1", sent=False)
    sign_in(client, Role.HELPER)
    part = shot.walk.part("LB 1-1")
    for path in (f"parts/{part.id}/story", f"line-sets/{part.line_set}/story"):
        page = client.get(f"/houses/{house.id}/{path}").text
        assert [key for key, _ in compared(page)] == shown
        assert page.count("a photo has not arrived yet, or is damaged") == 1
        for photo in set(re.findall(r"/photos/([0-9a-f-]+)/", page)):
            assert client.get(f"/houses/{house.id}/photos/{photo}/thumb").status_code == 200


def test_what_happened_to_a_set_is_in_its_story_and_its_parts_also_when_nothing_was_held(
    client: FlaskClient, sign_in: SignIn, house: House, shot: Shot
) -> None:
    part, db = shot.walk.part("LB 1-1"), shot.db
    args = {"actor": shot.walk.td.id, "house": house.id, "danger": Danger.NO, "line_set": part.line_set}
    built = record_event(db, at=shot.walk.at, kind=EventKind.CONSTRUCTION, what="Roofers above it", **args)
    hit = record_event(db, at=shot.walk.at, kind=EventKind.SHOCK, what="snagged on a truss", **args)
    sign_in(client, Role.HELPER)
    for path in (f"parts/{part.id}/story", f"line-sets/{part.line_set}/story"):
        page = client.get(f"/houses/{house.id}/{path}?kind=event").text
        told = page[page.index('id="story"') :]
        assert f"/events/{built}" in told
        assert f"/events/{hit}" in told
        assert "Roofers above it" in told
        assert "nothing was put on hold; no inspection yet" in told
        assert "still on hold: Line set 1, " in told
    other = client.get(f"/houses/{house.id}/line-sets/{shot.walk.part('LB 2-1').line_set}/story").text
    assert "Roofers above it" not in other
