"""An inspector's own inspection: credential as typed, remarks, conditions on use from signature to lifting."""

import json
from datetime import timedelta

import pytest
from sqlite_utils import Database

from inspect_app.actions.restriction import end_restriction, set_restriction
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed
from inspect_app.domain.house import House
from inspect_app.domain.inspection import ConditionOnUse, Inspection
from inspect_app.domain.rail_card import NOTHING_KNOWN
from inspect_app.domain.report import build_report
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.restriction import list_restrictions
from inspect_app.store.seal import get_seal_data, list_seals
from inspect_app.store.set_state import list_other_limits, list_set_states
from tests.walk_builder import BuiltWalk, add_person

UNTIL = "2026-09-30"


def inspection_of(db: Database, house: House, **other: object) -> Inspection:
    first, grid = list_line_sets(db, house.id)[0], list_areas(db, house.id)[-1]
    given = {
        "body": "Invented Board of Riggers", "number": "IBR 0417", "expires": "end of 2027", "remarks": "Seen in dust.",
        "conditions": (
            ConditionOnUse("Not above 90 kg", UNTIL, line_set=first.id),
            ConditionOnUse("Two people on deck", UNTIL, area=grid.id),
        ),
        **other,
    }  # fmt: skip
    return Inspection(**given)


@pytest.fixture
def annual(db: Database, walk: BuiltWalk) -> BuiltWalk:
    built = BuiltWalk(db, walk.settings, walk.house, "annual-hands-on")
    built.td = add_person(db, walk.house, "Mara Okafor", Role.INSPECTOR)
    built.open()
    built.finding("LB 1-1", grade="repair_by", note="side plate cracked")
    built.close()
    return built


def sign(walk: BuiltWalk, inspection: Inspection, **fields: object):
    return walk.sign(role=Role.INSPECTOR, name="Mara Okafor", inspection=inspection, **fields)


def test_what_an_inspector_typed_is_sealed_kept_and_printed(annual: BuiltWalk) -> None:
    signature = sign(annual, inspection_of(annual.db, annual.house))
    (kept,) = list_seals(annual.db, annual.house.id, annual.id)
    assert kept.inspection == signature.inspection
    data = json.loads(get_seal_data(annual.db, annual.house.id, annual.id) or b"")
    said = data["signatures"][0]["inspection"]
    assert (said["body"], said["number"], said["expires"]) == ("Invented Board of Riggers", "IBR 0417", "end of 2027")
    assert [one["scope"] for one in said["conditions"]] == ["Line set 1", "Grid"]
    model = build_report(data)
    assert model.summary[0].label == "Conditions on use"
    assert "Not above 90 kg" in model.summary[0].text
    (shown,) = model.record.signatures
    assert "verifies none" in shown.not_verified
    assert shown.inspection.remarks == "Seen in dust."


def test_a_signature_without_it_has_no_such_key(walk: BuiltWalk) -> None:
    walk.close()
    walk.sign()
    data = json.loads(get_seal_data(walk.db, walk.house.id, walk.id) or b"")
    assert "inspection" not in data["signatures"][0]
    (shown,) = build_report(data).record.signatures
    assert shown.credential_facts == ()


def test_findings_of_an_inspector_stand_in_the_register(annual: BuiltWalk) -> None:
    sign(annual, Inspection())
    (row,) = list_deficiencies(annual.db, annual.house.id, open_only=True)
    assert (row.part_tag, row.grade.value) == ("LB 1-1", "repair_by")


