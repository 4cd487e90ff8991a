"""The pages of a walk: list, progress, closing, review, signature, held entries, desk form."""

from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.actions.ingest import ingest_entries
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.domain.strict_json import WireItem
from inspect_app.domain.walk import LookResult
from inspect_app.store.entry import list_held
from tests.walk_builder import BuiltWalk, Phone, add_person


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    built = BuiltWalk(db, settings, house)
    built.open()
    return built


@pytest.fixture
def at(walk: BuiltWalk, house: House) -> str:
    return f"/houses/{house.id}/walks/{walk.id}"


@pytest.fixture
def td(client: FlaskClient, sign_in: Any, csrf: Any) -> dict[str, str]:
    """The director signed in; the form token to send."""
    sign_in(client, Role.TD)
    return {"csrf_token": csrf(client)}


def test_the_list_says_in_words_where_each_walk_stands(
    client: FlaskClient, td: Any, walk: BuiltWalk, house: House
) -> None:
    walks = f"/houses/{house.id}/walks"
    assert "being walked" in client.get(walks).text
    walk.close()
    assert "waits for review and signature" in client.get(walks).text
    walk.sign()
    assert "signed and sealed, report 2026-001" in client.get(walks).text
    walk.look("HB 1")
    assert "1 entry came after the signature" in client.get(walks).text


def test_the_closing_can_be_typed_in_when_the_phone_did_not_send_it(
    client: FlaskClient, td: Any, walk: BuiltWalk, at: str
) -> None:
    form = {**td, "people_down": "Ines Halloran, 16:31", "locks_left": "none", "tools_counted": "y"}
    assert client.post(f"{at}/close", data=form).status_code == 303
    (closing,) = walk.record.closings
    assert (closing.people_down, closing.tools_counted, closing.sets_locked) == (
        (("Ines Halloran", "16:31"),), True, False
    )  # fmt: skip


def test_a_closing_without_a_time_is_asked_for_again_and_loses_nothing(
    client: FlaskClient, td: Any, walk: BuiltWalk, at: str
) -> None:
    answer = client.post(f"{at}/close", data={**td, "people_down": "Ines Halloran", "locks_left": "padlock 7"})
    assert answer.status_code == 422
    assert "time behind each name" in answer.text
    assert "padlock 7" in answer.text
    assert walk.record.closings == ()


