"""The glossary: words of the trade from shared/glossary.yaml, each with what it means and what it rests on."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inspect_app.domain.part import PartKind
from inspect_app.domain.source import KeyPath, KeyProblem, Source

NO_SOURCE = "common practice, no source"
_KNOWN = frozenset({"term", "says", "uk", "also", "part", "source", "clause"})


@dataclass(frozen=True, slots=True)
class Term:
    """A word with its meaning. `uk` is what is said in Britain, `also` what else is heard; `part` the kind of part that
    its drawing shows; `rests_on` is the document and clause, or *common practice, no source*."""

    word: str
    says: str
    uk: str = ""
    also: str = ""
    part: PartKind | None = None
    rests_on: str = NO_SOURCE


def parse_glossary(data: Mapping[str, Any], sources: Mapping[str, Source]) -> tuple[tuple[Term, ...], list[KeyProblem]]:
    """The terms in the order of the alphabet, all scalars text; a bad row is named, the rest kept."""
    rows = data.get("terms")
    if not isinstance(rows, list):
        return (), [KeyProblem(("terms",), "the glossary needs a list of terms.")]
    terms: dict[str, Term] = {}
    problems: list[KeyProblem] = []
    for n, row in enumerate(rows):
        path: KeyPath = ("terms", str(n))
        wrong = _wrong(row, sources)
        if not wrong and str(row["term"]).casefold() in terms:
            wrong = f"“{row['term']}” stands here twice."
        if wrong:
            problems.append(KeyProblem(path, wrong))
            continue
        terms[str(row["term"]).casefold()] = _term(row, sources)
    return tuple(terms[key] for key in sorted(terms)), problems


def _wrong(row: object, sources: Mapping[str, Source]) -> str:
    """What is wrong with a row, or ''."""
    if not isinstance(row, Mapping) or not row.get("term") or not row.get("says"):
        return "a term has `term` and `says`."
    unknown = set(row) - _KNOWN
    if unknown:
        return f"`{sorted(unknown)[0]}` is not a field of a term."
    if row.get("part") and row["part"] not in set(PartKind):
        return f"“{row['part']}” is no kind of part."
    if row.get("source") and (row["source"] not in sources or not row.get("clause")):
        return f"“{row['source']}” is not in sources.yaml, or no clause is named."
    return ""


def _term(row: Mapping[str, Any], sources: Mapping[str, Source]) -> Term:
    part = PartKind(row["part"]) if row.get("part") else None
    source = row.get("source")
    rests_on = f"{sources[source].document}, {row['clause']}" if source else NO_SOURCE
    return Term(row["term"], row["says"], row.get("uk", ""), row.get("also", ""), part, rests_on)


def by_letter(terms: tuple[Term, ...]) -> list[tuple[str, list[Term]]]:
    """The terms under their first letter, in order."""
    found: dict[str, list[Term]] = {}
    for term in terms:
        found.setdefault(term.word[0].upper(), []).append(term)
    return sorted(found.items())
