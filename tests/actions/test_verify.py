"""`verify` says yes to what is whole and no to each single thing that was altered."""

import hashlib
import json
import subprocess
from pathlib import Path

import pikepdf
import pytest
from sqlite_utils import Database

from inspect_app.actions import report as filing
from inspect_app.actions.report import file_report
from inspect_app.actions.verify import Verification, verify_data, verify_pdf
from tests.walk_builder import BuiltWalk


@pytest.fixture
def filed(walk: BuiltWalk) -> Path:
    walk.look("HB 1")
    walk.finding("LB 1-1", "repair_by")
    walk.close()
    walk.sign()
    return file_report(walk.db, walk.settings.data, walk.house.id, walk.id, "A4", walk.at)


@pytest.fixture
def filed_plain(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> Path:
    """As `filed`, with plain bytes in place of the typesetter's work where only the record is looked at."""
    monkeypatch.setattr(filing, "render_report", lambda job, say: b"pages of " + hashlib.sha256(job.sealed).digest())
    return request.getfixturevalue("filed")


def faults(result: Verification) -> str:
    return "; ".join(check.says for check in result.checks if not check.holds)


def forced(db: Database, sql: str, *values: object) -> None:
    """Do what the guards of the tables refuse, as somebody with the file in hand could."""
    for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        db.execute(f"DROP TRIGGER {name}")
    db.execute("PRAGMA foreign_keys=OFF")
    db.execute(sql, values)


def test_a_whole_record_and_its_report_hold(walk: BuiltWalk, filed: Path) -> None:
    assert verify_data(walk.db, walk.settings.data).holds
    result = verify_pdf(walk.db, filed)
    assert result.holds, faults(result)


def test_an_empty_data_folder_holds(db: Database, settings) -> None:
    assert verify_data(db, settings.data).holds


@pytest.mark.parametrize(
    ("sql", "says"),
    [
        ("UPDATE journal SET actor = 'somebody else' WHERE n = 2", "journal: the chain breaks at row 2"),
        ("DELETE FROM journal WHERE n = 2", "journal: the chain breaks at row 2"),
        ("UPDATE entry SET raw = CAST(raw || ' ' AS BLOB) WHERE kind = 'look'", "do not fit their digest"),
        ("DELETE FROM entry WHERE kind = 'look'", "is missing or altered"),
        ("UPDATE seal SET root_sha256 = zeroblob(32)", "the root over its entries does not fit"),
        (
            "UPDATE seal SET data = CAST(replace(CAST(data AS TEXT), 'repair_by', 'watch') AS BLOB)",
            "filed for data that are not the sealed ones",
        ),
        ("UPDATE seal SET data = CAST(CAST(data AS TEXT) || ' ' AS BLOB)", "not in canonical form"),
        ("UPDATE seal SET data = CAST('nonsense' AS BLOB)", "its data cannot be read"),
        ("UPDATE seal SET journal_head = randomblob(32)", "the journal row it was made on is gone"),
        ("UPDATE document SET sha256 = zeroblob(32)", "the filed PDF was altered"),
    ],
)
def test_one_altered_row_is_found(walk: BuiltWalk, filed_plain: Path, sql: str, says: str) -> None:
    forced(walk.db, sql)
    result = verify_data(walk.db, walk.settings.data)
    assert not result.holds
    assert says in faults(result)


def test_an_altered_or_missing_filed_report_is_found(walk: BuiltWalk, filed_plain: Path) -> None:
    filed_plain.write_bytes(filed_plain.read_bytes()[:-1] + b"x")
    assert "the filed PDF was altered" in faults(verify_data(walk.db, walk.settings.data))
    filed_plain.unlink()
    assert "the filed PDF is missing" in faults(verify_data(walk.db, walk.settings.data))


def test_a_report_with_other_pages_but_the_same_data_is_refused(walk: BuiltWalk, filed: Path, tmp_path: Path) -> None:
    forged = tmp_path / "forged.pdf"
    with pikepdf.open(filed) as pdf:
        del pdf.pages[1]
        pdf.save(forged)
    result = verify_pdf(walk.db, forged)
    assert not result.holds
    assert "its pages may say something else" in faults(result)


def test_a_report_with_altered_data_is_refused(walk: BuiltWalk, filed: Path, tmp_path: Path) -> None:
    forged = tmp_path / "forged.pdf"
    with pikepdf.open(filed) as pdf:
        data = json.loads(pdf.attachments["walk.json"].get_file().read_bytes())
        data["findings"] = []
        pdf.attachments["walk.json"] = pikepdf.AttachedFileSpec(pdf, json.dumps(data).encode(), filename="walk.json")
        pdf.save(forged)
    result = verify_pdf(walk.db, forged)
    assert "not that of the attached data" in faults(result)
    assert "not sealed in this data folder" in faults(result)


def test_a_draft_is_refused(walk: BuiltWalk) -> None:
    draft = file_report(walk.db, walk.settings.data, walk.house.id, walk.id, "A4", walk.at)
    result = verify_pdf(walk.db, draft)
    assert "not sealed" in faults(result)


@pytest.mark.parametrize("content", [b"", b"hello", b"%PDF-1.7\n%%EOF", b"%PDF-1.7\n" + b"\x00" * 500])
def test_a_file_that_is_no_report_is_refused_in_words(db: Database, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "x.pdf"
    path.write_bytes(content)
    result = verify_pdf(db, path)
    assert not result.holds
    assert "Traceback" not in faults(result)
    assert not verify_pdf(db, tmp_path / "nowhere.pdf").holds


def test_the_digest_is_the_one_an_independent_tool_computes(walk: BuiltWalk, filed: Path, tmp_path: Path) -> None:
    subprocess.run(["pdfdetach", "-savefile", "walk.json", "-o", str(tmp_path / "w"), str(filed)], check=True)
    digest = subprocess.run(["sha256sum", str(tmp_path / "w")], capture_output=True, text=True, check=True).stdout[:64]
    assert digest == hashlib.sha256((tmp_path / "w").read_bytes()).hexdigest()
    assert digest in verify_pdf(walk.db, filed).checks[0].says
