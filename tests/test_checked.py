"""The table of checked values is the one that the tests give, and every published check is in it."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.published import MARKS, ROOT, TABLE, all_checks, published, render

CHECKS = all_checks()
BARE_MARK = re.compile(r"mark\.published\b")


def test_the_table_is_the_one_that_the_tests_give() -> None:
    assert TABLE.read_text(encoding="utf-8") == render(CHECKS), "run: make checked"


def test_at_least_150_values_come_from_documents_that_were_read_or_from_independent_libraries() -> None:
    assert sum(check.mark in {"read", "secondary", "library"} for check in CHECKS) >= 150


def test_no_value_is_counted_twice() -> None:
    seen = [(check.topic, check.what, check.source, check.clause) for check in CHECKS]
    assert [one for one in set(seen) if seen.count(one) > 1] == []


def test_every_test_with_the_mark_is_in_the_table() -> None:
    bare = [
        path.relative_to(ROOT).as_posix()
        for path in sorted((ROOT / "tests").rglob("*.py"))
        if path.name not in {"published.py", Path(__file__).name} and BARE_MARK.search(path.read_text(encoding="utf-8"))
    ]
    assert bare == []


def test_pytest_collects_as_many_cases_as_the_table_has_lines() -> None:
    files = sorted({path for path in (ROOT / "tests").rglob("test_*.py") if "@published(" in path.read_text()})
    files.remove(Path(__file__))
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "--collect-only", "-q", "-m", "published", "-p", "no:cacheprovider",
         "--assert=plain", *files],  # nothing runs, so no assertion need be rewritten to explain itself
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert sum("[published:" in line for line in run.stdout.splitlines()) == len(CHECKS), run.stdout[-2000:]


def test_a_row_that_does_not_fit_its_names_is_refused() -> None:
    with pytest.raises(ValueError, match="has 1 values for the names"):
        published("T", "S", "1", "read", what="{a}", value="{b}", names="a, b", rows=[(1,)])


@pytest.mark.parametrize(("what", "source", "mark"), [("", "S", "read"), ("x", "", "read"), ("x", "S", "hearsay")])
def test_a_value_without_its_source_or_mark_is_refused(what: str, source: str, mark: str) -> None:
    with pytest.raises(ValueError, match="a published value needs"):
        published("T", source, "1", mark, what=what, value="1")


def test_each_mark_is_told_in_the_table() -> None:
    assert all(word in TABLE.read_text(encoding="utf-8") for word, _ in MARKS.values())
