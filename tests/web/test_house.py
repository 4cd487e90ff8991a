"""The house described by its pages: made, generated, changed, imported, exported; and kept apart from other houses."""

import io
import re
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.account import insert_person
from inspect_app.domain.house import House
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role
from inspect_app.output.schedule_file import read_table
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house, list_areas, list_line_sets
from inspect_app.store.membership import list_houses_of
from inspect_app.store.part import count_parts, find_part_by_tag, list_lives, list_part_changes
from inspect_app.store.tag_out import raise_tag_out

ANSWERS = {
    "sets": "40", "first": "2'", "spacing": "8", "head_side": "stage_right", "lines": "6", "wells_apart": "10'",
    "grid_height": "60'", "bridge_height": "50'", "deck": "channels", "ladders": "1", "hatches": "1",
    "anchor_points": "0", "smoke_vents": "0", "fire_curtain": "y",
}  # fmt: skip
Post = Callable[..., tuple[int, str, str]]


@pytest.fixture
def post(client: FlaskClient, csrf: Callable[[FlaskClient], str]) -> Post:
    def send(path: str, **fields: object) -> tuple[int, str, str]:
        answer = client.post(path, data={**fields, "csrf_token": csrf(client)}, content_type="multipart/form-data")
        return answer.status_code, answer.headers.get("Location", ""), answer.text

    return send


@pytest.fixture
def empty(client: FlaskClient, sign_in: Callable[..., object], db: Database, post: Post) -> House:
    """A house that a signed-in person has just made by the form."""
    sign_in(client, Role.TD)
    status, place, _ = post("/houses/new", name="Mill", tz="America/Chicago", units="imperial", datum="plaster line")
    assert status == 302
    return get_house(db, place.split("/")[2])


def test_anyone_signed_in_makes_a_house_and_keeps_it(
    client: FlaskClient, sign_in: Callable[..., object], db: Database, post: Post
) -> None:
    person = sign_in(client, Role.HELPER)
    post("/houses/new", name="Mill", tz="UTC", units="metric", datum="setting line")
    roles = {house.name: held for house, held in list_houses_of(db, person.id)}  # type: ignore[attr-defined]
    assert roles["Mill"] == {Role.ADMIN, Role.TD}


def test_a_house_that_cannot_be_is_asked_again_with_what_was_typed(
    client: FlaskClient, sign_in: Callable[..., object], post: Post
) -> None:
    sign_in(client, Role.TD)
    status, _, page = post("/houses/new", name="Mill & Sons", tz="Mars", units="metric", datum="")
    assert status == 422
    assert "Mill &amp; Sons" in page


def test_the_counts_are_shown_before_a_house_is_generated(
    client: FlaskClient, db: Database, empty: House, post: Post
) -> None:
    path = f"/houses/{empty.id}/generate"
    status, _, page = post(path, **ANSWERS)
    assert status == 200
    assert "40 line sets" in page
    assert list_line_sets(db, empty.id) == []
    seen = re.search(r'name="seen" value="(\w+)"', page)
    assert seen is not None
    status, _, page = post(path, **(ANSWERS | {"sets": "39", "make": "1", "seen": seen[1]}))
    assert status == 200
    assert "have changed" in page
    assert list_line_sets(db, empty.id) == []
    status, place, _ = post(path, **(ANSWERS | {"make": "1", "seen": seen[1]}))
    assert (status, place) == (302, f"/houses/{empty.id}/")
    assert count_parts(db, empty.id)[PartKind.LOFT_BLOCK] == 240
    assert client.get(path).status_code == 409


def test_answers_that_cannot_be_read_stay_in_the_form(empty: House, post: Post) -> None:
    status, _, page = post(f"/houses/{empty.id}/generate", **(ANSWERS | {"motorised": "five", "grid_height": "high"}))
    assert status == 422
    assert 'value="five"' in page
    assert page.count('aria-invalid="true"') == 2


@pytest.fixture
def made(empty: House, post: Post) -> House:
    path = f"/houses/{empty.id}/generate"
    page = post(path, **(ANSWERS | {"sets": "3", "lines": "3"}))[2]
    seen = re.search(r'name="seen" value="(\w+)"', page)
    assert seen is not None
    post(path, **(ANSWERS | {"sets": "3", "lines": "3", "make": "1", "seen": seen[1]}))
    return empty


