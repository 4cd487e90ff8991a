"""People of a house: administrators, invitations, ends."""

import threading

import pytest

from inspect_app import clock
from inspect_app.actions import account as accounts
from inspect_app.actions import member as members
from inspect_app.domain.errors import BadValue, Conflict, DomainError, NotFound
from inspect_app.domain.journal import first_break
from inspect_app.domain.role import Role
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db
from inspect_app.store.journal import list_journal
from inspect_app.store.membership import get_member, get_membership, list_members

PASSWORD = "nine lanterns under plaster"


def someone(db, house, *roles, name="Sam Reed", username="sam"):
    person, code = members.invite(
        db, at=clock.now(), actor="system", house=house.id, name=name, credential="", roles=roles
    )
    accounts.accept_code(
        db, at=clock.now(), typed=code, username=username, password=PASSWORD, source="test", label="a test"
    )
    return person


def set_up(db, code, username="sam"):
    return members.set_up(
        db,
        at=clock.now(),
        code=code,
        source="test",
        house_name="Old Mill Playhouse",
        tz="America/Chicago",
        units="imperial",
        name="Sam Reed",
        username=username,
        password=PASSWORD,
        roles=[Role.TD],
    )


def test_many_set_ups_at_once_make_one_owner(settings, db) -> None:
    code, done, refused = accounts.make_setup_code(db, at=clock.now()), [], []

    def attempt(n: int) -> None:
        own = open_db(database_path(settings))
        try:
            done.append(set_up(own, code, f"user{n}"))
        except DomainError as error:
            refused.append(error.message)
        finally:
            own.conn.close()

    threads = [threading.Thread(target=attempt, args=(n,)) for n in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(done), len(refused)) == (1, 11)
    assert db.execute("SELECT count(*) FROM account").fetchone()[0] == 1
    assert db.execute("SELECT count(*) FROM house").fetchone()[0] == 1


@pytest.mark.parametrize(("field", "value"), [("tz", "Mars/Olympus"), ("units", "cubits"), ("house_name", " \t ")])
def test_a_set_up_with_a_bad_answer_names_the_field_and_keeps_the_code(db, field, value) -> None:
    code = accounts.make_setup_code(db, at=clock.now())
    answers = {"house_name": "Old Mill", "tz": "UTC", "units": "metric", "name": "Sam Reed", "username": "sam"}
    with pytest.raises(BadValue) as caught:
        members.set_up(
            db, at=clock.now(), code=code, source="t", password=PASSWORD, roles=[], **{**answers, field: value}
        )
    assert caught.value.field == field
    assert set_up(db, code).name == "Old Mill Playhouse"


def test_the_last_administrator_can_neither_leave_nor_be_closed(db, house) -> None:
    admin = someone(db, house, Role.ADMIN)
    with pytest.raises(Conflict, match="one administrator"):
        members.change_roles(db, at=clock.now(), actor=admin.id, house=house.id, person=admin.id, roles=[Role.TD])
    with pytest.raises(Conflict, match="one administrator"):
        members.change_account(db, at=clock.now(), actor=admin.id, house=house.id, person=admin.id, closed=True)
    member = get_member(db, house.id, admin.id)
    assert member is not None
    assert (member.roles, member.disabled) == (frozenset({Role.ADMIN}), False)
    someone(db, house, Role.ADMIN, name="Kit Poe", username="kit")
    members.change_roles(db, at=clock.now(), actor=admin.id, house=house.id, person=admin.id, roles=[Role.TD])


def test_an_administrator_of_one_house_cannot_reach_into_another_through_an_account(db, house, other_house) -> None:
    admin = someone(db, house, Role.ADMIN)
    guest = someone(db, other_house, Role.ADMIN, name="Kit Poe", username="kit")
    _, code = members.invite(
        db, at=clock.now(), actor=admin.id, house=house.id, name="Kit", credential="", roles=[Role.INSPECTOR]
    )
    members.join_by_code(db, at=clock.now(), actor=guest.id, typed=code, source="test")
    for reach in (
        lambda: members.renew_code(db, at=clock.now(), actor=admin.id, house=house.id, person=guest.id),
        lambda: members.change_account(
            db, at=clock.now(), actor=admin.id, house=house.id, person=guest.id, closed=True
        ),
    ):
        with pytest.raises(Conflict, match="do not administer"):
            reach()
    members.change_roles(db, at=clock.now(), actor=admin.id, house=house.id, person=guest.id, roles=[])
    assert get_membership(db, house.id, guest.id) is None
    assert get_membership(db, other_house.id, guest.id) is not None


def test_an_ended_invitation_is_worth_nothing(db, house) -> None:
    someone(db, house, Role.ADMIN)
    person, code = members.invite(
        db, at=clock.now(), actor="system", house=house.id, name="Alex Doe", credential="", roles=[Role.HELPER]
    )
    members.change_roles(db, at=clock.now(), actor="system", house=house.id, person=person.id, roles=[])
    with pytest.raises(BadValue, match="not known"):
        accounts.accept_code(
            db, at=clock.now(), typed=code, username="alex", password=PASSWORD, source="test", label=""
        )


def test_a_new_code_replaces_the_one_before(db, house) -> None:
    admin = someone(db, house, Role.ADMIN)
    person, first = members.invite(
        db, at=clock.now(), actor=admin.id, house=house.id, name="Alex Doe", credential="", roles=[Role.HELPER]
    )
    second = members.renew_code(db, at=clock.now(), actor=admin.id, house=house.id, person=person.id)
    with pytest.raises(BadValue):
        accounts.accept_code(db, at=clock.now(), typed=first, username="a1", password=PASSWORD, source="t", label="")
    accounts.accept_code(db, at=clock.now(), typed=second, username="alex", password=PASSWORD, source="t", label="")


def test_people_of_another_house_are_not_found(db, house, other_house) -> None:
    stranger = someone(db, other_house, Role.ADMIN)
    with pytest.raises(NotFound):
        members.change_roles(db, at=clock.now(), actor="system", house=house.id, person=stranger.id, roles=[Role.TD])


def test_roles_come_and_go_and_the_history_stays(db, house) -> None:
    someone(db, house, Role.ADMIN)
    person = someone(db, house, Role.HELPER, name="Alex Doe", username="alex")
    for roles in ([Role.TD], [], [Role.HELPER, Role.INSPECTOR]):
        members.change_roles(db, at=clock.now(), actor="system", house=house.id, person=person.id, roles=roles)
        found = {member.person.id: member for member in list_members(db, house.id)}[person.id]
        assert found.roles == frozenset(roles)
        assert found.ended == (not roles)


def test_every_change_of_people_stands_in_the_journal(db, house) -> None:
    admin = someone(db, house, Role.ADMIN)
    person = someone(db, house, Role.HELPER, name="Alex Doe", username="alex")
    members.change_roles(db, at=clock.now(), actor=admin.id, house=house.id, person=person.id, roles=[Role.TD])
    members.change_account(db, at=clock.now(), actor=admin.id, house=house.id, person=person.id, closed=True)
    members.change_account(db, at=clock.now(), actor=admin.id, house=house.id, person=person.id, closed=False)
    rows = list(list_journal(db))
    assert first_break(rows) is None
    wanted = ["member.roles", "account.close", "account.open"]
    assert [(row.action, row.actor) for row in rows[-3:]] == [(action, admin.id) for action in wanted]
    assert not any("Alex" in str(row) or "Sam" in str(row) for row in rows)  # names live outside the journal
