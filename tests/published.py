"""Checks against values published outside this project: one decorator parametrizes the test and records the value.

    @published(
        "Rope strength", "FAA AC 43.13-1B", "Table 7-3", "read",
        names="size, pounds", rows=[("1/4", 7000), ("3/8", 14400)],
        what="7x19 carbon steel, {size} in.", value="{pounds} lbf",
    )
    def test_catalogue_strengths(size: str, pounds: int) -> None: ...

Each row is one value: a test case of its own, whose id begins with `published`, and a line in shared/CHECKED.md
(`make checked`). Texts are filled in from the row. A name that begins with an underscore serves the texts only and is
not passed to the test: `names="_clause, wires, count"`, clause="paragraph {_clause}".

The expected value is typed from the document (or computed by a library that the program does not use), never read from
shared/: what is under test reads that.
"""

import importlib
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any, TypeVar

import pytest

ROOT = Path(__file__).parent.parent
TABLE = ROOT / "shared" / "CHECKED.md"
# How a value was come by: the word in the table, and what it means.
MARKS = {
    "read": ("text read", "the clause, or a verbatim copy of it, was read"),
    "secondary": ("second-hand", "read where another document quotes or tabulates it"),
    "library": ("independent library", "computed by a general-purpose library that only the tests use"),
    "worked": ("worked out by hand", "arithmetic on a text that was read, done apart from the program"),
    "memory": ("**from memory**", "not read; pinned so that it does not drift; confirm before relying on it"),
}
OPENING = """# What has been held against the world

Made by `make checked` from the tests: each line is a value that a test holds against what the program has.
The expected values are typed into the tests from the document, or computed by a library that the program does not use.
`.venv/bin/python -m pytest --collect-only -q -m published` lists the tests themselves.

A value that agrees with its document is no proof that the document fits the case: see `shared/README.md`.

| how the value was come by | values | what it means |
|---|---|---|
"""
NOT_A_WORD = re.compile(r"[^0-9A-Za-z.+/-]+")
Test = TypeVar("Test", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Check:
    """One value: what it is, as the document prints it, where it stands, how it was read."""

    topic: str
    what: str
    value: str
    source: str
    clause: str
    mark: str

    def line(self) -> str:
        """The value as a row of the table."""
        cells = (self.what, self.value, self.source, self.clause, MARKS[self.mark][0])
        return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def published(
    topic: str,
    source: str,
    clause: str,
    mark: str,
    *,
    what: str,
    value: str,
    names: str = "",
    rows: Sequence[Sequence[object]] = ((),),
) -> Callable[[Test], Test]:
    """Parametrize a test over published values and record them. Raises ValueError for a row that does not fit."""
    columns = [name.strip() for name in names.split(",") if name.strip()]
    passed = [name for name in columns if not name.startswith("_")]
    checks, cases = [], []
    for row in rows:
        if len(row) != len(columns):
            raise ValueError(f"{row} has {len(row)} values for the names {columns}")
        known = dict(zip(columns, row, strict=True))
        check = Check(topic, *(text.format(**known) for text in (what, value, source, clause, mark)))
        if check.mark not in MARKS or not all((check.what, check.value, check.source, check.clause)):
            raise ValueError(f"a published value needs what, value, source, clause and one of {list(MARKS)}: {check}")
        checks.append(check)
        case_id = "published:" + NOT_A_WORD.sub("_", f"{check.what}={check.value}")
        cases.append(pytest.param(*(known[name] for name in passed), id=case_id, marks=pytest.mark.published))

    def mark_test(test: Test) -> Test:
        test.published_checks = [*getattr(test, "published_checks", []), *checks]  # type: ignore[attr-defined]
        return pytest.mark.parametrize(passed, cases)(test)

    return mark_test


def checked_modules() -> Iterator[ModuleType]:
    """The test modules that use the decorator."""
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        if re.search(r"^@published\(", path.read_text(encoding="utf-8"), re.MULTILINE):
            yield importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))


def checks_of(module: ModuleType) -> Iterator[Check]:
    """What the tests of a module record, in the order of the file."""
    for name, test in vars(module).items():
        if name.startswith("test_") and getattr(test, "__module__", "") == module.__name__:
            yield from getattr(test, "published_checks", ())


def all_checks() -> list[Check]:
    """Every recorded value."""
    return [check for module in checked_modules() for check in checks_of(module)]


def render(checks: Sequence[Check]) -> str:
    """The table as Markdown, by topic."""
    topics: dict[str, list[Check]] = {}
    for check in checks:
        topics.setdefault(check.topic, []).append(check)
    counts = [
        f"| {word} | {sum(check.mark == mark for check in checks)} | {meaning} |"
        for mark, (word, meaning) in MARKS.items()
    ]
    lines = [OPENING + "\n".join([*counts, f"| all | {len(checks)} | |"])]
    for topic in sorted(topics):
        lines += ["", f"## {topic}", "", "| value of | is | source | clause | how read |", "|---|---|---|---|---|"]
        lines += [check.line() for check in topics[topic]]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    found = all_checks()
    TABLE.write_text(render(found), encoding="utf-8")
    print(f"{TABLE.relative_to(ROOT)}: {len(found)} values")
