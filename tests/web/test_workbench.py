"""The workbench through its pages: bad figures beside their fields, who may ask, ways from a part, printed sheets."""

import io
import re
import time
from urllib.parse import urlencode, urlsplit

import pypdf
import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlite_utils import Database

from inspect_app import __version__, clock
from inspect_app.actions.guest_link import make_guest_link
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role
from inspect_app.domain.worksheet import Ask
from inspect_app.domain.worksheets.all_worksheets import ABOUT, GROUPS, WORKSHEETS, sheets_about
from inspect_app.store.part import find_part_by_tag
from inspect_app.store.reference import reference_digest
from tests.conftest import token_in
from tests.workbench_page import page


def test_the_shelf_names_every_calculation_and_what_it_answers(bench: FlaskClient, house: House) -> None:
    text = bench.get(f"/houses/{house.id}/workbench/").text
    assert len(WORKSHEETS) == sum(len(sheets) for _, sheets in GROUPS)
    for sheet in WORKSHEETS.values():
        assert f"/workbench/{sheet.key}/" in text
        assert sheet.about.endswith("?")
    assert "not a record of an inspection" in text


@pytest.mark.parametrize("key", WORKSHEETS)
def test_each_page_opens_empty_with_its_formula_and_asks_again_for_nothing(
    bench: FlaskClient, house: House, key: str
) -> None:
    status, text = page(bench, house, key)
    assert status == 200
    assert WORKSHEETS[key].formula[0] in text
    status, _ = page(bench, house, key, **{one.key: "" for one in WORKSHEETS[key].inputs})
    assert status == 422


def test_bad_figures_come_back_with_their_fields_and_lose_nothing(bench: FlaskClient, house: House) -> None:
    answer = bench.get(
        f"/houses/{house.id}/workbench/rope-diameter/?"
        + urlencode({"rope_diameter_mm": "-1/4 in", "measured": "thin", "rope_baseline_mm": "0.25 in"})
    )
    assert answer.status_code == 422
    assert 'value="-1/4 in"' in answer.text
    assert 'value="thin"' in answer.text
    assert 'value="0.25 in"' in answer.text
    assert answer.text.count('aria-invalid="true"') == 2
    assert 'id="answer"' not in answer.text


def test_a_form_leads_to_its_answer_or_to_what_is_wrong_without_scripts(bench: FlaskClient, house: House) -> None:
    """The address ends in #result, which is the one or the other: on a phone both are below the first screen."""
    for length in ("1 in", "long"):
        text = bench.get(f"/houses/{house.id}/workbench/units/?{urlencode({'length': length})}").text
        assert '/workbench/units/#result"' in text
        assert text.count('id="result"') == 1
        said = text[text.index('id="result"') :]
        assert said.index('role="alert"' if length == "long" else 'id="answer"') < 200


ODD = st.sampled_from(
    ["0", "-1", "nan", "inf", "-inf", "1e400", "1/0", "9" * 40, "\x00", "½", "1,000", "🙂", "<script>", "0 mm", "∞"]
) | st.text(max_size=30)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data(), key=st.sampled_from(list(WORKSHEETS)))
def test_no_figure_breaks_a_page(bench: FlaskClient, house: House, data: st.DataObject, key: str) -> None:
    sheet = WORKSHEETS[key]
    typed = {one.key: data.draw(ODD, one.key) for one in sheet.inputs}
    answer = bench.get(f"/houses/{house.id}/workbench/{key}/?{urlencode(typed)}")
    assert answer.status_code in (200, 400, 422)


FIGURES = {
    key: [one.key for one in sheet.inputs if one.ask not in (Ask.CHOICE, Ask.TEXT)] for key, sheet in WORKSHEETS.items()
}


@pytest.mark.parametrize("key", [key for key, asked in FIGURES.items() if asked])
def test_each_figure_that_cannot_be_is_named_beside_its_field(bench: FlaskClient, house: House, key: str) -> None:
    answer = bench.get(f"/houses/{house.id}/workbench/{key}/?{urlencode(dict.fromkeys(FIGURES[key], '-3'))}")
    assert answer.status_code == 422
    assert set(FIGURES[key]) <= set(re.findall(r'id="(\w+)-error"', answer.text))
    assert 'id="answer"' not in answer.text


