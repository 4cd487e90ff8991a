"""Rule sets: how often published rules want a fly system looked at, and by whom, by country."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from inspect_app.domain.checklist import Competence
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.interval import Interval, parse_interval
from inspect_app.domain.part import PartKind
from inspect_app.domain.source import MARK_WORDS, READINGS, KeyPath, KeyProblem, Source, known_keys, not_text, one_of

_RULE_NEEDS = {
    "id", "occasion", "title", "interval", "who", "competence", "applies_to", "source", "clause", "mark",
}  # fmt: skip
_RULE_LISTS = {"sets": tuple(LineSetKind), "parts": tuple(PartKind)}
_RULE_MAY = {"sets", "parts", "checklists", "or_more_often", "note", "by_paper"}


class Occasion(StrEnum):
    """When a rule asks for a look."""

    PERIODIC = "periodic"
    EVENT = "event"  # after installation, alteration, damage or something exceptional
    EACH_USE = "each_use"


OCCASION_WORDS: Mapping[Occasion, str] = {
    Occasion.PERIODIC: "at intervals",
    Occasion.EVENT: "after an event",
    Occasion.EACH_USE: "before each use",
}


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. `interval` is None unless it is periodic; empty `sets` or `parts` do not narrow what it applies to.

    `checklists` are those whose walks answer it; a rule `by_paper` is answered by somebody else's document instead.
    """

    id: str
    occasion: Occasion
    title: str
    interval: Interval | None
    who: str
    competence: Competence
    applies_to: str
    source: Source
    clause: str
    mark: str
    sets: frozenset[LineSetKind] = frozenset()
    parts: frozenset[PartKind] = frozenset()
    checklists: frozenset[str] = frozenset()
    or_more_often: str = ""
    note: str = ""
    by_paper: bool = False

    @property
    def citation(self) -> str:
        """Document, clause and how it was read."""
        return f"{self.source.document}, {self.clause} ({MARK_WORDS[self.mark]})"

    def binds(self, checklist: str, kind: PartKind, set_kind: LineSetKind | None) -> bool:
        """Whether it asks for this checklist on a part of this kind that belongs to a set of this kind, or to none."""
        return (
            checklist in self.checklists
            and (not self.parts or kind in self.parts)
            and (not self.sets or set_kind in self.sets)
        )


@dataclass(frozen=True, slots=True)
class RuleSet:
    """The rules of one country or province that a house may choose to be bound by."""

    id: str
    title: str
    where: str
    note: str
    rules: tuple[Rule, ...]


def parse_rule_sets(
    data: Mapping[str, Any], sources: Mapping[str, Source]
) -> tuple[dict[str, RuleSet], list[KeyProblem]]:
    """Rule sets by key from the mapping of shared/intervals.yaml, all scalars text; a bad row is named, others kept."""
    rows = data.get("rule_sets")
    if not isinstance(rows, Mapping):
        return {}, [KeyProblem(("rule_sets",), "rule_sets is missing or is not a mapping of keys to rule sets.")]
    found: dict[str, RuleSet] = {}
    problems: list[KeyProblem] = []
    seen: set[str] = set()
    for key, row in rows.items():
        path: KeyPath = ("rule_sets", key)
        wrong = known_keys(row, {"title", "where", "rules"}, {"note"}, path)
        if not wrong and not isinstance(row["rules"], list):
            wrong = [KeyProblem((*path, "rules"), "rules is a list.")]
        wrong += not_text(row, {"title", "where", "note"}, path) if not wrong else []
        problems += wrong
        if wrong:
            continue
        rules = []
        for n, one in enumerate(row["rules"]):
            rule, mistakes = _rule(one, sources, (*path, "rules", str(n)), seen)
            problems += mistakes
            rules += [rule] if rule is not None else []
        found[key] = RuleSet(key, row["title"], row["where"], row.get("note", ""), tuple(rules))
    return found, problems


def _rule(
    row: object, sources: Mapping[str, Source], path: KeyPath, seen: set[str]
) -> tuple[Rule | None, list[KeyProblem]]:
    wrong = known_keys(row, _RULE_NEEDS, _RULE_MAY, path)
    if wrong or not isinstance(row, Mapping):
        return None, wrong
    wrong = not_text(row, (_RULE_NEEDS | _RULE_MAY) - {"sets", "parts", "checklists"}, path)
    wrong += [
        KeyProblem((*path, key), f"{key} is a list.")
        for key in ("sets", "parts", "checklists")
        if not isinstance(row.get(key, []), list)
    ]
    if wrong:
        return None, wrong
    wrong = _word_problems(row, sources, path)
    if row["id"] in seen:
        wrong.append(KeyProblem((*path, "id"), f"“{row['id']}” is the id of another rule."))
    seen.add(row["id"])
    interval = None
    try:
        interval = parse_interval(row["interval"])
    except BadValue as error:
        wrong.append(KeyProblem((*path, "interval"), error.message))
    else:
        if (interval is not None) != (row["occasion"] == Occasion.PERIODIC):
            wrong.append(KeyProblem((*path, "interval"), "a periodic rule has an interval, any other has none."))
    return (None, wrong) if wrong else (_made(row, interval, sources), [])


def _word_problems(row: Mapping[str, Any], sources: Mapping[str, Source], path: KeyPath) -> list[KeyProblem]:
    wrong = one_of(row["occasion"], tuple(Occasion), (*path, "occasion"))
    wrong += one_of(row["competence"], tuple(Competence), (*path, "competence"))
    wrong += one_of(row["mark"], READINGS, (*path, "mark"))
    wrong += one_of(row.get("by_paper", "no"), ("yes", "no"), (*path, "by_paper"))
    for key, allowed in _RULE_LISTS.items():
        for n, value in enumerate(row.get(key, [])):
            wrong += one_of(value, allowed, (*path, key, str(n)))
    if row["source"] not in sources:
        wrong.append(KeyProblem((*path, "source"), f"“{row['source']}” is not a key of sources.yaml."))
    if not row["clause"].strip():
        wrong.append(KeyProblem((*path, "clause"), "clause is empty."))
    return wrong


def _made(row: Mapping[str, Any], interval: Interval | None, sources: Mapping[str, Source]) -> Rule:
    return Rule(
        id=row["id"],
        occasion=Occasion(row["occasion"]),
        title=row["title"],
        interval=interval,
        who=row["who"],
        competence=Competence(row["competence"]),
        applies_to=row["applies_to"],
        source=sources[row["source"]],
        clause=row["clause"],
        mark=row["mark"],
        sets=frozenset(LineSetKind(one) for one in row.get("sets", [])),
        parts=frozenset(PartKind(one) for one in row.get("parts", [])),
        checklists=frozenset(row.get("checklists", [])),
        or_more_often=row.get("or_more_often", ""),
        note=row.get("note", ""),
        by_paper=row.get("by_paper") == "yes",
    )
