"""The pages of what is out of use, by role."""

import re
from datetime import timedelta
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.deficiency import record_checked_repair
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.part import PartKind
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import list_parts
from inspect_app.store.tag_out import list_standing
from tests.walk_builder import BuiltWalk

NEED_KEYS = (
    "work_by", "checked_by", "checked", "travel_empty", "travel_loaded", "travel_first", "travel_second", "locks_off",
    "label", "crew_told",
)  # fmt: skip


@pytest.fixture
def stopped(db: Database, settings: Settings, house: House) -> BuiltWalk:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "stop_use", note="cracked cheek")
    return walk


def test_a_stop_shows_on_every_page_of_the_walks_and_in_its_list(
    client: FlaskClient, sign_in: Any, stopped: BuiltWalk, house: House
) -> None:
    sign_in(client, Role.HELPER)
    for path in ("walks", f"walks/{stopped.id}", "tag-outs"):
        page = client.get(f"/houses/{house.id}/{path}").text
        assert "Line set 1" in page, path
        assert "cracked cheek" in page, path
    assert "The rail was told; Lock and tag are on" in client.get(f"/houses/{house.id}/tag-outs").text


def test_anyone_stops_a_set_or_a_part_and_is_asked_for_the_next_step(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, house: House
) -> None:
    sign_in(client, Role.HELPER)
    token = {"csrf_token": csrf(client)}
    new = f"/houses/{house.id}/tag-outs/new"
    assert client.post(new, data={**token, "what": "part", "part": "LB 9-9", "why": "loose"}).status_code == 422
    answer = client.post(new, data={**token, "what": "part", "part": "lb 2-1", "why": "loose"}, follow_redirects=True)
    assert "Still to be done or recorded" in answer.text
    (stop,) = list_standing(db, house.id)
    assert (stop.scope, stop.part_tag, stop.why) == ("Line set 2", "LB 2-1", "loose")


@pytest.mark.parametrize("words", ["Stop this set", "Something happened"])
def test_from_the_page_of_a_set_it_is_stopped_without_choosing_it_again(
    client: FlaskClient, sign_in: Any, db: Database, house: House, words: str
) -> None:
    sign_in(client, Role.HELPER)
    line_set = list_line_sets(db, house.id)[1]
    page = client.get(f"/houses/{house.id}/line-sets/{line_set.id}/").text
    assert f"/line-sets/{line_set.id}/story" in page
    (address,) = re.findall(rf'href="([^"]+)">{words}</a>', page)
    chosen = re.findall(r'<option selected value="([^"]*)"', client.get(address).text)
    assert chosen == [f"set:{line_set.id}"]


def test_who_stops_an_area_in_which_sets_hang_is_told_who_releases_it_and_why(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, house: House
) -> None:
    sign_in(client, Role.TD)
    new, grid = f"/houses/{house.id}/tag-outs/new", next(one for one in list_areas(db, house.id) if one.name == "Grid")
    assert "An area stops every line set that hangs there" in client.get(new).text
    sent = {"csrf_token": csrf(client), "what": f"area:{grid.id}", "why": "grating gone"}
    page = client.post(new, data=sent, follow_redirects=True).text
    assert "This concerns load path, as line sets hang there: only a qualified inspector does" in page


def test_a_director_is_told_who_releases_the_load_path_and_cannot(
    client: FlaskClient, sign_in: Any, csrf: Any, stopped: BuiltWalk, house: House
) -> None:
    sign_in(client, Role.TD)
    (stop,) = list_standing(stopped.db, house.id)
    path = f"/houses/{house.id}/tag-outs/{stop.id}"
    assert "Your role does not release it" in client.get(path).text
    form = {"csrf_token": csrf(client), "release-role": "technical_director", "release-reason": "welded"}
    answer = client.post(f"{path}/release", data=form)
    assert answer.status_code == 422
    assert "only a qualified inspector" in answer.text
    assert len(list_standing(stopped.db, house.id)) == 1


