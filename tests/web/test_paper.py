"""Paper forms and labels from the pages: printing, refusals that keep what was typed, and where a code leads."""

from dataclasses import replace

import pytest

from inspect_app.domain.role import Role
from inspect_app.web import create_app
from tests.walk_builder import BuiltWalk


def base(house) -> str:
    return f"/houses/{house.id}"


def test_a_form_is_started_with_progress_and_a_form_of_nothing_is_refused_in_words(client, sign_in, house) -> None:
    sign_in(client, Role.HELPER)
    answer = client.get(f"{base(house)}/paper/print?checklist=grid-quarterly&sets=1")
    assert answer.status_code == 303
    assert "/printing/" in answer.headers["Location"]
    refused = client.get(f"{base(house)}/paper/print?checklist=grid-quarterly&sets=1,%2099&area=")
    assert refused.status_code == 422
    assert "“99” names no set" in refused.text
    assert 'value="1, 99"' in refused.text
    assert 'value="grid-quarterly" checked' in refused.text
    assert client.get(f"{base(house)}/paper/print").status_code == 422


def test_a_code_opens_its_place_at_the_desk_of_the_one_open_walk(client, sign_in, house, db, settings) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    sign_in(client, Role.TD)
    part = next(part for part in walk.record.inventory.parts if part.tag == "LB 2-1")
    query = {"checklist": walk.record.checklists[0].id, "stop": "loft-and-line", "state": "static"}
    answer = client.get(f"{base(house)}/paper/open", query_string={**query, "place": f"{part.line_set}/1"})
    assert answer.status_code == 303, answer.text
    page = client.get(answer.headers["Location"])
    assert "LB 2-1" in page.text
    gone = client.get(f"{base(house)}/paper/open", query_string={**query, "place": "nothing/9"})
    assert gone.status_code == 200
    assert "No open walk of this house has this place" in gone.text
    lost = client.get(f"{base(house)}/paper/open?stop=x")
    assert lost.status_code == 422
    assert "Scan the code on the sheet again" in lost.text


@pytest.mark.parametrize("page", ["paper", "labels"])
def test_who_prints_is_told_where_the_codes_lead_before_paper_is_wasted(
    client, sign_in, settings, house, page: str
) -> None:
    sign_in(client, Role.TD)
    assert "will lead to http://localhost, which no phone reaches" in client.get(f"{base(house)}/{page}").text
    known = create_app(replace(settings, trusted_hosts=("grid.example",))).test_client()
    session = client.get_cookie("inspect-session")
    known.set_cookie("inspect-session", session.value, domain="grid.example")
    told = known.get(f"{base(house)}/{page}", base_url="http://grid.example:8137").text
    assert "will lead to http://grid.example:8137." in told
    assert "no phone reaches" not in told


def test_labels_are_started_and_a_wrong_size_keeps_what_was_typed(client, sign_in, house) -> None:
    sign_in(client, Role.TD)
    answer = client.get(f"{base(house)}/labels/print?kind=loft_block&size=letter-2.6x1&used=0")
    assert answer.status_code == 303
    own = "kind=loft_block&size=own&unit=mm&paper=A4&width=63.5&height=38.1&across=4&down=7&left=7&top=15&used=0"
    refused = client.get(f"{base(house)}/labels/print?{own}")
    assert refused.status_code == 422
    assert "A4 ends at" in refused.text
    assert 'value="63.5"' in refused.text
    for wrong in ("width=wide", "width=nan", "down=-1", "used=999", "size=none", "kind=arbor2"):
        name = wrong.partition("=")[0]
        asked = "&".join(
            one for one in own.replace("across=4", "across=3").split("&") if not one.startswith(f"{name}=")
        )
        assert client.get(f"{base(house)}/labels/print?{asked}&{wrong}").status_code == 422, wrong
