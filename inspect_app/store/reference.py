"""Read shared/*.yaml into domain objects; a mistake is reported with file and line, and the good rows are kept."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar

from inspect_app.domain.checklist import Grade
from inspect_app.domain.criteria import Criterion, parse_criteria
from inspect_app.domain.errors import NotFound
from inspect_app.domain.figure_reader import parse_figures
from inspect_app.domain.figures import Figures
from inspect_app.domain.glossary import Term, parse_glossary
from inspect_app.domain.repair_policy import parse_repair_days
from inspect_app.domain.risk import RiskMatrix, parse_risk_matrix
from inspect_app.domain.rule_set import RuleSet, parse_rule_sets
from inspect_app.domain.source import KeyPath, KeyProblem, Source, parse_sources
from inspect_app.domain.source_tree import Listing, Node, Problem, Table
from inspect_app.domain.student_t import StudentT, parse_student_t
from inspect_app.domain.trade import TradeWords, parse_trade_words
from inspect_app.store.yaml_tree import read_yaml

SCHEMA = "1"
WORKED_WITH = ("sources.yaml", "criteria.yaml", "trade.yaml", "figures.yaml", "student_t.yaml")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Reference:
    """All shipped reference data. `problems` is empty for the files as shipped."""

    sources: Mapping[str, Source]
    criteria: Mapping[str, Criterion]
    risk: RiskMatrix | None
    words: TradeWords
    figures: Figures
    repair_days: Mapping[Grade, int]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _File:
    """A file as plain data, every scalar text, with the place of each key path."""

    name: str
    data: Mapping[str, Any]
    places: Mapping[KeyPath, tuple[int, int]]
    problems: tuple[Problem, ...]


def load_reference(folder: Path) -> Reference:
    """Read the files of a folder: sources, criteria, trade, figures. Raises NotFound when one cannot be read."""
    problems: list[Problem] = []

    def read(name: str, parse: Callable[[Mapping[str, Any]], tuple[T, list[KeyProblem]]]) -> T:
        file = _file(folder / name)
        parsed, found = parse(file.data)
        problems.extend(file.problems or (_placed(file, problem) for problem in found))
        return parsed

    sources = read("sources.yaml", parse_sources)
    criteria = read("criteria.yaml", lambda data: parse_criteria(data, sources))
    risk = read("trade.yaml", parse_risk_matrix)
    words = read("trade.yaml", parse_trade_words)
    figures = read("figures.yaml", lambda data: parse_figures(data, sources))
    days = read("trade.yaml", parse_repair_days)
    return Reference(sources, criteria, risk, words, figures, days, tuple(dict.fromkeys(problems)))


def load_figures(folder: Path) -> tuple[Figures, tuple[Problem, ...]]:
    """The figures of figures.yaml and every mistake in the folder's files. Raises NotFound when one cannot be read."""
    reference = reference_at(folder)
    return reference.figures, reference.problems


@lru_cache(maxsize=4)
def reference_at(folder: Path) -> Reference:
    """The same, read once per folder and kept; shipped reference data do not change while the program runs."""
    return load_reference(folder)


@lru_cache(maxsize=4)
def reference_digest(folder: Path) -> str:
    """Which reference data a figure was worked out with: the first twelve digits of the SHA-256 over the files."""
    found = sha256()
    for name in WORKED_WITH:
        path = folder / name
        found.update(name.encode() + b"\0" + (sha256(path.read_bytes()).digest() if path.is_file() else b""))
    return found.hexdigest()[:12]


@lru_cache(maxsize=4)
def student_t_at(folder: Path) -> StudentT | None:
    """The quantiles of Student's t in student_t.yaml; None when the file is missing or wrong: no date is given then."""
    try:
        file = _file(folder / "student_t.yaml")
    except NotFound:
        return None
    found, _ = parse_student_t(file.data, reference_at(folder).sources)
    return found


@lru_cache(maxsize=4)
def rule_sets_at(folder: Path) -> tuple[Mapping[str, RuleSet], tuple[Problem, ...]]:
    """The rule sets of intervals.yaml and every mistake in it; the good rows are kept."""
    try:
        file = _file(folder / "intervals.yaml")
    except NotFound as error:
        return {}, (Problem(str(folder / "intervals.yaml"), 0, 0, error.message),)
    found, problems = parse_rule_sets(file.data, reference_at(folder).sources)
    return found, file.problems or tuple(_placed(file, problem) for problem in problems)


@lru_cache(maxsize=4)
def glossary_at(folder: Path) -> tuple[tuple[Term, ...], tuple[Problem, ...]]:
    """The terms of glossary.yaml and every mistake in it; the good rows are kept."""
    try:
        file = _file(folder / "glossary.yaml")
    except NotFound as error:
        return (), (Problem(str(folder / "glossary.yaml"), 0, 0, error.message),)
    found, problems = parse_glossary(file.data, reference_at(folder).sources)
    return found, file.problems or tuple(_placed(file, problem) for problem in problems)


def _file(path: Path) -> _File:
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise NotFound(f"The reference file {path.name} cannot be read in {path.parent}: {error.strerror}.") from None
    node, problems = read_yaml(raw, str(path))
    places: dict[KeyPath, tuple[int, int]] = {}
    data = _plain(node, (), places) if node is not None else {}
    if not problems and not isinstance(data, dict):
        problems = [Problem(str(path), 1, 1, "the file must be a mapping of `key: value` lines")]
    elif not problems and data.get("schema") != SCHEMA:
        line, column = places.get(("schema",), (1, 1))
        problems = [Problem(str(path), line, column, f"`schema` must be {SCHEMA}")]
    return _File(str(path), data if isinstance(data, dict) else {}, places, tuple(problems))


def _plain(node: Node, path: KeyPath, places: dict[KeyPath, tuple[int, int]]) -> Any:
    """A node as text, list or dict; `places` gathers where each key path stands (a key's own place for a mapping)."""
    places.setdefault(path, (node.line, node.column))
    if isinstance(node, Listing):
        return [_plain(item, (*path, str(index)), places) for index, item in enumerate(node.items)]
    if not isinstance(node, Table):
        return node.value
    for key, (mark, _) in node.items.items():
        places[(*path, key)] = (mark.line, mark.column)
    return {key: _plain(value, (*path, key), places) for key, (_, value) in node.items.items()}


def _placed(file: _File, problem: KeyProblem) -> Problem:
    """The problem at the deepest place that the file has for its key path."""
    paths = (problem.path[:length] for length in range(len(problem.path), -1, -1))
    line, column = next((file.places[path] for path in paths if path in file.places), (0, 0))
    return Problem(file.name, line, column, f"{problem.where}: {problem.message}")