@pytest.mark.parametrize(
    ("key", "text"), [("rope_diameter_mm", "30 ft"), ("rope_diameter_mm", "0.01 in"), ("resolution", "100 in")]
)
def test_a_size_that_no_rope_and_no_gauge_has_gives_no_answer(
    bench: FlaskClient, house: House, key: str, text: str
) -> None:
    """A slip of the decimal point or of the unit, on every worksheet that asks for it."""
    asking = [sheet for sheet in WORKSHEETS.values() if any(one.key == key for one in sheet.inputs)]
    assert asking
    for sheet in asking:
        answer = bench.get(f"/houses/{house.id}/workbench/{sheet.key}/?{urlencode({key: text})}")
        assert answer.status_code == 422
        assert "than can be meant here" in answer.text
        assert f'id="{key}-error"' in answer.text


def test_an_address_that_gives_a_figure_twice_is_asked_which_is_meant(bench: FlaskClient, house: House) -> None:
    answer = bench.get(f"/houses/{house.id}/workbench/units/?length=1+in&length=2+in")
    assert answer.status_code == 422
    assert "more than once: 1 in, 2 in" in answer.text
    assert bench.get(f"/houses/{house.id}/workbench/units/?length=1+in&length=1+in").status_code == 200
    assert bench.get(f"/houses/{house.id}/workbench/units/sheet.pdf?length=1+in&length=2+in").status_code == 303


def test_a_text_too_long_comes_back_whole(bench: FlaskClient, house: House) -> None:
    long = "Border: 1 lb at 1 ft\n" * 400
    answer = bench.get(f"/houses/{house.id}/workbench/batten-load/?{urlencode({'loads': long})}")
    assert answer.status_code == 422
    assert answer.text.count("Border: 1 lb at 1 ft") == 400
    assert "at most 4000 characters" in answer.text


def test_a_guest_works_things_out_and_is_offered_no_paper(app: Flask, db: Database, house: House, sign_in) -> None:
    td, guest = sign_in(app.test_client()), app.test_client()
    given = {"guest": "Odo Brandt", "purpose": "annual inspection", "days": 30, "with_costs": False}
    _, secret = make_guest_link(db, at=clock.now(), actor=td.id, house=house.id, **given)
    door = guest.get(f"/guest/{secret}")
    assert guest.post(f"/guest/{secret}", data={"csrf_token": token_in(door.text)}).status_code == 303
    status, text = page(guest, house, "units", length="1 in")
    assert status == 200
    assert "25.4 mm" in text
    assert "Print a calculation sheet" not in text
    assert guest.get(f"/houses/{house.id}/workbench/units/sheet.pdf?length=1+in").status_code == 404


@pytest.mark.parametrize("role", list(Role))
def test_every_role_of_the_house_may_ask(client: FlaskClient, house: House, sign_in, role: Role) -> None:
    sign_in(client, role)
    assert page(client, house, "units", length="1 in")[0] == 200


def test_a_part_leads_to_its_calculations_begun_with_its_record(bench: FlaskClient, house: House, db: Database) -> None:
    block = find_part_by_tag(db, house.id, "LB 1-2")
    assert block is not None
    attributes = '{"rope_diameter_mm": "6.35", "rope_construction": "7x19", "tread_diameter_mm": "about 110"}'
    db.execute("UPDATE part_life SET attributes = ? WHERE part = ?", (attributes, to_key(block.id)))
    db.conn.commit()
    address = f"/houses/{house.id}/workbench/block-ratio/?part={block.id}"
    assert address in bench.get(f"/houses/{house.id}/parts/{block.id}/").text
    begun = bench.get(address)
    assert begun.status_code == 200
    assert 'value="1/4&#34;"' in begun.text
    assert '<option selected value="7x19">' in begun.text
    assert re.search(r'name="tread"[^>]*value=""', begun.text)  # what cannot be read begins nothing
    asked = bench.get(f"{address}&rope_diameter_mm=1/4+in&tread=5+in")
    assert f'name="part" value="{block.id}"' in asked.text
    assert 'id="answer"' in asked.text


def test_a_part_of_another_house_is_not_there(bench: FlaskClient, house: House) -> None:
    for part in ("01890000-0000-7000-8000-000000000000", "no-such-part"):
        assert bench.get(f"/houses/{house.id}/workbench/rope-diameter/?part={part}").status_code == 404
        assert bench.get(f"/houses/{house.id}/workbench/units/sheet.pdf?length=1&part={part}").status_code == 404


