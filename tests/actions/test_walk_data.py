"""The walk data: the shape that the report was written for, nothing left out, and what is said of figures."""

import importlib.util
import json
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from inspect_app.actions.seal import draft_data
from inspect_app.domain.report import build_report
from inspect_app.domain.role import Role
from tests.walk_builder import BuiltWalk, Phone, add_person

SAMPLE = Path(__file__).parent.parent / "output" / "walk_data_sample.py"


@pytest.fixture(scope="module")
def sample() -> ModuleType:
    spec = importlib.util.spec_from_file_location("walk_data_sample", SAMPLE)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def full(walk: BuiltWalk) -> BuiltWalk:
    """A walk with something in every list of its data."""
    helper = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Sam Idris", Role.HELPER))
    other = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Tomas Reed", Role.TD), "Rail phone")
    point = walk.points("LB 1-1")[0]
    walk.look("LB 1-1", points=[point])
    walk.finding("LB 1-1", "restrict", other, point=point)
    walk.finding("HB 1", "stop_use", photos=["0195a000-0000-7000-8000-00000000aaaa"])
    walk.look("LB 1-2", phone=helper)
    walk.look("HB 2", "not_applicable")
    walk.look("LB 2-1", "not_reached")
    figure = {"point": point, "quantity": "groove_radius", "value": "0.128", "unit": "in", "typed": "0.128"}
    walk.look("LB 2-2", measures=[figure])
    walk.close()
    return walk


def data_of(walk: BuiltWalk) -> dict[str, Any]:
    return json.loads(draft_data(walk.db, walk.house.id, walk.id, walk.criteria))  # type: ignore[no-any-return]


def missing(want: Any, got: Any, path: str) -> list[str]:
    """Members of the sample that the data have not, one row standing for each list."""
    if isinstance(want, dict):
        return [
            line
            for key, value in want.items()
            for line in ([f"{path}.{key}"] if key not in got else missing(value, got[key], f"{path}.{key}"))
        ]
    if isinstance(want, list) and want and got:
        return missing(want[0], got[0], f"{path}[]")
    return []


def test_the_data_have_every_member_that_the_report_was_written_for(full: BuiltWalk, sample: ModuleType) -> None:
    want, _ = sample.walk_data()
    assert missing(want, data_of(full), "data") == []


def test_the_report_reads_the_data_as_they_are(full: BuiltWalk) -> None:
    report = build_report(data_of(full))
    assert report.draft
    assert [stop.scope for stop in report.stops] == ["Line set 1 (HB 1)"]
    assert [(gap.reason, gap.passes, gap.runs) for gap in report.coverage.not_reached] == [
        ("scenery in the way", "grid, at rest", "LB 2-1")
    ]


def test_who_recorded_from_where_is_said_also_of_a_helper_who_does_not_count_yet(full: BuiltWalk) -> None:
    recorders = data_of(full)["walk"]["recorders"]
    assert {row["name"] for row in recorders} >= {"Sam Idris", "Tomas Reed"}
    assert all(row["vantages"] == ["grid"] for row in recorders)
    assert sum(row["looks"] for row in recorders) == 7


def test_every_part_that_was_not_reached_stands_in_the_list(full: BuiltWalk) -> None:
    data = data_of(full)
    listed = {row["part"] for row in data["not_reached"]}
    assert {row["tag"] for row in data["parts"] if row["result"] == "not_reached"} <= listed
    assert listed == {"LB 2-1"}


def test_a_not_reached_place_is_listed_although_the_part_was_looked_at_in_another_pass(walk: BuiltWalk) -> None:
    walk.look("HB 1")
    walk.look("HB 1", "not_reached", **{"pass": "grid/moving"})
    data = data_of(walk)
    assert [row["part"] for row in data["not_reached"]] == ["HB 1"]
    assert next(row["result"] for row in data["parts"] if row["tag"] == "HB 1") == "no_finding"


def test_what_does_not_count_is_named_with_the_reason(full: BuiltWalk) -> None:
    assert data_of(full)["not_counted"] == [{"part": "LB 1-2", "by": "Sam Idris", "why": "no countersign yet"}]


def test_an_undone_tap_is_named_as_withdrawn(walk: BuiltWalk) -> None:
    entry = walk.look("HB 1")
    walk.look("HB 1", "withdrawn", replaces=[entry])
    data = data_of(walk)
    assert [row["why"] for row in data["not_counted"]] == ["withdrawn"]
    assert data["coverage"]["parts"]["looked_at"] == 0


def test_open_deficiencies_say_what_this_walk_says_of_them(full: BuiltWalk) -> None:
    later = BuiltWalk(full.db, full.settings, full.house)
    later.open()
    (known,) = (row for row in full.record.deficiencies if row.part_tag == "HB 1")
    later.finding("HB 1", "stop_use", answer="not_seen_now", of=known.findings[0])
    said = {row["part"]: row["this_walk"] for row in data_of(later)["deficiencies"]}
    assert sorted(said.values()) == ["not_looked_at", "not_seen_now"]
    assert sorted(row["this_walk"] for row in data_of(full)["deficiencies"]) == ["new", "new"]


def test_no_number_in_the_data_was_rounded_by_floating_point(full: BuiltWalk) -> None:
    def floats(value: Any) -> list[float]:
        if isinstance(value, dict):
            value = list(value.values())
        if isinstance(value, list):
            return [found for one in value for found in floats(one)]
        return [value] if isinstance(value, float) else []

    assert floats(data_of(full)) == []