def test_every_page_of_a_house_opens(client: FlaskClient, db: Database, made: House) -> None:
    line_set, area = list_line_sets(db, made.id)[0], list_areas(db, made.id)[0]
    part = find_part_by_tag(db, made.id, "LB 1-2")
    assert part is not None
    base = f"/houses/{made.id}"
    for path in (
        *("/", "/settings", "/line-names", "/areas/new", f"/areas/{area.id}", "/line-sets/", "/line-sets/new"),
        *(f"/line-sets/{line_set.id}/{page}" for page in ("", "edit", "retire")),
        *("/parts/", "/parts/?kind=loft_block", "/parts/?tag=LB", "/parts/new", "/parts/new?kind=batten"),
        *(f"/parts/new?kind=loft_block&line_set={line_set.id}", "/schedule/"),
        *(f"/parts/{part.id}/{page}" for page in ("", "edit", "replace", "retire")),
    ):
        answer = client.get(base + path)
        assert answer.status_code == 200, path
        assert " style=" not in answer.text
        assert not re.search(r"<script(?![^>]*\bsrc=)", answer.text)


def test_a_part_is_found_by_its_tag_whatever_its_case(client: FlaskClient, made: House) -> None:
    answer = client.get(f"/houses/{made.id}/parts/?tag=lb+1-2")
    assert answer.status_code == 302
    assert "/parts/" in answer.headers["Location"]


def test_the_set_page_names_lines_with_their_ordinal(client: FlaskClient, db: Database, made: House) -> None:
    line_set = list_line_sets(db, made.id)[0]
    page = client.get(f"/houses/{made.id}/line-sets/{line_set.id}/").text
    assert "mid (line 2 of 3)" in page


def test_own_line_names_are_shown_at_once(client: FlaskClient, db: Database, made: House, post: Post) -> None:
    post(f"/houses/{made.id}/line-names", preset="mid", lines_3="near, middle, far")
    line_set = list_line_sets(db, made.id)[0]
    assert "middle (line 2 of 3)" in client.get(f"/houses/{made.id}/line-sets/{line_set.id}/").text
    status, _, page = post(f"/houses/{made.id}/line-names", preset="mid", lines_3="near, near, far")
    assert status == 422
    assert "near, near, far" in page


def test_a_part_form_saved_as_it_stands_changes_nothing(
    client: FlaskClient, db: Database, made: House, post: Post
) -> None:
    part = find_part_by_tag(db, made.id, "LB 1-2")
    assert part is not None
    page = client.get(f"/houses/{made.id}/parts/{part.id}/edit").text
    typed = dict(re.findall(r'<input[^>]* name="([\w-]+)"[^>]* value="([^"]*)"', page))
    typed |= {"area": part.area, "line": "2", "well": part.well or ""}
    typed = {
        key: text.replace("&#39;", "'").replace("&#34;", '"') for key, text in typed.items() if key != "csrf_token"
    }
    status, _, _ = post(f"/houses/{made.id}/parts/{part.id}/edit", **typed)
    assert status == 302
    assert list_part_changes(db, made.id, part.id) == []


def test_attributes_are_typed_in_inches_and_a_bad_one_is_named(db: Database, made: House, post: Post) -> None:
    part = find_part_by_tag(db, made.id, "HL 1")
    assert part is not None
    path = f"/houses/{made.id}/parts/{part.id}/edit"
    typed = {"tag": part.tag, "area": part.area, "a-hand_line_mm": "3/4"}
    assert post(path, **typed)[0] == 302
    assert list_lives(db, made.id, part.id)[0].attributes == {"hand_line_mm": "19.05"}
    status, _, page = post(path, **(typed | {"a-hand_line_mm": "thick"}))
    assert status == 422
    assert 'value="thick"' in page