def test_a_tag_out_names_the_other_stops_on_its_set(
    client: FlaskClient, sign_in: Any, stopped: BuiltWalk, house: House
) -> None:
    sign_in(client, Role.HELPER)
    stopped.finding("HB 1", "stop_use", note="bearing gone")
    stopped.finding("LB 2-1", "stop_use", note="rim chipped")
    first, second, _ = list_standing(stopped.db, house.id)
    for one, other in ((first, second), (second, first)):
        page = client.get(f"/houses/{house.id}/tag-outs/{one.id}").text
        assert f"/tag-outs/{other.id}" in page
        assert "Also out of use: <a" in page
        assert "rim chipped" not in page


def put_right(walk: BuiltWalk, inspector: Person) -> None:
    """Have the one deficiency put right by a contractor and checked by the inspector."""
    (row,) = list_deficiencies(walk.db, walk.house.id)
    record_checked_repair(
        walk.db, at=clock.now(), actor=inspector.id, house=walk.house.id, deficiency=row.id, role=Role.INSPECTOR,
        put_right_by="Harbour Rigging", put_right_by_id="", done_on="2026-03-04", what="new block",
        looked_at="each bolt",
    )  # fmt: skip


def test_a_stop_is_not_released_while_its_deficiency_is_unchecked(
    client: FlaskClient, sign_in: Any, csrf: Any, stopped: BuiltWalk, house: House
) -> None:
    inspector = sign_in(client, Role.INSPECTOR)
    (stop,) = list_standing(stopped.db, house.id)
    path = f"/houses/{house.id}/tag-outs/{stop.id}"
    assert "Not checked yet" in client.get(path).text
    soon = (clock.now().date() + timedelta(days=20)).isoformat()
    form = {"csrf_token": csrf(client), "release-role": "qualified_inspector", "release-reason": "new block, tried"}
    form |= {f"release-{need}": f"said {need}" for need in NEED_KEYS} | {"release-relook_on": soon}
    refused = client.post(f"{path}/release", data=form)
    assert refused.status_code == 422
    assert "Deficiency 1 on LB 1-1 is graded stop use and stands at: found." in refused.text
    assert len(list_standing(stopped.db, house.id)) == 1
    put_right(stopped, inspector)
    page = client.get(path).text
    assert "Not checked yet" not in page
    for known in ("Harbour Rigging", "new block", "each bolt", inspector.name):  # the form begins with what is known
        assert known in page
    client.post(f"{path}/release", data=form)
    assert list_standing(stopped.db, house.id) == []


def test_an_inspector_releases_it_and_the_page_keeps_why(
    client: FlaskClient, sign_in: Any, csrf: Any, stopped: BuiltWalk, house: House
) -> None:
    inspector = sign_in(client, Role.INSPECTOR)
    put_right(stopped, inspector)
    (stop,) = list_standing(stopped.db, house.id)
    path = f"/houses/{house.id}/tag-outs/{stop.id}"
    form = {"csrf_token": csrf(client), "release-role": "qualified_inspector", "release-reason": "new block, tried"}
    answer = client.post(f"{path}/release", data=form)
    assert answer.status_code == 422
    for words in ("Say who did the work", "loaded, and with what load", "which crew was told", "who took off which"):
        assert words in answer.text
    assert len(list_standing(stopped.db, house.id)) == 1
    soon = (clock.now().date() + timedelta(days=20)).isoformat()
    form |= {f"release-{need}": f"said {need}" for need in NEED_KEYS} | {"release-relook_on": soon}
    page = client.post(f"{path}/release", data=form, follow_redirects=True).text
    for words in ("new block, tried", "said travel_loaded", "said crew_told", soon):
        assert words in page
    assert list_standing(stopped.db, house.id) == []


