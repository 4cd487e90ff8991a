"""The pages of events: the first question, keeping off, and the inspection."""

from typing import Any

from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.actions.event import open_event_walk, record_event
from inspect_app.actions.tag_out import release_tag_out
from inspect_app.config import Settings
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.domain.tag_release import Need
from inspect_app.store.checklist import load_shelf
from inspect_app.store.event import list_events
from inspect_app.store.house import list_line_sets
from inspect_app.store.tag_out import list_standing
from tests.walk_builder import START, BuiltWalk, Phone, add_person


def test_the_walk_is_offered_only_after_a_qualified_person_is_named(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, house: House
) -> None:
    sign_in(client, Role.TD)
    new, line_set = f"/houses/{house.id}/events/new", list_line_sets(db, house.id)[0]
    form = {"csrf_token": csrf(client), "where": f"set:{line_set.id}", "kind": "runaway", "what": "ran to the deck"}
    refused = client.post(new, data=form)
    assert refused.status_code == 422
    assert "Answer this first" in refused.text
    page = client.post(new, data={**form, "danger": "not_known"}, follow_redirects=True).text
    assert "Keep everyone off the deck below" in page
    assert "No walk is offered yet" in page
    assert "Open the inspection" not in page
    (event,) = list_events(db, house.id)
    path = f"/houses/{house.id}/events/{event.id}"
    assert client.post(f"{path}/walk", data={"csrf_token": csrf(client)}).status_code == 409
    said = {"csrf_token": csrf(client), "name": "M. Vance", "credential": "inspector", "who": "Ines", "how": "harness"}
    page = client.post(f"{path}/approach", data=said, follow_redirects=True).text
    assert "Ines may approach" in page
    page = client.post(f"{path}/walk", data={"csrf_token": csrf(client)}, follow_redirects=True).text
    assert "The inspection is open" in page
    assert "ran to the deck" in page, "what is on hold stands on top of the walk"


def test_the_set_page_the_list_and_the_house_show_the_hold(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, house: House
) -> None:
    sign_in(client, Role.HELPER)
    line_set = list_line_sets(db, house.id)[0]
    form = {"csrf_token": csrf(client), "where": f"set:{line_set.id}", "kind": "shock", "what": "snagged on a truss"}
    client.post(f"/houses/{house.id}/events/new", data={**form, "danger": "no"})
    for path in ("", f"line-sets/{line_set.id}/", "walks", "tag-outs", "rail", "events"):
        assert "snagged on a truss" in client.get(f"/houses/{house.id}/{path}").text, path


def test_an_event_recorded_by_mistake_is_withdrawn_by_two_and_still_shown(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, house: House
) -> None:
    sign_in(client, Role.HELPER)
    line_set = list_line_sets(db, house.id)[0]
    form = {"csrf_token": csrf(client), "where": f"set:{line_set.id}", "kind": "shock", "what": "snagged on a truss"}
    client.post(f"/houses/{house.id}/events/new", data={**form, "danger": "no"})
    (event,) = list_events(db, house.id)
    path = f"/houses/{house.id}/events/{event.id}"
    empty = client.post(f"{path}/withdraw", data={"withdraw-csrf_token": csrf(client)})
    assert empty.status_code == 422
    asked = {"withdraw-csrf_token": csrf(client), "withdraw-reason": "another house was meant"}
    page = client.post(f"{path}/withdraw", data=asked, follow_redirects=True).text
    assert "Everything stays on hold until a second person" in page
    assert "I looked: it was recorded by mistake" not in page, "who asked is not offered to confirm"
    alone = client.post(f"{path}/confirm", data={"confirm-csrf_token": csrf(client)})
    assert alone.status_code == 422
    assert "A second person confirms it on their own account" in alone.text
    sign_in(client, Role.TD)
    assert "I looked: it was recorded by mistake" in client.get(path).text
    page = client.post(f"{path}/confirm", data={"confirm-csrf_token": csrf(client)}, follow_redirects=True).text
    assert "It stays in the record" in page
    assert "another house was meant" in page
    assert "withdrawn" in client.get(f"/houses/{house.id}/events").text
    assert "snagged on a truss" in client.get(f"/houses/{house.id}/events").text
    assert list_standing(db, house.id) == []
    assert "Stop use" not in client.get(f"/houses/{house.id}/line-sets/{line_set.id}/").text


def test_an_event_that_is_over_says_so_and_who_released_what(
    client: FlaskClient, sign_in: Any, db: Database, settings: Settings, house: House
) -> None:
    inspector, line_set = add_person(db, house, "Mara", Role.INSPECTOR), list_line_sets(db, house.id)[0]
    recorder = sign_in(client, Role.INSPECTOR)
    event = record_event(
        db, at=START, actor=recorder.id, house=house.id, kind=EventKind.SHOCK, danger=Danger.NO,
        what="snagged on a truss", line_set=line_set.id,
    )  # fmt: skip
    path = f"/houses/{house.id}/events/{event}"
    walk = BuiltWalk(db, settings, house, "after-event")
    walk.id = open_event_walk(
        db, at=START, today=START.date(), actor=inspector.id, house=house.id, event=event, shelf=load_shelf(settings)
    )
    phone = Phone(db, house, inspector)
    walk.look("LB 1-1", phone=phone)
    walk.close(phone)
    page = client.get(path).text
    assert "not signed yet" in page
    assert "It was recorded by mistake" in page
    walk.sign(inspector, role=Role.INSPECTOR, name="Mara", credential="inspector")
    given = dict.fromkeys((need.value for need in Need), "said") | {
        "work_by": "nobody: nothing was done", "travel_second": "Joan", "relook_on": "2026-03-20",
    }  # fmt: skip
    holds = sorted(list_standing(db, house.id), key=lambda one: one.id)
    for n, hold in enumerate(holds):
        standing = ", ".join(one.scope for one in holds[n:])
        assert f"still on hold: {standing}; inspection signed" in client.get(f"/houses/{house.id}/events").text
        assert "<h2>On hold</h2>" in client.get(path).text
        release_tag_out(
            db, at=walk.at, today=START.date(), actor=inspector.id, house=house.id, role=Role.INSPECTOR,
            tag_out=hold.id, answers=given,
        )  # fmt: skip
    assert f"all its {len(holds)} holds have ended; inspection signed" in client.get(f"/houses/{house.id}/events").text
    page = client.get(path).text
    assert "<h2>Was on hold</h2>" in page
    assert page.count(", Mara</span>") == len(holds)
    assert "It was recorded by mistake" not in page, "a signed inspection stands"
    assert (
        f"({'all its ' + str(len(holds))} holds have ended" in client.get(f"/houses/{house.id}/before-you-climb").text
    )
