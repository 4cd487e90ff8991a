"""`inspect-app export`, `backup` and `restore` from the command line."""

import csv
import io
import zipfile

import pytest
from click.testing import CliRunner, Result

from inspect_app.cli import main
from tests.walk_builder import BuiltWalk


@pytest.fixture
def walk(db, settings, house) -> BuiltWalk:
    built = BuiltWalk(db, settings, house)
    built.open()
    built.finding("HB 1")
    built.close()
    built.sign()
    return built


def run(data: object, *words: object) -> Result:
    return CliRunner().invoke(main, ["--data", str(data), *map(str, words)])


def test_a_pack_is_exported_kept_backed_up_and_restored(walk: BuiltWalk, tmp_path) -> None:
    data, out = walk.settings.data, tmp_path / "pack.zip"
    made = run(data, "export", "--house", walk.house.name, "--out", out, "--from", "2026-01-01", "--to", "2026-12-31")
    assert made.exit_code == 0, made.output
    assert "H001" in made.stdout
    with zipfile.ZipFile(out) as packed:
        rows = list(csv.DictReader(io.StringIO(packed.read("csv/findings.csv").decode("utf-8-sig"))))
    assert [row["note"] for row in rows] == ["worn"]
    assert out.read_bytes() == next((data / "reports").glob("*.zip")).read_bytes()
    assert run(data, "verify").exit_code == 0
    kept = run(data, "backup", "--out", tmp_path / "kept.zip")
    assert kept.exit_code == 0, kept.output
    back = run(tmp_path / "new", "restore", tmp_path / "kept.zip")
    assert back.exit_code == 0, back.output
    assert run(tmp_path / "new", "verify").exit_code == 0
    assert run(tmp_path / "new", "restore", tmp_path / "kept.zip").exit_code == 1
    filed = next((data / "reports").glob("*hand-over*.pdf"))
    filed.write_bytes(filed.read_bytes() + b"\n")
    no = run(data, "verify")
    assert no.exit_code == 1
    assert "was altered" in no.stdout


def test_what_cannot_be_is_said_before_anything_is_written(walk: BuiltWalk, tmp_path) -> None:
    data, out = walk.settings.data, tmp_path / "pack.zip"
    assert run(data, "export", "--out", out, "--from", "soon").exit_code == 1
    assert run(data, "export", "--out", out, "--house", "Nowhere").exit_code == 1
    assert run(data, "export").exit_code == 2
    assert not out.exists()
    out.write_bytes(b"mine")
    assert run(data, "export", "--out", out).exit_code == 1
    assert out.read_bytes() == b"mine"
    assert run(tmp_path / "none", "restore", tmp_path / "no-such.zip").exit_code == 2
