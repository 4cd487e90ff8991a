"""The report as a value: order, wording, and that nothing is dropped or made milder on its way to paper."""

import copy
import importlib.util
import re
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.report import build_report
from inspect_app.domain.report_record import percent
from inspect_app.domain.report_words import cited, listed, moment, passes, shortened, zone
from inspect_app.domain.tag_runs import natural

PLACE = Path(__file__).parents[1] / "output" / "walk_data_sample.py"


@pytest.fixture(scope="module")
def sample():
    spec = importlib.util.spec_from_file_location("walk_data_sample", PLACE)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def big(sample):
    return sample.walk_data(findings=20, photos=0)[0]


def summary(model):
    return {line.label: line.text for line in model.summary}


def test_findings_stand_gravest_first_and_an_unknown_grade_before_all(big) -> None:
    data = copy.deepcopy(big)
    data["findings"][-1]["grade"] = "never heard of"
    grades = [finding.grade for finding in build_report(data).findings]
    assert grades[0] == "never heard of"
    order = ["stop_use", "restrict", "repair_by", "watch"]
    assert grades[1:] == sorted(grades[1:], key=order.index)


def test_standing_stops_come_first_and_past_ones_are_kept_apart(big) -> None:
    stops = build_report(big).stops
    assert [stop.standing for stop in stops] == [True, False]
    assert stops[0].steps[0].startswith("The rail was told: Joan Pell, 4 March 2026, 13:03")
    assert stops[1].state == "withdrawn"


def test_a_stop_of_unknown_state_counts_as_standing(big) -> None:
    data = copy.deepcopy(big)
    data["tag_outs"][1]["state"] = "who knows"
    assert all(stop.standing for stop in build_report(data).stops)


def test_verdict_words_are_those_of_the_data(big) -> None:
    given_words = [v["words"] for m in big["measures"] for v in m["verdicts"]]
    shown = [v.words for m in build_report(big).measures for v in m.verdicts]
    assert sorted(shown) == sorted(given_words)


def test_measures_outside_a_criterion_come_first_then_those_that_cannot_be_told(big) -> None:
    states = [m.verdicts[0].state for m in build_report(big).measures]
    assert states[:3] == ["outside", "cannot_tell", "cannot_tell"]
    assert "outside" not in states[1:]


def test_the_summary_holds_no_count_of_findings(big) -> None:
    for line in build_report(big).summary:
        assert not re.search(r"\d+ (finding|remark|deficienc|fault)", line.text)


def test_a_part_not_reached_that_the_list_forgets_is_added(big) -> None:
    data = copy.deepcopy(big)
    data["not_reached"] = data["not_reached"][1:]
    model = build_report(data)
    tags = {tag for gap in model.coverage.not_reached for tag in gap.tags}
    assert tags == {p["tag"] for p in data["parts"] if p["result"] == "not_reached"}
    assert any(gap.reason == "reason not recorded" for gap in model.coverage.not_reached)


def test_the_list_says_none_only_when_every_part_has_a_look(sample) -> None:
    data, _ = sample.tiny()
    assert build_report(data).coverage.not_reached_words == "none: every part in scope has a look"
    data["parts"][0]["result"] = "not_looked_at"
    words = build_report(data).coverage.not_reached_words
    assert "every part in scope has a look" not in words
    assert "listed below" in words


def test_an_unknown_result_counts_as_not_looked_at_and_is_listed(sample) -> None:
    data, _ = sample.tiny()
    data["parts"][0]["result"] = "perhaps"
    assert data["parts"][0]["tag"] in {t for gap in build_report(data).coverage.not_looked_at for t in gap.tags}


def test_parts_never_recorded_are_a_list_of_their_own(sample) -> None:
    data, _ = sample.tiny()
    data["parts"][0].update(result="not_looked_at", never_before=True)
    data["parts"][1].update(result="no_finding", never_before=True)
    data["parts"][2].update(result="not_reached", never_before=False)
    never = {tag for gap in build_report(data).coverage.never for tag in gap.tags}
    assert never == {data["parts"][0]["tag"]}


def test_no_stop_is_not_said_to_be_all_well(sample) -> None:
    model = build_report(sample.tiny()[0])
    assert summary(model)["Out of use"].startswith("No stop stands in this record")
    assert not any("safe" in line.text.lower() for line in model.summary)


