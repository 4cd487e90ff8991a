"""Every worksheet at once: whatever is typed gives an answer in finite figures or an error that names its input."""

import re
from fractions import Fraction
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.errors import DomainError
from inspect_app.domain.length import parse_length
from inspect_app.domain.set_load import typed_mm
from inspect_app.domain.worksheet import Answer, Ask, Input, Reference, Worksheet
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.all_worksheets import WORKSHEETS
from inspect_app.store.reference import reference_at, student_t_at

SHARED = Path(__file__).parents[3] / "shared"
ODD = (
    "", "0", "-0", "-1", "nan", "inf", "1e308", "1/0", "9" * 40, "0." + "0" * 50 + "1", "1,000", "1'000", "½", "１２",
    "٣", "12 in 12 mm", "\x00", "\u202e12", "<b>", "; ;", "12.5.1", "+5",
)  # fmt: skip
LENGTHS = ("0.24 in", "1/4 in", "6 mm", "4 1/2 in", "2 ft", "12'-6 1/2\"", "10 m", "0.001 mm", "999 m")
GOOD = {
    Ask.LENGTH: LENGTHS,
    Ask.LENGTHS: ("0 ft, 10 ft, 20 ft", "1 m; 1 m", "3 ft", "20 ft\n10 ft", "1 m\n2 m\n3 m\n4 m"),
    Ask.MASS: ("24 lb", "150 lb", "90000 kg", "0.002 kg"),
    Ask.FORCE: ("200 lbf", "1 kN", "999999 N", "0.002 N"),
    Ask.ANGLE: ("90", "0.5", "179.9", "180", "360"),
    Ask.COUNT: ("0", "1", "5", "12", "133", "9999"),
    Ask.NUMBER: ("1", "12.5", "1/40", "99999"),
    Ask.LINE_MASS: ("11", "0.16 kg/m", "9 kg/m"),
    Ask.TORQUE: ("15", "20 N·m", "4000"),
    Ask.LOADS: ("120 lb at 6 ft", "90 kg from 0 to 3 m\n5 lb at 0", "3 lb/ft from 0 to 10 ft", "1 lb at 900 m"),
    Ask.READINGS: (
        "2022-01-01 6.5 mm\n2023-01-01 6.4 mm\n2024-01-01 6.3 mm\n2025-01-01 6.2 mm",
        "2022-01-01 6.5\n2022-01-01 6.4",
        "0001-01-01 6 mm\n9999-12-31 5 mm\n2022-01-01 4 mm\n2023-01-01 3 mm",
        "2022-01-01 6 mm\n2023-01-01 6 mm\n2024-01-01 6 mm\n2025-01-01 6 mm",
    ),
    Ask.TEXT: ("a word",),
}  # fmt: skip


@cache
def reference(units: str) -> Reference:
    loaded = reference_at(SHARED)
    return Reference(
        loaded.criteria, loaded.sources, loaded.figures, loaded.risk, units, "US", student_t=student_t_at(SHARED)
    )


def good_for(one: Input) -> st.SearchStrategy[str]:
    good = tuple(value for value, _ in one.choices) if one.ask is Ask.CHOICE else GOOD[one.ask]
    return st.sampled_from((*good, one.default or good[0], "" if not one.required else good[0]))


@st.composite
def filled(draw: st.DrawFn, sheet: Worksheet) -> dict[str, str]:
    """A form filled with figures that can be read, though together they may make no sense, and at most two slips."""
    typed = {one.key: draw(good_for(one)) for one in sheet.inputs}
    slips = st.sampled_from(ODD) | st.text(max_size=12)
    for key in draw(st.sets(st.sampled_from(sorted(typed)), max_size=2)):
        typed[key] = draw(slips)
    return typed


def texts_of(answer: Answer) -> list[str]:
    found = [*answer.assumptions, *answer.cautions, *answer.all_citations()]
    for outcome in answer.outcomes:
        found += [outcome.label, outcome.value, outcome.words]
    for step in answer.steps:
        found += [step.words, step.formula, step.result]
    for table in answer.tables:
        found += [table.title, *table.headings, *table.notes, *(cell for row in table.rows for cell in row)]
    return found


