"""The printed calculation sheet: everything of the answer on it, and nothing typed can break out of its place."""

import json
from dataclasses import replace

import pytest

from inspect_app.domain.worksheet import Answer, Outcome, Reference, Step, Table, Worksheet
from inspect_app.domain.worksheets.batten_load import SHEETS
from inspect_app.output.calculation_sheet import SheetFacts, sheet_data, sheet_html

FACTS = SheetFacts(
    "Old Mill", "Set 2", "2026-03-04T19:00:00+00:00", "2026-03-04 13:00 (UTC)", "Kit Poe", "A4", "metric"
)
HOSTILE = '<script>alert("x")</script> & ½ 漢'
SHEET = Worksheet("x", "Pull", "What pulls?", (), lambda values, reference: Answer(()), ("R = 2 T",))


@pytest.fixture
def html() -> str:
    answer = Answer(
        (
            Outcome(
                "Most", "3", "N", "outside the cited criterion", "Law 1 (text read)\nBook 2 (from memory)", "outside"
            ),
            Outcome("Factor", "withheld", words="an open stop", tone="withheld"),
        ),
        (Step("pull", "2 × 3", "6 N"),),
        (Table("Lines", ("Line", "N"), (("one", HOSTILE),), ("a note",)),),
        ("level lines",),
        ("weigh it",),
        ("Handbook 3 (from a secondary source)",),
    )
    return sheet_html(json.loads(sheet_data(SHEET, [("Load", HOSTILE, "3 N")], answer, FACTS)))


def test_the_sheet_carries_answer_working_sources_and_cautions(html: str) -> None:
    html = " ".join(html.split())
    for words in (
        "Old Mill", "Set 2", "2026-03-04 13:00 (UTC)", "Kit Poe", "R = 2 T", "2 × 3", "6 N", "Law 1 (text read)",
        "Book 2 (from memory)", "Handbook 3 (from a secondary source)", "level lines", "weigh it", "a note",
        "not a record of an inspection. It certifies nothing.", "qualified person", "an open stop",
    ):  # fmt: skip
        assert words in html, words


def test_a_list_keeps_its_rows_as_typed_beside_what_they_were_taken_as() -> None:
    given = [("Loads", "20 at 1\n30 at 2", "20 N at 1 m\n30 N at 2 m"), ("Places", "1, 2", "1 m\n2 m")]
    document = json.loads(sheet_data(SHEET, given, Answer(()), FACTS, ["Travel", "Lock"]))
    html = " ".join(sheet_html(document).split())
    assert '<th scope="row" rowspan="2">Loads</th><td>20 at 1</td><td>20 N at 1 m</td></tr>' in html
    assert "<tr><td>30 at 2</td><td>30 N at 2 m</td></tr>" in html
    assert '<td rowspan="2">1, 2</td><td>1 m</td></tr><tr><td>2 m</td></tr>' in html
    assert "Left empty: Travel; Lock." in html


def test_the_address_of_a_sheet_stays_an_address() -> None:
    facts = replace(FACTS, data="0123456789ab", again='https://log.example.org/x/?a="><script>1</script>')
    html = sheet_html(json.loads(sheet_data(SHEET, [], Answer(()), facts)))
    assert 'href="https://log.example.org/x/?a=&#34;&gt;&lt;script&gt;' in html
    assert "reference data 0123456789ab" in html
    assert ": https://log.example.org/x/<" in html  # what is read on paper stops before the figures
    assert "To work it out again" not in sheet_html(json.loads(sheet_data(SHEET, [], Answer(()), FACTS)))


def test_nothing_typed_becomes_markup(html: str) -> None:
    assert "<script" not in html
    assert "&lt;script&gt;" in html


def test_the_picture_of_a_batten_is_drawn_and_says_its_loads() -> None:
    from pathlib import Path

    from inspect_app.domain.worksheet_input import read_inputs
    from inspect_app.store.reference import reference_at

    loaded = reference_at(Path(__file__).parents[2] / "shared")
    typed = {
        "length": "10 m",
        "lines": "1 m, 9 m",
        "pipe": "1 1/2",
        "wrap": "90",
        "loads": f"{HOSTILE[:8]}: 50 kg at 4 m",
    }
    values, problems = read_inputs(SHEETS[0], typed, "metric")
    assert not problems
    answer = SHEETS[0].run(values, Reference(loaded.criteria, loaded.sources, loaded.figures, units="metric"))
    html = sheet_html(json.loads(sheet_data(SHEETS[0], [], answer, FACTS)))
    assert "<svg" in html
    assert 'style="' not in html
    assert "<script" not in html
