"""The benchmarks run, and their table says what each line measured. What they measure is nobody's pass or fail."""

import pytest

from tests.bench.__main__ import BENCHMARKS, main
from tests.bench.measure import Line, duration, in_turn, row


def test_a_line_shows_both_times_their_ratio_and_what_was_measured() -> None:
    text = row(Line("walk", "walked there", "ran there", "one way", 3.0, 0.5))
    assert text.splitlines()[0].split() == ["walk", "3", "s", "500", "ms", "6.0x"]
    for words in ("did:     walked there", "against: ran there", "figures: one way"):
        assert words in text


def test_times_are_written_in_the_unit_that_reads_best() -> None:
    assert [duration(value) for value in (12.34, 0.0123, 0.0000123)] == ["12.3 s", "12.3 ms", "12.3 µs"]


def test_both_sides_are_run_alternately_after_one_round_to_warm_up() -> None:
    calls: list[str] = []
    in_turn(lambda: calls.append("ours"), lambda: calls.append("plain"), rounds=3)
    assert calls == ["ours", "plain"] * 4


@pytest.mark.parametrize("name", [name for name in BENCHMARKS if name != "report"])
def test_each_benchmark_runs_to_its_end(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([name]) == 0
    shown = capsys.readouterr().out
    assert "ratio" in shown
    assert "against: " in shown


def test_an_unknown_benchmark_is_wrong_usage(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["nothing"]) == 2
    assert "report" in capsys.readouterr().err