NO_FIGURE = re.compile(r"\b(nan|inf|infinity|Fraction|Decimal)\b|\de[+-]\d\d|: None\b")
NEVER = re.compile(r"\bsafe\b|\bremaining\b", re.IGNORECASE)


def asked(sheet: Worksheet, typed: dict[str, str], units: str) -> Answer | dict[str, list[str]]:
    """The answer, or what is wrong by the key of the input; '' for a refusal that names none."""
    values, problems = read_inputs(sheet, typed, units)
    if problems:
        return problems
    try:
        return sheet.run(values, reference(units))
    except DomainError as error:
        return {error.field or "": [error.message]}


@pytest.mark.parametrize("key", WORKSHEETS)
@settings(max_examples=20)
@given(data=st.data(), units=st.sampled_from(["imperial", "metric"]))
def test_an_answer_has_finite_figures_and_a_refusal_names_its_input(key: str, data: st.DataObject, units: str) -> None:
    sheet = WORKSHEETS[key]
    found = asked(sheet, data.draw(filled(sheet)), units)
    if not isinstance(found, Answer):
        assert set(found) <= {one.key for one in sheet.inputs}, found
        assert all(message.endswith((".", "!")) for messages in found.values() for message in messages), found
        return
    assert found.outcomes or found.tables
    for text in texts_of(found):
        assert not NO_FIGURE.search(text), text
        assert not NEVER.search(text), text


NONSENSE = ("0", "-3", "nan", "inf", "1e400", "999999999999999999")


@pytest.mark.parametrize("key", WORKSHEETS)
def test_a_figure_that_cannot_be_gives_no_answer(key: str) -> None:
    """Every input in turn: not a number, infinite, below nothing, out of all measure; nothing where nothing can be."""
    sheet = WORKSHEETS[key]
    empty = dict.fromkeys((one.key for one in sheet.inputs), "")
    for one, text, units in product(sheet.inputs, NONSENSE, ("imperial", "metric")):
        if one.ask in (Ask.CHOICE, Ask.TEXT) or (text == "0" and one.zero):
            continue
        found = asked(sheet, empty | {one.key: text}, units)
        assert not isinstance(found, Answer), (one.key, text)
        assert one.key in found, (one.key, text)  # it, and not only what else is missing


UNITLESS = frozenset({Ask.CHOICE, Ask.COUNT, Ask.ANGLE, Ask.NUMBER, Ask.TEXT})


def with_unit(one: Input) -> st.SearchStrategy[str]:
    kept = good_for(one)
    return kept if one.ask in UNITLESS else kept.filter(lambda text: not text or bool(re.search(r"[a-z]\Z", text)))


@pytest.mark.parametrize("key", WORKSHEETS)
@settings(max_examples=15)
@given(data=st.data())
def test_the_units_of_the_house_change_no_verdict(key: str, data: st.DataObject) -> None:
    """What is typed with its unit means the same in a house that counts in feet and in one that counts in metres."""
    sheet = WORKSHEETS[key]
    typed = {one.key: data.draw(with_unit(one), one.key) for one in sheet.inputs}
    said = []
    for units in ("imperial", "metric"):
        found = asked(sheet, typed, units)
        verdicts = [(one.tone, one.citation) for one in found.outcomes] if isinstance(found, Answer) else sorted(found)
        said.append(verdicts)
    assert said[0] == said[1]


@given(st.integers(1, 10**7), st.sampled_from(["imperial", "metric"]))
def test_what_a_form_begins_with_is_read_back_as_it_was_recorded(ten_thousandths: int, units: str) -> None:
    mm = Fraction(ten_thousandths, 10**4)
    assert parse_length(typed_mm(mm, units), "ft") == mm
    assert typed_mm(Fraction("6.5532"), "imperial") == "0.258 in"  # as it was measured
