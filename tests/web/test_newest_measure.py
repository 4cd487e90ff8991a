"""What a figure reads as on the page of its part and at review: every limit with clause and mark, the gravest first."""

import json
import re
from datetime import timedelta
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.role import Role
from tests.walk_builder import BuiltWalk, add_person

OUTSIDE = "outside the cited criterion: take out of use and have a qualified person decide"
CRANE = "29 CFR 1926.1413 (a)(2)(ii)(B) (from a secondary source, by analogy)"
INSIDE = "inside the cited criterion, this measure only"


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    """A yearly walk in a house with one lift line of a quarter inch."""
    db.execute("UPDATE part SET kind = 'lift_line', tag = 'LL 1-1' WHERE tag = 'LB 1-1'")
    db.execute("UPDATE part_life SET attributes = ?", (json.dumps({"rope_diameter_mm": "6.35"}),))
    built = BuiltWalk(db, settings, house, "annual-hands-on")
    built.open()
    return built


def measured(walk: BuiltWalk, value: str, **more: str) -> None:
    figure = {
        "point": "lift-line-diameter", "quantity": "rope_diameter", "value": value, "unit": "in", "typed": value,
        "readings": [value], "station": None, "gauge": None, "resolution": "", "load_state": "", **more,
    }  # fmt: skip
    walk.look("LL 1-1", measures=[figure], points=["lift-line-diameter"])


def words_of(page: str) -> str:
    """The words of a page's main part, without markup."""
    return " ".join(re.sub(r"<[^>]+>", " ", page[page.index("<main") :]).split())


def test_a_part_shows_its_newest_figure_with_the_gravest_verdict_and_all_limits_under_it(
    client: FlaskClient, sign_in: Any, walk: BuiltWalk, house: House
) -> None:
    sign_in(client, Role.TD)
    address = f"/houses/{house.id}/parts/{walk.part('LL 1-1').id}/"
    assert "Newest figures" not in client.get(address).text
    measured(walk, "0.250")
    measured(walk, "0.234375", typed="15/64")
    shown = words_of(client.get(address).text)
    newest = shown[shown.index("Newest figures") : shown.index("Limits of this part")]
    assert "0.234375 in (typed 15/64)" in newest
    assert "0.250" not in newest
    assert "not signed yet" in newest
    assert newest.index(OUTSIDE) < newest.index(INSIDE)
    assert (
        "outside when less than 0.2375 in: 29 CFR 1926.1413 (a)(2)(ii)(B) (from a secondary source, by analogy)"
        in newest
    )
    assert "0.203125 in: WAC 296-54-557 (2)(d) (text read, by analogy)" in newest
    assert "All 4 limits: 1 outside, 2 inside, 1 not judged" in newest  # no first diameter is recorded for one of them
    assert "first measured" in newest


def test_a_figure_that_waits_gives_way_to_a_newer_one_that_counts_of_whatever_gauge(
    client: FlaskClient, sign_in: Any, walk: BuiltWalk, house: House, db: Database, settings: Settings
) -> None:
    sign_in(client, Role.TD)
    measured(walk, "0.241", gauge="caliper C1")
    later = BuiltWalk(db, settings, house, "annual-hands-on")
    later.at += timedelta(days=30)
    later.open()
    measured(later, "0.243", gauge="tape T2")
    address = f"/houses/{house.id}/parts/{walk.part('LL 1-1').id}/"

    def newest() -> str:
        shown = words_of(client.get(address).text)
        return shown[shown.index("Newest figures") : shown.index("Limits of this part")]

    assert "0.243 in 2026-04-03 not signed yet" in newest()
    later.close()
    inspector = add_person(db, house, "Ann Roe", Role.INSPECTOR)
    later.sign(inspector, role=Role.INSPECTOR, name="Ann Roe", credential="Inspector 7")
    assert "0.243 in 2026-04-03" in newest()
    assert "not signed yet" not in newest()
    assert "0.241" not in newest()