def test_a_condition_stands_on_set_and_card_until_a_qualified_person_lifts_it(annual: BuiltWalk) -> None:
    db, house = annual.db, annual.house
    signature = sign(annual, inspection_of(db, house))
    rows = {one.scope: one for one in list_restrictions(db, house.id)}
    on_set = rows["Line set 1"]
    assert {one.kind for one in rows.values()} == {RestrictionKind.CONDITION}
    assert on_set.report == signature.number
    today = annual.at.date()
    first, second = list_set_states(db, house.id, today)
    assert any("Not above 90 kg" in text and UNTIL in text for text in first.limits)
    assert not second.limits
    assert second.word == NOTHING_KNOWN
    assert first.around == second.around
    assert second.around[0].startswith("Grid: Two people on deck: until")
    assert [what for what, _ in list_other_limits(db, house.id, today)] == ["Grid"]
    after = list_set_states(db, house.id, today.fromisoformat(UNTIL) + timedelta(days=1))[0]
    assert any("expired" in text for text in after.bars)
    common = {"at": annual.at, "house": house.id, "restriction": on_set.id, "reason": "shaft replaced and seen"}
    helper = add_person(db, house, "Sam", Role.HELPER)
    with pytest.raises(NotAllowed):
        end_restriction(db, actor=helper.id, name="Mara", credential="inspector", **common)
    for name, credential, field in (("", "rigger", "name"), ("Mara Okafor", " ", "credential")):
        with pytest.raises(BadValue) as caught:
            end_restriction(db, actor=annual.td.id, name=name, credential=credential, **common)
        assert caught.value.field == field
    end_restriction(db, actor=annual.td.id, name="Mara Okafor", credential="IBR 0417", **common)
    assert on_set.id not in {one.id for one in list_restrictions(db, house.id)}
    ended = next(one for one in list_restrictions(db, house.id, ended=True) if one.id == on_set.id)
    assert (ended.lifted_name, ended.lifted_credential) == ("Mara Okafor", "IBR 0417")
    with pytest.raises(Conflict):
        end_restriction(db, actor=annual.td.id, name="Mara Okafor", credential="IBR 0417", **common)


def test_only_an_inspectors_signature_carries_conditions(db: Database, walk: BuiltWalk) -> None:
    walk.close()
    with pytest.raises(BadValue, match="qualified inspector"):
        walk.sign(inspection=inspection_of(db, walk.house))
    with pytest.raises(BadValue, match="signature"):
        set_restriction(
            db, at=walk.at, today=walk.at.date(), actor=walk.td.id, house=walk.house.id,
            kind=RestrictionKind.CONDITION, texts={"what": "x", "who": "y"}, until=walk.at.date(),
            line_set=list_line_sets(db, walk.house.id)[0].id,
        )  # fmt: skip
    assert not list_restrictions(db, walk.house.id)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"what": " "}, "say what"), ({"until": "soon"}, "YYYY-MM-DD"), ({"until": "2020-01-01"}, "past"),
        ({"line_set": ""}, "choose"), ({"line_set": "0195a000-0000-7000-8000-000000000001"}, "no such"),
    ],
)  # fmt: skip
def test_a_condition_that_cannot_hold_keeps_the_signature_back(annual: BuiltWalk, changed: dict, says: str) -> None:
    first = list_line_sets(annual.db, annual.house.id)[0]
    one = ConditionOnUse(**{"what": "x", "until": UNTIL, "line_set": first.id, **changed})
    with pytest.raises(BadValue, match=says):
        sign(annual, inspection_of(annual.db, annual.house, conditions=(one,)))
    assert not list_seals(annual.db, annual.house.id, annual.id)
    assert not list_restrictions(annual.db, annual.house.id)


def test_a_condition_on_what_is_no_such_place_is_refused_and_its_day_kept_in_one_form(annual: BuiltWalk) -> None:
    first, grid = list_line_sets(annual.db, annual.house.id)[0], list_areas(annual.db, annual.house.id)[-1]
    for place in ({"line_set": grid.id}, {"area": first.id}, {"line_set": first.id, "area": grid.id}):
        wrong = inspection_of(annual.db, annual.house, conditions=(ConditionOnUse("Not above 90 kg", UNTIL, **place),))
        with pytest.raises(BadValue, match="no such line set or area"):
            sign(annual, wrong)
    typed = (ConditionOnUse("Not above 90 kg", "20260930", line_set=first.id),)
    signature = sign(annual, inspection_of(annual.db, annual.house, conditions=typed))
    assert [one.until for one in signature.inspection.conditions] == [UNTIL]
