"""Every number that is shipped says where it comes from, and every key that is used exists."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from inspect_app.config import checklists_dir, shared_dir
from inspect_app.domain.report_words import cited
from inspect_app.domain.source_tree import Listing, Node, Table, Text
from inspect_app.store.reference import reference_at
from inspect_app.store.yaml_tree import read_yaml

NO_SOURCE = "common practice, no source"
FROM_MEMORY = "from memory"
SAYS_SO = re.compile(rf"{NO_SOURCE}|{FROM_MEMORY}")
DIGIT = re.compile(r"\d")
SHARED = sorted(shared_dir().glob("*.yaml"))
CHECKLISTS = sorted(checklists_dir().rglob("*.yaml"))
REFERENCE = reference_at(shared_dir())
# Numbers that name or order something instead of stating a fact of the world.
NOT_FACTS = {"schema", "id", "interval", "coverage"}


def plain(node: Node) -> Any:
    if isinstance(node, Table):
        return {key: plain(value) for key, (_, value) in node.items.items()}
    return [plain(item) for item in node.items] if isinstance(node, Listing) else node.value


def tree(path: Path) -> Node:
    node, problems = read_yaml(path.read_bytes(), str(path))
    assert node is not None, problems
    return node


def text_of(node: Table, key: str) -> str:
    value = node.items[key][1] if key in node.items else None
    return value.value.strip() if isinstance(value, Text) else ""


def is_sourced(node: Table) -> bool:
    """A mapping that answers for the numbers in it: source and clause, or one of the two plain admissions."""
    basis = node.items["basis"][1] if "basis" in node.items else None
    if isinstance(basis, Table):
        return is_sourced(basis)
    if isinstance(basis, Text) and basis.value in {NO_SOURCE, FROM_MEMORY}:
        return True
    return text_of(node, "source") in REFERENCE.sources and bool(text_of(node, "clause"))


def unsourced(node: Node, path: str = "", sourced: bool = False) -> Iterator[str]:
    """Each text with a digit that no mapping around it answers for, as `line: key = text`."""
    if isinstance(node, Table):
        sourced = sourced or is_sourced(node)
        for key, (_, value) in node.items.items():
            if key not in NOT_FACTS:
                yield from unsourced(value, key, sourced)
    elif isinstance(node, Listing):
        for item in node.items:
            yield from unsourced(item, path, sourced)
    elif not sourced and DIGIT.search(node.value) and not SAYS_SO.search(node.value):
        yield f"{node.line}: {path} = {node.value}"


def points(data: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield from data.get("points", [])
    for section in data.get("sections", []):
        yield from (p for p in section.get("points", []) if isinstance(p, dict))


def test_there_is_something_to_check() -> None:
    assert {path.name for path in SHARED} >= {"criteria.yaml", "sources.yaml", "trade.yaml"}
    assert CHECKLISTS


@pytest.mark.parametrize("path", [p for p in SHARED if p.name != "sources.yaml"], ids=lambda p: p.name)
def test_every_number_in_shared_has_a_source_with_clause_or_says_that_it_has_none(path: Path) -> None:
    table = tree(path)
    assert isinstance(table, Table)
    assert list(unsourced(table)) == []


def test_every_source_says_how_it_was_read_and_by_what_authority() -> None:
    assert REFERENCE.problems == ()
    for source in REFERENCE.sources.values():
        assert source.title
        assert source.document
        assert source.edition


def test_a_row_is_never_marked_better_read_than_its_document() -> None:
    order = ["read", "secondary", "memory"]
    rules = [rule for criterion in REFERENCE.criteria.values() for rule in criterion.rules]
    published = [rule for rule in rules if rule.mark != "recorded"]
    assert [rule.id for rule in published if order.index(rule.mark) < order.index(rule.source.how_read)] == []


def test_only_a_figure_that_the_house_records_itself_is_marked_recorded() -> None:
    rules = [rule for criterion in REFERENCE.criteria.values() for rule in criterion.rules]
    assert {rule.source.key for rule in rules if rule.mark == "recorded"} == {"own-plate"}
    assert {rule.mark for rule in rules if rule.source.how_read == "recorded"} == {"recorded"}


def test_every_rule_names_its_clause_and_rows_from_memory_are_off() -> None:
    for criterion in REFERENCE.criteria.values():
        for rule in criterion.rules:
            assert rule.clause, rule.id
            assert rule.mark != "memory" or not rule.active, rule.id


def test_every_condition_of_a_rule_has_words_for_when_it_is_missing() -> None:
    for criterion in REFERENCE.criteria.values():
        for rule in criterion.rules:
            assert set(rule.when) <= set(criterion.attribute_titles), rule.id


@pytest.mark.parametrize("path", CHECKLISTS, ids=lambda p: p.name)
def test_every_number_in_a_checklist_has_a_source_or_says_that_it_has_none(path: Path) -> None:
    table = tree(path)
    assert isinstance(table, Table)
    body = Table({k: v for k, v in table.items.items() if k not in {"wear", "reviewed"}}, table.line, table.column)
    wear = table.items["wear"][1] if "wear" in table.items else Listing((), 0, 0)
    assert list(unsourced(body)) + list(unsourced(wear)) == []


@pytest.mark.parametrize("path", CHECKLISTS, ids=lambda p: p.name)
def test_every_basis_of_a_point_is_one_of_the_allowed_forms(path: Path) -> None:
    data = plain(tree(path))
    bases = [(point.get("id"), point.get("basis")) for point in points(data)]
    bases += [(data["id"], data.get("basis"))] if "id" in data else []
    for name, basis in bases:
        if isinstance(basis, dict):
            assert set(basis) in ({"source", "clause"}, {"source", "clause", "mark"}), name
            assert basis["source"] in REFERENCE.sources, f"{name}: {basis['source']}"
            assert basis["clause"].strip(), name
            assert basis.get("mark", FROM_MEMORY) == FROM_MEMORY, name
        else:
            assert basis == NO_SOURCE, f"{name}: {basis}"


@pytest.mark.parametrize("path", CHECKLISTS, ids=lambda p: p.name)
def test_every_criterion_of_a_measure_exists_and_can_judge_one_of_its_units(path: Path) -> None:
    from inspect_app.domain.units import UNITS

    for point in points(plain(tree(path))):
        for measure in point.get("measures", []):
            key = measure.get("criterion")
            if key is None:
                continue
            assert key in REFERENCE.criteria, f"{point['id']}: {key}"
            rules = REFERENCE.criteria[key].rules
            given = {UNITS[unit].dimension for unit in measure["units"]}
            for rule in rules[:1]:
                fits = {UNITS[rule.unit].dimension} | ({"mass", "force"} if rule.weight else set())
                assert given & fits, f"{point['id']}: {key} cannot judge {measure['units']}"


def test_a_source_that_a_document_is_memory_of_is_said_so_in_the_point() -> None:
    for path in CHECKLISTS:
        for point in points(plain(tree(path))):
            basis = point.get("basis")
            if isinstance(basis, dict) and REFERENCE.sources[basis["source"]].how_read == "memory":
                assert basis.get("mark") == FROM_MEMORY, f"{path.name}: {point['id']}"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("a: 5", 1),
        ("a: {source: din15020-2, clause: table, x: 5}", 0),
        ("a: {source: din15020-2, clause: '', x: 5}", 2),
        ("a: {source: nobody, clause: 1.2, x: 5}", 2),
        ("a: {basis: 'common practice, no source', rows: [{x: 5}]}", 0),
        ("a: {basis: hearsay, x: 5}", 1),
        ("wear: {3: worn by 2 mm}", 1),
        ("wear: {3: 'worn by 2 mm (from memory)'}", 0),
        ("schema: 1", 0),
    ],
)
def test_the_check_itself_finds_what_it_is_for(text: str, found: int) -> None:
    node, _ = read_yaml(text.encode(), "x")
    assert node is not None
    assert len(list(unsourced(node))) == found


def test_every_defect_of_a_condition_is_an_answer_of_a_shipped_point() -> None:
    known = {
        f"{point['id']}/{defect['id']}"
        for path in CHECKLISTS
        for point in points(plain(tree(path)))
        for defect in point.get("defects", [])
    }
    for criterion in REFERENCE.criteria.values():
        assert criterion.is_condition == bool(criterion.defects), criterion.key
        assert set(criterion.defects) <= known, criterion.key


def test_every_point_is_cited_by_the_name_of_its_document_and_not_by_a_key() -> None:
    bases = {
        basis["source"]
        for path in CHECKLISTS
        for point in points(plain(tree(path)))
        if isinstance(basis := point.get("basis"), dict)
    }
    assert bases
    for key in bases:
        plainly = cited(f"{key} clause").replace(",", "").casefold()
        assert plainly.startswith(REFERENCE.sources[key].document.replace(",", "").casefold()), key
