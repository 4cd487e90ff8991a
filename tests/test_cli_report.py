"""`inspect-app report` and `inspect-app verify` from the command line."""

import pytest
from click.testing import CliRunner, Result

from inspect_app.cli import main
from tests.walk_builder import BuiltWalk


@pytest.fixture
def walk(db, settings, house) -> BuiltWalk:
    built = BuiltWalk(db, settings, house)
    built.open()
    built.look("HB 1")
    built.close()
    built.sign()
    return built


def run(walk: BuiltWalk, *words: object) -> Result:
    return CliRunner().invoke(main, ["--data", str(walk.settings.data), *map(str, words)])


def test_a_report_is_made_by_number_and_verified(walk, tmp_path) -> None:
    out = tmp_path / "out.pdf"
    made = run(walk, "report", "--walk", "2026-001", "--paper", "letter", "--out", out)
    assert made.exit_code == 0, made.output
    assert str(out) in made.stdout
    assert "Laying out page 1" in made.stderr
    yes = run(walk, "verify", out)
    assert yes.exit_code == 0, yes.output
    assert "yes" in yes.stdout.splitlines()[-1]
    assert run(walk, "verify").exit_code == 0
    out.write_bytes(out.read_bytes() + b"\n% one more line")
    no = run(walk, "verify", out)
    assert no.exit_code == 1
    assert no.stdout.splitlines()[-1].startswith("no")


def test_what_cannot_be_found_is_named_with_what_there_is(walk) -> None:
    unknown = run(walk, "report", "--walk", "2019-001")
    assert unknown.exit_code == 1
    assert "2026-001" in unknown.stderr
    house = run(walk, "report", "--house", "Nowhere", "--walk", "2026-001")
    assert house.exit_code == 1
    assert walk.house.name in house.stderr
    assert run(walk, "report").exit_code == 2