def test_a_stop_is_shown_on_every_page_of_its_set(
    client: FlaskClient, db: Database, made: House, sign_in: Callable[..., object]
) -> None:
    line_set, part = list_line_sets(db, made.id)[1], find_part_by_tag(db, made.id, "LB 2-1")
    other = find_part_by_tag(db, made.id, "LB 1-1")
    assert part is not None
    assert other is not None
    with write_transaction(db):
        person = insert_person(db, "Kit")
        raise_tag_out(
            db, house=made.id, line_set=line_set.id, area=None, part=part.id, from_entry=None, why="broken wires seen",
            by=person.id, at=clock.now(),
        )  # fmt: skip
    base = f"/houses/{made.id}"
    assert "broken wires seen" in client.get(f"{base}/").text
    assert "broken wires seen" in client.get(f"{base}/line-sets/{line_set.id}/").text
    assert "broken wires seen" in client.get(f"{base}/parts/{part.id}/").text
    assert "broken wires seen" not in client.get(f"{base}/parts/{other.id}/").text
    assert client.get(f"{base}/line-sets/").text.count("stop use") == 1


SCHEDULE = "Set,Distance,Use\n1,2'-1\",House curtain\n9,seven feet,Legs\n10,7'-6 1/2\",Scrim\n"


def test_a_schedule_is_checked_mended_and_imported(db: Database, made: House, post: Post) -> None:
    file = (io.BytesIO(SCHEDULE.encode()), "schedule.csv")
    status, _, page = post(f"/houses/{made.id}/schedule/", file=file)
    assert status == 200
    assert "2 rows can be imported, 1 row cannot be read yet" in page
    assert [one.number for one in list_line_sets(db, made.id)] == ["1", "2", "3"]
    table = re.search(r'name="table"[^>]*value="([^"]*)"', page)
    assert table is not None
    text = table[1].replace("&#34;", '"').replace("&#39;", "'").replace("&quot;", '"')
    status, _, page = post(
        f"/houses/{made.id}/schedule/check", table=text, do="import", length_unit="ft", with_parts="1"
    )
    assert status == 200
    assert "kept below" in page
    assert 'value="seven feet"' in page
    sets = {one.number: one for one in list_line_sets(db, made.id)}
    assert (sets["1"].label, sets["1"].y_mm, sets["10"].y_mm) == ("House curtain", 635, 2299)
    table = re.search(r'name="table"[^>]*value="([^"]*)"', page)
    assert table is not None
    text = table[1].replace("&#34;", '"').replace("&#39;", "'").replace("&quot;", '"')
    mended = {"table": text, "cell-2-1": "7'", "do": "import", "length_unit": "ft"}
    assert post(f"/houses/{made.id}/schedule/check", **mended)[0] == 302
    assert {one.number for one in list_line_sets(db, made.id)} == {"1", "2", "3", "9", "10"}


@pytest.mark.parametrize("table", ["", "[", "{}", "[1]", "[[1]]", "[" * 5000])
def test_a_table_that_did_not_arrive_whole_is_asked_for_again(made: House, post: Post, table: str) -> None:
    assert post(f"/houses/{made.id}/schedule/check", table=table, do="import")[0] == 422


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_the_schedule_is_exported_and_reads_back(client: FlaskClient, made: House, ending: str) -> None:
    answer = client.get(f"/houses/{made.id}/schedule/line-sets.{ending}")
    assert answer.status_code == 200
    assert [row[:2] for row in read_table(answer.data)] == [
        ["Set number", "Distance (mm)"],
        ["1", "610"],
        ["2", "813"],
        ["3", "1016"],
    ]


def test_objects_of_another_house_are_not_found(
    client: FlaskClient, db: Database, made: House, other_house: House, post: Post
) -> None:
    line_set, area = list_line_sets(db, other_house.id)[0], list_areas(db, other_house.id)[0]
    part = find_part_by_tag(db, other_house.id, "LB 1-2")
    assert part is not None
    base = f"/houses/{made.id}"
    for path in (
        f"/areas/{area.id}",
        *(f"/line-sets/{line_set.id}/{page}" for page in ("", "edit", "retire")),
        *(f"/parts/{part.id}/{page}" for page in ("", "edit", "replace", "retire")),
        *(f"/parts/new?kind=batten&line_set={line_set.id}", "/parts/new?kind=batten&line_set=x"),
    ):
        assert client.get(base + path).status_code == 404, path
    for path in (f"/areas/{area.id}/retire", f"/line-sets/{line_set.id}/complete"):
        assert post(base + path)[0] == 404, path
    assert client.get(f"/houses/{other_house.id}/").status_code == 404
