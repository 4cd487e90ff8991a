"""What the page of a deck, a rail or a ladder says of its limits, and of what the house has accepted there."""

from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.actions.accepted_condition import accept_condition
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.ids import from_key
from inspect_app.domain.role import Role
from tests.walk_builder import BuiltWalk


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    built = BuiltWalk(db, settings, house, "access-survey")
    built.open()
    return built


def of_kind(db: Database, kind: str) -> tuple[str, str]:
    """The id and the tag of a part that is made one of this kind."""
    row = db.execute("SELECT id, tag FROM part ORDER BY id LIMIT 1").fetchone()
    db.execute("UPDATE part SET kind = ? WHERE id = ?", (kind, row[0]))
    return from_key(row[0]), row[1]


def page(client: FlaskClient, house: House, part: str) -> str:
    return " ".join(client.get(f"/houses/{house.id}/parts/{part}/").text.split())


def test_a_ladder_names_the_limits_that_are_off_and_a_bridge_those_of_another_place(
    client: FlaskClient, sign_in: Any, db: Database, house: House, walk: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    ladder = page(client, house, of_kind(db, "ladder")[0])
    assert "No limit in use: off until a qualified person of the house enters it" in ladder
    bridge = page(client, house, of_kind(db, "loading_bridge")[0])
    assert "there is one for European Union and United Kingdom: EN ISO 14122-2" in bridge


def test_a_bay_of_ribbon_steel_is_recorded_and_not_judged(
    client: FlaskClient, sign_in: Any, db: Database, house: House, walk: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    bay = page(client, house, of_kind(db, "grid_deck")[0])
    slot = bay[bay.index("Slot of a channel or ribbon-steel deck") :].partition("</details>")[0]
    assert "Recorded, neither passed nor failed" in slot
    assert "who accepted the deck" in slot
    assert "Outside the cited criterion" not in slot


def test_what_the_house_accepted_at_an_edge_stands_with_its_limits_until_its_day(
    client: FlaskClient, sign_in: Any, db: Database, house: House, walk: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    part, tag = of_kind(db, "guardrail")
    before = page(client, house, part)
    assert "The house's accepted measure" in before
    assert "None is recorded" in before
    assert f"accepted-conditions/new?part={tag.replace(' ', '+')}" in before
    accept_condition(
        db, at=walk.at, actor=walk.td.id, house=house.id, part=part, what="Rail of 36 in, chain at 42 in above it",
        accepted_by="R. Abara", role="Facility manager", reason="listed building", paper="letter 7",
        review_by="2099-01-01",
    )  # fmt: skip
    after = page(client, house, part)
    assert "Rail of 36 in, chain at 42 in above it. Accepted by R. Abara, Facility manager, until 2099-01-01" in after
    assert "listed building (letter 7)" in after
    assert "None is recorded" not in after
