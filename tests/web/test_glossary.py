"""Pages of the glossary and the drawings, inside and outside a house."""

from collections.abc import Callable

import pytest
from flask.testing import FlaskClient

from inspect_app.domain.house import House
from inspect_app.domain.part import PartKind
from inspect_app.output.part_drawing import NOT_TO_SCALE, drawing_of


@pytest.fixture
def member(client: FlaskClient, sign_in: Callable[..., object], house: House) -> FlaskClient:
    sign_in(client)
    return client


def test_the_glossary_is_read_by_whoever_is_signed_in(client: FlaskClient, member: FlaskClient) -> None:
    page = member.get("/glossary").text
    assert "<dt>arbor" in page
    assert "UK: cradle" in page
    assert "Common practice, no source." in page
    assert 'href="/learn/arbor"' in page


def test_a_stranger_is_asked_to_sign_in_first(client: FlaskClient) -> None:
    assert client.get("/glossary").status_code in (302, 303)


def test_every_kind_has_its_page_with_letters_and_the_words_of_the_checklists(
    member: FlaskClient, house: House
) -> None:
    page = member.get(f"/houses/{house.id}/parts/kinds/termination_arbor").text
    assert NOT_TO_SCALE.replace("'", "&#39;") in page
    assert page.count('id="place-') == len(drawing_of(PartKind.TERMINATION_ARBOR).places)
    assert "Clips: saddle on the live part, all one way" in page
    assert "Good:" in page
    assert "Wrong:" in page
    assert "style=" not in page[page.index("<svg") : page.index("</svg>")]


def test_intervals_and_sources_stand_in_words_and_not_as_their_keys(member: FlaskClient, house: House) -> None:
    page = member.get("/learn/loft_block").text
    assert "Wire Rope Users Manual, table of" in page
    assert "wrtb-users-manual" not in page
    page = member.get(f"/houses/{house.id}/checklists/grid-quarterly").text
    assert "every 3 months" in page
    assert "P3M" not in page
    assert "wrtb-users-manual" not in page


@pytest.mark.parametrize("address", ["/learn/arbor-heavy", "/learn/LOFT_BLOCK"])
def test_an_unknown_kind_is_not_found(member: FlaskClient, address: str) -> None:
    assert member.get(address).status_code == 404


def test_the_page_of_a_part_leads_to_its_drawing(member: FlaskClient, house: House) -> None:
    page = member.get(f"/houses/{house.id}/learning").text
    assert all(f"/houses/{house.id}/parts/kinds/{kind.value}" in page for kind in PartKind)
