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
from inspect_app.domain.report_coverage import natural
from inspect_app.domain.report_record import percent
from inspect_app.domain.report_words import listed, moment, zone

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
