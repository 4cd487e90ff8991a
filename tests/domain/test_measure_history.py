"""Which measures stand in one series, and what is said where they do not."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest

from inspect_app.domain.criteria import Consequence, Op
from inspect_app.domain.gauge import Gauge, gauges_by_name
from inspect_app.domain.judge import Limit
from inspect_app.domain.measure_history import (
    Outlook,
    Series,
    TakenMeasure,
    gauge_step,
    histories_of,
    outlook_of,
    step_of,
)
from inspect_app.domain.part import Life
from inspect_app.domain.student_t import StudentT
from inspect_app.domain.trend import Reach, Refusal, Refused, Trend

TABLE = StudentT(Fraction("0.975"), ((1, Fraction("12.706")), (2, Fraction("4.303")), (3, Fraction("3.182"))))
START = date(2024, 1, 10)
NOW = Life("now", "p")
GAUGES = gauges_by_name(
    [Gauge("1", "h", "Caliper C1", "caliper"), Gauge("2", "h", "C2", "caliper"), Gauge("3", "h", "T1", "tape")]
)
ROPE = TakenMeasure(
    "e", "p", "now", START, "line-dia", "rope_diameter", "0.25", "in", ("0.25",),
    "over the loft block", "Caliper C1", "0.0005", "unloaded",
)  # fmt: skip


def taken(values: str, every: int = 100, **change: object) -> list[TakenMeasure]:
    return [
        replace(ROPE, entry=f"e{n}", value=value, on=START + timedelta(n * every), **change)  # type: ignore[arg-type]
        for n, value in enumerate(values.split())
    ]


def limit(value: str, op: Op = Op.LESS_THAN, unit: str = "in") -> Limit:
    return Limit(
        rule=f"r{value}", op=op, value=Fraction(value), unit=unit, consequence=Consequence.LOAD_PATH, basis="nominal",
        window="", source="s", document="Doc", source_title="A document", authority="law", clause="1", mark="read",
        applies_to="", by_analogy=True,
    )  # fmt: skip


def only(measures: list[TakenMeasure], lives: tuple[Life, ...] = (NOW,)) -> Series:
    found = histories_of(measures, lives, GAUGES)
    assert len(found) == 1
    return found[0]


def outlook(measures: list[TakenMeasure], *limits: Limit, lives: tuple[Life, ...] = (NOW,)) -> Outlook:
    return outlook_of(only(measures, lives), limits, TABLE)


def refusal(found: Outlook) -> Refusal:
    assert isinstance(found.trend, Refused)
    return found.trend.reason


WEARING = "0.2550 0.2530 0.2515 0.2490 0.2475"


def test_a_wearing_rope_is_to_be_looked_at_before_a_date() -> None:
    found = outlook(taken(WEARING), limit("0.2400"))
    assert found.before is not None
    assert found.words == f"look again before {found.before.isoformat()} (trend of 5 looks since 2024-01)"


@pytest.mark.parametrize("resolution", ["", "0", "-0.001", "NaN", "Infinity", "1E-90", "0.001 in", "fine"])
def test_a_step_that_cannot_be_read_is_one_in_the_last_place_and_hides_no_measure(resolution: str) -> None:
    one = replace(ROPE, value="0.2405", resolution=resolution)
    assert gauge_step(one) is None
    assert step_of(one) == Fraction("0.0001")
    assert len(only([one]).readings()) == 1


def test_the_earliest_of_several_limits_leads() -> None:
    both = outlook(taken(WEARING), limit("0.2375"), limit("0.2420"))
    assert both.before == outlook(taken(WEARING), limit("0.2420")).before


def test_two_gauges_of_one_class_stand_in_one_series_and_case_and_spaces_do_not_part_them() -> None:
    measures = taken(WEARING)
    measures[1] = replace(measures[1], gauge="c2")
    measures[2] = replace(measures[2], gauge=" caliper  C1", station="Over the loft  block")
    assert len(only(measures).taken) == 5


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"gauge": "T1"}, "with another gauge (tape)"),
        ({"gauge": ""}, "with another gauge (not recorded)"),
        ({"station": "at the arbor"}, "at another place (at the arbor)"),
        ({"load_state": "loaded"}, "in another load state (loaded)"),
    ],
)
def test_measures_of_another_kind_are_not_put_together_and_that_is_said(change: dict[str, str], words: str) -> None:
    measures = taken(WEARING)
    other = [replace(one, **change) for one in measures[:2]]  # type: ignore[arg-type]
    found = histories_of([*other, *measures[2:]], (NOW,), GAUGES)
    assert sorted(len(one.taken) for one in found) == [2, 3]
    large = next(one for one in found if len(one.taken) == 3)
    assert any(words in line for line in large.beside)
    assert refusal(outlook_of(large, [limit("0.24")], TABLE)) is Refusal.TOO_FEW


def test_measures_without_a_gauge_give_no_date() -> None:
    assert refusal(outlook(taken(WEARING, gauge=""), limit("0.24"))) is Refusal.NO_GAUGE


def test_counts_need_no_gauge() -> None:
    counts = taken("0 1 2 4 5", gauge="", resolution="", unit="count", quantity="broken_wires")
    found = outlook(counts, limit("8", Op.AT_LEAST, "count"))
    assert isinstance(found.trend, Trend)


def test_counts_named_with_a_glass_and_without_stand_in_one_series() -> None:
    counts = taken("0 1 2 4 5", gauge="", resolution="", unit="count", quantity="broken_wires")
    counts[:2] = [replace(one, gauge="eye and glass") for one in counts[:2]]
    assert len(only(counts).taken) == 5


def test_a_replaced_part_begins_anew() -> None:
    lives = (Life("now", "p", date(2025, 1, 1)), Life("old", "p", None, date(2025, 1, 1)))
    measures = [replace(one, life="old") for one in taken(WEARING, every=80)]
    fresh = replace(ROPE, entry="new", value="0.2560", on=date(2025, 6, 1))
    found = outlook([*measures, fresh], limit("0.2500"), lives=lives)
    assert refusal(found) is Refusal.REPLACED
    assert "replaced on 2025-01-01" in found.words
    assert [one.entry for one in found.series.taken] == ["new"]
    assert len(found.series.earlier) == 5
    assert found.series.breaks == (date(2025, 1, 1),)


@pytest.mark.parametrize(("on", "doubt"), [(date(2025, 1, 1), False), (date(2025, 1, 2), True)])
def test_a_measure_that_names_what_was_gone_by_its_day_counts_for_neither_and_stays_a_doubt(
    on: date, doubt: bool
) -> None:
    lives = (Life("now", "p", date(2025, 1, 1)), Life("old", "p", None, date(2025, 1, 1)))
    series = only([replace(ROPE, life="old", on=on, value="0.2300")], lives)
    assert series.taken == ()
    assert len(series.earlier) == (not doubt)
    assert ["not known" in one.why_not for one in series.waiting] == [True] * doubt


def test_a_measure_that_names_no_life_goes_by_its_day() -> None:
    lives = (Life("now", "p", START + timedelta(250)), Life("old", "p", None, START + timedelta(250)))
    found = only(taken(WEARING, life=None), lives)
    assert (len(found.taken), len(found.earlier)) == (2, 3)


def test_unsigned_measures_are_shown_and_do_not_count() -> None:
    measures = taken(WEARING)
    measures[4] = replace(measures[4], why_not="not signed yet", value="0.1")
    found = outlook(measures, limit("0.2400"))
    assert len(found.series.waiting) == 1
    assert isinstance(found.trend, Trend)
    assert found.trend.last == measures[3].on


def test_a_passed_limit_leaves_the_verdict_and_gives_no_date() -> None:
    found = outlook(taken(WEARING), limit("0.2480"))
    assert [one.reached.reach for one in found.limits] == [Reach.PASSED]
    assert found.before is None
    assert "the verdict stands" in found.words


def test_a_limit_within_the_gauges_step_cannot_be_told() -> None:
    found = outlook(taken(WEARING), limit("0.24740"))
    assert [one.reached.reach for one in found.limits] == [Reach.CANNOT_TELL]
    assert found.now
    assert found.before is None


def test_a_limit_on_the_far_side_is_not_headed_for() -> None:
    found = outlook(taken(WEARING), limit("0.2700", Op.MORE_THAN))
    assert [one.reached.reach for one in found.limits] == [Reach.AWAY]


def test_without_a_published_limit_only_the_direction_is_shown() -> None:
    assert "no published limit" in outlook(taken(WEARING)).words


def test_inches_and_millimetres_stand_in_one_series_and_give_one_date() -> None:
    measures = taken(WEARING)
    mixed = [
        replace(one, value=str(float(one.value) * 25.4)[:9], unit="mm", resolution="0.0127") if n % 2 else one
        for n, one in enumerate(measures)
    ]
    assert outlook(mixed, limit("0.2400")).before == outlook(measures, limit("0.2400")).before


@pytest.mark.parametrize("value", ["NaN", "inf", "-1", "six", "", "1e999"])
def test_figures_that_cannot_be_are_left_out(value: str) -> None:
    assert len(only([*taken(WEARING), replace(ROPE, entry="bad", value=value)]).taken) == 5


def test_without_the_table_of_quantiles_no_date_is_given() -> None:
    found = outlook_of(only(taken(WEARING)), [limit("0.24")], None)
    assert refusal(found) is Refusal.NO_TABLE


def finer(values: str, day: int, **change: object) -> list[TakenMeasure]:
    return [replace(one, entry="m", gauge="M1", resolution="0.0001", on=START + timedelta(day), **change)  # type: ignore[arg-type]
            for one in taken(values)]  # fmt: skip


def beside(*measures: TakenMeasure, value: str) -> Outlook:
    """The outlook of the wearing rope on one limit with other measures beside it."""
    found = histories_of([*taken(WEARING), *measures], (NOW,), GAUGES)
    return outlook_of(next(one for one in found if len(one.taken) == 5), [limit(value)], TABLE)


def test_a_look_with_a_finer_gauge_answers_the_limit_that_could_not_be_told() -> None:
    """What the words ask for must be able to end what they ask."""
    assert beside(value="0.24740").now
    answered = beside(*finer("0.2475", 420), value="0.24740")
    assert not answered.now
    assert answered.look_again == ""
    assert answered.words == (
        f"answered by a look on {START + timedelta(420)} that is not put together with these measures"
    )


@pytest.mark.parametrize(
    ("change", "answers"),
    [
        ({}, True),
        ({"point": "other", "gauge": "M1"}, True),
        ({"point": "other", "station": ""}, False),
        ({"station": "at the arbor"}, False),
        ({"quantity": "rope_width"}, False),
        ({"resolution": "0.01"}, False),
        ({"why_not": "not signed yet"}, False),
    ],
)
def test_only_a_later_signed_look_at_the_same_place_with_no_coarser_a_step_answers(
    change: dict[str, object], answers: bool
) -> None:
    other = [replace(one, **change) for one in finer("0.2475", 420)]  # type: ignore[arg-type]
    assert beside(*other, value="0.24740").now is not answers
    assert beside(*finer("0.2475", 399), value="0.24740").now


def test_a_look_with_another_gauge_before_the_early_end_leaves_the_date_and_moves_the_next_look() -> None:
    alone = beside(value="0.2400")
    assert alone.before is not None
    day = (alone.before - START).days
    early, late = beside(*finer("0.2470", day - 20), value="0.2400"), beside(*finer("0.2470", day), value="0.2400")
    assert (early.before, early.last_look) == (alone.before, START + timedelta(day - 20))
    assert late.before is None
    assert late.words.startswith("answered by a look on")


def test_two_gauges_of_no_known_kind_are_never_put_together() -> None:
    """*Another gauge* is not a kind: two such need not be alike."""
    gauges = gauges_by_name([Gauge("1", "h", "Jig", "other"), Gauge("2", "h", "Wedge", "other")])
    measures = taken(WEARING, gauge="Jig")
    measures[2:] = [replace(one, gauge="Wedge") for one in measures[2:]]
    found = histories_of(measures, (NOW,), gauges)
    assert sorted((one.gauge, len(one.taken)) for one in found) == [("Jig", 2), ("Wedge", 3)]


def test_what_a_place_that_was_given_up_asks_is_answered_elsewhere_on_the_part() -> None:
    other = finer("0.2475", 420, station="at the arbor")
    for given_up, now in (((), True), (("over the loft block",), False)):
        found = histories_of([*taken(WEARING), *other], (NOW,), GAUGES, given_up)
        series = next(one for one in found if len(one.taken) == 5)
        assert outlook_of(series, [limit("0.24740")], TABLE).now is now


def test_a_figure_written_shorter_does_not_make_the_gauge_coarser() -> None:
    found = outlook(taken("0.25 0.248 0.246 0.244", resolution=""), limit("0.2410"))
    assert isinstance(found.trend, Trend)
    assert found.trend.step == Fraction("0.001")
    assert found.before is not None
    assert refusal(outlook(taken("0.25 0.25 0.25 0.25", resolution=""), limit("0.24"))) is Refusal.TOO_COARSE


def test_a_measure_with_a_limit_is_told_to_be_judged_also_while_there_is_no_trend() -> None:
    few = taken("0.2550 0.2530")
    assert [outlook(few, *limits).judged for limits in ([limit("0.24")], [])] == [True, False]
    assert outlook(few, limit("0.24")).limits == ()
    assert outlook(taken(WEARING), limit("0.24")).judged
