"""The pages of figures from memory: signing in, what uses them then, withdrawing."""

import html
import re
from urllib.parse import urlencode

import pytest

from inspect_app.domain.role import Role
from inspect_app.store.house_criteria import list_signed_values

COPY = {"edition": "2019", "clause": "Table 4", "on": "2026-01-05", "name": "Ann Roe", "credential": "Inspector 7"}
SLEEVE = COPY | {"figure_0": "95", "unit": "percent"}
LOAD = {
    "length": "30 ft", "lines": "5 ft\n15 ft\n25 ft", "pipe": "1 1/2", "own": "40 kg", "wrap": "90", "drop": "50 ft",
    "loads": "100 lb at 15 ft", "rope_diameter_mm": "1/4 in", "rope_construction": "7x19", "grade": "carbon",
    "termination": "swaged",
}  # fmt: skip


@pytest.fixture
def there(house):
    return f"/houses/{house.id}/criteria/figures"


@pytest.fixture
def inspector(client, sign_in, csrf):
    sign_in(client, Role.INSPECTOR)

    def post(path, data):
        return client.post(path, data={**data, "csrf_token": csrf(client)}, follow_redirects=True)

    return post


def page(client, path) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.get_data(as_text=True))).split())


def test_a_swaged_end_has_a_factor_once_its_efficiency_is_signed_in(client, inspector, there, house, db) -> None:
    load = f"/houses/{house.id}/workbench/batten-load/?{urlencode(LOAD)}"
    assert "no published efficiency of this line end (swaged)" in page(client, load)
    assert "type what stands there, not what is remembered here" in page(client, f"{there}/copper-sleeve-efficiency/")
    assert inspector(f"{there}/copper-sleeve-efficiency/", SLEEVE).status_code == 200
    shelf = page(client, f"{there}/")
    assert "entered by Ann Roe, Inspector 7, 2026-01-05 from 2019" in shelf
    assert "No calculation uses it yet: kept for reference." in shelf
    shown = page(client, load)
    assert "no published efficiency" not in shown
    assert "Table 4 (entered by Ann Roe, Inspector 7, 2026-01-05 from 2019)" in shown
    assert inspector(f"{there}/copper-sleeve-efficiency/withdraw", {"reason": ""}).status_code == 422
    assert inspector(f"{there}/copper-sleeve-efficiency/withdraw", {"reason": "wrong sleeve"}).status_code == 200
    assert "no published efficiency of this line end (swaged)" in page(client, load)
    assert [one.withdrawn for one in list_signed_values(db, house.id)] == [False, True]


def test_the_lines_weigh_what_the_house_signed_in_for_their_size(client, inspector, there, house) -> None:
    load = f"/houses/{house.id}/workbench/batten-load/?{urlencode(LOAD)}"
    assert "own weight is not known here" in page(client, load)
    sign = page(client, f"{there}/mil83420-7x19-mass/")
    assert "1/4 in" in sign
    fields = {f"figure_{n}": "" for n in range(9)} | {"figure_4": "0.108", "unit": "lb_per_ft"}
    assert inspector(f"{there}/mil83420-7x19-mass/", COPY | fields).status_code == 200
    shown = page(client, load)
    assert "The lines weigh 0.108 lb/ft by a table" in shown
    assert "own weight is not known here" not in shown


def test_what_was_typed_stays_when_a_figure_cannot_be(inspector, there, db, house) -> None:
    answer = inspector(f"{there}/copper-sleeve-efficiency/", SLEEVE | {"figure_0": "130"})
    assert answer.status_code == 422
    assert "no more than 100 %" in answer.get_data(as_text=True)
    assert 'value="Table 4"' in answer.get_data(as_text=True)
    assert list_signed_values(db, house.id) == []


def test_only_what_is_from_memory_can_be_signed_and_only_by_an_inspector(client, inspector, sign_in, there) -> None:
    assert client.get(f"{there}/nothing/").status_code == 404
    assert client.get(f"{there}/clips-80/").status_code == 404
    sign_in(client, Role.TD)
    assert "A qualified inspector of the house can sign it in" in page(client, f"{there}/")
    assert client.get(f"{there}/copper-sleeve-efficiency/").status_code == 403
