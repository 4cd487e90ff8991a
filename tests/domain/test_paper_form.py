"""The paper form holds each place of the desk form once, in its order; sets are chosen as people write them."""

from datetime import UTC, datetime
from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.config import checklists_dir, settings_for
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.errors import BadValue
from inspect_app.domain.generator import generate
from inspect_app.domain.house import House, Inventory, LineSet, LineSetKind
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.ids import uuid7
from inspect_app.domain.paper_form import ROWS_ON_A_PAGE, choose_sets, letter_of, paper_form
from inspect_app.domain.second_look import SecondLook, Wanted
from inspect_app.domain.walk import Scope
from inspect_app.domain.walk_order import STATE_WORDS, find_place, stretches
from inspect_app.store.checklist import load_checklists

ALL = Scope(())


@pytest.fixture(scope="module")
def checklists() -> dict[str, Checklist]:
    return load_checklists(settings_for(checklists_dir() / "no data folder"))[0]


@pytest.fixture(scope="module")
def inventory() -> Inventory:
    number = count(1)
    given = Answers(
        sets=40, spacing_mm=200, first_mm=300, lines=5, well_x_mm=(-6000, -3000, 0, 3000, 6000), grid_mm=18000,
        bridge_mm=14000,
    )  # fmt: skip
    return generate(House(uuid7(1, 1), "Old Mill Playhouse"), given, lambda: uuid7(1_700_000_000_000 + next(number), 7))


@pytest.mark.parametrize("name", ["grid-quarterly", "annual-hands-on", "rail-deck-monthly"])
def test_the_form_has_each_place_of_the_desk_form_once_in_its_order(checklists, inventory, name: str) -> None:
    desk = stretches([checklists[name]], inventory, ALL)
    form, tags = paper_form([checklists[name]], inventory, ALL), {part.id: part.tag for part in inventory.parts}
    assert len(form) == len(desk)
    for on_paper, typed in zip(form, desk, strict=True):
        rows = [row for page in on_paper.pages for row in page.rows]
        assert [row.n for row in rows] == list(range(1, len(typed.rows) + 1))
        for row, (_, place) in zip(rows, typed.rows, strict=True):
            named = ", ".join(tags[key] for key in place.part_ids)
            assert row.tags == named or (row.tags == "" and row.label.split(": ")[-1] == named), row
        assert all(len(page.rows) <= ROWS_ON_A_PAGE for page in on_paper.pages)


def test_each_sheet_names_the_place_where_typing_goes_on(checklists, inventory) -> None:
    lists = [checklists["grid-quarterly"], checklists["rail-deck-monthly"]]
    desk = stretches(lists, inventory, ALL)
    for n, one in enumerate(paper_form(lists, inventory, ALL)):
        for page in one.pages:
            assert find_place(desk, page.place) == (n, page.rows[0].n - 1)


def test_a_second_look_is_named_at_its_place_in_its_pass_alone(checklists, inventory) -> None:
    block = next(part for part in inventory.parts if part.tag == "LB 7-2")
    point = next(p for p in checklists["grid-quarterly"].points() if block.kind in p.parts)
    here = f"{point.vantage.value}/{point.state.value}"
    seconds = [
        SecondLook("s", "w", "e", block.id, in_pass, points, ("p",), datetime(2026, 3, 4, tzinfo=UTC))
        for in_pass, points in ((here, (point.id,)), (here, ("a-point-of-another-list",)), ("deck/heard", (point.id,)))
    ]
    waits = [Wanted(one, block.tag, block.kind, block.line_set, "7", "Grid", "Robin Amsel") for one in seconds]

    def said(second_looks: list[Wanted]) -> list[tuple[str, str, str]]:
        form = paper_form([checklists["grid-quarterly"]], inventory, ALL, second_looks)
        rows = [(one, row) for one in form for page in one.pages for row in page.rows]
        return [(f"{one.vantage}/{one.state}", row.tags, row.second) for one, row in rows if row.second]

    ((place, tags, words),) = said(waits[:1])
    assert place == f"{point.vantage.value}/{STATE_WORDS[point.state]}"
    assert "LB 7-2" in tags
    assert words == "LB 7-2, not by Robin Amsel"
    assert said(waits[1:]) == []


