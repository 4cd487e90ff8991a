"""Signing in and out, the first set-up, codes, sessions that run out, and forms sent too late."""

import hashlib
import re
from datetime import timedelta

import pytest

from inspect_app import clock
from inspect_app.actions import account as accounts
from inspect_app.actions import member as members
from inspect_app.domain.role import Role
from inspect_app.web.auth import browser_words, same_site

PASSWORD = "nine lanterns under plaster"


def form(csrf, client, **fields):
    return {"csrf_token": csrf(client), **fields}


@pytest.fixture
def account(db, house):
    """Somebody who signs in with a password: a technical director."""
    person, code = members.invite(
        db, at=clock.now(), actor="system", house=house.id, name="Sam Reed", credential="", roles=[Role.TD, Role.ADMIN]
    )
    accounts.accept_code(
        db, at=clock.now(), typed=code, username="sam", password=PASSWORD, source="test", label="first browser"
    )
    db.execute("UPDATE session SET ended_at = created_at")
    return person


def enter(client, csrf, username="sam", password=PASSWORD, path="/sign-in"):
    return client.post(path, data=form(csrf, client, username=username, password=password))


def cookie_of(client) -> str:
    found = client.get_cookie("inspect-session")
    return found.value if found else ""


# the first account


def test_a_fresh_installation_has_no_account_and_leads_to_the_set_up(client, db) -> None:
    assert db.execute("SELECT count(*) FROM account").fetchone()[0] == 0
    assert client.get("/sign-in").headers["Location"] == "/set-up"


def set_up_fields(code: str) -> dict[str, str]:
    return {
        "code": code,
        "house_name": "Old Mill Playhouse",
        "tz": "America/Chicago",
        "units": "imperial",
        "name": "Sam Reed",
        "roles": "technical_director",
        "username": "sam",
        "password": PASSWORD,
    }


def test_the_code_from_the_console_makes_the_first_house_and_account_once(client, db, csrf) -> None:
    code = accounts.make_setup_code(db, at=clock.now())
    typed = code.lower().replace("-", " ")
    response = client.post("/set-up", data=form(csrf, client, **set_up_fields(typed)))
    assert response.status_code == 303, response.text
    roles = {row[0] for row in db.execute("SELECT role FROM membership")}
    assert roles == {"administrator", "technical_director"}
    assert client.get("/account").status_code == 200
    assert client.get("/set-up").headers["Location"] == "/sign-in"
    again = client.post("/set-up", data=form(csrf, client, **set_up_fields(code)))
    assert again.headers["Location"] == "/sign-in"
    assert db.execute("SELECT count(*) FROM account").fetchone()[0] == 1
    assert accounts.make_setup_code(db, at=clock.now()) == ""


@pytest.mark.parametrize("fault", ["wrong", "too old", "replaced"])
def test_a_set_up_code_that_is_not_good_makes_nothing(client, db, csrf, clock_at, fault: str) -> None:
    start = clock.now()
    code = accounts.make_setup_code(db, at=start)
    if fault == "wrong":
        code = "00000-00000-00000-00000"
    elif fault == "too old":
        clock_at(start + timedelta(minutes=30))
    else:
        accounts.make_setup_code(db, at=start)
    response = client.post("/set-up", data=form(csrf, client, **set_up_fields(code)))
    assert response.status_code == 422
    assert 'value="Old Mill Playhouse"' in response.text  # nothing typed is lost
    assert PASSWORD not in response.text
    assert db.execute("SELECT count(*) FROM account").fetchone()[0] == 0


def test_codes_and_session_ids_are_kept_only_as_digests(db, house, account, client, csrf) -> None:
    code = accounts.make_code(db, clock.now(), "reset", timedelta(days=1), person=account.id)
    enter(client, csrf)
    token = cookie_of(client)
    dump = "\n".join(repr(row) for table in db.table_names() for row in db.execute(f"SELECT * FROM [{table}]"))
    assert code not in dump
    assert token not in dump
    assert PASSWORD not in dump
    assert len(token) >= 43  # 256 bits in base 64
    assert repr(hashlib.sha256(token.encode()).digest()) in dump


# signing in


def test_signing_in_gives_a_new_session_id_each_time(client, account, csrf) -> None:
    client.set_cookie("inspect-session", "chosen-by-somebody-else")
    assert enter(client, csrf).status_code == 303
    first = cookie_of(client)
    assert first != "chosen-by-somebody-else"
    enter(client, csrf)
    assert cookie_of(client) not in ("", first)


