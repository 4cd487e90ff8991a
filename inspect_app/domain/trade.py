"""Words of the trade from shared/trade.yaml: presets of lift-line names and the US and UK glossary."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.source import KeyPath, KeyProblem

MOST_LINES = 12


@dataclass(frozen=True, slots=True)
class LineNamePreset:
    """A way of naming lift lines: for each count the names from the head block outwards (line 1 is the shortest)."""

    key: str
    title: str
    names: Mapping[int, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class TradeWords:
    """Line-name presets by key, and pairs of US and UK words."""

    presets: Mapping[str, LineNamePreset] = field(default_factory=dict)
    glossary: tuple[tuple[str, str], ...] = ()


def preset_names(words: TradeWords, preset: str, count: int) -> tuple[str, ...]:
    """The names for `count` lift lines, 1 to 12. Raises BadValue for an unknown preset or count."""
    chosen = words.presets.get(preset)
    if chosen is None:
        raise BadValue(f"“{preset}” is not a preset of line names. Known: {', '.join(words.presets)}.", "preset")
    names = chosen.names.get(count)
    if names is None:
        raise BadValue(f"A set has 1 to {MOST_LINES} lift lines, not {count}.", "lines")
    return names


def parse_trade_words(data: Mapping[str, Any]) -> tuple[TradeWords, list[KeyProblem]]:
    """Presets and glossary from shared/trade.yaml, all scalars text; a bad row is named, the rest kept."""
    problems: list[KeyProblem] = []
    presets: dict[str, LineNamePreset] = {}
    for key, row in _inner(data, "line_names", "presets", problems).items():
        path: KeyPath = ("line_names", "presets", key)
        if not isinstance(row, Mapping) or not isinstance(row.get("names"), Mapping):
            problems.append(KeyProblem(path, "a preset has a title and names for 1 to 12 lines."))
            continue
        names, found = _names(row["names"], path)
        problems += found
        presets[key] = LineNamePreset(key, str(row.get("title", key)), names)
    words = data.get("glossary")
    rows = words.get("words", []) if isinstance(words, Mapping) else []
    pairs = tuple(
        (str(row["us"]), str(row["uk"])) for row in rows if isinstance(row, Mapping) and {"us", "uk"} <= set(row)
    )
    if len(pairs) != len(rows):
        problems.append(KeyProblem(("glossary", "words"), "each row of the glossary has us and uk."))
    return TradeWords(presets, pairs), problems


def _inner(data: Mapping[str, Any], outer: str, inner: str, problems: list[KeyProblem]) -> Mapping[str, Any]:
    block = data.get(outer)
    found = block.get(inner) if isinstance(block, Mapping) else None
    if isinstance(found, Mapping):
        return found
    problems.append(KeyProblem((outer,), f"{outer} needs {inner}."))
    return {}


def _names(rows: Mapping[str, Any], path: KeyPath) -> tuple[dict[int, tuple[str, ...]], list[KeyProblem]]:
    names: dict[int, tuple[str, ...]] = {}
    problems: list[KeyProblem] = []
    for count in range(1, MOST_LINES + 1):
        given = rows.get(str(count))
        row = tuple(str(n) for n in given) if isinstance(given, Sequence) and not isinstance(given, str) else ()
        if len(row) != count or len(set(row)) != count or not all(row):
            problems.append(
                KeyProblem((*path, "names", str(count)), f"needs {count} different names for {count} lines.")
            )
        else:
            names[count] = row
    return names, problems
