"""Paper on its way: whose it is, what is said while too many wait, and that an unknown paper is refused."""

import time
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from flask.testing import FlaskClient

from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.web import sheet_job

pytestmark = pytest.mark.usefixtures("papers_left_out")


def test_a_paper_is_shown_to_whoever_asked_and_to_nobody_else(
    client: FlaskClient, newcomer: Callable[[], FlaskClient], sign_in: Any, house: House, other_house: House
) -> None:
    sign_in(client, Role.HELPER)
    page = client.get(f"/houses/{house.id}/rail/not-today").headers["Location"]
    assert client.get(page).status_code == 200
    other = newcomer()
    sign_in(other, Role.TD)
    for address in (page, f"{page}.pdf"):
        found = other.get(address)
        assert found.status_code == 404
        assert "Ask for it again" in found.text
    third = newcomer()
    sign_in(third, Role.TD, house=other_house)
    assert third.get(page.replace(house.id, other_house.id)).status_code == 404


def test_a_paper_that_cannot_be_made_says_why_and_leads_back(client: FlaskClient, sign_in: Any, house: House) -> None:
    sign_in(client, Role.HELPER)
    page = client.get(f"/houses/{house.id}/rail/not-today").headers["Location"]
    for _ in range(200):
        found = client.get(page)
        if "Refresh" not in found.headers:
            break
        time.sleep(0.02)
    assert "Given up" in found.text
    assert f'href="/houses/{house.id}/rail"' in found.text
    assert found.headers["Cache-Control"] == "no-store"
    assert client.get(f"{page}.pdf").headers["Location"] == page


@pytest.mark.parametrize(
    ("asked", "name"),
    [("rail/not-today", "not-to-be-flown-2026-03-04"), ("repair-paper/year-plan", "year-plan-2026-03-04"),
     ("repair-paper/letter?first=2025-03-05&last=2026-03-04", "letter-2025-03-05-to-2026-03-04-made-2026-03-04")],
)  # fmt: skip
def test_a_paper_is_named_by_the_day_of_the_house(
    client: FlaskClient, sign_in: Any, house: House, clock_at: Any, monkeypatch: pytest.MonkeyPatch, asked: str,
    name: str,
) -> None:  # fmt: skip
    clock_at(datetime(2026, 3, 5, 3, tzinfo=UTC))  # still the evening before in Chicago
    monkeypatch.setattr(sheet_job, "render_report", lambda *_: b"%PDF-1.7")
    sign_in(client, Role.TD)
    page = client.get(f"/houses/{house.id}/{asked}").headers["Location"]
    for _ in range(200):
        found = client.get(f"{page}.pdf")
        if found.status_code == 200:
            break
        time.sleep(0.02)
    assert found.headers["Content-Disposition"] == f"inline; filename={name}.pdf"
    assert found.data == b"%PDF-1.7"


@pytest.mark.parametrize(
    ("asked", "back"),
    [("rail/not-today", "rail"), ("repair-paper/register", "repair-paper"), ("plan/paper", "plan"),
     ("learning/paper", "learning"), ("paper/print?checklist=grid-quarterly", "paper"),
     ("workbench/units/sheet.pdf?length=1+in", "workbench/units/?length=1+in")],
)  # fmt: skip
def test_while_too_many_wait_each_paper_leads_back_with_the_reason(
    client: FlaskClient, sign_in: Any, house: House, monkeypatch: pytest.MonkeyPatch, asked: str, back: str
) -> None:
    sign_in(client, Role.TD)
    monkeypatch.setattr(sheet_job, "MOST_WAITING", 0)
    answer = client.get(f"/houses/{house.id}/{asked}")
    assert answer.status_code == 303
    assert answer.headers["Location"].startswith(f"/houses/{house.id}/{back}")
    assert "Wait some seconds, then ask again" in client.get(answer.headers["Location"]).text


@pytest.mark.parametrize("asked", ["repair-paper/register", "learning/paper", "paper/print?checklist=grid-quarterly",
                                   "workbench/units/sheet.pdf?length=1+in"])  # fmt: skip
def test_a_paper_that_nobody_makes_is_refused_in_words(
    client: FlaskClient, sign_in: Any, house: House, asked: str
) -> None:
    sign_in(client, Role.TD)
    answer = client.get(f"/houses/{house.id}/{asked}{'&' if '?' in asked else '?'}paper=A3")
    assert answer.status_code == 422
    assert "There is no paper “A3”. Choose A4 or Letter." in answer.text
