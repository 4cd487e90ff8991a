"""The pages of criteria: signing in, withdrawing, choosing what governs, the limits on a part's page."""

import html
import json

import pytest

from inspect_app.domain.ids import from_key
from inspect_app.domain.role import Role
from inspect_app.store.house_criteria import list_governing_choices, list_signed_values

TYPED = {
    "figure_0": "7.5", "unit": "percent", "op": "at_most", "edition": "2017", "clause": "Table 5", "on": "2026-01-05",
    "name": "Ann Roe", "credential": "Inspector 7",
}  # fmt: skip
CHOICE = {"source": "tm-5-3810-302-10", "name": "Ann Roe", "credential": "Inspector 7", "reason": "the maker's table"}


@pytest.fixture
def there(house):
    return f"/houses/{house.id}/criteria"


@pytest.fixture
def inspector(client, sign_in, csrf):
    sign_in(client, Role.INSPECTOR)

    def post(path, data):
        return client.post(path, data={**data, "csrf_token": csrf(client)}, follow_redirects=True)

    return post


def page(client, path) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return html.unescape(answer.get_data(as_text=True))


def test_every_rule_is_listed_with_clause_mark_and_whether_it_is_off(client, inspector, there) -> None:
    shown = page(client, f"{there}/")
    for words in (
        "outside when 6 or more", "29 CFR 1926.1413 (a)(2)(ii)(A)(1)", "text read, by analogy",
        "outside when it is seen",
        "from memory: confirm before relying on it", "Sign in from your own copy", "Choose what governs here",
    ):  # fmt: skip
        assert words in shown, words


def test_a_value_signed_in_on_the_page_judges_and_can_be_withdrawn(client, inspector, there, db, house) -> None:
    row = f"{there}/rows/iso4309-steel-core/"
    assert "type what stands there, not what is remembered here" in page(client, row)
    assert inspector(row, TYPED).status_code == 200
    assert "entered by Ann Roe, Inspector 7, 2026-01-05 from 2017" in page(client, f"{there}/")
    assert "outside when 7.5 % or less; Table 5" in page(client, row)
    assert inspector(f"{row}withdraw", {"reason": ""}).status_code == 422
    assert inspector(f"{row}withdraw", {"reason": "wrong edition"}).status_code == 200
    assert [one.withdrawn for one in list_signed_values(db, house.id)] == [False, True]
    assert "wrong edition" in page(client, row)
    assert "entered by Ann Roe" not in page(client, f"{there}/")


def test_what_was_typed_stays_when_a_figure_cannot_be(inspector, there, db, house) -> None:
    answer = inspector(f"{there}/rows/iso4309-steel-core/", TYPED | {"figure_0": "seven"})
    shown = html.unescape(answer.get_data(as_text=True))
    assert answer.status_code == 422
    assert "which is not a number" in shown
    assert 'value="Table 5"' in shown
    assert list_signed_values(db, house.id) == []


@pytest.mark.parametrize("path", ["rows/osha-slot-hole/", "rows/nothing/", "nothing/governing"])
def test_what_is_no_row_to_sign_or_no_criterion_is_not_found(client, inspector, there, path) -> None:
    assert client.get(f"{there}/{path}").status_code == 404


def test_a_less_strict_choice_asks_for_the_reason_and_is_shown_everywhere(client, inspector, there, db, house) -> None:
    path = f"{there}/rope-diameter/governing"
    answer = inspector(path, CHOICE | {"reason": ""})
    assert answer.status_code == 422
    assert "write the reason" in answer.get_data(as_text=True)
    assert list_governing_choices(db, house.id) == []
    assert inspector(path, CHOICE).status_code == 200
    assert "Governing here: US Army TM 5-3810-302-10 (chosen by Ann Roe, Inspector 7, " in page(client, f"{there}/")
    (part,) = db.execute("SELECT part FROM part_life LIMIT 1").fetchone()
    db.execute("UPDATE part SET kind = 'lift_line' WHERE id = ?", (part,))
    given = json.dumps({"rope_diameter_mm": "6.35", "rope_construction": "7x19"})
    db.execute("UPDATE part_life SET attributes = ? WHERE part = ?", (given, part))
    shown = page(client, f"/houses/{house.id}/parts/{from_key(part)}/")
    for words in (
        "Limits of this part", "outside when less than 0.2375 in", "governing here", "because the maker's table",
        "29 CFR 1926.1413", "take out of use and have a qualified person decide", "Not judged: the first measured rope",
    ):  # fmt: skip
        assert words in shown, words


def test_a_choice_that_is_no_longer_the_strictest_is_said_to_be_so(client, sign_in, csrf, there, db, house) -> None:
    (part,) = db.execute("SELECT part FROM part_life LIMIT 1").fetchone()
    db.execute("UPDATE part SET kind = 'lift_line' WHERE id = ?", (part,))

    def record(**rope):
        db.execute("UPDATE part_life SET attributes = ? WHERE part = ?", (json.dumps(rope), part))

    record(rope_diameter_mm="6.35", rope_baseline_mm="6.35")
    sign_in(client, Role.TD)
    path = f"{there}/rope-diameter/governing"
    data = {"source": "29cfr1926.1413", "csrf_token": csrf(client)}
    assert client.post(path, data=data).status_code == 303  # nothing is stricter: asked for no reason
    warning = "a qualified inspector has to choose anew"
    assert warning not in page(client, path)
    record(rope_diameter_mm="6.35", rope_baseline_mm="6.6")
    assert warning in page(client, path)
    assert "which it is not for this part: a qualified person has to choose anew" in page(
        client, f"/houses/{house.id}/parts/{from_key(part)}/"
    )


def test_a_technical_director_sees_the_rows_but_signs_none_and_a_helper_chooses_nothing(client, sign_in, there) -> None:
    sign_in(client, Role.TD)
    assert "A qualified inspector of the house can sign it in" in page(client, f"{there}/")
    assert client.get(f"{there}/rows/iso4309-steel-core/").status_code == 403
    sign_in(client, Role.HELPER)
    assert client.get(f"{there}/rope-diameter/governing").status_code == 403


def test_the_place_of_the_house_is_chosen_here(client, sign_in, csrf, there) -> None:
    sign_in(client, Role.TD)
    answer = client.post(f"{there}/place", data={"place": "GB", "csrf_token": csrf(client)}, follow_redirects=True)
    assert "Rules of: <strong>United Kingdom</strong>" in answer.get_data(as_text=True)
    assert client.post(f"{there}/place", data={"place": "Mars", "csrf_token": csrf(client)}).status_code == 422