def test_a_page_with_nothing_recorded_and_one_with_everything_can_be_reviewed(
    client: FlaskClient, td: Any, walk: BuiltWalk, at: str
) -> None:
    empty = client.get(f"{at}/review")
    assert empty.status_code == 200
    assert "6 parts of 6 have no look at all" in empty.text
    point = walk.points("LB 1-1")[0]
    walk.look("LB 1-1", points=[point])
    other = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Tom", Role.TD))
    walk.finding("LB 1-1", "restrict", other, point=point)
    walk.look("HB 1", phone=Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Sam", Role.HELPER)))
    walk.look("HB 2", "not_applicable")
    walk.look("LB 2-1", "not_reached", reason="scenery over the well")
    page = client.get(f"{at}/review").text
    for words in (
        "1 part on which looks differ", "1 part said not to apply", "1 stretch of a helper", "scenery over the well",
        "Nobody has said yet that everybody is down", "cannot be titled complete",
    ):  # fmt: skip
        assert words in page


def test_a_grade_lowered_without_reason_comes_back_with_what_was_typed(
    client: FlaskClient, td: Any, walk: BuiltWalk, at: str
) -> None:
    walk.finding("LB 1-1", "restrict")
    finding = next(look.findings[0].id for look in walk.record.looks if look.findings)
    answer = client.post(f"{at}/review/grade", data={**td, "finding": finding, "grade": "watch", "reason": ""})
    assert answer.status_code == 422
    assert '<option selected value="watch">' in answer.text
    assert "Say why watch is enough" in answer.text


def test_a_walk_is_signed_from_the_page_and_the_report_is_offered(
    client: FlaskClient, td: Any, walk: BuiltWalk, at: str
) -> None:
    walk.look("HB 1")
    walk.close()
    page = client.get(f"{at}/sign").text
    root = page.split('name="reviewed_root"')[1].split('value="')[1].split('"')[0]
    form = {
        **td, "role": "technical_director", "name": "Robin", "credential": "TD of the house", "statement": "As it was.",
        "reviewed_root": root, "drawn": "M 1 1 L 30 40",
    }  # fmt: skip
    answer = client.post(f"{at}/sign", data=form, follow_redirects=True)
    assert f"report {walk.record.signatures[0].number}" in answer.text
    assert f"{at}/report.pdf" in answer.text
    assert 'd="M 1 1 L 30 40"' in answer.text


def test_entries_that_arrive_while_somebody_signs_are_shown_first_and_nothing_typed_is_lost(
    client: FlaskClient, td: Any, walk: BuiltWalk, at: str
) -> None:
    walk.close()
    root = client.get(f"{at}/sign").text.split('name="reviewed_root"')[1].split('value="')[1].split('"')[0]
    walk.look("HB 1")
    form = {
        **td, "role": "technical_director", "name": "Robin", "credential": "a card that took years",
        "statement": "As it was.", "reviewed_root": root,
    }  # fmt: skip
    answer = client.post(f"{at}/sign", data=form)
    assert answer.status_code == 422
    assert "arrived while you were reviewing" in answer.text
    assert "a card that took years" in answer.text
    assert walk.record.signatures == ()


def test_a_helper_sees_the_review_and_decides_nothing(
    client: FlaskClient, sign_in: Any, walk: BuiltWalk, at: str
) -> None:
    walk.finding("LB 1-1")
    sign_in(client, Role.HELPER)
    page = client.get(f"{at}/review")
    assert page.status_code == 200
    assert "Change the grade" not in page.text
    assert client.get(f"{at}/sign").status_code == 403


def hold(walk: BuiltWalk, text: str) -> str:
    ingest_entries(walk.db, at=walk.at, device=walk.phone.device, items=[WireItem(text, {}, "could not be read")])
    return list_held(walk.db, walk.house.id)[-1].id


def test_a_held_entry_shows_its_raw_text_and_is_set_aside_with_a_reason(
    client: FlaskClient, td: Any, walk: BuiltWalk, house: House
) -> None:
    held = hold(walk, '{"<script>": "half an entry')
    base = f"/houses/{house.id}/held"
    page = client.get(f"{base}/{held}").text
    assert "half an entry" in page
    assert "<script>:" not in page
    assert client.post(f"{base}/{held}/aside", data={**td, "aside-reason": ""}).status_code == 422
    assert client.post(f"{base}/{held}/aside", data={**td, "aside-reason": "sent twice"}).status_code == 303
    assert list_held(walk.db, house.id) == []
    assert client.post(f"{base}/{held}/aside", data={**td, "aside-reason": "again"}).status_code == 422
    assert "set aside: sent twice" in client.get(f"{base}/{held}").text


def test_a_held_entry_is_typed_in_at_the_desk_form_and_marked(
    client: FlaskClient, td: Any, walk: BuiltWalk, house: House, at: str
) -> None:
    held = hold(walk, "not json")
    answer = client.post(f"/houses/{house.id}/held/{held}/type", data={**td, "type-walk": walk.id})
    assert answer.headers["Location"].endswith(f"/desk?held={held}")
    form = {**td, "by": walk.td.id, "on": "2026-03-04", "clock": "14:05", "outcome": "not_reached", "reason": "dark"}
    answer = client.post(f"{at}/desk/form?stretch=0&at=0&held={held}", data=form)
    assert answer.status_code == 303, answer.text
    (row,) = list_held(walk.db, house.id, resolved=True)
    assert row.resolved_as.startswith("typed in: ")


def test_the_desk_form_records_points_findings_and_time_as_a_phone_would(
    client: FlaskClient, td: Any, walk: BuiltWalk, at: str
) -> None:
    page = client.get(f"{at}/desk/form?stretch=0&at=0").text
    assert "at rest" in page
    form = {
        **td, "by": walk.td.id, "on": "2026-03-04", "clock": "14:05", "outcome": "looked",
        "ways": ["handled", "seen_close"], "p0-0": "ok", "p0-1": "finding", "p0-1-wear": "3",
        "p0-1-note": "bolt turns by hand",
    }  # fmt: skip
    answer = client.post(f"{at}/desk/form?stretch=0&at=0", data=form)
    assert answer.status_code == 303, answer.text
    after = client.get(answer.headers["Location"]).text
    assert 'value="14:05"' in after
    assert f'<option selected value="{walk.td.id}">' in after
    looks = walk.record.looks
    assert sorted(look.result for look in looks) == [LookResult.FINDING, LookResult.NO_FINDING]
    found = next(look for look in looks if look.findings)
    assert (found.findings[0].note, found.findings[0].wear, found.by) == ("bolt turns by hand", 3, walk.td.id)
    assert found.at.isoformat() == "2026-03-04T20:05:00+00:00"  # 14:05 in Chicago
    assert {look.device_name for look in looks} == {"Desk"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"outcome": "not_reached"}, "Say why"),
        ({"clock": ""}, "time as HH:MM"),
        ({"p0-0": ""}, "Nothing is answered"),
        ({"ways": []}, "choose at least one"),
    ],
)
def test_a_desk_form_that_lacks_something_says_what_and_keeps_what_was_typed(
    client: FlaskClient, td: Any, walk: BuiltWalk, at: str, change: dict[str, Any], words: str
) -> None:
    form = {
        **td, "by": walk.td.id, "on": "2026-03-04", "clock": "14:05", "outcome": "looked", "ways": ["seen_close"],
        "p0-0": "ok", "p0-1-note": "what I had typed", **change,
    }  # fmt: skip
    answer = client.post(f"{at}/desk/form?stretch=0&at=0", data=form)
    assert answer.status_code == 422
    assert words in answer.text
    assert "what I had typed" in answer.text
    assert walk.record.looks == ()


def test_typing_in_a_helpers_paper_form_still_waits_for_a_countersign(
    client: FlaskClient, td: Any, walk: BuiltWalk, at: str
) -> None:
    helper = add_person(walk.db, walk.house, "Sam Idris", Role.HELPER)
    form = {
        **td, "by": helper.id, "on": "2026-03-04", "clock": "14:05", "outcome": "looked", "ways": ["seen_close"],
        "p0-0": "ok",
    }  # fmt: skip
    client.post(f"{at}/desk/form?stretch=0&at=0", data=form)
    assert [look.needs_countersign for look in walk.record.looks] == [True]


def test_every_place_of_a_stretch_leads_to_the_next_and_the_last_back_to_the_list(
    client: FlaskClient, td: Any, at: str
) -> None:
    assert client.get(f"{at}/desk/form?stretch=0&at=99").status_code == 404
    assert client.get(f"{at}/desk/form?stretch=x&at=0").status_code == 404
    assert "stretch=0" in client.get(f"{at}/desk").text