def test_the_session_cookie_is_out_of_reach_of_scripts_and_other_sites(client, account, csrf) -> None:
    header = next(text for text in enter(client, csrf).headers.getlist("Set-Cookie") if "inspect-session" in text)
    assert {"HttpOnly", "SameSite=Lax", "Path=/"} <= set(header.split("; "))


@pytest.mark.parametrize(("username", "password"), [("sam", "wrong"), ("nobody", PASSWORD), ("sam", ""), ("", "")])
def test_wrong_names_and_passwords_get_one_and_the_same_answer(
    client, account, csrf, username: str, password: str
) -> None:
    response = enter(client, csrf, username, password)
    assert response.status_code == 422
    assert cookie_of(client) == ""
    if username and password:
        assert "do not belong together" in response.text


def test_a_name_is_matched_in_any_case_and_a_password_to_the_last_character(client, account, csrf) -> None:
    assert enter(client, csrf, " SAM ").status_code == 303
    assert enter(client, csrf, "sam", PASSWORD + " ").status_code == 422
    assert enter(client, csrf, "sam", PASSWORD.title()).status_code == 422


def test_unknown_names_are_checked_against_a_hash_as_well(client, account, csrf, monkeypatch) -> None:
    checked = []
    real = accounts.check_password
    monkeypatch.setattr(
        accounts, "check_password", lambda hash_text, typed: checked.append(hash_text) or real(hash_text, typed)
    )
    enter(client, csrf, "nobody", "whatever it is")
    enter(client, csrf, "sam", "whatever it is")
    assert checked[0] is None
    assert str(checked[1]).startswith("$argon2id$")


def test_wrong_tries_are_slowed_and_at_most_twenty_a_day_are_taken(
    client, account, csrf, clock_at, monkeypatch
) -> None:
    checked = []
    monkeypatch.setattr(accounts, "check_password", lambda hash_text, typed: checked.append(1) and False)
    start, fields = clock.now(), form(csrf, client, username="sam", password="a guess of somebody")
    for minute in range(0, 24 * 60, 2):  # a guesser who comes back every two minutes
        clock_at(start + timedelta(minutes=minute))
        response = client.post("/sign-in", data=fields)
    assert response.status_code == 429
    assert "Too many wrong tries" in response.text
    assert len(checked) <= 20


def test_a_guesser_cannot_keep_the_owner_out_of_a_browser_that_is_known(app, account, csrf, db, clock_at) -> None:
    clock_at(clock.now())  # a busy machine must not wait the delay out
    own, guesser = app.test_client(), app.test_client()
    enter(own, csrf)
    own.post("/sign-out", data={"csrf_token": csrf(own)})
    for _ in range(8):
        enter(guesser, csrf, "sam", "a guess of somebody")
    assert enter(guesser, csrf).status_code == 429
    assert enter(own, csrf).status_code == 303


def test_counters_outlive_a_restart(settings, app, account, csrf, clock_at) -> None:
    from inspect_app.web import create_app

    clock_at(clock.now())  # a busy machine must not wait the delay out
    for _ in range(6):
        enter(app.test_client(), csrf, "sam", "a guess of somebody")
    assert enter(create_app(settings).test_client(), csrf).status_code == 429


def test_a_hash_of_older_settings_is_renewed_at_sign_in(client, account, csrf, db, monkeypatch) -> None:
    from inspect_app.actions import password

    before = db.execute("SELECT hash FROM account").fetchone()[0]
    monkeypatch.setattr(password, "hasher", password.make_hasher(password.FLOOR_KIB, 3, 1))
    assert enter(client, csrf).status_code == 303
    after = db.execute("SELECT hash FROM account").fetchone()[0]
    assert before != after
    assert ",t=3," in after


@pytest.mark.parametrize(
    "target",
    [
        "https://evil.example/",
        "//evil.example",
        "/\\evil.example",
        "\\\\evil.example",
        "javascript:alert(1)",
        "/%0d%0ax",
        "/a\r\nSet-Cookie: x",
        "http:/evil.example",
        "///evil.example",
        "/\t/evil.example",
        " /account",
        "",
        None,
    ],
)
def test_only_addresses_of_this_site_are_gone_to_after_sign_in(app, target: str | None) -> None:
    with app.test_request_context():
        chosen = same_site(target)
    assert chosen in ("/", "/%0d%0ax")
    assert not chosen.startswith("//")


