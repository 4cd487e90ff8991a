"""Stopping, the steps after it, release by the right role, withdrawal by two people."""

import pytest
from sqlite_utils import Database

from inspect_app.actions.tag_out import record_step, release_tag_out, stop_thing, withdraw_tag_out
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import STEP_TITLES, Step, TagState, group_of, still_asks
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import list_parts
from inspect_app.store.tag_out import get_ending, get_tag_out, list_standing
from tests.walk_builder import START, add_person

# which role puts back what: a table of the rule, written out by hand
RELEASES = {
    PartKind.LIFT_LINE: {Role.INSPECTOR},
    PartKind.HEAD_BLOCK: {Role.INSPECTOR},
    PartKind.HAND_LINE: {Role.INSPECTOR},
    PartKind.BRAKE: {Role.INSPECTOR},
    PartKind.LIMIT_SWITCH: {Role.INSPECTOR},
    PartKind.ROPE_LOCK: {Role.INSPECTOR},
    PartKind.HEAD_BEAM: {Role.INSPECTOR},
    PartKind.LOFT_BEAM: {Role.INSPECTOR},
    PartKind.GUARDRAIL: {Role.TD, Role.INSPECTOR},
    PartKind.LADDER: {Role.TD, Role.INSPECTOR},
    PartKind.LIGHTING: {Role.TD, Role.INSPECTOR},
}


def a_part(db: Database, house: House, kind: PartKind, on_set: bool = False) -> str:
    """Make the first part of the house one of this kind."""
    part = list_parts(db, house.id)[0]
    line_set = "line_set" if on_set else "NULL"
    db.execute(f"UPDATE part SET kind = ?, line_set = {line_set} WHERE id = ?", (kind.value, to_key(part.id)))
    return part.id


def a_stop(db: Database, house: House, kind: PartKind) -> str:
    raiser = add_person(db, house, "Sam", Role.HELPER)
    return stop_thing(db, at=START, actor=raiser.id, house=house.id, why="cracked", part=a_part(db, house, kind))


@pytest.mark.parametrize("kind", list(RELEASES))
@pytest.mark.parametrize("role", list(Role))
def test_only_the_roles_of_the_table_put_a_thing_back(db: Database, house: House, kind: PartKind, role: Role) -> None:
    stop = a_stop(db, house, kind)
    person = add_person(db, house, "Kim", role)

    def release() -> None:
        release_tag_out(db, at=START, actor=person.id, house=house.id, tag_out=stop, role=role, reason="put right",
                        paper="letter of A. Hale, P.E., 3 May")  # fmt: skip

    if role in RELEASES[kind]:
        release()
        assert list_standing(db, house.id) == []
        ending = get_ending(db, stop)
        assert ending is not None
        assert (ending.state, ending.role, ending.reason) == (TagState.RELEASED, role.value, "put right")
    else:
        with pytest.raises(NotAllowed):
            release()
        assert len(list_standing(db, house.id)) == 1


@pytest.mark.parametrize("kind", [PartKind.HEAD_BEAM, PartKind.LOFT_BEAM])
def test_structure_needs_an_engineers_paper_beside_the_inspector(db: Database, house: House, kind: PartKind) -> None:
    stop = a_stop(db, house, kind)
    inspector = add_person(db, house, "Mara", Role.INSPECTOR)
    with pytest.raises(BadValue, match="engineer"):
        release_tag_out(db, at=START, actor=inspector.id, house=house.id, tag_out=stop, role=Role.INSPECTOR,
                        reason="looked at", paper=" ")  # fmt: skip


def test_a_person_with_two_roles_acts_under_the_one_they_name(db: Database, house: House) -> None:
    stop = a_stop(db, house, PartKind.LIFT_LINE)
    both = add_person(db, house, "Mara", Role.INSPECTOR, Role.TD)
    with pytest.raises(NotAllowed):
        release_tag_out(db, at=START, actor=both.id, house=house.id, tag_out=stop, role=Role.TD, reason="done")
    release_tag_out(db, at=START, actor=both.id, house=house.id, tag_out=stop, role=Role.INSPECTOR, reason="done")


def test_a_role_that_is_not_held_releases_nothing(db: Database, house: House) -> None:
    stop = a_stop(db, house, PartKind.LADDER)
    director = add_person(db, house, "Ines", Role.TD)
    with pytest.raises(NotAllowed):
        release_tag_out(db, at=START, actor=director.id, house=house.id, tag_out=stop, role=Role.INSPECTOR, reason="x")


def test_a_release_says_why_and_happens_once(db: Database, house: House) -> None:
    stop = a_stop(db, house, PartKind.LADDER)
    director = add_person(db, house, "Ines", Role.TD)
    args = {"at": START, "actor": director.id, "house": house.id, "tag_out": stop, "role": Role.TD}
    with pytest.raises(BadValue):
        release_tag_out(db, **args, reason=" ")
    release_tag_out(db, **args, reason="rung replaced, tried")
    with pytest.raises(Conflict):
        release_tag_out(db, **args, reason="again")


