"""Reading criteria: the shipped tables, and what is said of mistakes."""

import copy
import math
from fractions import Fraction
from functools import cache
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.criteria import parse_criteria
from inspect_app.domain.judge import limits_for
from inspect_app.domain.source import Source
from inspect_app.store.reference import reference_at
from tests.published import published

CRITERIA = reference_at(shared_dir()).criteria
# DIN 15020 part 2: the 13 rows as printed, upper bound of the number of wires and the six columns.
DIN_ROWS = {
    50: (2, 4, 1, 2, 4, 8),
    75: (3, 6, 2, 3, 6, 12),
    100: (4, 8, 2, 4, 8, 16),
    120: (5, 10, 2, 5, 10, 19),
    140: (6, 11, 3, 6, 11, 22),
    160: (6, 13, 3, 6, 13, 26),
    180: (7, 14, 4, 7, 14, 29),
    200: (8, 16, 4, 8, 16, 32),
    220: (9, 18, 4, 9, 18, 35),
    240: (10, 19, 5, 10, 19, 38),
    260: (10, 21, 5, 10, 21, 42),
    280: (11, 22, 6, 11, 22, 45),
    300: (12, 24, 6, 12, 24, 48),
}
SHARES = (4, 8, 2, 4, 8, 16)  # hundredths
COLUMNS = ("regular_6d", "regular_30d", "lang_6d", "lang_30d", "higher_6d", "higher_30d")
SOURCES = {"doc": Source("doc", "A document", "DOC 1", "2020", "law", "read")}
RULE: dict[str, Any] = {
    "id": "r1", "op": "more_than", "limit": "5", "unit": "mm", "basis": "absolute", "window": "here", "source": "doc",
    "clause": "1", "applies_to": "all", "by_analogy": "false", "mark": "read",
}  # fmt: skip


def criteria_with(rule: dict[str, Any]) -> dict[str, Any]:
    criterion = {"title": "T", "quantity": "q", "consequence": "edge", "rules": [rule]}
    return {"criteria": {"c": copy.deepcopy(criterion)}}


def din_limit(column: str, wires: int, outer: str = "usual") -> int:
    lay, window = column.split("_")
    attributes = {
        "rope_wires_outer": str(wires), "rope_lay": lay, "rope_outer_wires": outer, "rotation_resistant": "no",
    }  # fmt: skip
    (value,) = [limit.value for limit in limits_for(CRITERIA[f"rope-broken-wires-{window}"], attributes)]
    assert value is not None
    return int(value)


@pytest.mark.parametrize("upper", DIN_ROWS)
@pytest.mark.parametrize("column", range(4))
def test_each_cell_is_as_printed_over_its_whole_range(upper: int, column: int) -> None:
    lower = max((bound for bound in DIN_ROWS if bound < upper), default=0) + 1
    assert {din_limit(COLUMNS[column], n) for n in (lower, upper)} == {DIN_ROWS[upper][column]}


@cache
def shipped_din_table() -> dict[int, dict[str, int]]:
    table = yaml.safe_load((shared_dir() / "criteria.yaml").read_bytes())["tables"]["din15020-broken-wires"]
    return {row["to"]: row for row in table["rows"] if "to" in row}


@published(
    "Broken wires", "DIN 15020 part 2", "table of broken wires", "read",
    names="upper, column, count",
    rows=[(upper, name, count) for upper, row in DIN_ROWS.items() for name, count in zip(COLUMNS, row, strict=True)],
    what="up to {upper} wires in the outer strands, {column}", value="{count}",
)  # fmt: skip
def test_the_shipped_table_has_the_printed_cells_in_every_column(upper: int, column: str, count: int) -> None:
    assert shipped_din_table()[upper][column] == count


def test_the_shipped_table_has_no_row_more_than_the_printed_one() -> None:
    assert list(shipped_din_table()) == list(DIN_ROWS)