def test_withdrawn_entries_are_not_left_to_decide(sample) -> None:
    data, _ = sample.tiny()
    data["not_counted"] = [{"part": "HB 1", "by": "A", "why": "withdrawn"}]
    assert "Left to decide" not in summary(build_report(data))
    assert build_report(data).coverage.not_counted


def test_data_with_nothing_in_them_give_a_draft_that_claims_nothing() -> None:
    model = build_report({})
    assert model.draft
    assert summary(model)["Reach"] == "No part was in the scope of this walk."
    assert model.coverage.not_reached_words == "no part was in scope"


@given(
    st.sampled_from(["house", "walk", "report", "parts", "findings", "coverage", "tag_outs", "signatures", "photos"])
)
def test_a_missing_section_is_never_a_crash(sample, key: str) -> None:
    data, _ = sample.tiny()
    del data[key]
    assert build_report(data).title.number


def test_a_lowered_grade_shows_what_was_proposed_and_why(sample) -> None:
    data, _ = sample.walk_data(findings=2, photos=0)
    data["findings"][0].update(grade="watch", proposed_grade="restrict", grade_reason="measured again")
    notes = [finding.grade_note for finding in build_report(data).findings]
    assert "the checklist proposes restrict; reason given: measured again" in notes


@pytest.mark.parametrize(
    ("share", "words"),
    [("0.95", "95 %"), ("0.9499", "94.9 %"), ("0.94999999", "94.9 %"), ("1.0", "100 %"), ("0", "0 %"), ("x", "x")],
)
def test_a_share_is_rounded_down(share: str, words: str) -> None:
    assert percent(share) == words


def test_times_are_shown_in_the_zone_of_the_house_and_a_bare_time_as_it_stands() -> None:
    chicago = zone("America/Chicago")
    assert moment("2026-03-08T07:59:00.000Z", chicago) == "8 March 2026, 01:59"
    assert moment("2026-03-08T08:01:00.000Z", chicago) == "8 March 2026, 03:01"  # clocks go forward at 2:00
    assert moment("2026-03-08T09:30:00", chicago) == "8 March 2026, 09:30"
    assert moment("soon", chicago) == "soon"
    assert zone("Nowhere/Town") is zone("")


@given(st.lists(st.from_regex(r"[A-Z]{2} [0-9]{1,3}(-[0-9]{1,2})?", fullmatch=True)))
def test_tags_sort_by_their_numbers(tags: list[str]) -> None:
    done = sorted(tags, key=natural)
    for first, second in pairwise(done):
        if first[:3] == second[:3]:
            assert int(re.findall(r"\d+", first)[0]) <= int(re.findall(r"\d+", second)[0])


def test_long_lists_of_names_are_cut_without_a_count() -> None:
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert listed(["a", "b", "c"], 2) == "a, b and others"
    assert listed([]) == ""


def test_an_interim_measure_is_claimed_only_while_a_stop_stands_on_the_set_or_part(big) -> None:
    data = copy.deepcopy(big)
    data["findings"] = [
        {**data["findings"][0], "part": tag, "line_set": s} for tag, s in (("LL 12-3", "12"), ("GR 1", None))
    ]
    assert [f.interim for f in build_report(data).findings] == ["out of use, see page one", "none recorded"]
    data["tag_outs"][0]["scope"] = "Grid (GR 1)"
    assert build_report(data).findings[1].interim == "out of use, see page one"
    data["tag_outs"][0]["scope"] = "Grid (GR 11)"
    for line_set in data["line_sets"]:
        line_set["stopped"] = False
    assert {f.interim for f in build_report(data).findings} == {"none recorded"}


def verdict(state, words, n, mark="read", by_analogy=False, unit="mm", limit="6.0325"):
    return {
        "state": state, "words": words, "limit": limit, "op": "outside when less than" if limit else "", "unit": unit,
        "source": f"Rule {n}", "clause": f"clause {n}", "mark": mark, "by_analogy": by_analogy,
    }  # fmt: skip


def figure(*verdicts):
    row = {
        "part": "LL 1-1",
        "point": "p",
        "quantity": "rope_diameter",
        "value": "0.25",
        "unit": "in",
        "verdicts": verdicts,
    }
    return build_report({"measures": [row]}).measures[0]


