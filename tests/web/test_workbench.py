"""The workbench through its pages: published figures as shown, bad figures beside their fields, printed sheets."""

import io
import re
import time
from html import unescape
from urllib.parse import urlencode

import pypdf
import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.domain.worksheet import Ask
from inspect_app.domain.worksheets.all_worksheets import GROUPS, WORKSHEETS


def page(client: FlaskClient, house: House, sheet: str, **typed: str) -> tuple[int, str]:
    answer = client.get(f"/houses/{house.id}/workbench/{sheet}/?{urlencode(typed)}")
    return answer.status_code, " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())


@pytest.fixture
def bench(client: FlaskClient, house: House, sign_in) -> FlaskClient:
    sign_in(client)
    return client


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


@pytest.mark.published
def test_a_rope_5_percent_under_nominal_is_at_the_limit_of_29_cfr_1926_1413(bench: FlaskClient, house: House) -> None:
    """29 CFR 1926.1413(a)(2)(ii)(B): a reduction of more than 5 percent; 1/4 in less 5 % = 0.2375 in."""
    inside = page(bench, house, "rope-diameter", rope_diameter_mm="1/4 in", measured="0.2375 in")[1]
    outside = page(bench, house, "rope-diameter", rope_diameter_mm="1/4 in", measured="0.2374 in")[1]
    for text in (inside, outside):
        assert "outside when less than 0.2375 in" in text
        assert "29 CFR 1926.1413 (a)(2)(ii)(B) (from a secondary source" in text
    assert "take out of use" not in inside
    assert "outside the cited criterion: take out of use and have a qualified person decide" in outside


@pytest.mark.published
def test_six_broken_wires_in_a_lay_are_outside_29_cfr_1926_1413(bench: FlaskClient, house: House) -> None:
    """29 CFR 1926.1413(a)(2)(ii)(A)(1): six or more in one lay; 30 CFR 56.19024(a): more than 5 % of the wires."""
    typed = {"count_window": "one_lay", "rope_construction": "7x19", "rope_duty": "running"}
    at_five = page(bench, house, "broken-wires", lay="5", **typed)[1]
    at_six = page(bench, house, "broken-wires", lay="6", **typed)[1]
    assert "outside when 6 or more" in at_five
    assert "outside when more than 6.65" in at_five  # 133 wires, 5 percent
    assert "outside the cited criterion" not in at_five.split("29 CFR 1926.1413")[0]
    assert "outside the cited criterion: take out of use" in at_six


@pytest.mark.published
def test_a_half_inch_rope_wants_three_clips_and_11_and_a_half_inches(bench: FlaskClient, house: House) -> None:
    """California Code of Regulations, Title 8, section 8497, Table 1: 1/2 in, 3 clips, 11 1/2 in, 65 lb-ft."""
    text = page(
        bench, house, "clips", rope_diameter_mm="1/2 in", clips="2", turnback="11 1/2 in", torque="65", law="US-CA"
    )[1]
    assert "outside when less than 3" in text
    assert "outside when less than 11.5 in" in text
    assert "outside when less than 65 lbf·ft" in text
    assert "Title 8" in text


@pytest.mark.published
@pytest.mark.parametrize(
    ("rail", "tone"), [("39 in", "inside the cited criterion"), ("38.9 in", "keep people clear of it")]
)
def test_a_rail_below_39_inches_is_outside_29_cfr_1910_29(
    bench: FlaskClient, house: House, rail: str, tone: str
) -> None:
    """29 CFR 1910.29(b)(1): 42 in plus or minus 3 in."""
    text = page(bench, house, "guardrail", rail=rail, law="US")[1]
    assert "outside when less than 39 in" in text
    assert tone in text


@pytest.mark.published
def test_tread_ratio_18_is_the_critical_minimum_for_7x19(bench: FlaskClient, house: House) -> None:
    """Trade table of small cable (shared/sources.yaml): critical minimum 18 for 7x19; 4 1/2 in over 1/4 in is 18."""
    typed = {"rope_diameter_mm": "1/4 in", "rope_construction": "7x19"}
    assert "inside the cited criterion" in page(bench, house, "block-ratio", tread="4 1/2 in", **typed)[1]
    assert "outside the cited criterion" in page(bench, house, "block-ratio", tread="4 7/16 in", **typed)[1]


@pytest.mark.published
def test_cell_3e_of_mil_std_882e_is_medium(bench: FlaskClient, house: House) -> None:
    """MIL-STD-882E (2012), Table III: Marginal and Improbable is Medium; several copies get this cell wrong."""
    assert "Level Medium" in page(bench, house, "risk", severity="3", probability="E")[1]


@pytest.mark.published
def test_a_pound_force_is_4_448_newtons(bench: FlaskClient, house: House) -> None:
    """NIST Special Publication 811, Appendix B.8."""
    text = page(bench, house, "units", force="1 lbf", length="1 in", mass="1 lb")[1]
    assert "about 4.4482 N" in text
    assert "25.4 mm" in text
    assert "0.4536 kg" in text


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


NONSENSE = ("0", "-3", "nan", "inf", "1e400", "999999999999999999")


@pytest.mark.parametrize("key", WORKSHEETS)
def test_a_figure_that_cannot_be_gives_no_answer(bench: FlaskClient, house: House, key: str) -> None:
    """Every input in turn: not a number, infinite, below nothing, out of all measure; nothing where nothing can be."""
    for one in WORKSHEETS[key].inputs:
        if one.ask in (Ask.CHOICE, Ask.TEXT):
            continue
        for text in NONSENSE:
            if text == "0" and one.zero:
                continue
            answer = bench.get(f"/houses/{house.id}/workbench/{key}/?{urlencode({one.key: text})}")
            assert answer.status_code == 422
            assert 'id="answer"' not in answer.text


@pytest.mark.parametrize("role", list(Role))
def test_every_role_of_the_house_may_ask(client: FlaskClient, house: House, sign_in, role: Role) -> None:
    sign_in(client, role)
    assert page(client, house, "units", length="1 in")[0] == 200


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


def test_the_printed_sheet_says_who_what_and_from_where(client: FlaskClient, house: House, sign_in) -> None:
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
    ):
        assert words in text, words
    assert round(float(reader.pages[0].mediabox.width)) == 595
    sign_in(client, house=house)
    assert client.get(f"/houses/{house.id}/workbench-sheets/{person.id}").status_code == 404


def test_a_sheet_of_figures_that_do_not_work_goes_back_to_the_form(bench: FlaskClient, house: House) -> None:
    answer = bench.get(f"/houses/{house.id}/workbench/rope-diameter/sheet.pdf?measured=thin")
    assert answer.status_code == 303
    assert bench.get(answer.headers["Location"]).status_code == 422
