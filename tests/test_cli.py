"""The command line: groups load when asked for, exit status, accounts from the shell."""

import re

import pytest
from click.testing import CliRunner

from inspect_app import clock
from inspect_app.actions import account as accounts
from inspect_app.cli import COMMANDS, main
from inspect_app.store.data_folder import open_data_folder
from inspect_app.store.db import open_db

PASSWORD = "nine lanterns under plaster"


@pytest.fixture
def run(settings):
    return lambda *words: CliRunner().invoke(main, ["--data", str(settings.data), *words], catch_exceptions=False)


def test_every_command_that_is_there_has_a_help_text(run) -> None:
    listed = main.list_commands(None)
    assert {"serve", "user"} <= set(listed) <= set(COMMANDS)
    for name in listed:
        done = run(name, "--help")
        assert done.exit_code == 0
        assert len(done.output.splitlines()) > 4


def test_wrong_usage_is_2_and_a_no_is_1(run) -> None:
    assert run("nonsense").exit_code == 2
    assert run("user", "add", "Alex Doe").exit_code == 2
    done = run("user", "disable", "nobody")
    assert (done.exit_code, done.stdout) == (1, "")
    assert "There is no account nobody." in done.stderr


def test_a_person_is_added_with_a_code_listed_given_roles_and_closed(run, house, db) -> None:
    done = run("user", "add", "Alex Doe", "--role", "administrator", "--role", "helper")
    code = re.search(r"([0-9A-Z]{5}-){3}[0-9A-Z]{5}", done.output)
    assert code
    assert "(no account yet)" in run("user", "list").output
    accounts.accept_code(
        db, at=clock.now(), typed=code.group(0), username="alex", password=PASSWORD, source="t", label=""
    )
    assert "alex" in run("user", "list").output
    assert run("user", "disable", "alex").exit_code == 1  # the house's only administrator
    run("user", "add", "Kit Poe", "--role", "administrator")
    assert run("user", "roles", "alex", "helper").exit_code == 1  # Kit has no account yet
    assert re.fullmatch(r"([0-9A-Z]{5}-){3}[0-9A-Z]{5}\n", run("user", "code", "alex").output)


def test_closing_an_account_from_the_shell_ends_its_sessions(run, house, db, client, sign_in) -> None:
    from inspect_app.domain.role import Role

    sign_in(client, Role.HELPER)
    username = db.execute("SELECT username FROM account").fetchone()[0]
    assert client.get("/account").status_code == 200
    assert run("user", "disable", username).exit_code == 0
    assert client.get("/account").status_code == 303
    assert run("user", "disable", username, "--open").exit_code == 0
    assert client.get("/account").status_code == 303  # the session stays ended


def test_two_houses_need_a_name(run, house, other_house) -> None:
    done = run("user", "add", "Alex Doe", "--role", "helper")
    assert done.exit_code == 1
    assert "Harbour Hall, Old Mill Playhouse" in done.stderr
    assert run("user", "add", "Alex Doe", "--role", "helper", "--house", "Harbour Hall").exit_code == 0


def test_the_data_folder_may_come_from_the_environment(tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("INSPECT_APP_DATA", str(tmp_path / "from-env"))
    assert CliRunner().invoke(main, ["user", "list"]).exit_code == 0
    assert (tmp_path / "from-env" / "inspect.db").exists()


def test_a_folder_that_cannot_be_used_is_told_in_one_sentence(tmp_path) -> None:
    open_data_folder(tmp_path)
    db = open_db(tmp_path / "inspect.db")
    db.execute("PRAGMA application_id = 7")
    db.conn.close()
    done = CliRunner().invoke(main, ["--data", str(tmp_path), "user", "list"])
    assert done.exit_code == 1
    assert done.stderr == "This database was made by another program. It was left alone.\n"
