"""Paper asked for on the pages: made for who may see it, from what the record says, and never from another house."""

import subprocess
import time
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.deficiency import move_deficiency
from inspect_app.actions.repair_plan import change_policy, record_cost
from inspect_app.actions.restriction import set_restriction
from inspect_app.actions.tag_out import stop_thing
from inspect_app.config import Settings
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.house import House
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import list_deficiencies
from tests.walk_builder import BuiltWalk

DAYS = {Grade.STOP_USE: "0", Grade.RESTRICT: "30", Grade.REPAIR_BY: "180", Grade.WATCH: "365"}


@pytest.fixture
def built(db: Database, settings: Settings, house: House) -> BuiltWalk:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "restrict", note="cracked cheek")
    walk.finding("LB 2-1", "watch", note="paint worn")
    return walk


def the_one(built: BuiltWalk, number: int = 1) -> Deficiency:
    return next(row for row in list_deficiencies(built.db, built.house.id) if row.number == number)


def decide(built: BuiltWalk, number: int, contractor: str) -> None:
    move_deficiency(
        built.db, at=built.at, actor=built.td.id, house=built.house.id, deficiency=the_one(built, number).id,
        to_state=DeficiencyState.DECIDED, role=Role.TD,
        proof={"decision": f"replace number {number}", "contractor": contractor, "due_on": "2099-04-01"},
    )  # fmt: skip


def local_day(house: House) -> date:
    """The day that it is in the house, which may be yesterday's by UTC."""
    return clock.now().astimezone(ZoneInfo(house.tz)).date()


def text_of_pdf(client: FlaskClient, path: str) -> str:
    """The text of a paper that is asked for, followed through its progress page to the PDF."""
    answer = client.get(path)
    assert answer.status_code == 303, answer.text
    for _ in range(240):
        made = client.get(f"{answer.headers['Location']}.pdf")
        if made.status_code == 200:
            text = subprocess.run(["pdftotext", "-layout", "-", "-"], input=made.data, capture_output=True, check=True)
            return " ".join(text.stdout.decode().split())
        page = client.get(answer.headers["Location"])
        assert "was not made" not in page.text
        time.sleep(0.25)
    raise AssertionError("the paper was not ready after a minute")


def test_a_work_order_tells_what_the_record_says_and_what_binds_its_place(
    client: FlaskClient, sign_in: Any, built: BuiltWalk
) -> None:
    person = sign_in(client, Role.TD)
    part = built.part("LB 1-1")
    decide(built, 1, "Harbour Rigging")
    stop_thing(built.db, at=built.at, actor=person.id, house=built.house.id, why="noise", line_set=part.line_set)
    set_restriction(
        built.db, at=built.at, today=clock.now().date(), actor=person.id, house=built.house.id,
        kind=RestrictionKind.LIMIT, texts={"what": "bent", "load_limit": "90 kg", "who": "Ines"},
        until=clock.now().date().replace(year=2099), line_set=part.line_set,
    )  # fmt: skip
    page = client.get(f"/houses/{built.house.id}/deficiencies/{the_one(built).id}").text
    assert f"/repair-paper/work-order/{the_one(built).id}?paper=A4" in page
    text = text_of_pdf(client, f"/houses/{built.house.id}/repair-paper/work-order/{the_one(built).id}?paper=Letter")
    for words in ("LB 1-1", "cracked cheek", "replace number 1", "Harbour Rigging", "2099-04-01", "Ines Halloran",
                  "Out of use: do not move", "noise", "load 90 kg", "qualified inspector"):  # fmt: skip
        assert words in text, words


def test_the_orders_of_one_contractor_hold_each_of_theirs_and_nothing_else(
    client: FlaskClient, sign_in: Any, built: BuiltWalk
) -> None:
    sign_in(client, Role.MANAGER)
    built.finding("LB 2-2", "repair_by", note="bolt loose")
    decide(built, 1, "Harbour Rigging")
    decide(built, 2, "Kit & Co")
    decide(built, 3, "harbour rigging")
    page = client.get(f"/houses/{built.house.id}/repair-paper").text
    assert "Kit &amp; Co" in page
    assert "2 orders" in page
    text = text_of_pdf(client, f"/houses/{built.house.id}/repair-paper/work-orders?who=Harbour+Rigging")
    assert "Deficiency 1: LB 1-1" in text
    assert "Deficiency 3: LB 2-2" in text
    assert "Deficiency 2" not in text


