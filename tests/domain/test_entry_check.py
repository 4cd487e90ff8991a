"""Reading and checking one entry: what holds it, what is only remarked upon, with the path of each."""

import copy
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import checklists_dir, settings_for
from inspect_app.domain.checklist import Competence
from inspect_app.domain.entry import LookEntry, StopEntry
from inspect_app.domain.entry_check import Checked, EntryContext, check_entry
from inspect_app.domain.entry_reader import Parsed, parse_entry
from inspect_app.domain.entry_stop import readable_stops, stops_of
from inspect_app.domain.ids import uuid7
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.role import Role
from inspect_app.domain.walk import WalkState
from inspect_app.store.checklist import load_checklists

CHECKLIST = load_checklists(settings_for(checklists_dir() / "no data folder"))[0]["grid-quarterly"]
HOUSE, PART, PERSON, OTHER, DEVICE, WALK, SET = (uuid7(1_772_600_000_000 + n, n) for n in range(7))
AT = datetime(2026, 3, 4, 19, 22, 5, 120_000, tzinfo=UTC)
REVISION = CHECKLIST.revision or "0" * 64
POINTS = [p.id for p in CHECKLIST.points_for(PartKind.LOFT_BLOCK) if p.in_pass == "grid/static"]


def envelope(kind: str, /, **given: Any) -> dict[str, Any]:
    return {
        "schema": 1, "kind": kind, "id": uuid7(1_772_652_125_120, 99), "house": HOUSE, "walk": WALK, "device": DEVICE,
        "seq": 212, "recorded_at": "2026-03-04T19:22:05.120Z", "tz": "America/Chicago", "mono_ms": 8123456,
        "app": "0.3.0", "by": PERSON, "with": [OTHER], "called_by": None, **given,
    }  # fmt: skip


def a_look(**given: Any) -> dict[str, Any]:
    return envelope(
        "look",
        **{
            "tap": uuid7(1_772_652_125_120, 5), "part": PART, "life": None, "tag_seen": "LB 12-3",
            "checklist": "grid-quarterly", "revision": REVISION, "pass": "grid/static", "points": POINTS[:1],
            "result": "no_finding", "ways": ["handled"], "reason": None, "findings": [], "measures": [], "photos": [],
            "note": "", "replaces": [], "adds_to": None, **given,
        },
    )  # fmt: skip


def a_finding(**given: Any) -> dict[str, Any]:
    return {
        "point": POINTS[0],
        "point_text": "as seen",
        "defect": None,
        "answer": "new",
        "of": None,
        "grade": "stop_use",
        "wear": 3,
        "note": "loose",
        **given,
    }


def context(**given: Any) -> EntryContext:
    facts: dict[str, Any] = {
        "house": HOUSE, "sender": PERSON, "sending_device": DEVICE, "owner": PERSON,
        "roles": {PERSON: frozenset({Role.TD})}, "received_at": AT + timedelta(seconds=20), "skew_ms": 200,
        "walk_state": WalkState.OPEN, "part": Part(PART, HOUSE, SET, PartKind.LOFT_BLOCK, "LB 12-3", SET, 3),
        "checklist": CHECKLIST, **given,
    }  # fmt: skip
    return EntryContext(**facts)


def checked(data: dict[str, Any], **given: Any) -> Checked:
    parsed = parse_entry(data)
    assert parsed.entry is not None, parsed.problems
    return check_entry(parsed.entry, context(**given))


def fields(result: Checked | Parsed) -> set[str]:
    return {problem.field for problem in result.problems}


def codes(result: Checked) -> set[str]:
    return {remark.code for remark in result.remarks}