@pytest.mark.parametrize(
    ("value", "gauge", "heading", "words"),
    [
        ("0.236", {}, "Figures outside a cited criterion", OUTSIDE),
        ("0.2376", {"resolution": "0.001"}, "Figures that this gauge cannot tell", "cannot tell with this gauge"),
        ("0.245", {}, "The other figures 1 inside", INSIDE),
        ("0.2360", {"hint": "inside"}, "Figures outside a cited criterion", "When this was typed, it was inside"),
        ("0.245", {"hint": "outside"}, "Figures judged otherwise than when they were typed", "here it is inside"),
    ],
)  # fmt: skip
def test_no_figure_is_hidden_from_whoever_reviews(
    client: FlaskClient,
    sign_in: Any,
    walk: BuiltWalk,
    house: House,
    value: str,
    gauge: dict[str, str],
    heading: str,
    words: str,
) -> None:
    sign_in(client, Role.TD)
    measured(walk, value, **gauge)
    shown = words_of(client.get(f"/houses/{house.id}/walks/{walk.id}/review").text)
    part = shown[shown.index(heading) :]
    assert f"LL 1-1: rope diameter {value} in" in part
    assert words in part
    assert CRANE in part
    for never in (" safe ", " OK ", " passed ", " remaining "):
        assert never not in part[: part.index("29 CFR")]


def test_the_desk_form_says_at_once_what_the_limits_make_of_a_figure_and_keeps_it_with_the_figure(
    client: FlaskClient, sign_in: Any, csrf: Any, walk: BuiltWalk, house: House
) -> None:
    sign_in(client, Role.TD)
    desk = f"/houses/{house.id}/walks/{walk.id}/desk"
    stretch = next(n for n in range(20) if "Rope diameter" in client.get(f"{desk}/form?stretch={n}&at=0").text)
    address = f"{desk}/form?stretch={stretch}&at=0"
    page = client.get(address).text
    (field,) = re.findall(r'name="(p\d+-\d+-m\d+)"[^>]*>', page[page.index("Rope diameter, ") :])[:1]
    units = re.findall(r'<select[^>]*name="(p\d+-\d+-m\d+-unit)">\s*<option[^>]*value="(\w+)"', page)
    form = {
        **dict(units), "csrf_token": csrf(client), "by": walk.td.id, "on": "2026-03-04", "clock": "19:30",
        "outcome": "looked", "ways": "handled", field: "15/64", f"{field}-unit": "in",
    }  # fmt: skip
    answer = client.post(address, data=form, follow_redirects=True)
    said = words_of(answer.text)
    assert f"LL 1-1: rope diameter 0.234375 in (typed 15/64): {OUTSIDE}; outside when less than 0.2375 in, " in said
    assert f"{CRANE}; 3 other limits." in said
    (look,) = [look for look in walk.record.looks if look.measures]
    assert look.measures[0].hint == "outside"
    assert "rope diameter 0.234375 in (typed 15/64)" in words_of(client.get(address).text)


def test_the_page_of_a_swaged_end_says_which_limits_it_leaves_away(
    client: FlaskClient, sign_in: Any, walk: BuiltWalk, house: House, db: Database
) -> None:
    sign_in(client, Role.TD)
    part = walk.part("LL 1-1").id
    db.execute("UPDATE part SET kind = 'termination_arbor' WHERE id = ?", (to_key(part),))

    def shown(**more: str) -> str:
        attributes = json.dumps({"rope_diameter_mm": "6.35", **more})
        db.execute("UPDATE part_life SET attributes = ? WHERE part = ?", (attributes, to_key(part)))
        page = words_of(client.get(f"/houses/{house.id}/parts/{part}/").text)
        return page[page.index("Limits of this part") :]

    clips, away = "Torque of clip nuts", "The kind of line end is recorded as swaged, so these limits are left away: "
    assert f"{clips} 1 limit" in (open_ended := shown())
    assert "Not for a part whose kind of line end is swaged" in open_ended
    swaged = shown(termination="swaged")
    assert away in swaged
    assert f"{clips}. A figure measured all the same is judged by them." in swaged
    assert f"{clips} 1 limit" not in swaged
    assert f"{clips} 1 limit" in shown(termination="clips")