def test_the_rules_of_a_figure_are_grouped_by_what_they_say_outside_first_and_inside_last() -> None:
    shown = figure(
        verdict("inside", "in", 1), verdict("none", "not judged: x", 2, limit=""), verdict("outside", "out", 3),
        verdict("cannot_tell", "cannot tell", 4), verdict("inside", "in", 5), verdict("unheard of", "what", 6),
    )  # fmt: skip
    assert [group.words for group in shown.groups] == ["what", "out", "cannot tell", "not judged: x", "in"]
    assert [len(group.rules) for group in shown.groups] == [1, 1, 1, 1, 2]


@given(st.lists(st.tuples(st.sampled_from(["inside", "outside", "none", "cannot_tell"]), st.booleans()), max_size=12))
def test_no_rule_and_no_mark_is_lost_in_the_grouping(rules) -> None:
    verdicts = [verdict(state, f"words of {state}", n, by_analogy=by) for n, (state, by) in enumerate(rules)]
    lines = [line for group in figure(*verdicts).groups for line in group.rules]
    assert len(lines) == len(rules)
    for n, (_, by_analogy) in enumerate(rules):
        ending = f"Rule {n}, clause {n} [text read]" + (", by analogy" if by_analogy else "")
        assert [line for line in lines if line.endswith(f": {ending}")]


def test_a_limit_is_given_in_the_unit_of_the_figure_beside_its_own() -> None:
    rules = figure(verdict("inside", "in", 1), verdict("inside", "in", 2, unit="in", limit="0.24")).groups[0].rules
    assert rules[0].startswith("outside when less than 0.2375 in (6.0325 mm): ")  # 25.4 mm to the inch, NIST SP 811
    assert rules[1].startswith("outside when less than 0.24 in: ")


@pytest.mark.parametrize(  # 1 lb under standard gravity weighs 1 lbf = 4.4482216152605 N, NIST SP 811
    ("limit", "unit", "shown_in", "words"),
    [
        ("about 22.6796", "kg", "N", "about 222.41 N (about 22.6796 kg)"),
        ("50", "lb", "lbf", "50 lbf (50 lb)"),
        ("about 6.1667", "mm", "in", "about 0.24278 in (about 6.1667 mm)"),
        ("about 2500.1234", "N", "kg", "about 254.94 kg (about 2500.1234 N)"),
        ("about 2", "in", "in", "about 2 in"),
        ("20", "kg", "mm", "20 kg"),
    ],
)
def test_a_limit_on_a_mass_is_given_as_the_pull_that_was_measured(
    limit: str, unit: str, shown_in: str, words: str
) -> None:
    row = {"part": "TV 1", "point": "p", "quantity": "imbalance", "value": "1", "unit": shown_in}
    said = {"state": "outside", "words": "out", "limit": limit, "op": "more than", "unit": unit, "source": "S"}
    for state, expected in (("outside", words), ("none", f"{limit} {unit}")):
        shown = build_report({"measures": [{**row, "verdicts": [{**said, "state": state}]}]}).measures[0]
        assert shown.groups[0].rules == (f"more than {expected}: S",)


def gap_rows(*rows):
    keys = ("part", "kind_title", "pass", "reason", "by")
    parts = [{"tag": row[0], "kind_title": row[1], "result": "not_reached"} for row in rows]
    return build_report({"parts": parts, "not_reached": [dict(zip(keys, row, strict=True)) for row in rows]}).coverage


def test_what_was_not_reached_is_one_row_for_each_kind_and_reason_whatever_the_pass() -> None:
    rows = gap_rows(
        ("AR 31", "arbor", "bridge/static", "locked", "Ann"), ("BT 2", "batten", "batten/static", "scenery", "Ann"),
        ("AR 31", "arbor", "rail/static", "locked", "Bo"), ("AR 31", "arbor", "rail/moving", "locked", "Bo"),
        ("AR 32", "arbor", "bridge/static", "locked", "Ann"), ("TR 31-1", "trim", "batten/static", "locked", "Ann"),
    ).not_reached  # fmt: skip
    assert [(gap.reason, gap.kind, gap.runs, gap.passes, gap.who) for gap in rows] == [
        ("locked", "arbor", "AR 31", "loading bridge, at rest; rail, at rest and moving", "Ann, Bo"),
        ("locked", "arbor", "AR 32", "loading bridge, at rest", "Ann"),  # not the same passes: kept apart
        ("locked", "trim", "TR 31-1", "batten, at rest", "Ann"),
        ("scenery", "batten", "BT 2", "batten, at rest", "Ann"),
    ]


