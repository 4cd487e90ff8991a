"""A measure without a limit here says why: nothing is published, a row is off, or it holds elsewhere."""

from dataclasses import replace

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.asked_limits import part_limits
from inspect_app.domain.judge import Result
from inspect_app.domain.no_limit import no_limit, no_limit_words
from inspect_app.store.reference import reference_at

CRITERIA = reference_at(shared_dir()).criteria
US, EU = {"jurisdiction": "US"}, {"jurisdiction": "EU"}


def test_only_a_criterion_without_rows_says_that_none_is_published() -> None:
    assert no_limit(CRITERIA["house-baseline"], US).words == "no published limit"
    assert no_limit(None, US).result is Result.NO_LIMIT
    said = [no_limit_words(one, US) for one in CRITERIA.values() if one.rules]
    assert "no published limit" not in said


@pytest.mark.parametrize("key", ["ladder-behind-rungs", "ladder-step-across", "ladder-grab-bar"])
def test_a_limit_that_nobody_could_read_is_named_as_off_and_not_denied(key: str) -> None:
    words = no_limit_words(CRITERIA[key], US)
    assert words.startswith("no limit in use: off until a qualified person of the house enters it")
    assert "29 CFR 1910.23 (d)" in words
    assert part_limits(CRITERIA[key], {}).why_not == (words,)


@pytest.mark.parametrize("key", ["headroom", "walkway-width", "floor-step", "guardrail-posts", "rail-clearance"])
def test_a_limit_of_another_place_is_named_with_its_place(key: str) -> None:
    words = no_limit_words(CRITERIA[key], US)
    assert "European Union and United Kingdom: EN ISO 14122" in words
    assert part_limits(CRITERIA[key], US).why_not == (words,)
    assert part_limits(CRITERIA[key], EU).why_not == ()
    assert part_limits(CRITERIA[key], EU).limits


def test_a_ribbon_steel_deck_is_recorded_and_neither_passed_nor_failed() -> None:
    words = no_limit_words(CRITERIA["deck-slot-recorded"], US)
    assert words.startswith("recorded, neither passed nor failed")
    assert "local authority" in words
    assert "who accepted" in words


def test_a_row_that_fits_no_part_like_this_is_said_to_fit_none() -> None:
    everywhere = tuple(
        replace(rule, active=False, mark="read", jurisdictions=()) for rule in CRITERIA["headroom"].rules
    )
    assert "fits this part" in no_limit_words(replace(CRITERIA["headroom"], rules=everywhere), US)


def test_the_width_of_a_hatch_is_recorded_and_leads_to_what_guards_it() -> None:
    words = no_limit_words(CRITERIA["hatch-width-recorded"], US)
    assert words.startswith("recorded, not judged: an open hatch is a hole by the published definition")
    assert no_limit(CRITERIA["hatch-width-recorded"], US).hint == "none"