def test_every_calculation_about_a_kind_of_part_is_on_the_shelf() -> None:
    for kind, keys in ABOUT.items():
        assert [sheet.key for sheet in sheets_about(kind)] == list(keys)
    assert sheets_about(PartKind.SIGN) == ()


def test_ropes_of_fibre_are_asked_nothing_about_wires_and_hangers_may_be_wire_rope() -> None:
    wires = {"broken-wires", "outer-wire-wear", "rope-lay"}
    assert not wires & set(ABOUT[PartKind.ROPE_SET])
    assert wires <= set(ABOUT[PartKind.HANGER])


def test_another_house_and_an_unknown_calculation_are_not_there(
    client: FlaskClient, house: House, other_house: House, sign_in
) -> None:
    sign_in(client, house=house)
    assert page(client, other_house, "units", length="1 in")[0] == 404
    assert page(client, house, "no-such-sheet")[0] == 404


def printed(client: FlaskClient, address: str) -> bytes:
    """Follow a sheet from its button to its PDF."""
    answer = client.get(address)
    assert answer.status_code == 303, answer.text
    progress = answer.headers["Location"]
    for _ in range(600):
        found = client.get(f"{progress}.pdf")
        if found.status_code == 200:
            return bytes(found.data)
        assert "was not made" not in client.get(progress).text
        time.sleep(0.1)
    raise AssertionError("the sheet was never ready")


def test_the_printed_sheet_says_who_what_and_from_where(
    client: FlaskClient, house: House, settings: Settings, sign_in
) -> None:
    person = sign_in(client)
    typed = urlencode({"rope_diameter_mm": "1/4 in", "measured": "0.23", "paper": "A4"})
    content = printed(client, f"/houses/{house.id}/workbench/rope-diameter/sheet.pdf?{typed}")
    reader = pypdf.PdfReader(io.BytesIO(content))
    text = " ".join(" ".join(sheet.extract_text() for sheet in reader.pages).split())
    for words in (
        house.name,
        person.name,
        "not a record of an inspection. It certifies nothing.",
        "29 CFR 1926.1413 (a)(2)(ii)(B) (from a secondary source",
        "outside the cited criterion: take out of use and have a qualified person decide",
        "measured diameter / nominal diameter",
        "92 %",
        f"Page 1 of {len(reader.pages)}",
        f"inspect-app {__version__}, reference data {reference_digest(settings.shared)}",
        "Measured diameter 0.23 0.23 in (5.842 mm)",  # asked, as typed, taken as
        "Left empty: ",
    ):
        assert words in text, words
    assert round(float(reader.pages[0].mediabox.width)) == 595
    (again,) = {note["/A"]["/URI"] for sheet in reader.pages for note in sheet.get("/Annots", []) if "/A" in note}
    same = client.get(urlsplit(again)._replace(scheme="", netloc="").geturl())  # as whoever got it by mail opens it
    assert 'id="answer"' in same.text
    assert 'value="0.23"' in same.text
    sign_in(client, house=house)
    assert client.get(f"/houses/{house.id}/printing/{person.id}").status_code == 404


def test_a_sheet_of_figures_that_do_not_work_goes_back_to_the_form(bench: FlaskClient, house: House) -> None:
    answer = bench.get(f"/houses/{house.id}/workbench/rope-diameter/sheet.pdf?measured=thin")
    assert answer.status_code == 303
    assert bench.get(answer.headers["Location"]).status_code == 422


def test_a_design_factor_is_asked_of_no_part(bench: FlaskClient, house: House, db: Database) -> None:
    """A part may be stopped, which withholds the factor: only the page of its set knows."""
    block = find_part_by_tag(db, house.id, "LB 1-2")
    assert block is not None
    typed = urlencode({"tension": "700 lbf", "rope_diameter_mm": "1/4 in", "part": block.id})
    for address in ("design-factor/", "design-factor/sheet.pdf", "batten-load/"):
        assert bench.get(f"/houses/{house.id}/workbench/{address}?{typed}").status_code == 404
    for keys in ABOUT.values():
        assert not {"design-factor", "batten-load"} & set(keys)
