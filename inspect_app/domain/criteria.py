"""Criteria: what published documents say about a measure, row by row, read from shared/criteria.yaml."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any

from inspect_app.domain.house_rule import GoverningChoice, SignedValue
from inspect_app.domain.limit_form import Form, parse_form
from inspect_app.domain.source import READINGS, KeyPath, KeyProblem, Source, known_keys, not_text, one_of
from inspect_app.domain.units import UNITS

CONDITION = "condition"  # the quantity of a criterion that is met by what is seen
BASES = ("nominal", "baseline", "absolute")
FLAGS = ("true", "false")


class Op(StrEnum):
    """When a value is outside: it is ... the limit."""

    MORE_THAN = "more_than"
    AT_LEAST = "at_least"
    LESS_THAN = "less_than"
    AT_MOST = "at_most"


OP_WORDS: Mapping[Op, str] = {
    Op.MORE_THAN: "more than",
    Op.AT_LEAST: "or more",
    Op.LESS_THAN: "less than",
    Op.AT_MOST: "or less",
}
UPPER = frozenset({Op.MORE_THAN, Op.AT_LEAST})  # a figure above the limit is outside


class Consequence(StrEnum):
    """What a value outside calls for."""

    LOAD_PATH = "load_path"
    EDGE = "edge"
    LABEL = "label"
    LOOK = "look"  # a fault that the document names to look for, with no word that it ends the use
    BALANCE = "balance"  # an imbalance: whatever its figure says, the set is to be balanced


@dataclass(frozen=True, slots=True)
class Rule:
    """One row: outside when the measure is `op` the limit. `when` names the attributes under which the row applies.

    `jurisdictions` is empty for a row shown everywhere (as law or by analogy). `weight` lets a mass be judged by its
    weight. An inactive row is shown as such and judges nothing. A row with `own_sizes` leaves parts alone that its
    table has no line for. `signed` is set on a row from memory whose figures a house has entered.
    """

    id: str
    form: Form
    op: Op
    unit: str
    basis: str
    window: str
    source: Source
    clause: str
    applies_to: str
    by_analogy: bool
    mark: str
    note: str = ""
    active: bool = True
    weight: bool = False
    own_sizes: bool = False
    signed: SignedValue | None = None
    jurisdictions: tuple[str, ...] = ()
    when: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Criterion:
    """All rows for one measure. `assumes` gives attributes that hold unless the part says otherwise, `not_on` those of
    parts that by their record have no such thing: their pages leave the limits away, a figure taken there is judged.

    A condition is a criterion whose measure is *seen* (1) or not (0): `defects` are the answers of checklists that say
    it was seen, as `point/defect`. `unjudged` is said of a figure that is recorded and, without rules, judged by
    nothing. `governing` is set for a house that has chosen one of the documents.
    """

    key: str
    title: str
    quantity: str
    consequence: Consequence
    rules: tuple[Rule, ...] = ()
    note: str = ""
    unjudged: str = ""
    assumes: Mapping[str, str] = field(default_factory=dict)
    not_on: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    derived: Mapping[str, Mapping[str, Mapping[str, str]]] = field(default_factory=dict)
    attribute_titles: Mapping[str, str] = field(default_factory=dict)
    defects: tuple[str, ...] = ()
    governing: GoverningChoice | None = None

    @property
    def is_condition(self) -> bool:
        """Whether it is about something seen, with no figure to measure."""
        return self.quantity == CONDITION


_RULE_NEEDS = {"id", "limit", "op", "unit", "basis", "window", "source", "clause", "applies_to", "by_analogy", "mark"}
_RULE_MAY = {"note", "active", "weight", "own_sizes", "where", "when", "reviewed"}
_RULE_TEXTS = (_RULE_NEEDS | {"note", "active", "weight", "own_sizes"}) - {"limit"}
_CRITERION_MAY = {"rules", "same_rules_as", "note", "assumes", "not_on", "defects", "unjudged"}


@dataclass(frozen=True, slots=True)
class _File:
    """What the rows of one file share while they are read."""

    sources: Mapping[str, Source]
    tables: Mapping[str, Any]
    titles: Mapping[str, str]
    derived: Mapping[str, Mapping[str, Mapping[str, str]]]


def parse_criteria(
    data: Mapping[str, Any], sources: Mapping[str, Source]
) -> tuple[dict[str, Criterion], list[KeyProblem]]:
    """Criteria by key from the mapping of shared/criteria.yaml, all scalars text; a bad row is named, the rest kept."""
    rows = data.get("criteria")
    if not isinstance(rows, Mapping):
        return {}, [KeyProblem(("criteria",), "criteria is missing or is not a mapping of keys to criteria.")]
    derived, problems = _derived(data.get("constructions", {}), sources)
    shared = _File(sources, _mapping(data, "tables"), _mapping(data, "attributes"), derived)
    problems += _table_problems(shared)
    criteria: dict[str, Criterion] = {}
    seen: set[str] = set()
    for key, row in rows.items():
        criterion, found = _criterion(key, row, shared)
        problems += found
        if criterion is None:
            continue
        if "same_rules_as" in row:
            criteria[key], found = _with_rules_of(criterion, criteria.get(str(row["same_rules_as"])))
            problems += found
            continue
        twice = [rule.id for rule in criterion.rules if rule.id in seen]
        problems += [KeyProblem(("criteria", key, "rules"), f"the rule id {rule} is used twice.") for rule in twice]
        seen.update(rule.id for rule in criterion.rules)
        criteria[key] = criterion
    return criteria, problems


def _with_rules_of(criterion: Criterion, other: Criterion | None) -> tuple[Criterion, list[KeyProblem]]:
    """The criterion with the very rules of an earlier one: the same figures, asked where other things are assumed."""
    if other is None or criterion.rules:
        words = "same_rules_as names a criterion further up, and stands instead of rules."
        return criterion, [KeyProblem(("criteria", criterion.key, "same_rules_as"), words)]
    return replace(criterion, rules=other.rules), []


def _mapping(data: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    value = data.get(key, {})
    return value if isinstance(value, Mapping) else {}


def _source_problems(row: Mapping[str, Any], sources: Mapping[str, Source], path: KeyPath) -> list[KeyProblem]:
    if problems := not_text(row, {"mark", "source", "clause"}, path):
        return problems
    problems = one_of(row["mark"], READINGS, (*path, "mark"))
    if row["source"] not in sources:
        problems.append(KeyProblem((*path, "source"), f"“{row['source']}” is not a key of sources.yaml."))
    if not row["clause"].strip():
        problems.append(KeyProblem((*path, "clause"), "clause is empty; name the clause, table or page."))
    return problems


def _table_problems(shared: _File) -> list[KeyProblem]:
    problems: list[KeyProblem] = []
    for key, table in shared.tables.items():
        path: KeyPath = ("tables", key)
        if not isinstance(table, Mapping):
            problems.append(KeyProblem(path, "a table is a mapping with source, clause, mark and rows."))
            continue
        found = known_keys(table, {"source", "clause", "mark", "rows"}, {"note", "title"}, path)
        problems += found or _source_problems(table, shared.sources, path)
    return problems


def _derived(
    data: object, sources: Mapping[str, Source]
) -> tuple[dict[str, dict[str, dict[str, str]]], list[KeyProblem]]:
    """Rope constructions: what is known of a rope from its construction alone (wires, strands)."""
    found: dict[str, dict[str, str]] = {}
    problems: list[KeyProblem] = []
    for name, row in data.items() if isinstance(data, Mapping) else ():
        path: KeyPath = ("constructions", name)
        bad = known_keys(row, {"source", "clause", "mark", "gives"}, {"note"}, path)
        bad = bad or _source_problems(row, sources, path)
        if not bad and not isinstance(row["gives"], Mapping):
            bad = [KeyProblem((*path, "gives"), "gives is a mapping of attributes to values.")]
        if bad:
            problems += bad
        else:
            found[name] = {str(k): str(v) for k, v in row["gives"].items()}
    return {"rope_construction": found}, problems


def _criterion(key: str, row: object, shared: _File) -> tuple[Criterion | None, list[KeyProblem]]:
    path: KeyPath = ("criteria", key)
    if not isinstance(row, Mapping):
        return None, [KeyProblem(path, "a criterion is a mapping with title, quantity, consequence and rules.")]
    problems = known_keys(row, {"title", "quantity", "consequence"}, _CRITERION_MAY, path)
    problems += not_text(row, {"title", "quantity", "consequence", "note", "unjudged"}, path)
    if not problems:
        problems = one_of(row["consequence"], tuple(Consequence), (*path, "consequence"))
    if problems:
        return None, problems
    rules: list[Rule] = []
    listed = row.get("rules", [])
    for index, item in enumerate(listed if isinstance(listed, Sequence) and not isinstance(listed, str) else []):
        rule, found = _rule(item, shared, (*path, "rules", str(index)))
        problems += found
        rules += [rule] if rule else []
    return Criterion(
        key=key,
        title=row["title"],
        quantity=row["quantity"],
        consequence=Consequence(row["consequence"]),
        rules=tuple(rules),
        note=row.get("note", ""),
        unjudged=row.get("unjudged", ""),
        assumes=dict(_mapping(row, "assumes")),
        not_on={str(k): _words(v) for k, v in _mapping(row, "not_on").items()},
        derived=shared.derived,
        attribute_titles=shared.titles,
        defects=_words(row.get("defects", ())),
    ), problems


def _rule(row: object, shared: _File, path: KeyPath) -> tuple[Rule | None, list[KeyProblem]]:
    if not isinstance(row, Mapping):
        return None, [KeyProblem(path, "a rule is a mapping; see shared/README.md for its keys.")]
    problems = known_keys(row, _RULE_NEEDS, _RULE_MAY, path)
    problems += not_text(row, _RULE_TEXTS, path)
    if problems:
        return None, problems
    problems = _source_problems(row, shared.sources, path)
    problems += one_of(row["op"], tuple(Op), (*path, "op"))
    problems += one_of(row["unit"], tuple(UNITS), (*path, "unit"))
    problems += one_of(row["basis"], BASES, (*path, "basis"))
    for flag in ("by_analogy", "active", "weight", "own_sizes"):
        problems += one_of(row.get(flag, "false"), FLAGS, (*path, flag))
    problems += _signature_problems(row, path)
    form, found = parse_form(row["limit"], shared.tables, (*path, "limit"))
    problems += found
    if problems or form is None:
        return None, problems
    return _built(row, form, shared.sources[row["source"]]), []


def _built(row: Mapping[str, Any], form: Form, source: Source) -> Rule:
    return Rule(
        id=row["id"],
        form=form,
        op=Op(row["op"]),
        unit=row["unit"],
        basis=row["basis"],
        window=row["window"],
        source=source,
        clause=row["clause"],
        applies_to=row["applies_to"],
        by_analogy=row["by_analogy"] == "true",
        mark=row["mark"],
        note=row.get("note", ""),
        active=row.get("active", "true") == "true",
        weight=row.get("weight", "false") == "true",
        own_sizes=row.get("own_sizes", "false") == "true",
        jurisdictions=_words(row.get("where", ())),
        when={str(k): _words(v) for k, v in _mapping(row, "when").items()},
    )


def _words(value: object) -> tuple[str, ...]:
    if isinstance(value, str):
        return (value,)
    return tuple(str(item) for item in value) if isinstance(value, Sequence) else ()


def _signature_problems(row: Mapping[str, Any], path: KeyPath) -> list[KeyProblem]:
    """A row from memory is off until a qualified person has signed for it, by name, credential and date."""
    if row["mark"] != "memory":
        return []
    signed = row.get("reviewed")
    if not isinstance(signed, Mapping) or set(signed) != {"by", "credential", "on"}:
        return [
            KeyProblem(
                (*path, "reviewed"), "a row from memory carries reviewed: {by, credential, on}, empty until signed."
            )
        ]
    if row.get("active", "true") != "false" and not all(str(signed[k]).strip() for k in ("by", "credential", "on")):
        return [KeyProblem((*path, "active"), "a row from memory stays active: false until reviewed is filled in.")]
    return []
