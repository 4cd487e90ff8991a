"""The search page and the stories: what is found leads to its place, and nothing of it leaves the house."""

from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.role import Role
from tests.walk_builder import BuiltWalk


@pytest.fixture
def built(db: Database, settings: Settings, house: House) -> BuiltWalk:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    return walk


def test_a_result_leads_to_the_entry_in_the_story_of_its_part(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, house: House
) -> None:
    entry = built.finding("LB 1-1", "watch", note="<b>Seil</b> zerfasert")
    sign_in(client, Role.HELPER)
    page = client.get(f"/houses/{house.id}/search?q=zerfa&kind=look").text
    assert "<mark>zerfasert</mark>" in page
    assert "&lt;b&gt;Seil" in page
    path = f"/houses/{house.id}/parts/{built.part('LB 1-1').id}/story?entry={entry}"
    assert f"{path}#e-{entry}" in page
    assert f'id="e-{entry}"' in client.get(path).text


@pytest.mark.parametrize(
    "query", ["", "q=", "q=%22(", "q=a&page=-3", "q=a&page=x", "q=a&kind=none&set=zz", "q=...&page=99999999999"]
)
def test_nothing_typed_into_the_address_is_an_error(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, house: House, query: str
) -> None:
    sign_in(client, Role.TD)
    assert client.get(f"/houses/{house.id}/search?{query}").status_code == 200


def test_a_replaced_entry_is_struck_and_leads_to_its_successor(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, house: House
) -> None:
    first = built.finding("LB 1-1", "watch", note="scored")
    second = built.finding("LB 1-1", "repair_by", note="scored deeply", replaces=[first])
    sign_in(client, Role.INSPECTOR)
    part = built.part("LB 1-1")
    for path in (f"parts/{part.id}/story", f"line-sets/{part.line_set}/story"):
        page = client.get(f"/houses/{house.id}/{path}").text
        struck = page[page.index(f'id="e-{first}"') - 40 :]
        assert "gone" in struck[:40]
        assert f"#e-{second}" in struck.partition("</ol>")[0]
    assert "gone" not in page[page.index(f'id="e-{second}"') - 40 : page.index(f'id="e-{second}"')]


def test_the_story_can_be_narrowed_and_odd_wishes_are_let_be(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, house: House
) -> None:
    built.finding("LB 1-1", "watch", note="scored")
    sign_in(client, Role.MANAGER)
    path = f"/houses/{house.id}/parts/{built.part('LB 1-1').id}/story"
    assert "scored" in client.get(f"{path}?kind=finding").text
    assert "Nothing" not in client.get(f"{path}?kind=finding").text
    assert "scored" not in client.get(f"{path}?year=1999").text.partition('id="story"')[2]
    assert client.get(f"{path}?kind=x&year=x&page=x&entry=x&older=x&newer=x").status_code == 200


def test_amounts_are_not_found_and_papers_of_repairs_only_by_members(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, house: House, monkeypatch: pytest.MonkeyPatch,
    web_builders: dict[str, Callable[..., str]],
) -> None:  # fmt: skip
    person = sign_in(client, Role.TD)
    found = web_builders["deficiency_id"](built.db, house, person)
    built.db.execute(
        "INSERT INTO deficiency_event(id, deficiency, from_state, to_state, by, role, at, note, proof) VALUES "
        "(randomblob(16), ?, 'found', 'found', ?, 'td', '2026-01-01T00:00:00+00:00', 'Estimated 1840 USD', "
        '\'{"cost": "x"}\')',
        (to_key(found), to_key(person.id)),
    )
    built.db.execute(
        "INSERT INTO attachment(id, house, deficiency, name, shows, note, mime, bytes, sha256, by, received_at) VALUES "
        "(randomblob(16), ?, ?, 'offer.pdf', 'paper', '', 'application/pdf', 1, x'00', ?, '2026-01-01T00:00:00+00:00')",
        (to_key(house.id), to_key(found), to_key(person.id)),
    )
    path = f"/houses/{house.id}/search"
    assert "Nothing that was written down" in client.get(f"{path}?q=1840").text
    assert "<mark>offer</mark>" in client.get(f"{path}?q=offer").text
    monkeypatch.setattr("inspect_app.web.search.costs_hidden", lambda: True)
    assert "Nothing that was written down" in client.get(f"{path}?q=offer").text
