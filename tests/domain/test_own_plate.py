"""Figures on a part's own plate: they judge as recorded, and no figure is ever leave to fly a set out of balance."""

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction as F
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app import clock
from inspect_app.config import Settings, shared_dir
from inspect_app.domain.balance import against_lock
from inspect_app.domain.checklist import checklist_from_json, checklist_to_json
from inspect_app.domain.criteria import Consequence
from inspect_app.domain.house import Area, AreaKind, House, Inventory, LineSet, LineSetKind
from inspect_app.domain.judge import INSIDE_WORDS, OUTSIDE_WORDS, Result, Verdict, judge, limits_for, worst
from inspect_app.domain.judged_measure import judged_measures, judging_attributes
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.walk import Measure
from inspect_app.output.pack_limits import shown_limits
from inspect_app.store.checklist import load_checklists
from inspect_app.store.reference import reference_at

CRITERIA = reference_at(shared_dir()).criteria
LOCK = CRITERIA["lock-imbalance"]
PLATES = [
    ("own-lock", "lock-imbalance", {"imbalance_kg": "20"}, "kg"),
    ("own-bridge", "bridge-stored-mass", {"capacity_kg": "900"}, "kg"),
    ("own-spreaders", "spreader-spacing", {"spreader_spacing_mm": "600"}, "mm"),
]


def said(value: str, unit: str, **attributes: str) -> tuple[Verdict, ...]:
    return judge(Decimal(value), unit, None, limits_for(LOCK, attributes))


@pytest.mark.parametrize(("rule", "criterion", "recorded", "unit"), PLATES)
def test_a_plate_is_exceeded_only_by_more_than_it_says(
    rule: str, criterion: str, recorded: dict[str, str], unit: str
) -> None:
    held = CRITERIA[criterion]
    only = replace(held, rules=tuple(one for one in held.rules if one.id == rule))
    limits = limits_for(only, recorded)
    edge = F(next(iter(recorded.values())))
    results = [judge(value, unit, None, limits)[0].result for value in (edge - F(1, 1000), edge, edge + F(1, 1000))]
    assert results == [Result.INSIDE, Result.INSIDE, Result.OUTSIDE]
    assert limits[0].citation.endswith("(as recorded by the house)")


def test_an_imbalance_reads_balance_the_set_below_the_figure_at_it_and_without_one() -> None:
    figure = {"imbalance_kg": "22.6796185"}  # 50 lb
    for pounds in ("0", "49.99", "50"):
        assert [verdict.words for verdict in said(pounds, "lb", **figure)] == ["balance the set"]
    (over,) = said("50.01", "lb", **figure)
    assert over.result is Result.OUTSIDE
    assert (
        over.words == "outside the cited criterion: take out of use and have a qualified person decide; balance the set"
    )
    (none,) = said("5", "lb")
    assert (none.result, none.words) == (Result.NOT_JUDGED, "no figure: balance the set")
    (near,) = judge(Decimal(50), "lb", Decimal(1), limits_for(LOCK, figure))
    assert near.words == "cannot tell with this gauge; balance the set"


@given(st.integers(0, 10**6), st.one_of(st.none(), st.integers(1, 50_000)))
def test_no_verdict_on_an_imbalance_ever_sounds_like_leave(tenths: int, figure: int | None) -> None:
    """The rule of the walk and that of the workbench say the same, and always *balance the set*."""
    attributes = {} if figure is None else {"imbalance_kg": str(figure)}
    (verdict,) = said(str(Decimal(tenths) / 10), "kg", **attributes)
    bench = against_lock(F(tenths, 10), None if figure is None else F(figure))
    assert verdict.words == bench.words
    assert verdict.words.endswith("balance the set")
    assert INSIDE_WORDS not in verdict.words
    assert (verdict.result is Result.OUTSIDE) == (figure is not None and F(tenths, 10) > figure)


def test_what_trade_texts_say_of_rope_locks_is_shown_and_judges_nothing() -> None:
    practice = [rule for rule in LOCK.rules if rule.id.startswith("practice-lock")]
    assert len(practice) == 3
    assert not any(rule.active for rule in practice)
    assert all("Judges nothing" in rule.note for rule in practice)
    for pounds in ("39", "41", "60", "500"):
        assert worst(said(pounds, "lb")).words == "no figure: balance the set"


def test_a_pull_in_newtons_is_set_against_the_plate_in_pounds_as_the_weight_of_that_mass() -> None:
    figure = {"imbalance_kg": "22.6796185"}  # 50 lb; 50 lbf = 222.4110807630 N
    assert worst(said("222.4", "N", **figure)).words == "balance the set"
    assert worst(said("222.42", "N", **figure)).result is Result.OUTSIDE
    assert OUTSIDE_WORDS[LOCK.consequence].endswith("balance the set")