def test_after_sign_in_one_gets_where_one_wanted_to_go(client, account, csrf, house) -> None:
    asked = client.get(f"/houses/{house.id}/members/?a=1").headers["Location"]
    response = enter(client, csrf, path=asked)
    assert response.headers["Location"] == f"/houses/{house.id}/members/?a=1"


# sessions


def replay(app, token: str):
    thief = app.test_client()
    thief.set_cookie("inspect-session", token)
    return thief.get("/account").status_code


@pytest.mark.parametrize(
    "end", ["sign-out", "disable", "password", "idle", "thirty days", "ended elsewhere", "by code"]
)
def test_a_copied_cookie_is_worth_nothing_once_the_session_is_over(
    end: str, app, client, account, csrf, db, house, clock_at
) -> None:
    enter(client, csrf)
    token, start = cookie_of(client), clock.now()
    assert replay(app, token) == 200
    other = app.test_client()
    enter(other, csrf)
    if end == "sign-out":
        client.post("/sign-out", data={"csrf_token": csrf(client)})
    elif end == "disable":
        db.execute("UPDATE account SET disabled_at = ?", (start.isoformat(),))
    elif end == "password":
        fields = form(csrf, other, old=PASSWORD, password="seven slow counterpoised owls")
        assert other.post("/account/password", data=fields).status_code == 303
    elif end == "idle":
        clock_at(start + timedelta(hours=12, minutes=1))
    elif end == "thirty days":
        for hour in range(0, 30 * 24, 11):
            clock_at(start + timedelta(hours=hour))
            assert replay(app, token) == 200
        clock_at(start + timedelta(days=30, minutes=1))
    elif end == "ended elsewhere":
        other.post("/account/sessions/end-others", data={"csrf_token": csrf(other)})
    else:
        code = members.renew_code(db, at=start, actor=account.id, house=house.id, person=account.id)
        fields = form(csrf, app.test_client(), code=code, password="seven slow counterpoised owls")
        fresh = app.test_client()
        fields["csrf_token"] = csrf(fresh)
        assert fresh.post("/code", data=fields).status_code == 303
    assert replay(app, token) == 303


def test_one_session_can_be_ended_from_another_but_only_ones_own(app, client, account, csrf, sign_in) -> None:
    enter(client, csrf)
    stranger = app.test_client()
    sign_in(stranger, Role.ADMIN)
    key = hashlib.sha256(cookie_of(client).encode()).hexdigest()
    assert stranger.post(f"/account/sessions/{key}/end", data={"csrf_token": csrf(stranger)}).status_code == 404
    other = app.test_client()
    enter(other, csrf)
    assert other.post(f"/account/sessions/{key}/end", data={"csrf_token": csrf(other)}).status_code == 303
    assert replay(app, cookie_of(client)) == 303


def test_signing_out_takes_the_cookie_away(client, account, csrf) -> None:
    enter(client, csrf)
    client.post("/sign-out", data={"csrf_token": csrf(client)})
    assert cookie_of(client) == ""


# forms that come too late


def late_post(client, csrf, clock_at, house, **fields):
    token = csrf(client)
    clock_at(clock.now() + timedelta(hours=13))
    return client.post(f"/houses/{house.id}/members/", data={"csrf_token": token, **fields})


def test_a_form_sent_after_the_session_ran_out_is_kept_and_sent_again_with_one_button(
    client, account, csrf, clock_at, house, db
) -> None:
    enter(client, csrf)
    fields = {"name": "Alex Doe", "roles": ["helper", "facility_manager"], "my_password": "hush", "one_code": "hush"}
    response = late_post(client, csrf, clock_at, house, **fields)
    assert response.headers["Location"].startswith("/sign-in")
    assert "The form you sent is kept" in client.get("/sign-in").text
    assert enter(client, csrf).headers["Location"] == "/kept"
    page = client.get("/kept").text
    assert "hush" not in page
    action = re.search(r'action="(/houses[^"]+)"', page)
    assert action
    start = page.index(action.group(0))
    hidden = re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page[start : page.index("</form>", start)])
    again = {name: [value for key, value in hidden if key == name] for name, _ in hidden}
    assert again["roles"] == ["helper", "facility_manager"]
    sent = client.post(action.group(1), data=again)
    assert "One-time code for Alex Doe" in sent.text
    assert "hush" not in "".join(row[0] for row in db.execute("SELECT form FROM kept_post"))


