"""Signing in values and choosing what governs: who may, what is asked, what is kept, where it shows."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app import clock
from inspect_app.actions.hand_over_facts import facts_of
from inspect_app.actions.house_criteria import choose_governing, choose_place, sign_value, withdraw_value
from inspect_app.actions.pack import prepare_pack
from inspect_app.actions.seal import draft_data
from inspect_app.config import Settings, shared_dir
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.hand_over import Period
from inspect_app.domain.hand_over_section import sections_of
from inspect_app.domain.house import House
from inspect_app.domain.house_rule import Strictness
from inspect_app.domain.ids import to_key
from inspect_app.domain.part import Life
from inspect_app.domain.person import Person
from inspect_app.domain.report import build_report
from inspect_app.domain.role import Role
from inspect_app.store.checklist import load_shelf
from inspect_app.store.house_criteria import criteria_for, list_governing_choices, list_signed_values
from inspect_app.store.part import add_lives, list_lives, set_life
from inspect_app.store.reference import reference_at
from tests.walk_builder import BuiltWalk, add_person

BASE = reference_at(shared_dir()).criteria
NOW = datetime(2026, 3, 4, 12, tzinfo=UTC)
FIGURES = {
    "rule": "iso14122-slot-people", "figures": ["20"], "unit": "mm", "op": "at_least", "edition": "2016",
    "clause": "4.2.4", "name": "Ann Roe", "credential": "Inspector 7", "on": "2026-03-01",
}  # fmt: skip
CHOICE = {
    "criterion": "rope-diameter", "source": "tm-5-3810-302-10", "name": "Ann Roe", "credential": "Inspector 7",
    "reason": "the maker's own table",
}  # fmt: skip


@pytest.fixture
def inspector(db: Database, house: House) -> Person:
    return add_person(db, house, "Ann Roe", Role.INSPECTOR)


def sign(db: Database, house: House, person: Person, **fields):
    return sign_value(db, at=NOW, actor=person.id, house=house.id, base=BASE, **{**FIGURES, **fields})


def choose(db: Database, house: House, person: Person, at: datetime = NOW, **fields):
    shelf = load_shelf(Settings(shared_dir(), shared_dir().parent / "checklists", shared_dir()))
    checklists = tuple(shelf.checklists.values())
    given = {**CHOICE, **fields}
    return choose_governing(db, at=at, actor=person.id, house=house.id, base=BASE, checklists=checklists, **given)


def active(db: Database, house: House) -> set[str]:
    rules = criteria_for(db, house.id, BASE)["deck-slot-width"].rules
    return {rule.id for rule in rules if rule.active}


def journal(db: Database) -> list[str]:
    return [action for (action,) in db.execute("SELECT action FROM journal WHERE action LIKE 'criteria.%' ORDER BY n")]


@pytest.mark.parametrize("role", Role)
def test_only_a_qualified_inspector_signs_a_value_in(db, house, role) -> None:
    person = add_person(db, house, "Somebody", role)
    if role is Role.INSPECTOR:
        assert sign(db, house, person).rule == "iso14122-slot-people"
        return
    with pytest.raises(NotAllowed):
        sign(db, house, person)
    assert list_signed_values(db, house.id) == []
    assert journal(db) == []


@pytest.mark.parametrize("role", Role)
def test_only_a_qualified_inspector_chooses_what_is_not_plainly_the_strictest(db, house, role) -> None:
    person = add_person(db, house, "Somebody", role)
    if role is Role.INSPECTOR:
        assert choose(db, house, person).strictness != Strictness.STRICTEST
        return
    with pytest.raises(NotAllowed):
        choose(db, house, person)
    assert list_governing_choices(db, house.id) == []


def test_a_signed_value_holds_in_its_house_alone_until_withdrawn(db, house, other_house, inspector) -> None:
    sign(db, house, inspector)
    assert active(db, house) == active(db, other_house) | {"iso14122-slot-people"}
    later = NOW + timedelta(days=1)
    withdraw_value(db, at=later, actor=inspector.id, house=house.id, rule="iso14122-slot-people", reason="wrong page")
    assert active(db, house) == active(db, other_house)
    assert [(one.withdrawn, one.reason, one.by) for one in list_signed_values(db, house.id)] == [
        (False, "", "Ann Roe"), (True, "wrong page", "Ann Roe")
    ]  # fmt: skip
    assert journal(db) == ["criteria.sign", "criteria.withdraw"]
    with pytest.raises(NotFound):
        withdraw_value(db, at=later, actor=inspector.id, house=house.id, rule="iso14122-slot-people", reason="again")


@pytest.mark.parametrize(("fields", "error", "field"), [
    ({"figures": ["wide"]}, BadValue, "figures"), ({"figures": []}, BadValue, "figures"),
    ({"figures": ["0"]}, BadValue, "figures"), ({"unit": "furlong"}, BadValue, None),
    ({"op": "less_than"}, BadValue, "op"),
    ({"edition": " "}, BadValue, "edition"), ({"clause": ""}, BadValue, "clause"), ({"name": ""}, BadValue, "name"),
    ({"credential": ""}, BadValue, "credential"), ({"on": "today"}, BadValue, "on"),
    ({"on": "2026-03-05"}, BadValue, "on"),
    ({"rule": "osha-slot-hole"}, Conflict, None), ({"rule": "no-such"}, NotFound, None),
    ({"name": "x" * 501}, BadValue, "name"),
])  # fmt: skip
def test_what_does_not_fit_is_refused_by_field_and_nothing_kept(db, house, inspector, fields, error, field) -> None:
    with pytest.raises(error) as caught:
        sign(db, house, inspector, **fields)
    assert field is None or caught.value.field == field
    assert list_signed_values(db, house.id) == []


@pytest.mark.parametrize("missing", ["name", "credential", "reason"])
def test_a_choice_less_strict_or_not_comparable_asks_for_name_credential_and_reason(
    db, house, inspector, missing
) -> None:
    with pytest.raises(BadValue) as caught:
        choose(db, house, inspector, **{missing: " "})
    assert caught.value.field == missing
    with pytest.raises(BadValue):
        choose(db, house, inspector, source="nobody")
    with pytest.raises(NotFound):
        choose(db, house, inspector, criterion="nothing")
    with pytest.raises(NotFound):
        choose(db, house, inspector, source="", reason="never chosen")


def test_nothing_governs_what_is_seen(db, house, inspector) -> None:
    with pytest.raises(BadValue, match="outside by every document"):
        choose(db, house, inspector, criterion="rope-distortion", source="29cfr1926.1413")
    assert list_governing_choices(db, house.id) == []


def test_a_figure_stays_in_force_with_its_name_when_who_signed_it_has_left(db, house, inspector) -> None:
    sign(db, house, inspector)
    db.execute("DELETE FROM membership WHERE person = ?", (to_key(inspector.id),))
    (rule,) = [one for one in criteria_for(db, house.id, BASE)["deck-slot-width"].rules if one.signed]
    assert rule.signed is not None
    assert rule.signed.words == "entered by Ann Roe, Inspector 7, 2026-03-01 from 2016"
    with pytest.raises(NotAllowed):
        sign(db, house, inspector, figures=["21"])


def test_a_figure_entered_anew_takes_the_place_of_the_earlier_one(db, house, inspector) -> None:
    sign(db, house, inspector)
    sign_value(
        db, at=NOW + timedelta(hours=1), actor=inspector.id, house=house.id, base=BASE,
        **{**FIGURES, "figures": ["18"], "edition": "2020"},
    )  # fmt: skip
    (rule,) = [one for one in criteria_for(db, house.id, BASE)["deck-slot-width"].rules if one.signed]
    assert rule.signed is not None
    assert (rule.signed.figures, rule.signed.edition) == (("18",), "2020")
    assert len(list_signed_values(db, house.id)) == 2


def test_a_choice_can_be_taken_back_and_all_of_it_stays_on_record(db, house, inspector) -> None:
    choose(db, house, inspector)
    assert criteria_for(db, house.id, BASE)["rope-diameter"].governing is not None
    choose(db, house, inspector, at=NOW + timedelta(hours=1), source="", reason="new inspector")
    assert criteria_for(db, house.id, BASE)["rope-diameter"].governing is None
    assert [one.source for one in list_governing_choices(db, house.id)] == ["tm-5-3810-302-10", ""]
    assert journal(db) == ["criteria.govern", "criteria.govern"]


def test_both_records_are_written_once(db, house, inspector) -> None:
    sign(db, house, inspector)
    choose(db, house, inspector)
    for statement in ("UPDATE signed_value SET name = 'x'", "DELETE FROM governing_choice"):
        with pytest.raises(sqlite3.IntegrityError, match="written once"):
            db.execute(statement)


def test_the_place_of_a_house_decides_which_local_rules_hold(db, house) -> None:
    keeper = add_person(db, house, "Kit Poe", Role.TD)
    choose_place(db, at=NOW, actor=keeper.id, house=house.id, place="NO")
    assert journal(db) == ["criteria.place"]
    with pytest.raises(BadValue):
        choose_place(db, at=NOW, actor=keeper.id, house=house.id, place="Atlantis")
    with pytest.raises(NotAllowed):
        choose_place(db, at=NOW, actor=add_person(db, house, "A", Role.HELPER).id, house=house.id, place="EU")


def figure(hint: str) -> list[dict[str, object]]:
    return [{
        "point": "lift-line-diameter", "quantity": "rope_diameter", "value": "0.230", "unit": "in", "typed": "0.230",
        "readings": ["0.230"], "station": None, "gauge": None, "resolution": "", "load_state": "", "hint": hint,
    }]  # fmt: skip


def gauge_walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    """A yearly walk in a house with one lift line of a quarter inch."""
    db.execute("UPDATE part SET kind = 'lift_line', tag = 'LL 1-1' WHERE tag = 'LB 1-1'")
    db.execute("UPDATE part_life SET attributes = ?", (json.dumps({"rope_diameter_mm": "6.35"}),))
    walk = BuiltWalk(db, settings, house, "annual-hands-on")
    walk.open()
    return walk


def test_the_paper_says_what_governs_how_it_was_read_and_where_the_phone_said_otherwise(
    db: Database, settings: Settings, house: House, inspector: Person
) -> None:
    walk = gauge_walk(db, settings, house)
    walk.look("LL 1-1", measures=figure("inside"), points=["lift-line-diameter"])
    choose(db, house, inspector)
    data = json.loads(draft_data(db, house.id, walk.id, BASE))
    (row,) = data["measures"]
    assert row["governing"].startswith("governing here: US Army TM 5-3810-302-10 (chosen by Ann Roe, Inspector 7, ")
    assert "because the maker's own table); also shown: 29 CFR 1926.1413" in row["governing"]
    assert row["differs"].startswith("When this was typed, it was inside; judged here it is outside.")
    assert {v["source"]: v["governing"] for v in row["verdicts"]}["US Army TM 5-3810-302-10"] is True
    (shown,) = build_report(data).measures
    lines = [line for group in shown.groups for line in group.rules]
    assert any(line.startswith("governing here: outside when less than") for line in lines)
    assert all("[text read]" in line or "[from a secondary source]" in line for line in lines)
    assert shown.governing == row["governing"]
    assert shown.differs == row["differs"]


@pytest.mark.parametrize(
    ("hint", "value", "said"),
    [
        ("outside", "0.230", ""),
        ("none", "0.250", ""),
        (
            "none",
            "0.230",
            "When this was typed, it was not judged; judged here it is outside. The judgement here counts.",
        ),
        (
            "outside",
            "0.250",
            "When this was typed, it was outside; judged here it is inside. The judgement here counts.",
        ),
    ],
)
def test_where_a_figure_was_judged_otherwise_or_should_have_been_judged_the_paper_says_so(
    db: Database, settings: Settings, house: House, hint: str, value: str, said: str
) -> None:
    walk = gauge_walk(db, settings, house)
    typed = [{**figure(hint)[0], "value": value, "typed": value, "readings": [value]}]
    walk.look("LL 1-1", measures=typed, points=["lift-line-diameter"])
    (row,) = json.loads(draft_data(db, house.id, walk.id, BASE))["measures"]
    assert row["differs"] == said
    assert row["governing"] == ""


@pytest.mark.parametrize("replaced_on", [date(2026, 3, 4), date(2026, 3, 1)], ids=["after the walk", "before it"])
def test_a_figure_is_judged_by_what_hung_there_when_it_was_measured(
    db: Database, settings: Settings, house: House, replaced_on: date
) -> None:
    walk = gauge_walk(db, settings, house)
    part = walk.part("LL 1-1")
    old = list_lives(db, house.id, part.id)[0]
    walk.look("LL 1-1", measures=figure("outside"), points=["lift-line-diameter"], life=old.id)
    thinner = Life(clock.new_id(), part.id, replaced_on, attributes={"rope_diameter_mm": "5"})
    set_life(db, replace(old, retired_on=replaced_on))
    add_lives(db, [thinner])
    data = json.loads(draft_data(db, house.id, walk.id, BASE))
    (row,) = data["measures"]
    outside = any(verdict["state"] == "outside" for verdict in row["verdicts"])
    if replaced_on == date(2026, 3, 4):  # 0.230 in of a quarter-inch rope
        assert outside
        assert row["former"] == "Measured on what hung there until 2026-03-04, and judged by that"
        assert build_report(data).measures[0].former == row["former"]
    else:  # a phone that did not know yet; of a 5 mm rope it is not too thin
        assert not outside
        assert row["former"] == ""
        assert row["differs"].startswith("When this was typed, it was outside; judged here it is inside.")


def test_the_pack_carries_what_governs_and_what_was_signed_in(
    db: Database, settings: Settings, house: House, inspector: Person
) -> None:
    walk = gauge_walk(db, settings, house)
    db.execute(
        "UPDATE part_life SET attributes = ?",
        (json.dumps({"rope_diameter_mm": "6.35", "rope_baseline_mm": "6.5", "rope_core": "steel"}),),
    )
    choose(db, house, inspector)
    sign(db, house, inspector, rule="iso4309-steel-core", figures=["7.5"], unit="", op="at_most")
    pack = prepare_pack(db, settings, at=NOW, device=walk.phone.device, roles=frozenset({Role.TD}))
    told = json.loads(pack.body)
    limits = told["limits"][walk.part("LL 1-1").id]["lift-line-diameter/rope_diameter"]
    by_source = {limit["source"]: limit for limit in limits}
    assert [source for source, limit in by_source.items() if limit["governing"]] == ["US Army TM 5-3810-302-10"]
    assert by_source["ISO 4309"]["value"] == "6.02375"  # 6.5 - 7.5 % of 6.35
    assert by_source["ISO 4309"]["mark"] == "entered by Ann Roe, Inspector 7, 2026-03-01 from 2016, by analogy"
    assert by_source["30 CFR 56.19024"]["mark"] == "text read, by analogy"
    assert told["governing"]["rope-diameter"].startswith("US Army TM 5-3810-302-10 (chosen by Ann Roe, Inspector 7, ")


def test_a_hand_over_pack_says_what_the_record_alone_puts_outside_and_that_nobody_measured_it(
    db: Database, settings: Settings, house: House, inspector: Person
) -> None:
    walk = gauge_walk(db, settings, house)
    now = walk.at + timedelta(hours=1)
    assert facts_of(db, settings, house, Period(), now).worked == []
    rope = {"rope_diameter_mm": "6.35", "rope_construction": "7x19", "rope_baseline_mm": "6.8"}
    db.execute("UPDATE part_life SET attributes = ? WHERE part = ?", (json.dumps(rope), to_key(walk.part("LL 1-1").id)))
    choose(db, house, inspector, criterion="rope-diameter-new", source="faa-ac43.13-1b")
    facts = facts_of(db, settings, house, Period(), now)
    ((parts, figure, said),) = facts.worked
    assert "LL" in parts
    assert "0.2677 in; the first measure recorded, against a nominal 0.25 in" in figure
    assert said.startswith("Outside the cited criterion: take out of use and have a qualified person decide: ")
    assert "FAA AC 43.13-1B" in said.partition("Inside the cited criterion")[2]  # it stands beside the other
    assert "governing here: outside when" in said
    assert "because the maker's own table" in said
    (section,) = (one for one in sections_of(facts) if one.title.startswith("Figures worked out from the record"))
    assert section.rows == ((parts, figure, said),)
    assert "not measured" in section.title
    assert "No walk measured these" in section.says


def test_a_hand_over_pack_says_which_newest_figure_a_limit_puts_outside_and_every_limit_beside_it(
    db: Database, settings: Settings, house: House, inspector: Person
) -> None:
    walk = gauge_walk(db, settings, house)
    walk.look("LL 1-1", measures=figure("inside"), points=["lift-line-diameter"])
    now = walk.at + timedelta(hours=1)
    assert facts_of(db, settings, house, Period(), now).outside == []  # nobody has signed it yet
    walk.close()
    walk.sign(inspector, role=Role.INSPECTOR, name="Ann Roe")
    choose(db, house, inspector)
    ((part, shown, said),) = facts_of(db, settings, house, Period(), now).outside
    assert part == "LL 1-1"
    assert "0.230 in, 2026-03-04" in shown
    outside, inside = said.split("Inside the cited criterion, this measure only: ")
    assert outside.startswith("Outside the cited criterion: take out of use and have a qualified person decide: ")
    assert "29 CFR 1926.1413 (a)(2)(ii)(B) (from a secondary source, by analogy)" in outside
    assert "WAC 296-54-557 (2)(d) (text read, by analogy)" in inside
    assert "governing here: outside when less than" in outside
    assert said.endswith("(chosen by Ann Roe, Inspector 7, 2026-03-04, because the maker's own table).")