def test_a_stop_on_a_whole_set_counts_as_load_path(db: Database, house: House) -> None:
    line_set = list_line_sets(db, house.id)[0]
    director = add_person(db, house, "Ines", Role.TD)
    stop = stop_thing(db, at=START, actor=director.id, house=house.id, why="noise", line_set=line_set.id)
    with pytest.raises(NotAllowed, match="qualified inspector"):
        release_tag_out(db, at=START, actor=director.id, house=house.id, tag_out=stop, role=Role.TD, reason="quiet now")


def test_every_kind_of_part_belongs_to_a_group_and_what_carries_is_never_other() -> None:
    for kind in (k for k in PartKind if any(word in k.value for word in ("block", "line", "batten", "arbor", "brake"))):
        assert group_of(kind, False) != "other", kind


def test_the_wrong_set_is_withdrawn_by_the_raiser_with_a_second_person_both_named(db: Database, house: House) -> None:
    raiser, second = add_person(db, house, "Sam", Role.HELPER), add_person(db, house, "Ines", Role.TD)
    area = list_areas(db, house.id)[0]
    stop = stop_thing(db, at=START, actor=raiser.id, house=house.id, why="wrong", area=area.id)
    args = {"at": START, "house": house.id, "tag_out": stop, "reason": "set 12 was meant"}
    with pytest.raises(NotAllowed, match="Sam"):
        withdraw_tag_out(db, actor=second.id, second=raiser.id, **args)
    for nobody in ("", raiser.id):
        with pytest.raises(BadValue):
            withdraw_tag_out(db, actor=raiser.id, second=nobody, **args)
    withdraw_tag_out(db, actor=raiser.id, second=second.id, **args)
    ending = get_ending(db, stop)
    assert ending is not None
    assert (ending.by_name, ending.second_name) == ("Sam", "Ines")
    assert list_standing(db, house.id) == []


def test_a_second_person_from_another_house_does_not_do(db: Database, house: House, other_house: House) -> None:
    raiser, stranger = add_person(db, house, "Sam", Role.HELPER), add_person(db, other_house, "Al", Role.TD)
    area = list_areas(db, house.id)[0]
    stop = stop_thing(db, at=START, actor=raiser.id, house=house.id, why="wrong", area=area.id)
    with pytest.raises(BadValue):
        withdraw_tag_out(db, at=START, actor=raiser.id, house=house.id, tag_out=stop, second=stranger.id, reason="x")


def test_steps_are_kept_with_who_and_could_not_keeps_asking(db: Database, house: House) -> None:
    stop = a_stop(db, house, PartKind.LADDER)
    person = add_person(db, house, "Ines", Role.HELPER)
    args = {"at": START, "actor": person.id, "house": house.id, "tag_out": stop}
    record_step(db, **args, step=Step.COULD_NOT, note="no padlock here", responsible="Joan")
    found = get_tag_out(db, house.id, stop)
    assert found is not None
    assert (still_asks(found), found.responsible) == ((Step.TOLD_RAIL, Step.LOCK_AND_TAG_ON), "Joan")
    record_step(db, **args, step=Step.TOLD_RAIL, who="Joan")
    record_step(db, **args, step=Step.LOCK_AND_TAG_ON)
    found = get_tag_out(db, house.id, stop)
    assert found is not None
    assert (still_asks(found), [step.step for step in found.steps]) == (
        (), [Step.COULD_NOT, Step.TOLD_RAIL, Step.LOCK_AND_TAG_ON]
    )  # fmt: skip


def test_a_step_that_lacks_what_it_must_say_is_refused(db: Database, house: House) -> None:
    stop = a_stop(db, house, PartKind.LADDER)
    person = add_person(db, house, "Ines", Role.TD)
    for step in (Step.TOLD_RAIL, Step.COULD_NOT):
        with pytest.raises(BadValue):
            record_step(db, at=START, actor=person.id, house=house.id, tag_out=stop, step=step)


def test_a_stop_on_a_part_of_a_set_stops_the_set(db: Database, house: House) -> None:
    raiser = add_person(db, house, "Sam", Role.HELPER)
    part = a_part(db, house, PartKind.LOFT_BLOCK, on_set=True)
    stop_thing(db, at=START, actor=raiser.id, house=house.id, why="loose", part=part)
    (stop,) = list_standing(db, house.id)
    assert (stop.scope, stop.part) == ("Line set 1", part)


def test_a_thing_of_another_house_cannot_be_stopped_stepped_or_released(
    db: Database, house: House, other_house: House
) -> None:
    person = add_person(db, house, "Ines", Role.INSPECTOR)
    elsewhere = list_line_sets(db, other_house.id)[0]
    with pytest.raises(NotFound):
        stop_thing(db, at=START, actor=person.id, house=house.id, why="x", line_set=elsewhere.id)
    stop = a_stop(db, other_house, PartKind.LADDER)
    with pytest.raises(NotFound):
        record_step(db, at=START, actor=person.id, house=house.id, tag_out=stop, step=Step.AREA_CLEARED)
    with pytest.raises(NotFound):
        release_tag_out(db, at=START, actor=person.id, house=house.id, tag_out=stop, role=Role.INSPECTOR, reason="x")


def test_no_step_tells_anyone_to_move_the_set() -> None:
    for words in STEP_TITLES.values():
        assert not any(verb in words.lower() for verb in ("lower", "raise", "fly", "bring in", "move"))