def test_a_whole_look_is_read_and_nothing_is_said_against_it() -> None:
    parsed = parse_entry(a_look(result="finding", findings=[a_finding()]))
    assert isinstance(parsed.entry, LookEntry)
    assert parsed.problems == parsed.unread == ()
    assert parsed.entry.envelope.recorded_at == AT
    assert parsed.entry.findings[0].wear == 3
    result = check_entry(parsed.entry, context())
    assert result == Checked((), (), (POINTS[0],), (), result.proposed, False, False, Competence.COMPETENT)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"schema": 2}, "schema"),
        ({"schema": True}, "schema"),
        ({"schema": None}, "schema"),
        ({"kind": "walk"}, "kind"),
        ({"kind": None}, "kind"),
        ({"id": PERSON.upper()}, "id"),
        ({"id": None}, "id"),
        ({"house": "x"}, "house"),
        ({"walk": None}, "walk"),
        ({"walk": "x"}, "walk"),
        ({"device": 7}, "device"),
        ({"seq": 0}, "seq"),
        ({"seq": "1"}, "seq"),
        ({"seq": 1.5}, "seq"),
        ({"seq": 2**60}, "seq"),
        ({"recorded_at": "yesterday"}, "recorded_at"),
        ({"recorded_at": "2026-03-04T19:22:05"}, "recorded_at"),
        ({"recorded_at": "2026-02-30T19:22:05Z"}, "recorded_at"),
        ({"recorded_at": "0001-01-01T00:00:00+23:59"}, "recorded_at"),
        ({"recorded_at": "0001-01-01T12:00:00Z"}, "recorded_at"),
        ({"recorded_at": "9999-12-31T12:00:00Z"}, "recorded_at"),
        ({"by": ""}, "by"),
        ({"with": "x"}, "with"),
        ({"with": [None]}, "with[0]"),
        ({"part": None}, "part"),
        ({"revision": "abc"}, "revision"),
        ({"pass": "grid"}, "pass"),
        ({"points": [1]}, "points[0]"),
        ({"points": {}}, "points"),
        ({"points": ["x"] * 501}, "points"),
        ({"result": "fine"}, "result"),
        ({"ways": ["licked"]}, "ways[0]"),
        ({"note": "x" * 4001}, "note"),
        ({"note": "\x00"}, "note"),
        ({"photos": ["a.jpg"]}, "photos[0]"),
        ({"findings": [None]}, "findings[0]"),
        ({"findings": [a_finding(grade="awful")]}, "findings[0].grade"),
        ({"findings": [a_finding(wear=5)]}, "findings[0].wear"),
        ({"findings": [a_finding(wear=True)]}, "findings[0].wear"),
        ({"findings": [a_finding(answer=None)]}, "findings[0].answer"),
        ({"measures": [{"point": "p", "quantity": "q", "value": 0.1, "unit": "in"}]}, "measures[0].value"),
        ({"measures": [{"point": "p", "quantity": "q", "value": "1e5", "unit": "in"}]}, "measures[0].value"),
        ({"measures": [{"point": "p", "quantity": "q", "value": "1", "unit": ""}]}, "measures[0].unit"),
    ],
)
def test_what_cannot_be_read_is_named_by_its_path(change: dict[str, Any], field: str) -> None:
    parsed = parse_entry(a_look(**change))
    assert parsed.entry is None
    assert field in fields(parsed)


@pytest.mark.parametrize("data", [None, 3, "look", [], [a_look()]])
def test_an_entry_that_is_no_object_is_named_as_such(data: object) -> None:
    assert parse_entry(data).problems[0].message == "an entry must be a JSON object"


def test_every_problem_is_named_not_only_the_first() -> None:
    assert fields(parse_entry(a_look(seq=0, ways=["licked"], note=4))) == {"seq", "ways[0]", "note"}


@pytest.mark.parametrize(
    ("change", "facts", "field"),
    [
        ({}, {"house": OTHER}, "house"),
        ({}, {"owner": None}, "device"),
        ({}, {"walk_elsewhere": True}, "walk"),
        ({}, {"part": None}, "part"),
        ({}, {"checklist": None}, "revision"),
        ({"checklist": "rail-deck-monthly"}, {}, "checklist"),
        ({"pass": "attic/static"}, {}, "pass"),
        ({"findings": [a_finding()]}, {}, "result"),
        ({"result": "finding"}, {}, "findings"),
        ({"result": "withdrawn"}, {}, "replaces"),
        ({"result": "not_reached"}, {}, "reason"),
        ({"result": "not_applicable", "reason": "  "}, {}, "reason"),
        ({"replaces": [uuid7(1_772_652_125_120, 99)]}, {}, "replaces"),
    ],
)
def test_what_contradicts_itself_or_names_the_unknown_is_held(
    change: dict[str, Any], facts: dict[str, Any], field: str
) -> None:
    assert field in fields(checked(a_look(**change), **facts))


