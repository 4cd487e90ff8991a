"""What is sealed never changes: over the whole route map, every method, every role, with plausible forms."""

import hashlib
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.entry import finding_id
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.role import Role
from inspect_app.domain.seal import STATEMENT, root_of
from tests.database_digest import when_changed
from tests.walk_builder import BuiltWalk, Phone, add_person

pytestmark = pytest.mark.usefixtures("papers_left_out")


@pytest.fixture
def sealed(db: Database, settings: Settings, house: House) -> BuiltWalk:
    """A signed walk with a finding, differing looks, a helper's entry and one that came late."""
    walk = BuiltWalk(db, settings, house)
    walk.open()
    other = Phone(db, house, add_person(db, house, "Tomas Reed", Role.TD))
    helper = Phone(db, house, add_person(db, house, "Sam Idris", Role.HELPER))
    point = walk.points("LB 1-1")[0]
    walk.look("LB 1-1", points=[point])
    walk.finding("LB 1-1", "restrict", other, point=point)
    walk.look("HB 1", phone=helper)
    walk.look("HB 2", "not_applicable")
    for phone in (walk.phone, other, helper):
        walk.close(phone)
    walk.sign()
    walk.look("LB 2-1")
    return walk


def digest_of(walk: BuiltWalk) -> str:
    """SHA-256 over the seal, the entries it covers with their bytes, and the filed data."""
    total, key = hashlib.sha256(), to_key(walk.id)
    for statement in (
        "SELECT * FROM seal WHERE walk = ? AND n = 1",
        "SELECT * FROM sealed_entry WHERE walk = ? AND n = 1 ORDER BY entry",
        "SELECT e.* FROM entry e JOIN sealed_entry s ON s.entry = e.id WHERE s.walk = ? AND s.n = 1 ORDER BY e.arrival",
    ):
        rows = walk.db.execute(statement, (key,)).fetchall()
        assert rows
        total.update(repr(rows).encode())
    return total.hexdigest()


def plausible_form(walk: BuiltWalk) -> dict[str, str]:
    """Fields of every form that touches a walk, filled in so that it goes through where it may."""
    looks = {look.result.value: look for look in walk.record.looks}
    finding = looks["finding"]
    good = next(one for one in walk.record.looks if one.part == finding.part and one is not finding)
    return {
        "finding": finding_id(finding.entry, 0), "grade": "watch", "reason": "looked again",
        "keep": good.entry, "entry": looks["not_applicable"].entry, "applies": "no",
        "entries": " ".join(look.entry for look in walk.record.looks if look.needs_countersign), "how": "beside_them",
        "role": "technical_director", "name": "Robin", "credential": "TD", "statement": STATEMENT,
        "reviewed_root": root_of(walk.record.entries), "gaps_reason": "sent late", "drawn": "",
        "people_down": "Robin, 16:31", "locks_left": "none", "tools_counted": "y", "sets_locked": "y",
        "outcome": "not_reached", "on": "2026-03-04", "clock": "16:00", "by": walk.td.id,
        "step-step": "area_cleared", "release-role": "qualified_inspector", "release-reason": "done",
        "settle-role": "qualified_inspector", "settle-put_right_by_id": "", "settle-put_right_by": "J",
        "settle-done_on": "2026-03-01", "settle-what": "new bolt",
        "no-fault-role": "technical_director", "no-fault-reason": "paint", "what": "part",
        "part": "LB 2-2", "why": "noise", "aside-reason": "twice",
    }  # fmt: skip


@pytest.mark.parametrize("role", Role)
def test_no_request_of_any_role_changes_what_is_sealed(
    role: Role, sealed: BuiltWalk, newcomer: Any, routes: Any, app: Any, db: Database, house: House, sign_in: Any,
    csrf: Any, web_builders: Any,
) -> None:  # fmt: skip
    client: FlaskClient = newcomer()
    person = sign_in(client, role)
    token, changed, failed, form = csrf(client), [], [], plausible_form(sealed)
    digest = when_changed(db, lambda: digest_of(sealed))
    before = digest()
    for route in routes:
        if "sign-out" in route.rule.rule or not (route.changes or role is Role.TD):
            continue  # that looking changes nothing, whoever looks, is held by test_access.py
        values = {name: web_builders[name](db, house, person) for name in route.rule.arguments}
        values |= {"walk_id": sealed.id} if "walk_id" in values else {}
        with app.test_request_context():
            path = app.url_map.bind("localhost").build(route.rule.endpoint, values, method=route.method)
        data = {**form, "csrf_token": token} if route.changes and not route.is_api else None
        response = client.open(path, method=route.method, headers={"X-CSRF-Token": token}, data=data)
        if digest() != before:
            changed.append(route.name)
        if response.status_code >= 500:
            failed.append((route.name, response.status_code))
    assert not changed
    assert not failed


def test_a_director_going_through_all_forms_of_the_review_ends_in_an_amendment_that_leaves_the_first_seal(
    sealed: BuiltWalk, client: FlaskClient, sign_in: Any, csrf: Any, house: House
) -> None:
    sign_in(client, Role.TD)
    before, form = digest_of(sealed), {**plausible_form(sealed), "csrf_token": csrf(client)}
    base = f"/houses/{house.id}/walks/{sealed.id}"
    for page in ("grade", "decide", "countersign", "not-applicable"):
        answer = client.post(f"{base}/review/{page}", data=form)
        assert answer.status_code == 303, (page, answer.text)
    answer = client.post(f"{base}/sign", data=form)
    assert answer.status_code == 303, answer.text
    assert digest_of(sealed) == before
    assert [s.n for s in sealed.record.signatures] == [1, 2]
    page = client.get(base).text
    assert "revision 2" in page
    assert "came after the last signature" not in page
