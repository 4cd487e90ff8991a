"""The service worker's list and version, the manifest and its icons: complete, true to the bytes, and never stale."""

import hashlib
import io
import json
import re
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from flask.testing import FlaskClient
from PIL import Image

from inspect_app.web import field_worker

STATIC = field_worker.FOLDER
SCRIPTS = STATIC / "js" / "field"
SERVICE = SCRIPTS / "worker" / "service.js"


def worker_of(client: FlaskClient) -> tuple[str, dict[str, str], str]:
    """(version, files, body) of the worker as a browser gets it."""
    answer = client.get("/walk-worker.js")
    assert answer.status_code == 200
    found = re.match(r'"use strict";\nconst VERSION = "([0-9a-f]{16})";\nconst FILES = (\{.*?\});\n', answer.text, re.S)
    assert found
    return found[1], json.loads(found[2]), answer.text[found.end() :]


def test_the_worker_is_a_script_that_is_asked_for_again_each_time(client: FlaskClient) -> None:
    answer = client.get("/walk-worker.js")
    assert answer.mimetype == "text/javascript"
    assert answer.headers["Cache-Control"] == "no-cache"
    assert worker_of(client)[2] == SERVICE.read_text()
    again = client.get("/walk-worker.js", headers={"If-None-Match": answer.headers["ETag"]})
    assert again.status_code == 304


def test_every_listed_file_answers_with_the_bytes_of_its_digest(client: FlaskClient) -> None:
    _, files, _ = worker_of(client)
    assert len(files) > 20
    for path, digest in files.items():
        answer = client.get(path)
        assert answer.status_code == 200, path
        assert hashlib.sha256(answer.data).hexdigest() == digest, path
        assert "Set-Cookie" not in answer.headers, path


def test_the_list_holds_all_that_shell_scripts_styles_and_manifest_name(client: FlaskClient) -> None:
    _, files, _ = worker_of(client)
    named = set(re.findall(r'(?:href|src)="([^"#]+)"', client.get("/walk").text))
    named |= {icon["src"] for icon in client.get("/walk.webmanifest").get_json()["icons"]}
    for path in (*SCRIPTS.rglob("*.js"), STATIC / "css" / "app.css", STATIC / "css" / "field.css"):
        text, here = path.read_text(), f"/static/{path.relative_to(STATIC).parent.as_posix()}"
        imports = re.findall(r"""(?:from|import|import\()\s*["']\./([^"']+)["']""", text)
        named |= {f"{here}/{name}" for name in imports}
        named |= set(re.findall(r"""["'(](/static/[^"'()?]+)""", text))
    paths = {urlsplit(one).path for one in named}
    assert len(paths) > 20
    assert paths - set(files) <= {"/static/js/field/worker/service.js"}
    for one in named:
        assert client.get(one).status_code == 200, one


def test_nothing_of_a_person_or_a_house_is_on_the_list(client: FlaskClient) -> None:
    _, files, _ = worker_of(client)
    own = {path for path in files if not path.startswith("/static/")}
    assert own == {"/walk", "/walk.webmanifest", "/walk/scale.js"}


@pytest.fixture
def copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The static files as a copy that may be changed."""
    for path in STATIC.rglob("*"):
        if path.is_file():
            there = tmp_path / "static" / path.relative_to(STATIC)
            there.parent.mkdir(parents=True, exist_ok=True)
            there.write_bytes(path.read_bytes())
    folder = tmp_path / "static"
    monkeypatch.setattr(field_worker, "FOLDER", folder)
    monkeypatch.setattr(field_worker, "_SERVICE", folder / "js" / "field" / "worker" / "service.js")
    return folder


@pytest.mark.parametrize(
    "name", ["js/field/main.js", "js/field/dom.js", "js/field/worker/service.js", "css/field.css", "icons/walk-192.png"]
)
def test_the_version_changes_with_any_file_and_only_then(client: FlaskClient, copied: Path, name: str) -> None:
    first = worker_of(client)[0]
    assert worker_of(client)[0] == first
    (copied / name).write_bytes((copied / name).read_bytes() + b"\n")
    assert worker_of(client)[0] != first


def test_a_new_script_is_on_the_list_by_itself(client: FlaskClient, copied: Path) -> None:
    (copied / "js" / "field" / "later.js").write_text("// Something that comes later.\n")
    assert "/static/js/field/later.js" in worker_of(client)[1]


def test_the_manifest_installs_the_walk_page_and_nothing_beyond(client: FlaskClient) -> None:
    answer = client.get("/walk.webmanifest")
    said = json.loads(answer.text)
    assert answer.mimetype == "application/manifest+json"
    assert (said["start_url"], said["scope"], said["display"]) == ("/walk", "/walk", "standalone")
    assert said["name"]
    assert len(said["short_name"]) <= 12
    assert {(icon["sizes"], icon["purpose"]) for icon in said["icons"]} == {
        ("192x192", "any"),
        ("512x512", "any"),
        ("512x512", "maskable"),
    }
    for icon in said["icons"]:
        with Image.open(io.BytesIO(client.get(icon["src"]).data)) as image:
            assert f"{image.width}x{image.height}" == icon["sizes"]
    assert 'rel="manifest" href="/walk.webmanifest"' in client.get("/walk").text
