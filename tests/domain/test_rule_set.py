"""Rule sets: what is shipped, what it binds, and mistakes named by file and line."""

from pathlib import Path

import pytest

from inspect_app.config import checklists_dir, shared_dir
from inspect_app.domain.checklist import COMPETENCE_RANK
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.part import PartKind
from inspect_app.domain.rule_set import Occasion, Rule
from inspect_app.store.checklist import load_shelf
from inspect_app.store.reference import rule_sets_at

SETS, PROBLEMS = rule_sets_at(shared_dir())
RULES = {rule.id: rule for one in SETS.values() for rule in one.rules}


def test_the_shipped_file_has_several_countries_and_no_mistake() -> None:
    assert PROBLEMS == ()
    assert set(SETS) == {"us", "gb", "de", "ca-on"}


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_each_rule_says_who_where_it_stands_and_who_answers_it(rule: Rule) -> None:
    assert rule.who
    assert rule.applies_to
    assert rule.clause
    assert rule.mark != "memory", "what nobody read binds nobody"
    if rule.occasion is Occasion.PERIODIC:
        assert bool(rule.checklists) != rule.by_paper, "answered by a walk or by a paper"


def test_each_checklist_that_a_rule_names_is_shipped_and_signed_by_somebody_competent_enough(tmp_path: Path) -> None:
    from inspect_app.config import Settings

    known = load_shelf(Settings(tmp_path, checklists_dir(), shared_dir())).checklists
    for rule in RULES.values():
        for checklist in rule.checklists:
            assert COMPETENCE_RANK[known[checklist].competence] >= COMPETENCE_RANK[rule.competence], rule.id


def test_a_rule_for_powered_sets_binds_no_counterweight_set() -> None:
    hoist, manual = RULES["us-hoist-yearly"], RULES["us-counterweight-yearly"]
    assert hoist.binds("annual-hands-on", PartKind.HOIST, LineSetKind.MOTOR)
    assert not hoist.binds("annual-hands-on", PartKind.LOFT_BLOCK, LineSetKind.SINGLE)
    assert not hoist.binds("annual-hands-on", PartKind.GRID_DECK, None)
    assert manual.binds("annual-hands-on", PartKind.LOFT_BLOCK, LineSetKind.DOUBLE)
    assert not manual.binds("grid-quarterly", PartKind.LOFT_BLOCK, LineSetKind.DOUBLE)
    assert not RULES["us-curtain-yearly"].binds("fire-curtain", PartKind.SMOKE_VENT, None)


GOOD = """schema: 1
rule_sets:
  x:
    title: A country
    where: XX
    rules:
      - id: yearly
        occasion: periodic
        title: Yearly
        interval: P1Y
        who: somebody
        competence: qualified
        applies_to: all
        checklists: [annual-hands-on]
        source: ansi-e1.4-1
        clause: "5"
        mark: read
"""


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ("P1Y", "yearly", 10, "not an interval"),
        ("P1Y", "none", 10, "periodic rule has an interval"),
        ("periodic", "often", 8, "Allowed"),
        ("competence: qualified", "competence: clever", 12, "Allowed"),
        ("ansi-e1.4-1", "nobody", 15, "sources.yaml"),
        ("mark: read", "mark: heard", 17, "Allowed"),
        ("        who: somebody\n", "", 7, "who is missing"),
        ("checklists: [annual-hands-on]", "checklists: annual-hands-on", 14, "is a list"),
        ("checklists:", "parts: [sofa]\n        checklists:", 14, "Allowed"),
        ("    where: XX\n", "", 3, "where is missing"),
        ("schema: 1", "schema: 2", 1, "schema"),
    ],
)
def test_a_mistake_is_named_by_file_and_line(tmp_path: Path, old: str, new: str, line: int, says: str) -> None:
    for path in shared_dir().glob("*.yaml"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    (tmp_path / "intervals.yaml").write_text(GOOD.replace(old, new))
    _, problems = rule_sets_at(tmp_path)
    assert problems, "no mistake was found"
    assert Path(problems[0].file).name == "intervals.yaml"
    assert problems[0].line == line, problems
    assert says in problems[0].message


def test_a_missing_file_is_a_mistake_and_not_the_end(tmp_path: Path) -> None:
    found, problems = rule_sets_at(tmp_path)
    assert found == {}
    assert "intervals.yaml" in problems[0].message
