"""The field API as a phone sees it: pairing, pack, entries, photos; every answer JSON, no request an error of ours."""

import base64
import gzip
import hashlib
import io
import json
import random
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from sqlite_utils import Database
from werkzeug.test import TestResponse

from inspect_app import clock
from inspect_app.actions.session import hash_token
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.ids import uuid7
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.domain.sequence import ids_digest
from inspect_app.store.db import write_transaction
from inspect_app.store.device import end_device
from inspect_app.web import field_limit
from tests.published import published
from tests.walk_builder import add_person


@pytest.fixture(autouse=True)
def _fresh_limits() -> Iterator[None]:
    field_limit.forget_all()
    yield
    field_limit.forget_all()


class Phone:
    """A paired phone that talks to the API and writes entries."""

    def __init__(self, client: FlaskClient, house: House, person: Person, device: str, token: str) -> None:
        self.client, self.house, self.person, self.device, self.token = client, house, person, device, token
        self.seq, self.walk = 0, clock.new_id()
        self.known: dict[str, Any] = {}

    def call(self, method: str, path: str, **given: Any) -> TestResponse:
        headers = {"Authorization": f"Bearer {self.token}", **given.pop("headers", {})}
        return self.client.open(f"/api/v1/{path}", method=method, headers=headers, **given)

    @property
    def pack(self) -> dict[str, Any]:
        if not self.known:
            answer = self.call("GET", f"houses/{self.house.id}/pack")
            assert answer.status_code == 200, answer.text
            self.known = answer.get_json()
        return self.known

    def entry(self, kind: str, **given: Any) -> dict[str, Any]:
        self.seq += 1
        return {
            "schema": 1, "kind": kind, "id": clock.new_id(), "house": self.house.id, "walk": self.walk,
            "device": self.device, "seq": self.seq, "recorded_at": clock.now().isoformat(),
            "by": self.person.id, **given,
        }  # fmt: skip

    def opening(self) -> dict[str, Any]:
        checklist = self.checklist
        scope = {
            "checklists": [{"id": checklist["id"], "revision": checklist["revision"]}],
            "line_sets": None,
            "areas": None,
        }
        people = {"aloft": ["Ines"], "deck": "Joan", "radio": "4", "rescue": "house kit", "down_at": "22:00"}
        return self.entry(
            "opening", title="Walk", date_local="2026-03-04", scope=scope, people=people, hangs={}, cautions_read=True
        )

    @property
    def checklist(self) -> dict[str, Any]:
        found: dict[str, Any] = next(c for c in self.pack["checklists"] if c["id"] == "grid-quarterly")
        return found

    def part(self, tag: str) -> str:
        return next(key for key, part in self.pack["parts"].items() if part["tag"] == tag)

    def look(self, tag: str, **given: Any) -> dict[str, Any]:
        checklist, part = self.checklist, self.part(tag)
        return self.entry(
            "look",
            **{"part": part, "life": self.pack["parts"][part]["life"], "checklist": checklist["id"],
               "revision": checklist["revision"], "pass": "grid/static", "points": [], "result": "no_finding",
               "ways": ["handled"], "tap": clock.new_id(), **given},
        )  # fmt: skip

    def send(self, *entries: Any, **given: Any) -> TestResponse:
        return self.call("POST", "entries", json={"entries": list(entries), **given})

    def put(self, photo: str, content: bytes, **headers: str) -> TestResponse:
        return self.call("PUT", f"photos/{photo}", data=content, content_type="image/jpeg", headers=headers)


@pytest.fixture
def phone(client: FlaskClient, db: Database, house: House, pair: Callable[..., tuple[str, str]]) -> Phone:
    person = add_person(db, house, "Ines Halloran", Role.TD)
    return Phone(client, house, person, *pair(person))


def a_photo(size: tuple[int, int] = (640, 480)) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, (120, 90, 60)).save(out, "JPEG")
    return out.getvalue()


def digest_of(content: bytes) -> str:
    return f"sha-256=:{base64.b64encode(hashlib.sha256(content).digest()).decode()}:"