@published(
    "Broken wires", "DIN 15020 part 2", "property of the printed table", "worked",
    names="upper", rows=[(upper,) for upper in DIN_ROWS],
    what="row up to {upper} wires", value="4, 8, 2, 4, 8, 16 % of {upper}, rounded half up",
)  # fmt: skip
def test_each_row_is_its_share_of_the_upper_bound_rounded_half_up(upper: int) -> None:
    held = shipped_din_table()[upper]
    assert tuple(held[column] for column in COLUMNS) == tuple((share * upper + 50) // 100 for share in SHARES)


@published(
    "Broken wires", "DIN 15020 part 2", "footnote 2: above 300 wires rounded up", "read",
    names="wires, column, count",
    rows=[(301, 0, 13), (301, 1, 25), (301, 2, 7), (301, 3, 13), (325, 0, 13), (326, 0, 14), (400, 0, 16), (400, 1, 32),
          (400, 2, 8), (400, 3, 16)],
    what="{wires} wires, column {column}", value="{count}",
)  # fmt: skip
def test_above_300_wires_the_share_is_rounded_up(wires: int, column: int, count: int) -> None:
    assert din_limit(COLUMNS[column], wires) == count


@pytest.mark.parametrize("wires", [301, 312, 325, 361, 400, 1000])
@pytest.mark.parametrize("column", range(4))
def test_above_300_wires_every_column_is_its_share_rounded_up(wires: int, column: int) -> None:
    assert din_limit(COLUMNS[column], wires) == math.ceil(Fraction(SHARES[column] * wires, 100))


@published(
    "Broken wires", "DIN 15020 part 2", "note: thick outer wires as 6x19 Seale, two rows further up", "read",
    names="wires, column, count",
    rows=[(40, 0, 2), (75, 1, 4), (100, 0, 2), (114, 0, 3), (114, 1, 6), (114, 2, 2), (114, 3, 3), (216, 0, 7),
          (216, 1, 14), (300, 0, 10), (301, 0, 11), (301, 3, 11)],
    what="{wires} wires in the outer strands, thick, column {column}", value="{count}",
)  # fmt: skip
def test_thick_outer_wires_are_read_two_rows_further_up(wires: int, column: int, count: int) -> None:
    assert din_limit(COLUMNS[column], wires, "thick") == count


@given(st.integers(1, 400), st.integers(0, 3))
def test_thick_outer_wires_never_allow_more_broken_wires(wires: int, column: int) -> None:
    assert din_limit(COLUMNS[column], wires, "thick") <= din_limit(COLUMNS[column], wires)


def test_din_judges_nothing_until_the_thickness_of_the_outer_wires_is_recorded() -> None:
    rope = {"rope_construction": "6x25FW", "rope_wires_outer": "114", "rope_lay": "regular", "rotation_resistant": "no"}
    limits = limits_for(CRITERIA["rope-broken-wires-6d"], rope)
    assert {limit.why_not for limit in limits} == {
        "not judged: the thickness of the outer wires (usual, or thick as in Seale ropes) is not recorded for this part"
    }
    seale = limits_for(CRITERIA["rope-broken-wires-6d"], rope | {"rope_construction": "6x19S"})
    assert [(limit.rule, limit.value) for limit in seale] == [("din15020-regular-6d-thick", 3)]


@published(
    "Broken wires", "FAA AC 43.13-1B", "paragraph 7-141", "read",
    names="construction, attribute, wires",
    rows=[
        ("7x19", "rope_wires_total", 133), ("7x19", "rope_wires_outer", 114), ("7x19", "rope_wires_per_strand", 19),
        ("7x7", "rope_wires_total", 49), ("7x7", "rope_wires_outer", 42), ("7x7", "rope_wires_per_strand", 7),
    ],
    what="{construction}, {attribute}", value="{wires}",
)  # fmt: skip
def test_what_follows_from_a_construction(construction: str, attribute: str, wires: int) -> None:
    constructions = CRITERIA["rope-broken-wires-lay"].derived["rope_construction"]
    assert int(constructions[construction][attribute]) == wires


def test_a_recorded_number_of_wires_wins_over_the_construction() -> None:
    limits = limits_for(CRITERIA["rope-broken-wires-lay"], {"rope_construction": "7x19", "rope_wires_total": "200"})
    assert [float(limit.value or 0) for limit in limits if limit.rule == "msha-total"] == [10.0]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"op": "above"}, "“above” is not allowed here. Allowed: more_than"),
        ({"unit": "stone"}, "“stone” is not allowed here. Allowed: mm"),
        ({"source": "nowhere"}, "“nowhere” is not a key of sources.yaml"),
        ({"clause": " "}, "clause is empty"),
        ({"mark": "hearsay"}, "“hearsay” is not allowed here. Allowed: read, secondary, memory"),
        ({"limit": "five"}, "“five” is not a number"),
        ({"limit": "NaN"}, "“NaN” is not a finite number"),
        ({"limit": {"of": "x"}}, "times is missing"),
        ({"limit": {"by": "x", "table": "none"}}, "there is no table “none”"),
        ({"limit": {"by": "x"}}, "a lookup needs rows"),
        ({"limit": {"by": "x", "rows": [{"at": "1", "value": "1"}], "rows_up": "two"}}, "rows_up is a number of rows"),
        ({"limit": {"sum": "x"}}, "base is missing"),
        ({"basis": "new"}, "“new” is not allowed here"),
        ({"colour": "red"}, "colour is not a key of this place"),
        ({"by_analogy": "perhaps"}, "“perhaps” is not allowed here"),
        ({"note": ["a", "b"]}, "note is text"),
        ({"mark": "memory"}, "a row from memory carries reviewed"),
        ({"mark": "memory", "reviewed": {"by": "", "credential": "", "on": ""}}, "stays active: false until reviewed"),
    ],
)
def test_a_mistake_in_a_rule_is_named_and_the_rule_left_out(change: dict[str, Any], said: str) -> None:
    criteria, problems = parse_criteria(criteria_with(RULE | change), SOURCES)
    assert criteria["c"].rules == ()
    assert any(said in problem.message for problem in problems), problems
    assert all(problem.path[:4] == ("criteria", "c", "rules", "0") for problem in problems)