@pytest.mark.parametrize(
    ("change", "facts", "code"),
    [
        ({"device": OTHER}, {}, "other_device"),
        ({"by": OTHER}, {"roles": {PERSON: frozenset({Role.TD}), OTHER: frozenset({Role.TD})}}, "author_not_owner"),
        ({"by": OTHER}, {}, "author_unknown"),
        ({}, {"seq_taken": True}, "seq_taken"),
        ({}, {"skew_ms": 301_000}, "clock_skew"),
        ({}, {"skew_ms": -172_800_000}, "clock_skew"),
        ({"recorded_at": "2026-03-04T19:28:00Z"}, {}, "time_ahead"),
        ({}, {"walk_state": WalkState.SEALED}, "late"),
        ({}, {"life_known": False}, "life_unknown"),
        ({"ways": []}, {}, "no_way"),
        ({"tag_seen": "LB 1-1"}, {}, "tag_changed"),
        ({"points": ["no-such-point"]}, {}, "not_counted"),
        ({"result": "finding", "findings": [a_finding(point="no-such-point")]}, {}, "point_unknown"),
        ({"result": "finding", "findings": [a_finding(answer="worse")]}, {}, "of_missing"),
        ({"measures": [{"point": POINTS[0], "quantity": "q", "value": "1", "unit": "ells"}]}, {}, "unit_unknown"),
    ],
)
def test_what_is_only_odd_is_stored_with_a_remark(change: dict[str, Any], facts: dict[str, Any], code: str) -> None:
    result = checked(a_look(**change), **facts)
    assert result.problems == ()
    assert code in codes(result)


@pytest.mark.parametrize("skew_ms", [None, 0, 300_000, -300_000])
def test_a_clock_within_five_minutes_is_not_remarked_upon(skew_ms: int | None) -> None:
    assert "clock_skew" not in codes(checked(a_look(), skew_ms=skew_ms))


def test_lowering_the_proposed_grade_without_a_reason_is_remarked_upon() -> None:
    point = next(p for p in CHECKLIST.points_for(PartKind.LOFT_BLOCK) if p.grade.value == "stop_use")
    low = a_finding(point=point.id, grade="watch")
    assert "lower_without_reason" in codes(checked(a_look(result="finding", findings=[low])))
    low["grade_reason"] = "only the paint"
    result = checked(a_look(result="finding", findings=[low]))
    assert "lower_without_reason" not in codes(result)
    assert [grade.value for grade in result.proposed if grade] == ["stop_use"]


@pytest.mark.parametrize(
    ("by", "roles", "wanted"),
    [
        (PERSON, {PERSON: frozenset({Role.TD})}, False),
        (PERSON, {PERSON: frozenset({Role.MANAGER})}, False),
        (PERSON, {PERSON: frozenset({Role.HELPER})}, True),
        (PERSON, {PERSON: frozenset({Role.HELPER, Role.TD})}, False),
        (PERSON, {PERSON: frozenset()}, True),
        (OTHER, {PERSON: frozenset({Role.HELPER}), OTHER: frozenset({Role.TD})}, True),
        (OTHER, {PERSON: frozenset({Role.TD}), OTHER: frozenset({Role.HELPER})}, True),
        (OTHER, {PERSON: frozenset({Role.TD})}, True),
    ],
)
def test_a_helpers_entry_needs_a_countersign_also_under_another_name(
    by: str, roles: dict[str, frozenset[Role]], wanted: bool
) -> None:
    assert checked(a_look(by=by), roles=roles).needs_countersign is wanted


def test_a_helper_who_names_another_author_gains_no_competence() -> None:
    feel = next(p.id for p in CHECKLIST.points_for(PartKind.LOFT_BLOCK) if p.competence.value == "competent")
    roles = {PERSON: frozenset({Role.HELPER}), OTHER: frozenset({Role.INSPECTOR})}
    assert checked(a_look(by=OTHER, points=[feel]), roles=roles).counted == ()
    assert checked(a_look(by=PERSON, called_by=OTHER, points=[feel]), roles=roles).counted == (feel,)


def test_a_member_nobody_knows_is_kept_and_named() -> None:
    parsed = parse_entry({**a_look(findings=[a_finding(colour="red")], result="finding"), "smell": "burnt"})
    assert parsed.entry is not None
    assert set(parsed.unread) == {"smell", "findings[0].colour"}


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({}, "line_set"),
        ({"line_set": SET, "area": SET}, "line_set"),
        ({"of": PART}, "step"),
        ({"step": "told_rail"}, "of"),
        ({"of": PART, "step": "told_rail", "line_set": SET}, "line_set"),
    ],
)
def test_a_stop_names_one_thing_or_the_stop_it_follows(change: dict[str, Any], field: str) -> None:
    assert field in fields(checked(envelope("stop", why="frayed", **change)))


def test_a_stop_needs_no_walk() -> None:
    parsed = parse_entry({**envelope("stop", why="frayed", line_set=SET), "walk": None})
    assert isinstance(parsed.entry, StopEntry)
    assert check_entry(parsed.entry, context(walk_state=None)).problems == ()
    assert [(stop.scope, stop.id) for stop in stops_of(parsed.entry)] == [("line_set", SET)]