def inventory(*locks: dict[str, str]) -> tuple[Inventory, Part]:
    house = House(clock.new_id(), "House")
    area = Area(clock.new_id(), house.id, AreaKind.DECK_RAIL, "Rail")
    line_set = LineSet(clock.new_id(), house.id, "1", 0, LineSetKind.SINGLE, 0, lines=5)
    run = Part(clock.new_id(), house.id, area.id, PartKind.SET_TRAVEL, "ST 1", line_set.id)
    rope_locks = [Part(clock.new_id(), house.id, area.id, PartKind.ROPE_LOCK, "RL 1", line_set.id) for _ in locks]
    lives = {
        part.id: Life(clock.new_id(), part.id, attributes=has) for part, has in zip(rope_locks, locks, strict=True)
    }
    return Inventory(house, (area,), (line_set,), (run, *rope_locks), lives), run


def test_an_imbalance_measured_at_the_hand_line_is_judged_by_the_lock_of_its_set() -> None:
    whole, run = inventory({"imbalance_kg": "20"})
    assert judging_attributes(whole, run)["imbalance_kg"] == "20"
    for locks in ((), ({},), ({"imbalance_kg": "20"}, {"imbalance_kg": "30"})):
        assert "imbalance_kg" not in judging_attributes(*inventory(*locks))


def test_the_points_that_measure_against_a_plate_name_its_criterion(settings: Settings) -> None:
    shelf, problems = load_checklists(settings)
    assert not problems
    asked = {
        (point.id, spec.quantity): spec.criterion
        for checklist in shelf.values()
        for point in checklist.points()
        for spec in point.measures
    }
    assert asked["set-travel-force-measured", "imbalance"] == "lock-imbalance"
    assert asked["spreaders-spacing", "spreader_spacing"] == "spreader-spacing"
    assert asked["loading-bridge-stored-mass", "stored_mass"] == "bridge-stored-mass"


def test_an_imbalance_that_an_older_list_left_to_no_limit_is_judged_by_the_lock(
    settings: Settings,
) -> None:
    shelf, _ = load_checklists(settings)
    checklist = next(one for one in shelf.values() if any(p.id == "set-travel-force-measured" for p in one.points()))
    kept = json.loads(json.dumps(checklist_to_json(checklist)).replace('"lock-imbalance"', '"part-plate"'))
    assert kept != checklist_to_json(checklist)
    whole, run = inventory({"imbalance_kg": "20"})
    measure = Measure("entry", run.id, "set-travel-force-measured", "imbalance", "400", "N", "400", "", "", "")
    looks = [SimpleNamespace(measures=[measure])]
    (judged,) = judged_measures(looks, {run.id: run}, whole, [checklist_from_json(kept)], CRITERIA)  # type: ignore[arg-type]
    assert [verdict.result for verdict in judged.verdicts] == [Result.OUTSIDE]


@pytest.mark.parametrize(
    ("plate", "value", "said"),
    [
        ("20", "196.1", "balance the set"),  # 20 kg weigh 196.133 N
        ("20", "196.2", OUTSIDE_WORDS[Consequence.BALANCE]),
        (None, "5", "no figure: balance the set"),
    ],
)  # fmt: skip
def test_a_walk_and_the_phone_say_of_an_imbalance_what_the_lock_says(
    settings: Settings, plate: str | None, value: str, said: str
) -> None:
    whole, run = inventory({"imbalance_kg": plate} if plate else {})
    shelf, _ = load_checklists(settings)
    checklists = [one for one in shelf.values() if any(p.id == "set-travel-force-measured" for p in one.points())]
    assert checklists
    measure = Measure("entry", run.id, "set-travel-force-measured", "imbalance", value, "N", value, "", "", "")
    (judged,) = judged_measures([SimpleNamespace(measures=[measure])], {run.id: run}, whole, checklists, CRITERIA)  # type: ignore[list-item]
    assert [verdict.words for verdict in judged.verdicts] == [said]
    assert judged.to_balance is not judged.outside  # below its figure it is told as well
    shown = shown_limits([run], whole, checklists, CRITERIA)
    key = "set-travel-force-measured/imbalance"
    if plate is None:
        (why_not,) = shown.not_judged[run.id][key]
        assert why_not.startswith(said)
    else:
        (limit,) = shown.limits[run.id][key]
        assert (limit["words_inside"], limit["words_outside"]) == ("balance the set", OUTSIDE_WORDS[LOCK.consequence])