def test_what_only_its_repairer_checked_is_shown_as_unfinished_until_another_person_has(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, house: House
) -> None:
    sign_in(client, Role.TD)  # Robin technical director
    rail = list_parts(db, house.id)[0]
    db.execute("UPDATE part SET kind = ?, line_set = NULL WHERE id = ?", (PartKind.GUARDRAIL.value, to_key(rail.id)))
    new = f"/houses/{house.id}/tag-outs/new"
    client.post(new, data={"csrf_token": csrf(client), "what": "part", "part": rail.tag, "why": "post loose"})
    (stop,) = list_standing(db, house.id)
    path = f"/houses/{house.id}/tag-outs/{stop.id}"
    soon = (clock.now().date() + timedelta(days=20)).isoformat()
    form = {"csrf_token": csrf(client), "release-role": "technical_director", "release-reason": "bolt renewed"}
    form |= {f"release-{need}": f"said {need}" for need in NEED_KEYS} | {"release-relook_on": soon}
    mine = "Robin technical director"
    client.post(f"{path}/release", data={**form, "release-work_by": mine, "release-checked_by": mine})
    page = client.get(path).text
    assert "checked by the repairer only" in page
    assert "You are named as who did the work" in page
    assert "Record the check" not in page
    check = {"check-role": "technical_director", "check-looked_at": "bolt and post, by hand"}
    refused = client.post(f"{path}/check", data={"csrf_token": csrf(client), **check})
    assert (refused.status_code, "somebody else must check it" in refused.text) == (422, True)
    for elsewhere in ("tag-outs", "today/"):
        assert "hecked by the repairer only" in client.get(f"/houses/{house.id}/{elsewhere}").text
    sign_in(client, Role.INSPECTOR)
    check = {"csrf_token": csrf(client), "check-role": "qualified_inspector", "check-looked_at": "bolt, by hand"}
    page = client.post(f"{path}/check", data=check, follow_redirects=True).text
    assert "Checked afterwards" in page
    assert "bolt, by hand" in page
    assert "Unfinished" not in page
    for elsewhere in ("tag-outs", "today/"):
        assert "hecked by the repairer only" not in client.get(f"/houses/{house.id}/{elsewhere}").text


def test_only_its_raiser_is_offered_to_withdraw_a_stop(
    client: FlaskClient, sign_in: Any, stopped: BuiltWalk, house: House
) -> None:
    sign_in(client, Role.TD)
    (stop,) = list_standing(stopped.db, house.id)
    page = client.get(f"/houses/{house.id}/tag-outs/{stop.id}").text
    assert "Ines Halloran asks to withdraw it; a second person confirms" in page
    assert "Ask to withdraw the stop</button>" not in page


def test_a_second_person_confirms_the_wrong_set_after_signing_in_themselves(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, house: House
) -> None:
    sign_in(client, Role.HELPER)
    new = f"/houses/{house.id}/tag-outs/new"
    client.post(new, data={"csrf_token": csrf(client), "what": "part", "part": "LB 2-1", "why": "loose"})
    (stop,) = list_standing(db, house.id)
    path = f"/houses/{house.id}/tag-outs/{stop.id}"
    form = {"csrf_token": csrf(client), "withdraw-reason": "set 3 was meant"}
    assert "until a second person" in client.post(f"{path}/withdraw", data=form, follow_redirects=True).text
    assert "I looked" not in client.get(path).text
    assert client.post(f"{path}/confirm", data={"csrf_token": csrf(client)}).status_code == 422
    sign_in(client, Role.TD)
    assert "I looked: it is the wrong set" in client.get(path).text
    assert (
        "set 3 was meant"
        in client.post(f"{path}/confirm", data={"csrf_token": csrf(client)}, follow_redirects=True).text
    )
    assert list_standing(db, house.id) == []


def test_no_page_about_a_stop_tells_anyone_to_move_the_set(
    client: FlaskClient, sign_in: Any, stopped: BuiltWalk, house: House
) -> None:
    sign_in(client, Role.INSPECTOR)
    (stop,) = list_standing(stopped.db, house.id)
    for path in ("tag-outs", "tag-outs/new", f"tag-outs/{stop.id}"):
        text = client.get(f"/houses/{house.id}/{path}").text.lower()
        for words in ("lower the", "fly it", "bring it in", "bring the", "raise the", "run it in", "move it"):
            assert words not in text, (path, words)