def test_a_finding_of_stop_use_stops_its_part_and_milder_ones_do_not() -> None:
    entry = parse_entry(a_look(result="finding", findings=[a_finding(grade="watch"), a_finding()])).entry
    assert entry is not None
    assert [(stop.scope, stop.id, stop.why) for stop in stops_of(entry)] == [("part", PART, "loose")]
    mild = parse_entry(a_look(result="finding", findings=[a_finding(grade="restrict")])).entry
    assert mild is not None
    assert stops_of(mild) == ()


@pytest.mark.parametrize(
    ("note", "finding", "words"),
    [
        ("", {"note": "loose"}, "loose"),
        ("bore cracked", {"note": ""}, "bore cracked"),  # a phone keeps what is typed with the look
        ("", {"note": "", "defect": "one-sided"}, "one sided"),
        ("bore cracked", {"note": "", "defect": "one-sided"}, "one sided: bore cracked"),
        ("", {"note": "", "point_text": "Groove is round"}, "Not as it ought to be: Groove is round"),
    ],
)
def test_a_stop_says_what_is_wrong_and_never_how_it_ought_to_be(note: str, finding: dict[str, Any], words: str) -> None:
    told = a_look(result="finding", findings=[a_finding(**finding)], note=note)
    entry = parse_entry(told).entry
    assert entry is not None
    assert [stop.why for stop in stops_of(entry)] == [words]
    broken = {**told, "seq": None}
    if "defect" not in finding:
        assert [stop.why for stop in readable_stops(broken)] == [words]


def test_what_is_typed_with_a_look_of_two_findings_belongs_to_neither_alone() -> None:
    two = [a_finding(note=""), a_finding(note="", point_text="Groove is round")]
    entry = parse_entry(a_look(result="finding", findings=two, note="see both")).entry
    assert entry is not None
    assert "see both" not in stops_of(entry)[0].why


@given(
    st.sampled_from(["schema", "seq", "id", "points", "ways", "revision", "pass", "recorded_at", "house"]), st.data()
)
def test_a_stop_is_read_out_of_what_is_otherwise_unreadable(name: str, data: st.DataObject) -> None:
    broken = a_look(result="finding", findings=[a_finding()])
    broken[name] = data.draw(st.none() | st.integers() | st.text(max_size=5) | st.lists(st.integers(), max_size=2))
    assert [stop.id for stop in readable_stops(broken)] == [PART]


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=8) | st.floats(allow_nan=False),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)
KINDS: dict[str, dict[str, Any]] = {
    "look": a_look(
        result="finding", findings=[a_finding()], measures=[{"point": "p", "quantity": "q", "value": "1", "unit": "in"}]
    ),
    "stop": envelope("stop", why="x", line_set=SET),
    "opening": envelope(
        "opening",
        title="x",
        date_local="2026-03-04",
        scope={"checklists": [{"id": "grid-quarterly", "revision": REVISION}], "line_sets": None, "areas": None},
        people={"aloft": ["A"], "deck": "B", "radio": "", "rescue": "C", "down_at": "21:00"},
        hangs={SET: "legs"},
        cautions_read=True,
    ),
    "closing": envelope(
        "closing",
        count=3,
        last_seq=9,
        ids_sha256="0" * 64,
        people_down=[{"name": "A", "at": "21:00"}],
        tools_counted=True,
        sets_locked=True,
        locks_left="none",
        note="",
    ),
    "event": envelope("event", what="water on the grid", note=""),
}


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_each_kind_is_read_whole(kind: str) -> None:
    parsed = parse_entry(KINDS[kind])
    assert parsed.problems == parsed.unread == ()
    assert parsed.entry is not None
    assert check_entry(parsed.entry, context()).problems == ()


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, item in inner for place in places(item, (*path, key)))]


@given(st.sampled_from(sorted(KINDS)), st.data())
def test_junk_at_any_place_is_read_or_named_and_never_fails(kind: str, data: st.DataObject) -> None:
    entry = copy.deepcopy(KINDS[kind])
    place = data.draw(st.sampled_from(places(entry)[1:]))
    inside: Any = entry
    for key in place[:-1]:
        inside = inside[key]
    if data.draw(st.booleans()) and isinstance(inside, dict):
        del inside[place[-1]]
    else:
        inside[place[-1]] = data.draw(JUNK)
    parsed = parse_entry(entry)
    assert (parsed.entry is None) == bool(parsed.problems)
    if parsed.entry is not None:
        check_entry(parsed.entry, context())
    for problem in parsed.problems:
        assert problem.message
    readable_stops(entry)


@given(JUNK)
def test_junk_by_itself_is_never_an_entry(junk: object) -> None:
    assert parse_entry(junk).entry is None
    assert readable_stops(junk) == ()