def test_a_row_from_memory_may_be_switched_on_by_a_signature() -> None:
    signed = {"by": "A. Person", "credential": "rigging inspector", "on": "2026-01-31"}
    criteria, problems = parse_criteria(criteria_with(RULE | {"mark": "memory", "reviewed": signed}), SOURCES)
    assert problems == []
    assert criteria["c"].rules[0].active


def test_a_bad_rule_does_not_take_a_good_one_with_it() -> None:
    data = criteria_with(RULE)
    data["criteria"]["c"]["rules"].append(RULE | {"id": "r2", "op": "?"})
    data["criteria"]["d"] = "nothing"
    criteria, problems = parse_criteria(data, SOURCES)
    assert [rule.id for rule in criteria["c"].rules] == ["r1"]
    assert len(problems) == 2


def test_a_rule_id_used_twice_is_a_problem() -> None:
    data = criteria_with(RULE)
    data["criteria"]["d"] = copy.deepcopy(data["criteria"]["c"])
    _, problems = parse_criteria(data, SOURCES)
    assert ["r1 is used twice" in p.message for p in problems] == [True]


@pytest.mark.parametrize(("change", "ids"), [
    ({"same_rules_as": "c"}, ["r1"]), ({"same_rules_as": "nothing"}, []),
    ({"same_rules_as": "c", "rules": [RULE | {"id": "r2"}]}, ["r2"]),
])  # fmt: skip
def test_a_criterion_may_take_the_rules_of_one_further_up(change: dict[str, Any], ids: list[str]) -> None:
    data = criteria_with(RULE)
    data["criteria"]["d"] = {"title": "T", "quantity": "q", "consequence": "edge", "assumes": {"a": "b"}} | change
    criteria, problems = parse_criteria(data, SOURCES)
    assert [rule.id for rule in criteria["d"].rules] == ids
    assert criteria["d"].assumes == {"a": "b"}
    assert bool(problems) is (ids != ["r1"])


@pytest.mark.parametrize("data", [{}, {"criteria": "x"}, {"criteria": ["x"]}])
def test_a_file_without_criteria_is_a_problem_and_no_crash(data: dict[str, Any]) -> None:
    criteria, problems = parse_criteria(data, SOURCES)
    assert criteria == {}
    assert len(problems) == 1
