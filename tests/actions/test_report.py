"""Filing reports of real walks: once per seal and paper, drafts apart, amendments beside the signed one."""

import hashlib
import io
import json
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions import report as filing
from inspect_app.actions.report import file_report, find_filed
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.store.document import list_documents
from inspect_app.store.journal import list_journal
from inspect_app.store.photo import Photo, add_photo, keep_photo_files
from inspect_app.store.seal import get_seal_data
from tests.walk_builder import BuiltWalk
from tests.warm_render import started_cold


def text_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def file(walk: BuiltWalk, paper: str = "A4", **more) -> Path:
    return file_report(walk.db, walk.settings.data, walk.house.id, walk.id, paper, walk.at, **more)


@pytest.fixture
def signed(walk: BuiltWalk) -> BuiltWalk:
    walk.look("HB 1")
    walk.finding("LB 1-1", "restrict", note="groove worn to one side")
    walk.close()
    walk.sign()
    return walk


def test_a_signed_walk_is_filed_with_document_and_journal_rows(signed: BuiltWalk) -> None:
    lines: list[str] = []
    path = file(signed, say=lines.append)
    assert path == signed.settings.data / "reports" / "old-mill-playhouse-2026-001-r1-A4.pdf"
    (document,) = list_documents(signed.db, signed.house.id)
    sealed = get_seal_data(signed.db, signed.house.id, signed.id)
    assert document.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert document.data_sha256 == hashlib.sha256(sealed or b"").hexdigest()
    row = list(list_journal(signed.db))[-1]
    assert (row.action, row.items[0].id) == ("report.file", document.id)
    assert any(line.startswith("Laying out page 1") for line in lines)
    assert PdfReader(path).attachments["walk.json"] == [sealed]


def test_the_page_says_what_was_recorded_and_what_was_not(signed: BuiltWalk) -> None:
    text = text_of(file(signed))
    assert "Report 2026-001, revision 1" in text
    assert "groove worn to one side" in text
    assert "Loft block, 3 LB 1-2, 2-1, 2-2" in text.partition("Not looked at")[2]
    assert "DRAFT" not in text


def test_the_same_report_is_rendered_only_once(signed: BuiltWalk, monkeypatch: pytest.MonkeyPatch) -> None:
    first = file(signed)
    monkeypatch.setattr(filing, "render_report", lambda *_: pytest.fail("rendered again"))
    assert file(signed) == first
    assert find_filed(signed.db, signed.settings.data, signed.house.id, signed.id, "A4") == first
    assert find_filed(signed.db, signed.settings.data, signed.house.id, signed.id, "Letter") is None
    assert len(list_documents(signed.db)) == 1


def test_each_paper_is_filed_apart(signed: BuiltWalk) -> None:
    assert file(signed, "A4") != file(signed, "Letter")
    assert [d.paper for d in list_documents(signed.db)] == ["A4", "Letter"]


def test_a_lost_file_is_made_again_with_the_very_same_bytes(signed: BuiltWalk) -> None:
    path = file(signed)
    content = path.read_bytes()
    path.unlink()
    with started_cold():
        assert file(signed).read_bytes() == content
    assert len(list_documents(signed.db)) == 1


def test_a_lost_file_that_would_come_out_otherwise_is_not_replaced(
    signed: BuiltWalk, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = file(signed)
    path.write_bytes(b"altered")
    monkeypatch.setattr(filing, "render_report", lambda job, say: b"another layout")
    with pytest.raises(Conflict, match="backup"):
        file(signed)
    assert path.read_bytes() == b"altered"


def test_an_unsigned_walk_gives_a_draft_that_is_never_filed(walk: BuiltWalk) -> None:
    walk.look("HB 1")
    path = file(walk)
    assert path.parent == walk.settings.data / "reports" / "drafts"
    assert "DRAFT, not signed" in text_of(path)
    assert "draft, not numbered" in text_of(path)
    assert list_documents(walk.db) == []


def test_an_amendment_is_a_revision_of_its_own_and_leaves_the_first_report_alone(signed: BuiltWalk) -> None:
    first = file(signed)
    content = first.read_bytes()
    signed.look("HB 2")
    signed.amend()
    second = file(signed)
    assert second.name == "old-mill-playhouse-2026-001-r2-A4.pdf"
    assert "Amendment" in text_of(second)
    assert first.read_bytes() == content
    assert file(signed, n=1) == first


def test_photos_of_a_finding_are_printed_without_their_metadata(
    walk: BuiltWalk, db: Database, settings: Settings
) -> None:
    exif = Image.Exif()
    exif[0x010E] = "place of the picture"
    out = io.BytesIO()
    Image.new("RGB", (640, 480), "grey").save(out, "JPEG", exif=exif)
    photo = clock.new_id()
    sha256 = keep_photo_files(settings, out.getvalue(), {"print": out.getvalue()})
    add_photo(
        db,
        Photo(photo, walk.house.id, None, sha256, "image/jpeg", len(out.getvalue()), 640, 480, "", walk.at, "stored"),
    )
    walk.finding("LB 1-1", "watch", photos=[photo])
    walk.close()
    walk.sign()
    path = file(walk)
    assert b"place of the picture" not in path.read_bytes()
    assert sum(len(page.images) for page in PdfReader(path).pages) >= 1


def test_a_photo_that_never_arrived_is_said_on_paper(walk: BuiltWalk) -> None:
    walk.finding("LB 1-1", "watch", photos=[clock.new_id()])
    walk.close()
    walk.sign(gaps_reason="the phone fell")
    assert "This photo had not reached the record" in text_of(file(walk))


def test_a_picture_lost_from_the_folder_stops_the_report(walk: BuiltWalk, db: Database) -> None:
    photo = clock.new_id()
    add_photo(db, Photo(photo, walk.house.id, None, "ab" * 32, "image/jpeg", 9, 1, 1, "", walk.at, "stored"))
    walk.finding("LB 1-1", "watch", photos=[photo])
    walk.close()
    walk.sign()
    with pytest.raises(Conflict, match=photo):
        file(walk)
    assert list_documents(db) == []


def test_two_houses_of_one_name_get_files_of_their_own(signed: BuiltWalk, db: Database) -> None:
    first = file(signed)
    other = filing._free_name(db, clock.new_id(), first.name)
    assert other != first.name
    assert filing._free_name(db, signed.house.id, first.name) == first.name


def test_an_unknown_paper_or_walk_is_refused(walk: BuiltWalk) -> None:
    with pytest.raises(BadValue, match="A4 or Letter"):
        file(walk, "A3")
    with pytest.raises(NotFound):
        file_report(walk.db, walk.settings.data, walk.house.id, clock.new_id(), "A4", walk.at)


@pytest.mark.parametrize(
    ("name", "slug"),
    [
        ("Old Mill Playhouse", "old-mill-playhouse"),
        ("Théâtre / ..\\ X", "theatre-x"),
        ("中文", "house"),
        ("-" * 9, "house"),
    ],
)
def test_a_house_name_is_made_fit_for_a_file(name: str, slug: str) -> None:
    assert filing.slug_of(json.loads(json.dumps({"house": {"name": name}}))) == slug
