"""Reading checklist files: every mistake is named with its place, and a house's own file comes first."""

import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from inspect_app.config import PACKAGE, checklists_dir, settings_for, shared_dir
from inspect_app.domain.asked_limits import measures_by_kind
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.criteria import Consequence
from inspect_app.domain.limit_form import Difference, Form, Lookup, Share
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_attributes import specs_for
from inspect_app.domain.source_tree import Problem
from inspect_app.domain.units import IMPERIAL, house_first
from inspect_app.store.checklist import load_shelf, read_checklist_file
from inspect_app.store.reference import reference_at

BAD = sorted((Path(__file__).parent.parent / "data" / "bad_checklists").glob("*.yaml"))
README = checklists_dir() / "README.md"
EXAMPLE = re.search(r"```yaml\n(.*?)```", README.read_text(), re.S).group(1)


@cache
def read_bad(path: Path) -> tuple[Checklist | None, list[Problem]]:
    return read_checklist_file(path, settings_for(Path(__file__).parent / "no-data-folder"))


def test_there_are_at_least_twenty_kinds_of_mistake() -> None:
    assert len(BAD) >= 20


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_mistake_is_named_with_file_line_and_what_is_allowed(path: Path) -> None:
    line, message = re.fullmatch(r"# line (\d+): (.*)", path.read_text().splitlines()[0]).groups()
    checklist, problems = read_bad(path)
    assert checklist is None
    assert [p for p in problems if p.line == int(line) and message in p.message and p.file == str(path)]


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_the_line_named_holds_the_text_that_is_quoted(path: Path) -> None:
    lines = path.read_text().splitlines()
    _, problems = read_bad(path)
    for problem in problems:
        quoted = re.match(r"(?:unknown [\w ]+|[\w ]+ id|interval|coverage|key) `([^`]+)`", problem.message)
        if quoted:
            assert quoted.group(1) in lines[problem.line - 1], str(problem)


def test_the_shipped_checklists_have_no_problem(tmp_path: Path) -> None:
    shelf = load_shelf(settings_for(tmp_path))
    assert [str(problem) for problem in shelf.problems] == []
    assert set(shelf.checklists) >= {
        "pre-use-look",
        "rail-deck-monthly",
        "grid-quarterly",
        "annual-hands-on",
        "after-event",
        "motorised-set",
        "fire-curtain",
        "label-audit",
        "access-survey",
    }


def test_the_annual_checklist_takes_every_component_and_asks_of_every_kind_of_part(tmp_path: Path) -> None:
    annual = load_shelf(settings_for(tmp_path)).checklists["annual-hands-on"]
    components = {path.stem for path in (checklists_dir() / "points").glob("*.yaml")}
    assert len(components) == 41
    assert {section.component for section in annual.sections} >= components
    assert {kind for point in annual.points() for kind in point.parts} == set(PartKind)


def test_every_limit_on_decks_edges_and_ways_up_is_asked_on_some_walk_with_units_of_both_systems(
    tmp_path: Path,
) -> None:
    shelf, criteria = load_shelf(settings_for(tmp_path)), reference_at(shared_dir()).criteria
    specs = [spec for one in shelf.checklists.values() for point in one.points() for spec in point.measures]
    ruled = {key: one for key, one in criteria.items() if one.rules and not one.is_condition}
    edges = {key for key, one in ruled.items() if one.consequence is Consequence.EDGE} | {"anchorage-strength"}
    # The drop at an edge says where protection is due, which aloft is everywhere; the workbench has it.
    assert edges - {spec.criterion for spec in specs} == {"edge-drop"}
    for spec in specs:
        if spec.criterion in edges and spec.units != ("none",):
            assert spec.quantity == criteria[spec.criterion].quantity
            assert house_first(spec.units, "imperial")[0] in IMPERIAL
            assert house_first(spec.units, "metric")[0] not in IMPERIAL


