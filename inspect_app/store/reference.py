"""Read shared/*.yaml into domain objects; a mistake is reported with file and line, and the good rows are kept."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

import yaml

from inspect_app.domain.criteria import Criterion, parse_criteria
from inspect_app.domain.errors import NotFound
from inspect_app.domain.risk import RiskMatrix, parse_risk_matrix
from inspect_app.domain.source import Path as KeyPath
from inspect_app.domain.source import Problem, Source, parse_sources
from inspect_app.domain.trade import TradeWords, parse_trade_words

MAX_BYTES = 1_000_000
SCHEMA = "1"
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class FileProblem:
    """A mistake in a file, for a person: `line` counts from 1."""

    file: str
    line: int
    message: str

    def __str__(self) -> str:
        return f"{self.file}, line {self.line}: {self.message}"


@dataclass(frozen=True, slots=True)
class Reference:
    """All shipped reference data. `problems` is empty for the files as shipped."""

    sources: Mapping[str, Source]
    criteria: Mapping[str, Criterion]
    risk: RiskMatrix | None
    words: TradeWords
    problems: tuple[FileProblem, ...]


@dataclass(frozen=True, slots=True)
class _Tree:
    """A file as plain data, every scalar text, with the line of each key path."""

    data: dict[str, Any]
    lines: dict[KeyPath, int]
    problems: list[Problem]


def load_reference(folder: Path) -> Reference:
    """Read sources.yaml, criteria.yaml and trade.yaml of a folder. Raises NotFound when a file is not there."""
    problems: list[FileProblem] = []

    def read(name: str, parse: Callable[[Mapping[str, Any]], tuple[T, list[Problem]]]) -> T:
        tree = _tree(folder / name)
        parsed, found = parse(tree.data)
        problems.extend(FileProblem(name, _line(tree, p.path), p.message) for p in tree.problems + found)
        return parsed

    sources = read("sources.yaml", parse_sources)
    criteria = read("criteria.yaml", lambda data: parse_criteria(data, sources))
    risk = read("trade.yaml", parse_risk_matrix)
    words = read("trade.yaml", parse_trade_words)
    return Reference(sources, criteria, risk, words, tuple(dict.fromkeys(problems)))


@lru_cache(maxsize=4)
def reference_at(folder: Path) -> Reference:
    """The same, read once per folder and kept; shipped reference data do not change while the program runs."""
    return load_reference(folder)


def _line(tree: _Tree, path: KeyPath) -> int:
    for length in range(len(path), 0, -1):
        if path[:length] in tree.lines:
            return tree.lines[path[:length]]
    return 1


def _tree(file: Path) -> _Tree:
    try:
        text = file.read_bytes()
    except OSError as error:
        raise NotFound(f"The reference file {file.name} cannot be read in {file.parent}: {error.strerror}.") from None
    lines: dict[KeyPath, int] = {}
    problems: list[Problem] = []
    if len(text) > MAX_BYTES:
        return _Tree({}, lines, [Problem((), f"the file is larger than {MAX_BYTES} bytes.")])
    try:
        node = _compose(text)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        lines[("yaml",)] = mark.line + 1 if mark else 1
        return _Tree({}, lines, [Problem(("yaml",), f"not valid YAML: {getattr(error, 'problem', error)}.")])
    data = _plain(node, (), lines, problems) if node is not None else {}
    if not isinstance(data, dict):
        return _Tree({}, lines, [*problems, Problem((), "the file must be a mapping of keys.")])
    if data.get("schema") != SCHEMA:
        problems.append(Problem(("schema",), f"schema must be {SCHEMA}."))
    return _Tree(data, lines, problems)


def _compose(text: bytes) -> yaml.Node | None:
    loader = yaml.CSafeLoader(text)
    try:
        return loader.get_single_node()
    finally:
        loader.dispose()


def _plain(node: yaml.Node, path: KeyPath, lines: dict[KeyPath, int], problems: list[Problem]) -> Any:
    """A node as text, list or dict; a key that stands twice is a problem, and the first one is kept."""
    lines[path] = node.start_mark.line + 1
    if isinstance(node, yaml.SequenceNode):
        return [_plain(item, (*path, str(i)), lines, problems) for i, item in enumerate(node.value)]
    if not isinstance(node, yaml.MappingNode):
        return str(node.value)
    plain: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key = str(key_node.value)
        if key in plain:
            twice = (*path, f"{key} (second)")
            lines[twice] = key_node.start_mark.line + 1
            problems.append(Problem(twice, f"{key} stands twice in the same place."))
            continue
        plain[key] = _plain(value_node, (*path, key), lines, problems)
        lines[(*path, key)] = key_node.start_mark.line + 1
    return plain