def test_health_tells_the_time_and_the_schemas_to_anyone(client: FlaskClient) -> None:
    said = client.get("/api/v1/health").get_json()
    assert set(said) == {"now", "app", "schema"}
    assert said["schema"] == [1, 1]
    assert abs(datetime.fromisoformat(said["now"]) - datetime.now(UTC)) < timedelta(minutes=1)


@pytest.mark.parametrize(("schema", "word"), [("1", ""), ("0", "older"), ("2", "newer"), ("x", "older"), ("", "older")])
def test_health_tells_a_phone_of_another_age_what_to_do(client: FlaskClient, schema: str, word: str) -> None:
    words = client.get(f"/api/v1/health?schema={schema}").get_json()["words"]
    assert bool(words) == bool(word)
    assert word in words
    assert not words or "stays on it" in words


def test_a_signed_in_browser_is_paired_once_and_its_token_opens_the_pack(
    client: FlaskClient, db: Database, house: House, sign_in: Callable[..., Person]
) -> None:
    person = sign_in(client, Role.HELPER)
    csrf = client.get("/api/v1/pairing").get_json()["csrf"]
    body = {"house": house.id, "label": "Grid phone"}
    answer = client.post("/api/v1/devices", json=body, headers={"X-CSRF-Token": csrf})
    assert answer.status_code == 201
    said = answer.get_json()
    assert said["person"] == {"id": person.id, "name": person.name, "roles": ["helper"], "competence": "trained"}
    kept = db.execute("SELECT token_hash FROM device").fetchall()
    assert kept == [(hash_token(said["token"]),)]
    client.delete_cookie("inspect-session")
    phone = Phone(client, house, person, said["device"], said["token"])
    assert phone.pack["me"]["id"] == person.id


@pytest.mark.parametrize("headers", [{}, {"X-CSRF-Token": "guess"}])
def test_pairing_without_the_form_token_is_refused(
    client: FlaskClient, house: House, sign_in: Callable[..., Person], headers: dict[str, str]
) -> None:
    sign_in(client)
    answer = client.post("/api/v1/devices", json={"house": house.id, "label": "x"}, headers=headers)
    assert answer.status_code == 400
    assert answer.is_json


def test_nobody_pairs_a_device_with_a_house_they_do_not_belong_to(
    client: FlaskClient, other_house: House, sign_in: Callable[..., Person]
) -> None:
    sign_in(client)
    csrf = client.get("/api/v1/pairing").get_json()["csrf"]
    body = {"house": other_house.id, "label": "x"}
    assert client.post("/api/v1/devices", json=body, headers={"X-CSRF-Token": csrf}).status_code == 404


@pytest.mark.parametrize(
    "body",
    ["", "[]", "{}", '{"house":1,"label":"x"}', '{"house":"x","label":"y"}', '{"house":"%s","label":""}', "{" * 99],
)
def test_an_unreadable_pairing_is_answered_in_json(
    client: FlaskClient, house: House, sign_in: Callable[..., Person], body: str
) -> None:
    sign_in(client)
    csrf = client.get("/api/v1/pairing").get_json()["csrf"]
    text = body.replace("%s", house.id)
    answer = client.post("/api/v1/devices", data=text, content_type="application/json", headers={"X-CSRF-Token": csrf})
    assert answer.status_code in (400, 404, 422)
    assert answer.is_json


def test_a_revoked_or_unknown_token_is_told_so(phone: Phone, db: Database) -> None:
    assert phone.send(phone.look("LB 1-1")).status_code == 200
    with write_transaction(db):
        end_device(db, phone.device, clock.now())
    for path in ("entries", "photos/missing"):
        answer = phone.call("POST", path, json={"entries": [], "ids": []})
        assert (answer.status_code, answer.get_json()["error"]) == (401, "unauthorised")
    assert phone.client.get(f"/api/v1/houses/{phone.house.id}/pack").status_code == 401


