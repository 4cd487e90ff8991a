"""The benchmarks run, and their table says what each line measured. What they measure is nobody's pass or fail."""

import http.client
import subprocess
import sys
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from tests.bench.__main__ import BENCHMARKS, main
from tests.bench.hand_over import Size, pack_of_ten_years
from tests.bench.measure import Line, duration, in_turn, row
from tests.bench.relay import Answer, Relay
from tests.bench.search import hundred_thousand_notes

ROOT = Path(__file__).parent.parent


def test_a_line_shows_both_times_their_ratio_and_what_was_measured() -> None:
    text = row(Line("walk", "walked there", "ran there", "one way", 3.0, 0.5))
    assert text.splitlines()[0].split() == ["walk", "3", "s", "500", "ms", "6.0x"]
    for words in ("did:     walked there", "against: ran there", "figures: one way"):
        assert words in text


def test_a_line_may_count_bytes_against_a_budget() -> None:
    assert row(Line("load", "", "", "", 43_210, 60_000, "bytes")).splitlines()[0].split() == [
        *("load", "43.2", "kB", "60.0", "kB", "0.72x")
    ]


def test_times_are_written_in_the_unit_that_reads_best() -> None:
    assert [duration(value) for value in (12.34, 0.0123, 0.0000123)] == ["12.3 s", "12.3 ms", "12.3 µs"]


def test_both_sides_are_run_alternately_after_one_round_to_warm_up() -> None:
    calls: list[str] = []
    in_turn(lambda: calls.append("ours"), lambda: calls.append("plain"), rounds=3)
    assert calls == ["ours", "plain"] * 4


@pytest.mark.parametrize("name", sorted(set(BENCHMARKS) - {"report", "field", "hand-over", "search"}))
def test_each_benchmark_runs_to_its_end(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([name]) == 0
    shown = capsys.readouterr().out
    assert "ratio" in shown
    assert "against: " in shown


def test_a_small_hand_over_pack_is_measured(tmp_path: Path) -> None:
    (line,) = pack_of_ten_years(tmp_path, Size(years=1, sets=4, deficiencies=8, photos=3))
    assert "8 deficiencies, 3 photos" in line.did
    assert line.yardstick == 180


def test_the_search_is_measured_for_each_sort_of_words(tmp_path: Path) -> None:
    lines = hundred_thousand_notes(tmp_path, notes=300)
    assert [line.yardstick for line in lines] == [0.1] * len(lines)
    assert "300 notes" in lines[0].did


QUICKLY = """
from pathlib import Path
from tests.bench.field import on_a_slow_phone
from tests.bench.measure import row
for line in on_a_slow_phone(Path(FOLDER), taps=4, reopenings=2):
    print(row(line))
"""


@pytest.mark.browser
@pytest.mark.xdist_group("browser-bench")
def test_the_walk_page_is_measured_in_the_browser_and_each_line_names_its_budget(tmp_path: Path) -> None:
    # In a process of its own: a second Playwright cannot be started beside the one of the tests.
    code = QUICKLY.replace("FOLDER", repr(str(tmp_path)))
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False)
    assert shown.returncode == 0, shown.stderr
    words = " ".join(shown.stdout.split())
    for name in ("first load", "reopened", "tap to saved"):
        assert f"field page: {name}" in words
    for budget in ("budget of 60 kB", "budget of 500 ms", "budget of 100 ms", "main thread slowed 4 times", "4 taps"):
        assert budget in words


def test_the_relay_counts_headers_and_body_of_each_answer_apart() -> None:
    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self) -> None:
            self.send_response_only(200 if self.path == "/a" else 304)
            self.send_header("Content-Length", "5")
            self.end_headers()
            if self.path == "/a":
                self.wfile.write(b"hello")

        def log_message(self, format: str, *args: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
    relay = Relay(server.server_port)
    link = http.client.HTTPConnection("127.0.0.1", relay.port, timeout=10)
    for path in ("/a", "/b"):
        link.request("GET", path)
        link.getresponse().read()
    link.close()
    relay.close()
    server.shutdown()
    server.server_close()
    head = len(b"HTTP/1.1 200 OK\r\nContent-Length: 5\r\n\r\n")
    assert relay.answers == [Answer("/a", 200, head, 5), Answer("/b", 304, head + len("Not Modified") - len("OK"), 0)]


def test_an_unknown_benchmark_is_wrong_usage(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["nothing"]) == 2
    assert "report" in capsys.readouterr().err
