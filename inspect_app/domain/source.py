"""Sources: the published documents that numbers are quoted from, and how each was read."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

AUTHORITIES = ("law", "consensus standard", "handbook", "trade", "none")
READINGS = ("read", "secondary", "memory", "recorded")
MARK_WORDS: Mapping[str, str] = {
    "read": "text read",
    "secondary": "from a secondary source",
    "memory": "from memory: confirm before relying on it",
    "recorded": "as recorded by the house",
}

KeyPath = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KeyProblem:
    """A mistake in reference data: where (keys from the top of the file) and what, with what is allowed."""

    path: KeyPath
    message: str

    @property
    def where(self) -> str:
        """The place in words, as `criteria > rope-diameter > rules > 2`."""
        return " > ".join(self.path) or "the file"


@dataclass(frozen=True, slots=True)
class Source:
    """A document. `how_read`: read (or a verbatim copy), secondary (quoted elsewhere), memory, recorded (a plate)."""

    key: str
    title: str
    document: str
    edition: str
    authority: str
    how_read: str
    note: str = ""


def one_of(value: str, allowed: tuple[str, ...], path: KeyPath) -> list[KeyProblem]:
    """A problem when the value is not one of the allowed words."""
    if value in allowed:
        return []
    return [KeyProblem(path, f"“{value}” is not allowed here. Allowed: {', '.join(allowed)}.")]


def not_text(row: Mapping[str, Any], keys: set[str], path: KeyPath) -> list[KeyProblem]:
    """Problems for keys whose value must be text and is a list or a mapping."""
    return [
        KeyProblem((*path, key), f"{key} is text.") for key in sorted(keys & set(row)) if not isinstance(row[key], str)
    ]


def known_keys(row: object, need: set[str], may: set[str], path: KeyPath) -> list[KeyProblem]:
    """Problems for keys that are missing from a mapping or do not belong in it, or that there is no mapping."""
    if not isinstance(row, Mapping):
        return [KeyProblem(path, f"this must be a mapping with {', '.join(sorted(need))}.")]
    problems = [KeyProblem(path, f"{key} is missing.") for key in sorted(need - set(row))]
    problems += [
        KeyProblem((*path, key), f"{key} is not a key of this place. Known: {', '.join(sorted(need | may))}.")
        for key in row
        if key not in need | may
    ]
    return problems


def parse_sources(data: Mapping[str, Any]) -> tuple[dict[str, Source], list[KeyProblem]]:
    """Sources by key from the mapping of shared/sources.yaml, all scalars text; a bad row is named, the rest kept."""
    rows = data.get("sources")
    if not isinstance(rows, Mapping):
        return {}, [KeyProblem(("sources",), "sources is missing or is not a mapping of keys to documents.")]
    sources: dict[str, Source] = {}
    problems: list[KeyProblem] = []
    for key, row in rows.items():
        path: KeyPath = ("sources", key)
        if not isinstance(row, Mapping):
            problems.append(
                KeyProblem(path, "a source is a mapping with title, document, edition, authority, how_read.")
            )
            continue
        found = known_keys(row, {"title", "document", "edition", "authority", "how_read"}, {"note"}, path)
        found += not_text(row, set(row), path)
        if not found:
            found = one_of(row["authority"], AUTHORITIES, (*path, "authority"))
            found += one_of(row["how_read"], READINGS, (*path, "how_read"))
        if found:
            problems += found
        else:
            sources[key] = Source(key=key, **{k: str(v) for k, v in row.items()})
    return sources, problems
