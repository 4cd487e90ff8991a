"""Restricting and ending it, by role and house; the grade of a deficiency after the last day."""

from datetime import timedelta

import pytest
from sqlite_utils import Database

from inspect_app.actions.restriction import end_restriction, set_restriction
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.domain.role import Role
from inspect_app.store.house import list_line_sets
from inspect_app.store.restriction import list_restrictions
from tests.walk_builder import START, add_person

TODAY = START.date()
GIVEN = {
    "kind": RestrictionKind.LIMIT, "texts": {"what": "bent cheek", "load_limit": "100 kg", "who": "Ines Halloran"},
    "until": TODAY + timedelta(days=10), "today": TODAY, "at": START,
}  # fmt: skip


@pytest.mark.parametrize("role", list(Role))
def test_only_a_director_or_an_inspector_restricts_and_ends_it(db: Database, house: House, role: Role) -> None:
    person, line_set = add_person(db, house, "Kim", role), list_line_sets(db, house.id)[0]
    td = add_person(db, house, "Ines", Role.TD)
    if role in (Role.TD, Role.INSPECTOR):
        made = set_restriction(db, actor=person.id, house=house.id, line_set=line_set.id, **GIVEN)
        with pytest.raises(BadValue):
            end_restriction(db, at=START, actor=person.id, house=house.id, restriction=made, reason=" ")
        end_restriction(db, at=START, actor=person.id, house=house.id, restriction=made, reason="new cheek, checked")
        assert list_restrictions(db, house.id) == []
        with pytest.raises(Conflict):
            end_restriction(db, at=START, actor=person.id, house=house.id, restriction=made, reason="again")
        return
    made = set_restriction(db, actor=td.id, house=house.id, line_set=line_set.id, **GIVEN)
    with pytest.raises(NotAllowed):
        set_restriction(db, actor=person.id, house=house.id, line_set=line_set.id, **GIVEN)
    with pytest.raises(NotAllowed):
        end_restriction(db, at=START, actor=person.id, house=house.id, restriction=made, reason="x")
    (kept,) = list_restrictions(db, house.id)
    assert (kept.scope, kept.load_limit, kept.who) == ("Line set 1", "100 kg", "Ines Halloran")


def test_nothing_of_another_house_is_restricted_or_ended(db: Database, house: House, other_house: House) -> None:
    person, other = add_person(db, house, "Ines", Role.TD), add_person(db, other_house, "Al", Role.TD)
    there = list_line_sets(db, other_house.id)[0].id
    with pytest.raises(NotFound):
        set_restriction(db, actor=person.id, house=house.id, line_set=there, **GIVEN)
    made = set_restriction(db, actor=other.id, house=other_house.id, line_set=there, **GIVEN)
    with pytest.raises(NotFound):
        end_restriction(db, at=START, actor=person.id, house=house.id, restriction=made, reason="x")