@pytest.mark.parametrize("query", ["", "?who=Nobody", "?who=Kit&paper=A3"])
def test_paper_for_a_name_without_work_is_refused_in_words(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, query: str
) -> None:
    sign_in(client, Role.TD)
    answer = client.get(f"/houses/{built.house.id}/repair-paper/work-orders{query}")
    assert 400 <= answer.status_code < 500


def test_there_is_no_work_order_for_what_is_closed(client: FlaskClient, sign_in: Any, built: BuiltWalk) -> None:
    sign_in(client, Role.TD)
    move_deficiency(
        built.db, at=built.at, actor=built.td.id, house=built.house.id, deficiency=the_one(built, 2).id,
        to_state=DeficiencyState.NO_FAULT, role=Role.TD, proof={"reason": "a shadow"},
    )  # fmt: skip
    page = f"/houses/{built.house.id}/deficiencies/{the_one(built, 2).id}"
    assert "/work-order/" not in client.get(page).text
    refused = client.get(f"/houses/{built.house.id}/repair-paper/work-order/{the_one(built, 2).id}")
    assert refused.status_code == 409


def test_paper_of_another_house_is_not_found(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, other_house: House
) -> None:
    sign_in(client, Role.TD, other_house)
    for house in (built.house.id, other_house.id):
        path = f"/houses/{house}/repair-paper/work-order/{the_one(built).id}"
        assert client.get(path).status_code == 404


def test_a_paper_is_only_for_who_asked_for_it(client: FlaskClient, app: Any, sign_in: Any, built: BuiltWalk) -> None:
    sign_in(client, Role.TD)
    made = client.get(f"/houses/{built.house.id}/repair-paper/work-order/{the_one(built).id}").headers["Location"]
    other = app.test_client()
    sign_in(other, Role.INSPECTOR)
    assert other.get(made).status_code == 404
    assert other.get(f"{made}.pdf").status_code == 404


def test_the_register_letter_and_plan_are_made_from_what_the_record_says(
    client: FlaskClient, sign_in: Any, built: BuiltWalk
) -> None:
    sign_in(client, Role.MANAGER)
    decide(built, 1, "Harbour Rigging")
    change_policy(
        built.db, at=built.at, actor=built.td.id, house=built.house.id, days=DAYS, currency="USD",
    )  # fmt: skip
    record_cost(
        built.db, at=built.at, actor=built.td.id, house=built.house.id, deficiency=the_one(built).id, kind="estimate",
        amount="1250", what="block",
    )  # fmt: skip
    root = f"/houses/{built.house.id}/repair-paper"
    register = text_of_pdf(client, f"{root}/register?since=2026-01-01")
    for words in ("LB 1-1", "LB 2-1", "Harbour Rigging", "cracked cheek", "since 2026-01-01"):
        assert words in register, words
    letter = text_of_pdf(client, f"{root}/letter?first=2025-06-01&last={local_day(built.house)}&paper=A4")
    for words in ("2 deficiencies were open", "1 was granted", "1250.00 USD", "Ines Halloran", "paint worn"):
        assert words in letter, words
    assert "No rule set is chosen" in text_of_pdf(client, f"{root}/year-plan")


@pytest.mark.parametrize(
    "path", ["register?since=x", "letter?first=2026-13-01", "letter?last=2999-01-01", "register?paper=A3"]
)
def test_days_and_papers_that_cannot_be_are_refused_in_words(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, path: str
) -> None:
    sign_in(client, Role.TD)
    answer = client.get(f"/houses/{built.house.id}/repair-paper/{path}")
    assert 400 <= answer.status_code < 500


def test_the_letter_with_its_costs_is_not_for_a_helper(client: FlaskClient, sign_in: Any, built: BuiltWalk) -> None:
    sign_in(client, Role.HELPER)
    assert client.get(f"/houses/{built.house.id}/repair-paper/letter").status_code == 403
    assert "Letter to the facility manager" not in client.get(f"/houses/{built.house.id}/repair-paper").text
