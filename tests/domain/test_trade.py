"""Words of the trade."""

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.trade import TradeWords, parse_trade_words, preset_names
from inspect_app.store.reference import reference_at


@pytest.fixture
def words() -> TradeWords:
    return reference_at(shared_dir()).words


@pytest.mark.parametrize("preset", ["mid", "center", "centre", "numbered"])
@pytest.mark.parametrize("count", range(1, 13))
def test_each_preset_names_every_line_once(words: TradeWords, preset: str, count: int) -> None:
    names = preset_names(words, preset, count)
    assert len(names) == len(set(names)) == count


def test_three_and_six_lines_have_the_customary_names(words: TradeWords) -> None:  # common practice, no source
    assert preset_names(words, "mid", 3) == ("short", "mid", "long")
    assert preset_names(words, "mid", 6) == ("short-short", "short-mid", "mid", "mid-long", "long", "long-long")


@pytest.mark.parametrize("preset", ["center", "centre"])
@pytest.mark.parametrize("count", range(2, 13))
def test_names_mirror_about_the_middle(words: TradeWords, preset: str, count: int) -> None:
    names = preset_names(words, preset, count)
    turned = [n.replace("short", "#").replace("long", "short").replace("#", "long") for n in reversed(names)]
    assert list(names) == turned


@pytest.mark.parametrize(("preset", "count"), [("mid", 0), ("mid", 13), ("mid", -1), ("other", 3)])
def test_an_unknown_preset_or_count_is_refused(words: TradeWords, preset: str, count: int) -> None:
    with pytest.raises(BadValue):
        preset_names(words, preset, count)


def test_a_preset_that_repeats_a_name_is_a_problem() -> None:
    data = {
        "line_names": {"presets": {"p": {"title": "P", "names": {"2": ["short", "short"]}}}},
        "glossary": {"words": []},
    }
    words, problems = parse_trade_words(data)
    assert len(problems) == 12
    assert words.presets["p"].names == {}