def test_a_place_keeps_its_name_when_the_house_grows_and_is_told_missing_when_it_is_gone(checklists, inventory) -> None:
    lists = [checklists["grid-quarterly"]]
    last = paper_form(lists, inventory, ALL)[-1].pages[-1].place
    block = next(page.place for one in paper_form(lists, inventory, ALL) for page in one.pages if "/" in page.place.row)
    fewer = Scope((), frozenset(one.id for one in inventory.line_sets if one.id != block.row.split("/")[0]))
    assert find_place(stretches(lists, inventory, fewer), block) is None
    assert find_place(stretches([checklists["annual-hands-on"], *lists], inventory, ALL), last) is not None


def test_a_well_begins_a_sheet_and_short_sets_share_one(checklists, inventory) -> None:
    form = {one.stop: one for one in paper_form([checklists["grid-quarterly"]], inventory, ALL)}
    wells = [page.title for page in form["Loft block and its line"].pages]
    assert len(wells) == 5 * -(-40 // ROWS_ON_A_PAGE)
    assert len({title.partition(",")[0] for title in wells}) == 5
    assert len(form["Head block, hand line and guide ends"].pages) == -(-40 // ROWS_ON_A_PAGE)


def test_points_are_lettered_without_a_gap_and_ask_for_figures_with_units(checklists, inventory) -> None:
    form = paper_form([checklists["annual-hands-on"]], inventory, ALL)
    for one in form:
        assert [point.letter for point in one.points] == [letter_of(n) for n in range(len(one.points))]
    figures = [
        point.figures for one in paper_form([checklists["annual-hands-on"]], inventory, ALL) for point in one.points
    ]
    assert any(" in " in text and "with" in text for text in figures)


def test_an_empty_scope_and_a_form_beyond_measure_are_refused_in_words(checklists, inventory) -> None:
    with pytest.raises(BadValue, match="Nothing in this scope"):
        paper_form([checklists["motorised-set"]], inventory, Scope((), frozenset(), frozenset()))
    with pytest.raises(BadValue, match="at most"):
        paper_form(list(checklists.values()) * 2, inventory, ALL)


def line_sets(*numbers: str) -> list[LineSet]:
    return [LineSet(number, "h", number, at, LineSetKind.SINGLE, at) for at, number in enumerate(numbers)]


@pytest.mark.parametrize(
    ("text", "chosen"),
    [
        ("", None),
        (" , ;", None),
        ("1", {"1"}),
        ("2-12A; lx-1", {"2", "12", "12A", "LX-1"}),
        ("12 – 14", {"12", "12A", "14"}),
        ("LX-1-LX-2", {"LX-1", "LX-2"}),
    ],
)
def test_sets_are_chosen_by_number_and_run_in_the_order_of_the_house(text: str, chosen: set[str] | None) -> None:
    assert choose_sets(text, line_sets("1", "2", "12", "12A", "14", "LX-1", "LX-2")) == chosen


@pytest.mark.parametrize("text", ["13", "14-12", "1-99", "1--2", "drop table"])
def test_what_is_no_set_is_named(text: str) -> None:
    with pytest.raises(BadValue) as caught:
        choose_sets(text, line_sets("1", "2", "12", "14"))
    assert text in caught.value.message
    assert caught.value.field == "sets"


@given(st.text(max_size=40))
@settings(max_examples=60)
def test_whatever_is_typed_is_chosen_or_refused(text: str) -> None:
    known = line_sets("1", "2", "12A")
    try:
        chosen = choose_sets(text, known)
    except BadValue:
        return
    assert chosen is None or chosen <= {one.id for one in known}