def test_a_kept_form_is_for_its_owner_only(app, client, account, csrf, clock_at, house, sign_in) -> None:
    enter(client, csrf)
    late_post(client, csrf, clock_at, house, name="Alex Doe", roles="helper")
    sign_in(client, Role.ADMIN)  # somebody else, in the same browser
    assert client.get("/kept").headers["Location"] == "/"


def test_a_kept_form_can_be_thrown_away(client, account, csrf, clock_at, house, db) -> None:
    enter(client, csrf)
    late_post(client, csrf, clock_at, house, name="Alex Doe", roles="helper")
    enter(client, csrf)
    client.post("/kept", data={"csrf_token": csrf(client)})
    assert db.execute("SELECT count(*) FROM kept_post").fetchone()[0] == 0


def test_a_late_form_without_a_good_token_is_not_kept(client, account, csrf, clock_at, house, db) -> None:
    enter(client, csrf)
    clock_at(clock.now() + timedelta(hours=13))
    response = client.post(f"/houses/{house.id}/members/", data={"csrf_token": "forged", "name": "Alex Doe"})
    assert response.status_code == 400
    assert db.execute("SELECT count(*) FROM kept_post").fetchone()[0] == 0


# codes


def test_an_invitation_makes_an_account_once(app, db, house, csrf) -> None:
    _, code = members.invite(
        db, at=clock.now(), actor="system", house=house.id, name="Alex Doe", credential="", roles=[Role.HELPER]
    )
    first, second = app.test_client(), app.test_client()
    done = first.post("/code", data=form(csrf, first, code=code, username="alex", password=PASSWORD))
    assert done.status_code == 303
    again = second.post("/code", data=form(csrf, second, code=code, username="alex2", password=PASSWORD))
    assert again.status_code == 422
    assert "was used before" in again.text


def test_a_taken_user_name_is_told_and_the_code_stays_good(client, db, house, csrf, account) -> None:
    _, code = members.invite(
        db, at=clock.now(), actor="system", house=house.id, name="Alex Doe", credential="", roles=[Role.HELPER]
    )
    taken = client.post("/code", data=form(csrf, client, code=code, username="Sam", password=PASSWORD))
    assert "is taken" in taken.text
    assert (
        client.post("/code", data=form(csrf, client, code=code, username="alex", password=PASSWORD)).status_code == 303
    )


def test_somebody_with_an_account_joins_a_further_house_under_it(client, db, house, other_house, csrf, sign_in) -> None:
    person = sign_in(client, Role.HELPER)
    _, code = members.invite(
        db, at=clock.now(), actor="system", house=other_house.id, name="Robin", credential="", roles=[Role.INSPECTOR]
    )
    assert client.post("/code", data=form(csrf, client, code=code)).status_code == 303
    rows = db.execute("SELECT role FROM membership WHERE person = ? AND ended_at IS NULL", (to_bytes(person.id),))
    assert {row[0] for row in rows} == {"helper", "qualified_inspector"}


def to_bytes(text: str) -> bytes:
    return bytes.fromhex(text.replace("-", ""))


@pytest.mark.parametrize(
    ("password", "told"),
    [
        ("fourteen chars", "at least 15"),
        ("x" * 257, "at most 256"),
        ("passwordpassword", "common words"),
        ("Sam Reed theatre 2026", "common words"),
    ],
)
def test_a_poor_password_is_refused_and_the_reason_told(client, db, house, csrf, password: str, told: str) -> None:
    _, code = members.invite(
        db, at=clock.now(), actor="system", house=house.id, name="Sam Reed", credential="", roles=[Role.HELPER]
    )
    response = client.post("/code", data=form(csrf, client, code=code, username="sam", password=password))
    assert response.status_code == 422
    assert told in response.text
    assert f'value="{password}"' not in response.text


def test_passwords_may_be_pasted_and_filled_in_by_a_password_manager(client) -> None:
    page = client.get("/code").text
    assert 'autocomplete="new-password"' in page
    assert "onpaste" not in page
    assert 'maxlength="256"' in page  # nothing shorter cuts a long pass phrase off


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        ("Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 Chrome/130.0 Mobile Safari/537.36", "Chrome on Android"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Version/18.0 Mobile Safari/604.1", "Safari on iPhone"),
        ("Mozilla/5.0 (X11; Linux x86_64; rv:132.0) Gecko/20100101 Firefox/132.0", "Firefox on Linux"),
        ("", "A browser"),
    ],
)
def test_a_session_is_listed_by_browser_and_system(agent: str, words: str) -> None:
    assert browser_words(agent) == words
