"""The pages of reports: progress, the PDF, the shelf, and that houses stay apart."""

import hashlib
import re
import time

import pytest
from flask.testing import FlaskClient

from inspect_app import clock
from inspect_app.domain.role import Role
from inspect_app.store.document import list_documents
from tests.walk_builder import BuiltWalk


@pytest.fixture
def walk(db, settings, house) -> BuiltWalk:
    built = BuiltWalk(db, settings, house)
    built.open()
    built.look("HB 1")
    built.close()
    return built


def follow(client: FlaskClient, address: str):
    """Wait on the progress page as a browser does, and open what it leads to."""
    answer = client.get(address)
    assert answer.status_code == 303
    place = answer.headers["Location"]
    for _ in range(300):
        page = client.get(place)
        assert page.status_code == 200
        refresh = page.headers.get("Refresh")
        if refresh != "1":
            assert refresh, page.text
            return client.get(refresh.partition("url=")[2])
        assert 'role="status"' in page.text
        time.sleep(0.1)
    raise AssertionError("the report never came")


def test_a_signed_report_is_made_once_and_then_sent_at_once(client, sign_in, walk) -> None:
    walk.sign()
    sign_in(client, Role.HELPER)
    address = f"/houses/{walk.house.id}/walks/{walk.id}/report.pdf?paper=A4"
    first = follow(client, address)
    assert first.mimetype == "application/pdf"
    assert first.data.startswith(b"%PDF-1.7")
    again = client.get(address)
    assert again.status_code == 200
    assert again.data == first.data
    (document,) = list_documents(walk.db, walk.house.id)
    assert document.sha256 == hashlib.sha256(first.data).hexdigest()
    shelf = client.get(f"/houses/{walk.house.id}/reports")
    link = re.search(r'href="([^"]+\.pdf)"', shelf.text)
    assert link
    assert client.get(link.group(1)).data == first.data


def test_a_draft_can_be_read_and_says_so(client, sign_in, walk) -> None:
    sign_in(client, Role.TD)
    answer = follow(client, f"/houses/{walk.house.id}/walks/{walk.id}/report.pdf?paper=Letter")
    assert answer.data.startswith(b"%PDF")
    assert "draft" in answer.headers["Content-Disposition"]
    assert list_documents(walk.db) == []


def test_a_report_that_cannot_be_made_says_why_in_a_sentence(client, sign_in, walk, monkeypatch) -> None:
    sign_in(client, Role.TD)
    monkeypatch.setattr("inspect_app.web.report_job.file_report", lambda *a, **k: 1 / 0)
    place = client.get(f"/houses/{walk.house.id}/walks/{walk.id}/report.pdf").headers["Location"]
    for _ in range(100):
        page = client.get(place)
        if "Refresh" not in page.headers:
            break
        time.sleep(0.05)
    assert "The report was not made." in page.text
    assert "ZeroDivisionError" not in page.text


def test_an_unknown_paper_walk_or_job_is_refused(client, sign_in, walk) -> None:
    sign_in(client, Role.TD)
    base = f"/houses/{walk.house.id}/walks"
    assert client.get(f"{base}/{walk.id}/report.pdf?paper=A3").status_code == 422
    assert client.get(f"{base}/{clock.new_id()}/report.pdf").status_code == 404
    assert client.get(f"{base}/nonsense/report.pdf").status_code == 404
    assert client.get(f"{base}/{walk.id}/report/{clock.new_id()}").status_code == 404
    assert client.get(f"/houses/{walk.house.id}/reports/{clock.new_id()}.pdf").status_code == 404


def test_another_houses_walk_gives_no_report(client, sign_in, walk, other_house) -> None:
    sign_in(client, Role.TD, other_house)
    assert client.get(f"/houses/{other_house.id}/walks/{walk.id}/report.pdf").status_code == 404
    assert client.get(f"/houses/{walk.house.id}/walks/{walk.id}/report.pdf").status_code == 404