def test_the_pack_holds_the_house_and_changes_its_etag_only_with_the_house(phone: Phone, db: Database) -> None:
    first = phone.call("GET", f"houses/{phone.house.id}/pack")
    assert first.mimetype == "application/json"
    parts = phone.pack["parts"]
    assert {part["tag"] for part in parts.values()} == {"HB 1", "HB 2", "LB 1-1", "LB 1-2", "LB 2-1", "LB 2-2"}
    assert all(part["life"] and part["last"] is None and part["open"] == [] for part in parts.values())
    screens = phone.checklist["screens"]["loft-and-line"]
    rows = {row["key"] for screen in screens["well"] for row in screen["rows"]}
    assert rows == {row["key"] for screen in screens["set"] for row in screen["rows"]}
    assert len(rows) == 4
    again = phone.call("GET", f"houses/{phone.house.id}/pack", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    phone.send(phone.opening(), phone.look("LB 1-1"))
    fresh = phone.call("GET", f"houses/{phone.house.id}/pack", headers={"If-None-Match": first.headers["ETag"]})
    assert fresh.status_code == 200
    assert fresh.get_json()["walks"][0]["id"] == phone.walk
    assert fresh.get_json()["parts"][phone.part("LB 1-1")]["last"]["result"] == "no_finding"
    assert fresh.get_json()["last_seq"] == phone.seq


def test_the_pack_comes_compressed_to_those_who_can_read_it(phone: Phone) -> None:
    answer = phone.call("GET", f"houses/{phone.house.id}/pack", headers={"Accept-Encoding": "gzip"})
    assert answer.headers["Content-Encoding"] == "gzip"
    assert json.loads(gzip.decompress(answer.data))["house"]["id"] == phone.house.id


def test_a_revision_handed_out_is_known_when_it_comes_back_after_the_files_have_changed(
    phone: Phone, db: Database
) -> None:
    kept = {sha256.hex() for (sha256,) in db.execute("SELECT sha256 FROM checklist_revision").fetchall()}
    assert kept == set()
    handed_out = {checklist["revision"] for checklist in phone.pack["checklists"]}
    assert {sha256.hex() for (sha256,) in db.execute("SELECT sha256 FROM checklist_revision").fetchall()} == handed_out


def test_a_pack_of_another_house_is_not_there(phone: Phone, other_house: House) -> None:
    assert phone.call("GET", f"houses/{other_house.id}/pack").status_code == 404


def test_stops_and_open_findings_are_in_the_pack(phone: Phone) -> None:
    found = {"point": "x", "point_text": "as seen", "answer": "new", "grade": "stop_use", "note": "frayed"}
    phone.send(phone.look("LB 1-1", result="finding", findings=[found]))
    phone.known = {}
    stopped = {one["number"]: one["stopped"] for one in phone.pack["line_sets"]}
    assert stopped == {"1": True, "2": False}
    (finding,) = phone.pack["parts"][phone.part("LB 1-1")]["open"]
    assert (finding["grade"], finding["point"]) == ("stop_use", "x")
    assert "frayed" in finding["what"]


def test_each_entry_gets_its_own_verdict_and_the_clock_is_compared(phone: Phone) -> None:
    good, odd = phone.look("LB 1-1"), phone.look("LB 1-2", part=clock.new_id())
    sent_at = (clock.now() - timedelta(minutes=9)).isoformat()
    said = phone.send(good, odd, good, 7, sent_at=sent_at).get_json()
    assert [one["verdict"] for one in said["verdicts"]] == ["stored", "held", "duplicate", "held"]
    assert [one["id"] for one in said["verdicts"]] == [good["id"], odd["id"], good["id"], None]
    assert "9 minutes slow" in said["verdicts"][0]["reason"]
    assert abs(said["skew_ms"] - 540_000) < 5_000
    assert said["schema"] == [1, 1]


def test_the_body_of_a_page_that_joins_texts_by_hand_is_kept_byte_for_byte(phone: Phone, db: Database) -> None:
    texts = [json.dumps(phone.look("LB 1-1"), indent=1), json.dumps(phone.look("LB 1-2"), separators=(",", ":"))]
    body = f'{{"sent_at":"{clock.now().isoformat()}","entries":[{",".join(texts)}]}}'
    answer = phone.call("POST", "entries", data=body, content_type="application/json")
    assert [one["verdict"] for one in answer.get_json()["verdicts"]] == ["stored", "stored"]
    assert [raw.decode() for (raw,) in db.execute("SELECT raw FROM entry ORDER BY arrival").fetchall()] == texts


def test_what_was_recorded_is_read_back_for_a_page_opened_again(phone: Phone) -> None:
    first, second = phone.look("LB 1-1"), phone.look("LB 1-2", result="not_reached", reason="dark", ways=[])
    gone = phone.look("LB 1-1", result="withdrawn", replaces=[first["id"]], ways=[])
    stop = phone.entry("stop", line_set=phone.pack["line_sets"][0]["id"], why="frayed")
    step = phone.entry("stop", of=stop["id"], step="told_rail", who="Joan", note="")
    phone.send(phone.opening(), first, second, gone, stop, step)
    said = phone.call("GET", f"walks/{phone.walk}/looks").get_json()
    assert said["walk"]["state"] == "open"
    looks = {look["entry"]: look for look in said["looks"]}
    assert [looks[e["id"]]["replaced"] for e in (first, second, gone)] == [True, False, False]
    assert looks[gone["id"]]["replaces"] == [first["id"]]
    assert looks[second["id"]]["reason"] == "dark"
    (shown,) = said["stops"]
    assert (shown["entry"], shown["state"], [s["step"] for s in shown["steps"]]) == (
        stop["id"],
        "standing",
        ["told_rail"],
    )


def test_the_tally_tells_counts_gaps_and_photos_that_have_not_come(phone: Phone) -> None:
    photo = clock.new_id()
    first = phone.look("LB 1-1", photos=[photo])
    phone.seq += 3
    second = phone.look("LB 1-2")
    opening = phone.opening()
    phone.send(opening, first, second)
    said = phone.call("GET", f"walks/{phone.walk}/tally").get_json()
    ids = [opening["id"], first["id"], second["id"]]
    assert (said["count"], said["ids_sha256"]) == (3, ids_digest(ids))
    assert said["gaps"] == {phone.device: [[2, 4]]}
    assert said["photos_missing"] == [photo]
    own = said["devices"][phone.device]
    closing = phone.entry(
        "closing", count=own["count"], last_seq=own["last_seq"], ids_sha256=own["ids_sha256"],
        people_down=[{"name": "Ines", "at": "21:40"}], tools_counted=True, sets_locked=True, locks_left="none", note="",
    )  # fmt: skip
    assert phone.send(closing).get_json()["verdicts"][0]["verdict"] == "stored"
    after = phone.call("GET", f"walks/{phone.walk}/tally").get_json()
    assert (after["count"], after["devices"]) == (3, said["devices"])
    assert phone.put(photo, a_photo()).status_code == 201
    assert phone.call("GET", f"walks/{phone.walk}/tally").get_json()["photos_missing"] == []


def test_walks_of_another_house_are_not_there_and_unknown_ones_are_empty(
    phone: Phone, db: Database, other_house: House, pair: Callable[..., tuple[str, str]]
) -> None:
    stranger = add_person(db, other_house, "Sam Stranger", Role.TD)
    theirs = Phone(phone.client, other_house, stranger, *pair(stranger, other_house))
    assert theirs.send(theirs.opening()).get_json()["verdicts"][0]["verdict"] == "stored"
    for what in ("looks", "tally"):
        assert phone.call("GET", f"walks/{theirs.walk}/{what}").status_code == 404
        assert phone.call("GET", f"walks/{clock.new_id()}/{what}").status_code == 200
    foreign = {**phone.look("LB 1-1"), "walk": theirs.walk}
    assert phone.send(foreign).get_json()["verdicts"][0]["verdict"] == "held"


def test_a_photo_is_taken_once_and_again(phone: Phone, settings: Settings) -> None:
    content, photo = a_photo(), clock.new_id()
    assert phone.call("POST", "photos/missing", json={"ids": [photo]}).get_json() == {"missing": [photo]}
    first = phone.put(photo, content, **{"Content-Digest": digest_of(content)})
    assert first.status_code == 201
    assert first.get_json()["sha256"] == hashlib.sha256(content).hexdigest()
    assert phone.put(photo, content).status_code == 200
    assert phone.call("POST", "photos/missing", json={"ids": [photo]}).get_json() == {"missing": []}
    other = phone.put(photo, a_photo((320, 240)))
    assert (other.status_code, other.get_json()["state"]) == (200, "held")


@published(
    "Records, passwords, files", "RFC 9530", "Appendix B.1", "memory",
    what="Content-Digest of the example", value="sha-256=:RK/0qy18MlBSVnWgjwz6lZEWjP/lF5HF9bvEF8FabDg=:",
)  # fmt: skip
def test_the_digest_header_is_read_as_rfc_9530_writes_it(phone: Phone) -> None:
    """RFC 9530, Appendix B.1: the digest of `{"hello": "world"}` and a line feed; its bytes are no picture."""
    example = "sha-256=:RK/0qy18MlBSVnWgjwz6lZEWjP/lF5HF9bvEF8FabDg=:"
    content = b'{"hello": "world"}\n'
    assert digest_of(content) == example
    assert phone.put(clock.new_id(), content, **{"Content-Digest": example}).status_code == 415, "the digest holds"
    assert phone.put(clock.new_id(), content + b" ", **{"Content-Digest": example}).status_code == 422


@pytest.mark.parametrize("cut", [0.2, 0.99])
def test_a_photo_cut_short_on_the_way_is_refused_and_not_kept(phone: Phone, settings: Settings, cut: float) -> None:
    content, photo = a_photo(), clock.new_id()
    short = content[: int(len(content) * cut)]
    answer = phone.put(photo, short, **{"Content-Digest": f"md5=:abc=:, {digest_of(content)}"})
    assert answer.status_code == 422
    assert "digest" in answer.get_json()["message"]
    assert not list((settings.data / "photos").glob("*/*"))


@pytest.mark.parametrize(
    ("content", "status"), [(b"GIF89a" + b"\0" * 99, 415), (b"", 422), (b"\xff\xd8\xff" + b"\0" * 15_000_001, 413)]
)
def test_what_is_no_photo_is_refused_in_json(phone: Phone, content: bytes, status: int) -> None:
    answer = phone.put(clock.new_id(), content)
    assert answer.status_code == status
    assert set(answer.get_json()) == {"error", "message"}


@pytest.mark.parametrize("photo", ["1", "x" * 300, "../../etc/passwd", uuid7(1, 1).replace("-7", "-4"), "%00"])
def test_an_id_that_is_none_is_refused_in_json(phone: Phone, photo: str) -> None:
    answer = phone.put(photo, a_photo())
    assert 400 <= answer.status_code < 500
    assert answer.is_json


def test_too_many_requests_are_told_to_wait_and_others_are_not_held_up(
    phone: Phone, db: Database, pair: Callable[..., tuple[str, str]]
) -> None:
    statuses = [phone.send().status_code for _ in range(field_limit.RATES["entries"].burst + 5)]
    assert statuses.count(200) >= field_limit.RATES["entries"].burst
    refused = phone.send()
    assert refused.status_code == 429
    assert int(refused.headers["Retry-After"]) >= 1
    assert refused.get_json()["error"] == "too_many"
    other = Phone(phone.client, phone.house, phone.person, *pair(phone.person))
    assert other.send().status_code == 200


def test_the_bucket_fills_again_with_time() -> None:
    at = datetime(2026, 3, 4, tzinfo=UTC)
    rate = field_limit.RATES["pack"]
    from flask import Flask

    with Flask(__name__).test_request_context("/api/v1/x"):
        assert [field_limit.take("pack", "phone", at) for _ in range(rate.burst)] == [None] * rate.burst
        assert field_limit.take("pack", "phone", at) is not None
        assert field_limit.take("pack", "phone", at + timedelta(seconds=60 / rate.a_minute + 0.1)) is None


def test_a_batch_that_is_too_long_or_too_large_is_refused_whole(phone: Phone, db: Database) -> None:
    assert phone.send(*[{}] * 501).status_code == 413
    answer = phone.send("x" * 1_100_000)
    assert answer.status_code == 413
    assert answer.is_json
    assert db.execute("SELECT count(*) FROM held").fetchone() == (0,)
    assert phone.send(*[{"n": n} for n in range(500)]).status_code == 200


@pytest.mark.parametrize(("path", "most"), [("entries", 1024 * 1024), ("photos/{}", 15_000_000)])
def test_a_body_that_states_no_length_is_not_cut_short_in_silence(
    phone: Phone, settings: Settings, path: str, most: int
) -> None:
    body = b"\xff\xd8\xff" + b"\0" * most
    answer = phone.call(
        "PUT" if "photos" in path else "POST", path.format(clock.new_id()), input_stream=io.BytesIO(body),
        environ_overrides={"wsgi.input_terminated": True, "HTTP_TRANSFER_ENCODING": "chunked"},
    )  # fmt: skip
    assert (answer.status_code, answer.is_json) == (413, True)
    assert not list((settings.data / "photos").glob("*/*"))


UNREADABLE = [
    b"", b"null", b"[]", b"{}", b'{"entries":{}}', b'{"entries":[', b'{"entries":[{]}', b"\xff\xfe{}",
    b'{"entries":[1,]}',
    b'{"entries":[],"entries":[]}', b'{"sent_at":NaN,"entries":[]}', b"{" * 5000, b'{"entries":' + b"[" * 200_000,
    b'{"entries":[' + b"[" * 100_000 + b"]}", b"<html>", b"entries=1", b'{"entries":[1]}x', b"\x00",
]  # fmt: skip


@pytest.mark.parametrize("body", UNREADABLE, ids=range(len(UNREADABLE)))
@pytest.mark.parametrize("mime", ["application/json", "text/plain", "application/x-www-form-urlencoded"])
def test_an_unreadable_envelope_is_answered_in_json_with_400(phone: Phone, body: bytes, mime: str) -> None:
    answer = phone.call("POST", "entries", data=body, content_type=mime)
    assert answer.status_code in (400, 422)
    assert set(answer.get_json()) == {"error", "message"}


def mutants(phone: Phone, count: int) -> Iterator[bytes]:
    """Requests spoilt by a seeded hand: bytes changed, cut, doubled; values replaced by what does not belong."""
    rng = random.Random(20260304)
    whole = [phone.opening(), phone.look("LB 1-1"), phone.entry("stop", why="x", line_set=clock.new_id())]
    odd = [
        None,
        True,
        -1,
        2**70,
        1e308,
        "",
        "\x00",
        "x" * 5000,
        [],
        {},
        [[]],
        {"a": {}},
        "\ud800",
        float("nan"),
        "9" * 400,
    ]
    for _ in range(count):
        entries = json.loads(json.dumps(whole))
        victim = rng.choice(entries)
        victim[rng.choice(list(victim))] = rng.choice(odd)
        body = bytearray(
            json.dumps({"entries": entries, "sent_at": rng.choice([*odd, "2026-03-04T19:00:00Z"])}).encode()
        )
        for _ in range(rng.choice([0, 0, 1, 3])):
            at = rng.randrange(len(body))
            body[at : at + rng.choice([0, 1, 40])] = rng.choice([b"", b"\xff", b'"', b"{", b"]", b"\\u", b"NaN", b"\0"])
        yield bytes(body[: rng.choice([len(body), len(body), rng.randrange(1, len(body))])])


def test_a_thousand_malformed_requests_give_no_error_of_ours(
    phone: Phone, db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(field_limit.RATES, "entries", field_limit.Rate(10_000, 10_000))
    seen: dict[int, int] = {}
    for body in mutants(phone, 1000):
        answer = phone.call("POST", "entries", data=body, content_type="application/json")
        seen[answer.status_code] = seen.get(answer.status_code, 0) + 1
        assert answer.is_json
        if answer.status_code == 200:
            assert {one["verdict"] for one in answer.get_json()["verdicts"]} <= {"stored", "duplicate", "held"}
    assert set(seen) == {200, 400}
    assert min(seen.values()) > 100, "both kinds were tried"
    assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    path=st.sampled_from(["walks/{}/looks", "walks/{}/tally", "houses/{}/pack", "photos/{}"]),
    piece=st.text(st.characters(exclude_categories=["Cs"], exclude_characters="/?#"), min_size=1, max_size=40),
    query=st.text(st.characters(exclude_categories=["Cs"]), max_size=10),
)
def test_odd_addresses_get_json_and_no_error_of_ours(phone: Phone, path: str, piece: str, query: str) -> None:
    field_limit.forget_all()
    method = "PUT" if path.startswith("photos") else "GET"
    answer = phone.call(method, path.format(piece), query_string={"q": query})
    assert 400 <= answer.status_code < 500
    assert answer.is_json


def test_the_pack_names_the_last_photos_and_the_phone_takes_their_small_pictures(phone: Phone) -> None:
    photos = [clock.new_id() for _ in range(4)]
    phone.send(phone.opening())
    for number, photo in enumerate(photos):
        assert phone.put(photo, a_photo((640 + number, 480))).status_code == 201
    wrong = phone.look("LB 1-2", photos=[photos[3]])
    looks = [phone.look("LB 1-1", photos=[photo]) for photo in photos[:3]]
    back = phone.look("LB 1-2", result="withdrawn", replaces=[wrong["id"]])
    answer = phone.send(*looks, wrong, back, phone.look("HB 1", photos=[clock.new_id()]))
    assert {row["verdict"] for row in answer.get_json()["verdicts"]} == {"stored"}
    phone.known = {}
    shown = {part["tag"]: part["photos"] for part in phone.pack["parts"].values() if part["photos"]}
    assert shown == {"LB 1-1": [photos[2], photos[1]]}
    small = phone.call("GET", f"photos/{photos[2]}/thumb")
    with Image.open(io.BytesIO(small.data)) as image:
        assert image.format == "JPEG"
        assert max(image.size) == 320
    assert phone.call("GET", f"photos/{clock.new_id()}/thumb").status_code == 404


def test_a_phone_that_has_a_pack_is_sent_only_what_changed(phone: Phone) -> None:
    first = phone.call("GET", f"houses/{phone.house.id}/pack")
    etag, phone.known = first.headers["ETag"], first.get_json()
    since = {"since": etag}
    same = phone.call("GET", f"houses/{phone.house.id}/pack", query_string=since).get_json()
    assert (same["same"], same["changed"], f'W/"{same["etag"]}"') == (True, {}, etag)
    phone.send(phone.opening(), phone.look("LB 1-1"))
    answer = phone.call("GET", f"houses/{phone.house.id}/pack", query_string=since)
    delta, whole = answer.get_json(), phone.call("GET", f"houses/{phone.house.id}/pack")
    assert set(delta["changed"]) == {"parts", "walks"}
    assert len(answer.data) < len(whole.data) / 4
    assert answer.headers["ETag"] == whole.headers["ETag"] == f'W/"{delta["etag"]}"'
    over = {**phone.known, **delta["changed"], "last_seq": delta["last_seq"], "made_at": ""}
    assert over == {**whole.get_json(), "made_at": ""}
    assert delta["last_seq"] == 2
    other = phone.call("GET", f"houses/{phone.house.id}/pack", query_string={"since": "an older program's"})
    assert other.get_json()["parts"] == whole.get_json()["parts"]