PASSES = st.sampled_from(["grid/static", "rail/moving", ""])


@given(
    st.lists(
        st.tuples(st.sampled_from([f"LB {n}-{k}" for n in range(1, 9) for k in (1, 2)]), PASSES, st.sampled_from("abc"))
    )
)
def test_no_part_is_lost_when_rows_are_brought_together(listed_rows) -> None:
    coverage = gap_rows(*((tag, "loft block", during, reason, "Ann") for tag, during, reason in listed_rows))
    found = [(gap.reason, tag) for gap in coverage.not_reached for tag in gap.tags]
    assert sorted(found) == sorted({(reason, tag) for tag, _, reason in listed_rows})


def test_the_reach_is_one_plain_sentence_that_counts_each_part_once(sample) -> None:
    data, _ = sample.tiny()
    for part in data["parts"]:
        part.update(result="no_finding", ways=["seen_close"])
    data["parts"][0]["ways"] = ["handled", "seen_close", "heard"]
    data["parts"][1]["ways"] = ["heard"]
    data["parts"][2].update(result="not_reached", ways=[])
    count = len(data["parts"])
    data["coverage"]["parts"].update(in_scope=count, looked_at=count - 1, not_reached=1)
    assert summary(build_report(data))["Reach"] == (
        f"Of {count} parts in scope, {count - 1} were looked at: 1 with a hand on them, {count - 3} from close by and "
        "1 from afar or by ear; 1 was not."
    )


def test_the_first_decision_is_about_what_is_out_of_use_and_whom_nobody_named(big) -> None:
    data = copy.deepcopy(big)
    data["tag_outs"][0]["responsible"] = ""
    first = build_report(data).summary[0]
    assert first.label == "Decide first"
    assert "Name who mends it, and by when: Line set 12." in first.text
    assert "Nobody is named as responsible for Line set 12." in first.text
    assert first.grave


def test_a_finding_graded_stop_use_where_no_stop_stands_is_the_first_to_decide(big) -> None:
    data = copy.deepcopy(big)
    data["tag_outs"] = []
    for line_set in data["line_sets"]:
        line_set["stopped"] = False
    text = build_report(data).summary[0].text
    assert text.startswith("Take out of use, or say in writing why not: LL 12-3 (F1), graded stop use")


def test_the_title_names_who_kept_the_deck_and_who_recorded_from_where(big) -> None:
    facts = dict(build_report(big).title.facts)
    assert facts["Deck kept by"] == "Joan Pell"
    assert facts["Recorded by"] == "Ines Halloran (grid and access ways); Tomas Reed (loading bridge and rail)"
    assert "Recorded by" not in dict(build_report({}).title.facts)


@pytest.mark.parametrize(
    ("basis", "words"),
    [
        ("29cfr1926.1413 (a)(2)", "29 CFR 1926.1413 (a)(2)"),
        ("wac-296-54-557 (2)", "WAC 296-54-557 (2)"),
        ("wrtb-users-manual table of radii", "Wire Rope Users Manual, table of radii"),
        ("asme-b30.5 5-2.4", "ASME B30.5 5-2.4"),
        ("ansi-e1.4-1 5.2.2.1 (memory)", "ANSI E1.4-1 5.2.2.1 (memory)"),
        ("common practice, no source", "common practice, no source"),
        ("rope-lock-practice", "rope-lock-practice"),
        ("see 29cfr1926", "see 29cfr1926"),
    ],
)
def test_a_basis_is_cited_as_the_trade_does_and_nothing_else_in_it_changes(basis: str, words: str) -> None:
    assert cited(basis) == words


def test_passes_read_in_words_and_an_unknown_one_as_it_stands() -> None:
    assert passes(["grid/static"]) == "grid, at rest"
    assert passes(["roof/wet", "grid"]) == "roof, wet; grid"
    assert passes([]) == ""


@given(st.text(max_size=200), st.integers(10, 80))
def test_a_shortened_text_says_that_it_goes_on(words: str, most: int) -> None:
    short = shortened(words, most)
    assert short == words or (short.endswith("…") and len(short) <= most + 1)
