"""A figure on the phone: one number stays one number, and gauge, place and further readings go with it when said."""

import json

import pytest
from playwright.sync_api import expect

from inspect_app import clock
from inspect_app.actions.gauge import add_gauge, add_station
from inspect_app.domain.gauge import Gauge
from inspect_app.domain.ids import from_key
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db
from tests.e2e.conftest import in_the_office

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-page")]


def test_a_figure_keeps_its_gauge_place_and_readings_and_a_near_limit_cannot_be_told(
    world, phone, sign_in_on, begin_walk, tmp_path
) -> None:
    db = open_db(database_path(open_data_folder(tmp_path / "data").settings))
    actor = from_key(db.execute("SELECT id FROM person LIMIT 1").fetchone()[0])
    common = {"at": clock.now(), "actor": actor}
    add_gauge(db, gauge=Gauge("", world.house, "Caliper C1", "caliper", "0.001", "in"), **common)
    add_gauge(db, gauge=Gauge("", world.house, "Pull gauge", "force", "1", "lbf"), **common)
    for (part,) in db.execute("SELECT id FROM part WHERE kind = 'lift_line'").fetchall():
        add_station(db, house=world.house, part=from_key(part), name="paint mark", **common)

    page = phone
    sign_in_on(page)
    begin_walk(page, "Annual hands-on inspection")
    page.locator("button.stretch[data-stop=loft-and-line][data-state=static]").tap()
    page.locator("[data-row]").nth(0).get_by_role("button", name="Finding at").tap()
    page.locator("button.point[data-point=lift-line-diameter]").first.tap()

    figure = page.locator(".figure").first
    expect(figure.locator(".how-measured > summary")).to_have_text("How: gauge not said; paint mark")
    expect(figure.locator("input:visible")).to_have_count(1)
    figure.locator("input").first.fill("0.2372")  # 0.2375 in is the limit of a quarter-inch rope at 5 percent
    expect(figure.locator(".verdict")).to_contain_text("outside the cited criterion")
    expect(figure.locator("[data-lead]")).to_contain_text("outside when less than 0.2375 in: 29 CFR 1926.1413")
    expect(page.locator("#said")).to_contain_text(
        ": 1 outside, 2 inside; others not judged"
    )  # read out once typing rests
    figure.locator(".every-limit > summary").tap()
    expect(figure.get_by_text("outside when less than 0.203125 in: WAC 296-54-557")).to_be_visible()
    assert min(box["height"] for one in figure.locator("summary, .strokes button, select").all()
               if (box := one.bounding_box()) and box["height"]) >= 56  # fmt: skip

    figure.locator(".how-measured > summary").tap()
    gauge = figure.get_by_label("Gauge", exact=True)
    assert [text for text in gauge.locator("option").all_inner_texts() if "Pull" in text] == []
    gauge.select_option("Caliper C1")
    expect(figure.locator(".verdict")).to_contain_text("cannot tell with this gauge")
    figure.get_by_label("Load").select_option("unloaded")
    figure.get_by_label("Further readings").fill("0.2374 0.2371")
    figure.get_by_label("Further readings").blur()
    expect(page.locator("#said")).to_contain_text("Mean of these 2: 0.23725.")
    page.locator("[data-point-way=handled]").tap()
    page.locator("[data-defect]").first.tap()
    page.locator("[data-wear='3']").tap()
    page.get_by_role("button", name="Save the finding").tap()
    page.locator("#rows").wait_for()

    in_the_office(page)
    sent = [json.loads(raw) for (raw,) in db.execute("SELECT raw FROM entry").fetchall()]
    looks = [one for one in sent if one.get("measures")]
    (measure,) = looks[0]["measures"]
    assert {key: measure[key] for key in ("gauge", "resolution", "station", "load_state", "readings", "hint")} == {
        "gauge": "Caliper C1",
        "resolution": "0.001",
        "station": "paint mark",
        "load_state": "unloaded",
        "readings": ["0.2372", "0.2374", "0.2371"],
        "hint": "cannot_tell",
    }