def attributes_in(form: Form) -> set[str]:
    """What a limit is worked out from."""
    match form:
        case Share(attribute):
            return {attribute}
        case Lookup(attribute, rows, otherwise):
            inner = [row.form for row in rows] + ([otherwise] if otherwise is not None else [])
            return {attribute}.union(*map(attributes_in, inner))
        case Difference(base, less):
            return attributes_in(base) | attributes_in(less)
    return set()


def test_every_limit_asked_of_a_kind_of_part_turns_on_what_such_a_part_can_record(tmp_path: Path) -> None:
    shelf, criteria = load_shelf(settings_for(tmp_path)), reference_at(shared_dir()).criteria
    for kind, asked in measures_by_kind(shelf.checklists.values()).items():
        specs = {spec.key: spec for spec in specs_for(kind)}
        if kind is PartKind.SET_TRAVEL:  # judged by the rope lock of its set
            specs |= {spec.key: spec for spec in specs_for(PartKind.ROPE_LOCK)}
        for criterion in [criteria[one.criterion] for one in asked]:
            for rule in criterion.rules:
                turns_on = {*rule.when, *attributes_in(rule.form)}
                assert turns_on <= {*specs, *criterion.assumes}, (kind, rule.id)
                for key, values in rule.when.items():
                    choices = {value for value, _ in specs[key].choices} if key in specs else set()
                    assert not choices or set(values) <= choices, (kind, rule.id)


def test_every_shipped_checklist_asks_for_a_qualified_persons_review_and_has_a_place_for_it(tmp_path: Path) -> None:
    for checklist in load_shelf(settings_for(tmp_path)).checklists.values():
        assert "qualified person" in checklist.notice
        assert "review" in checklist.notice
        assert checklist.reviewed.by == ""


def test_the_worked_example_of_the_readme_is_a_valid_checklist(tmp_path: Path) -> None:
    path = tmp_path / "checklists" / "rail-signs.yaml"
    path.parent.mkdir()
    path.write_text(EXAMPLE)
    shelf = load_shelf(settings_for(tmp_path))
    assert not shelf.problems
    assert shelf.checklists["rail-signs"].house_own


def test_a_house_replaces_a_shipped_checklist_without_touching_the_package(tmp_path: Path) -> None:
    own = tmp_path / "checklists" / "pre-use-look.yaml"
    own.parent.mkdir()
    text = (checklists_dir() / "pre-use-look.yaml").read_text()
    own.write_text(re.sub(r"(?m)^title: .*$", "title: Our own look", text))
    before = load_shelf(settings_for(tmp_path / "none")).checklists["pre-use-look"]
    after = load_shelf(settings_for(tmp_path)).checklists["pre-use-look"]
    assert after.title == "Our own look"
    assert after.revision != before.revision


def test_a_broken_file_of_the_house_is_left_out_and_reported(tmp_path: Path) -> None:
    own = tmp_path / "checklists" / "pre-use-look.yaml"
    own.parent.mkdir()
    own.write_text("schema: 1\nid: pre-use-look\n")
    shelf = load_shelf(settings_for(tmp_path))
    assert "pre-use-look" not in shelf.checklists
    assert any(problem.file == str(own) for problem in shelf.problems)


def test_the_command_line_says_no_with_the_place_of_the_mistake(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "inspect_app", "--data", str(tmp_path), "checklist", str(BAD[0])]
    done = subprocess.run(command, capture_output=True, text=True, cwd=PACKAGE.parent)
    assert done.returncode == 1
    assert f"{BAD[0]}:" in done.stdout + done.stderr


@pytest.mark.parametrize(
    "raw", [b"\xff\xfe\x00", b"", b"- " * 3000, b"[" * 3000, b"a: " + b"x" * 300_000, b"\x00", b"a: 'x"]
)
def test_no_file_makes_the_reader_fall_over(raw: bytes, tmp_path: Path) -> None:
    path = tmp_path / "odd.yaml"
    path.write_bytes(raw)
    checklist, problems = read_checklist_file(path, settings_for(tmp_path))
    assert checklist is None
    assert problems
