"""Pages of gauges and measuring places."""

from collections.abc import Callable

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.store.gauge import list_gauges, list_stations
from inspect_app.store.part import find_part_by_tag
from inspect_app.store.said import find_unlike_said

CALIPER = {
    "name": "Caliper C1", "kind": "caliper", "resolution": "0,001", "unit": "in", "serial": "77",
    "calibrated_on": "2024-01-05", "calibration_due": "2025-01-05",
}  # fmt: skip


@pytest.fixture
def td(client: FlaskClient, sign_in: Callable[..., object], csrf: Callable[[FlaskClient], str]) -> FlaskClient:
    sign_in(client)
    return client


def post(client: FlaskClient, csrf: Callable[[FlaskClient], str], path: str, **form: str) -> int:
    return client.post(path, data={**form, "csrf_token": csrf(client)}).status_code


def test_a_gauge_is_added_changed_and_retired(
    td: FlaskClient, csrf: Callable[[FlaskClient], str], db: Database, house: House
) -> None:
    base = f"/houses/{house.id}/gauges/"
    assert post(td, csrf, f"{base}new", **CALIPER) == 302
    (gauge,) = list_gauges(db, house.id)
    assert (gauge.name, gauge.resolution, gauge.unit) == ("Caliper C1", "0.001", "in")
    assert "calibration overdue" in td.get(base).text
    assert post(td, csrf, base + gauge.id, **{**CALIPER, "resolution": "0.0005", "calibration_due": ""}) == 302
    assert list_gauges(db, house.id)[0].resolution == "0.0005"
    assert post(td, csrf, f"{base}{gauge.id}/retire") == 302
    assert list_gauges(db, house.id) == []
    assert "retired on" in td.get(base).text
    assert "<summary>1 retired gauge</summary>" in td.get(base).text


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": ""}, "Fill this in"),
        ({"kind": ""}, "Choose what kind"),
        ({"resolution": "fine"}, "is not a number"),
        ({"resolution": "-1"}, "more than zero"),
        ({"resolution": "NaN"}, "is not a number"),
        ({"calibration_due": "2023-01-01"}, "before the last one"),
        ({"calibrated_on": "yesterday"}, "YYYY-MM-DD"),
    ],
)
def test_a_mistake_is_said_beside_its_field_and_nothing_is_kept(
    td: FlaskClient, csrf: Callable[[FlaskClient], str], db: Database, house: House, change: dict[str, str], words: str
) -> None:
    answer = td.post(f"/houses/{house.id}/gauges/new", data={**CALIPER, **change, "csrf_token": csrf(td)})
    assert answer.status_code == 422
    assert words in answer.text
    assert list_gauges(db, house.id, retired=True) == []


def test_two_gauges_never_share_a_name(
    td: FlaskClient, csrf: Callable[[FlaskClient], str], db: Database, house: House
) -> None:
    post(td, csrf, f"/houses/{house.id}/gauges/new", **CALIPER)
    answer = td.post(f"/houses/{house.id}/gauges/new", data={**CALIPER, "name": "caliper  c1", "csrf_token": csrf(td)})
    assert answer.status_code == 422
    assert len(list_gauges(db, house.id)) == 1


def test_a_measuring_place_is_named_on_the_page_of_its_part(
    td: FlaskClient, csrf: Callable[[FlaskClient], str], db: Database, house: House
) -> None:
    part = find_part_by_tag(db, house.id, "LB 1-1")
    assert part is not None
    path = f"/houses/{house.id}/parts/{part.id}/"
    assert post(td, csrf, f"{path}stations", name=" paint mark ") == 302
    assert post(td, csrf, f"{path}stations", name="Paint  mark") == 302
    assert post(td, csrf, f"{path}stations", name="") == 302
    (station,) = list_stations(db, house.id, part.id)
    page = td.get(path).text
    assert "paint mark" in page
    assert "Nothing has been measured here." in page
    assert post(td, csrf, f"/houses/{house.id}/stations/{station.id}/retire") == 302
    assert list_stations(db, house.id) == []


def test_a_helper_sees_gauges_and_changes_none(
    client: FlaskClient, sign_in: Callable[..., object], csrf: Callable[[FlaskClient], str], house: House
) -> None:
    sign_in(client, Role.HELPER)
    assert "Add a gauge" not in client.get(f"/houses/{house.id}/gauges/").text
    assert post(client, csrf, f"/houses/{house.id}/gauges/new", **CALIPER) == 403


def test_days_on_which_a_gauge_read_wrong_are_noted_and_taken_back(
    td: FlaskClient, csrf: Callable[[FlaskClient], str], db: Database, house: House
) -> None:
    base = f"/houses/{house.id}/gauges/"
    post(td, csrf, f"{base}new", **CALIPER)
    (gauge,) = list_gauges(db, house.id)
    page = td.get(base + gauge.id).text
    assert 'name="doubt-first" required type="date" value="2024-01-05"' in page
    given = {"doubt-first": "2024-01-05", "doubt-last": "2024-09-30", "doubt-why": "reads 0.006 in over"}
    assert post(td, csrf, f"{base}{gauge.id}/doubts", **given) == 302
    (doubt,) = list_gauges(db, house.id)[0].doubts
    assert (doubt.first.isoformat(), doubt.last.isoformat(), doubt.why) == tuple(given.values())
    for path in (base, base + gauge.id):
        assert "reads 0.006 in over" in td.get(path).text
    found = td.get(f"/houses/{house.id}/search?q=over").text
    assert "Gauge that read wrong" in found
    assert f'href="{base}"' in found
    assert post(td, csrf, f"{base}{gauge.id}/doubts/{doubt.id}/end") == 302
    assert list_gauges(db, house.id)[0].doubts == ()
    assert "taken back" in td.get(f"/houses/{house.id}/search?q=over").text
    assert find_unlike_said(db) is None
    assert post(td, csrf, f"{base}{gauge.id}/doubts/{doubt.id}/end") == 404


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"doubt-first": ""}, "Give the first day."),
        ({"doubt-last": "2024-01-01"}, "cannot be before the first"),
        ({"doubt-last": "2099-01-01"}, "lies ahead"),
        ({"doubt-why": "  "}, "Say what was found"),
        ({"doubt-why": "x" * 201}, "longer than 200"),
        ({"doubt-first": "then"}, "YYYY-MM-DD"),
    ],
)
def test_a_mistake_in_the_days_is_said_and_nothing_is_noted(
    td: FlaskClient, csrf: Callable[[FlaskClient], str], db: Database, house: House, change: dict[str, str], words: str
) -> None:
    post(td, csrf, f"/houses/{house.id}/gauges/new", **CALIPER)
    (gauge,) = list_gauges(db, house.id)
    given = {"doubt-first": "2024-01-05", "doubt-last": "2024-09-30", "doubt-why": "reads 0.006 in over", **change}
    answer = td.post(f"/houses/{house.id}/gauges/{gauge.id}/doubts", data={**given, "csrf_token": csrf(td)})
    assert answer.status_code == 422
    assert words in answer.text
    assert given["doubt-why"].strip() in answer.text
    assert list_gauges(db, house.id)[0].doubts == ()
