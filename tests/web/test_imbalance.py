"""An imbalance measured on a walk: the lock's own plate decides, and every page says to balance the set."""

import json
import re
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.actions.hand_over_facts import facts_of
from inspect_app.actions.history import wear_rows
from inspect_app.config import Settings
from inspect_app.domain.hand_over import Period
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.domain.wear_list import Nearness
from inspect_app.store.measure_history import list_house_outlooks, list_outlooks
from tests.walk_builder import BuiltWalk, add_person

POINT = "set-travel-force-measured"
FIGURE = {
    "point": POINT, "quantity": "imbalance", "value": "190", "unit": "N", "typed": "190", "readings": ["190"],
    "station": None, "gauge": None, "resolution": "", "load_state": "",
}  # fmt: skip


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    """A yearly walk in a house whose set 1 has a run and a rope lock."""
    db.execute("UPDATE part SET kind = 'set_travel', tag = 'TV 1' WHERE tag = 'LB 1-1'")
    db.execute("UPDATE part SET kind = 'rope_lock', tag = 'RL 1' WHERE tag = 'LB 1-2'")
    built = BuiltWalk(db, settings, house, "annual-hands-on")
    built.open()
    return built


@pytest.mark.parametrize(
    ("plate", "heading", "words"),
    [
        ({"imbalance_kg": "20"}, "Sets to be balanced", "balance the set"),  # 20 kg weigh 196.133 N
        ({"imbalance_kg": "19"}, "Figures outside a cited criterion", "take out of use"),
        ({}, "Sets to be balanced", "no figure: balance the set"),
    ],
)
def test_an_imbalance_is_told_among_what_is_to_be_done_and_never_as_inside(
    client: FlaskClient, sign_in: Any, db: Database, walk: BuiltWalk, house: House, plate: dict[str, str], heading: str,
    words: str,
) -> None:  # fmt: skip
    sign_in(client, Role.TD)
    db.execute("UPDATE part_life SET attributes = ?", (json.dumps(plate),))
    db.conn.commit()
    found = next(one for one in walk.checklist.points_for(walk.part("TV 1").kind) if one.id == POINT)
    walk.look("TV 1", measures=[FIGURE], points=[POINT], **{"pass": found.in_pass})
    for address in (f"walks/{walk.id}/review", f"parts/{walk.part('TV 1').id}/"):
        text = client.get(f"/houses/{house.id}/{address}").text
        shown = " ".join(re.sub(r"<[^>]+>", " ", text[text.index("<main") :]).split())
        assert words in shown
        assert "inside the cited criterion" not in shown
        assert "1 inside" not in shown
        if "review" in address:
            assert words in shown[shown.index(heading) :]


def test_a_signed_imbalance_beyond_the_plate_of_its_lock_stands_outside_in_every_list_of_the_house(
    db: Database, settings: Settings, walk: BuiltWalk, house: House
) -> None:
    db.execute("UPDATE part_life SET attributes = ?", (json.dumps({"imbalance_kg": "19"}),))  # 19 kg weigh 186.3 N
    db.conn.commit()
    found = next(one for one in walk.checklist.points_for(walk.part("TV 1").kind) if one.id == POINT)
    walk.look("TV 1", measures=[FIGURE], points=[POINT], **{"pass": found.in_pass})
    walk.close()
    walk.sign(add_person(db, house, "Jo Marsh", Role.INSPECTOR), role=Role.INSPECTOR)
    ((outlook, limits),) = list_house_outlooks(db, house.id)
    assert [limit.rule for limit in limits] == ["own-lock"]
    assert list_outlooks(db, house.id, outlook.series.part)[0].judged
    ((nearness, _),) = wear_rows(db, settings, house)
    assert nearness is Nearness.PASSED
    facts = facts_of(db, settings, house, Period("", ""), walk.at)
    ((tag, _, said),) = facts.outside
    assert tag == "TV 1"
    assert "balance the set" in said
