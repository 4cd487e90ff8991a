"""Stopping, the steps after it, release by the right role, withdrawal by two people."""

from datetime import timedelta

import pytest
from sqlite_utils import Database

from inspect_app.actions.tag_out import (
    ask_withdrawal,
    check_released_work,
    confirm_withdrawal,
    record_place,
    record_step,
    release_tag_out,
    stop_thing,
)
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.part import PartKind
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import STEP_TITLES, Step, TagAt, TagState, group_of, still_asks
from inspect_app.domain.tag_release import checked_by_repairer_only, needs_of
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import list_parts
from inspect_app.store.relook import list_relooks
from inspect_app.store.tag_out import get_ending, get_tag_check, get_tag_out, list_standing, list_unfinished
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


ON_SET_ALL = {
    "reason", "work_by", "checked_by", "checked", "travel_empty", "travel_loaded", "travel_first", "travel_second",
    "locks_off", "label", "crew_told", "relook_on",
}  # fmt: skip
STANDS_STILL = ON_SET_ALL - {"travel_empty", "travel_loaded", "travel_first", "travel_second"}
# what a release asks, by the kind of part and whether it hangs on a line set: written out by hand
ASKED = {
    (PartKind.LIFT_LINE, True): ON_SET_ALL,
    (PartKind.HEAD_BLOCK, False): STANDS_STILL,
    (PartKind.ROPE_LOCK, True): ON_SET_ALL,
    (PartKind.LIMIT_SWITCH, True): ON_SET_ALL,
    (PartKind.HEAD_BEAM, False): STANDS_STILL | {"paper"},
    (PartKind.LOFT_BEAM, True): ON_SET_ALL | {"paper"},
    (PartKind.FIRE_SAFETY_CURTAIN, False): ON_SET_ALL,
    (PartKind.LADDER, False): STANDS_STILL,
    (PartKind.LIGHTING, False): STANDS_STILL,
}
TODAY = START.date()
ANSWERS = {
    "reason": "rope replaced", "work_by": "Harbour Rigging", "checked_by": "Mara", "checked": "each end, both clips",
    "travel_empty": "end to end, quiet", "travel_loaded": "end to end with 120 kg, quiet", "travel_first": "Mara",
    "travel_second": "Joan", "locks_off": "none was hung", "label": "nothing changes", "crew_told": "all, at the call",
    "relook_on": (TODAY + timedelta(days=30)).isoformat(), "paper": "letter of A. Hale, P.E., 3 May",
}  # fmt: skip


def release(db: Database, house: House, stop: str, actor: str, role: Role, **changed: str) -> None:
    release_tag_out(db, at=START, today=TODAY, actor=actor, house=house.id, tag_out=stop, role=role,
                    answers={**ANSWERS, **changed})  # fmt: skip


@pytest.mark.parametrize("kind", list(RELEASES))
@pytest.mark.parametrize("role", list(Role))
def test_only_the_roles_of_the_table_put_a_thing_back(db: Database, house: House, kind: PartKind, role: Role) -> None:
    stop = a_stop(db, house, kind)
    person = add_person(db, house, "Kim", role)
    if role in RELEASES[kind]:
        release(db, house, stop, person.id, role)
        assert list_standing(db, house.id) == []
        ending = get_ending(db, stop)
        assert ending is not None
        assert (ending.state, ending.role, ending.reason) == (TagState.RELEASED, role.value, "rope replaced")
        assert ending.answers["relook_on"] == ANSWERS["relook_on"]
    else:
        with pytest.raises(NotAllowed):
            release(db, house, stop, person.id, role)
        assert len(list_standing(db, house.id)) == 1


@pytest.mark.parametrize(("kind", "on_set"), list(ASKED))
def test_a_release_asks_what_the_table_says_and_is_refused_without_each(
    db: Database, house: House, kind: PartKind, on_set: bool
) -> None:
    raiser, inspector = add_person(db, house, "Sam", Role.HELPER), add_person(db, house, "Mara Vance", Role.INSPECTOR)
    part = a_part(db, house, kind, on_set)
    stop = stop_thing(db, at=START, actor=raiser.id, house=house.id, why="cracked", part=part)
    found = get_tag_out(db, house.id, stop)
    assert found is not None
    assert {need.value for need in needs_of(found)} == ASKED[kind, on_set]
    for need in ASKED[kind, on_set]:
        with pytest.raises(BadValue) as refused:
            release(db, house, stop, inspector.id, Role.INSPECTOR, **{need: "  "})
        assert refused.value.field == need
        assert len(list_standing(db, house.id)) == 1
    others = {need: "" for need in ANSWERS if need not in ASKED[kind, on_set]}
    release(db, house, stop, inspector.id, Role.INSPECTOR, **others)
    assert list_standing(db, house.id) == []


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"checked_by": "harbour  rigging"}, "checked_by"),
        ({"checked_by": "Harbour Rigging, Bo Ek"}, "checked_by"),
        ({"work_by": "mara vance", "checked_by": "Joan"}, "work_by"),
        ({"work_by": "Mára", "checked_by": "Joan"}, "work_by"),
        ({"work_by": "Vance, Mara", "checked_by": "Joan"}, "work_by"),
        ({"travel_second": "MARA"}, "travel_second"),
        ({"travel_second": "Mara Vance"}, "travel_second"),
        ({"relook_on": TODAY.isoformat()}, "relook_on"),
        ({"relook_on": (TODAY + timedelta(days=91)).isoformat()}, "relook_on"),
        ({"relook_on": "soon"}, "relook_on"),
    ],
)
def test_a_release_of_the_load_path_refuses_one_person_for_two_and_a_late_look(
    db: Database, house: House, changed: dict[str, str], field: str
) -> None:
    inspector = add_person(db, house, "Mara Vance", Role.INSPECTOR)
    part = a_part(db, house, PartKind.LIFT_LINE, on_set=True)
    stop = stop_thing(db, at=START, actor=inspector.id, house=house.id, why="cracked", part=part)
    with pytest.raises(BadValue) as refused:
        release(db, house, stop, inspector.id, Role.INSPECTOR, **changed)
    assert refused.value.field == field
    assert len(list_standing(db, house.id)) == 1


def test_each_lock_and_tag_is_taken_off_by_who_hung_it(db: Database, house: House) -> None:
    inspector = add_person(db, house, "Mara", Role.INSPECTOR)
    stop = a_stop(db, house, PartKind.LIFT_LINE)
    args = {"at": START, "actor": inspector.id, "house": house.id, "tag_out": stop}
    record_step(db, **args, step=Step.LOCK_AND_TAG_ON, who="Joan Pell")
    record_step(db, **args, step=Step.ISOLATOR_LOCKED)
    for off in ("none was hung", "Joan Pell took hers off", "Mara took hers off", "Joan Pell and Tamara took theirs"):
        with pytest.raises(BadValue, match="each takes off their own"):
            release(db, house, stop, inspector.id, Role.INSPECTOR, locks_off=off)
    release(db, house, stop, inspector.id, Role.INSPECTOR, locks_off="joan pell and Mara, each their own")


def test_work_outside_the_load_path_checked_by_its_repairer_is_marked_unfinished(db: Database, house: House) -> None:
    director = add_person(db, house, "Ines", Role.TD)
    stop = a_stop(db, house, PartKind.LADDER)
    release(db, house, stop, director.id, Role.TD, work_by="Ines", checked_by="Ines")
    ending = get_ending(db, stop)
    assert ending is not None
    assert checked_by_repairer_only(ending.answers)
    assert [row.id for row in list_unfinished(db, house.id)] == [stop]


def test_what_its_repairer_alone_checked_is_finished_by_another_person_and_by_nobody_else(
    db: Database, house: House
) -> None:
    director, other = add_person(db, house, "Ines Halm", Role.TD), add_person(db, house, "Kit Doran", Role.INSPECTOR)
    helper = add_person(db, house, "Joan Pell", Role.HELPER)
    stop = a_stop(db, house, PartKind.LADDER)
    release(db, house, stop, director.id, Role.TD, work_by="Ines", checked_by="ines")

    def check(actor: Person, role: Role, looked_at: str = "each rung, by hand") -> None:
        check_released_work(
            db, at=START, actor=actor.id, house=house.id, tag_out=stop, role=role, looked_at=looked_at
        )  # fmt: skip

    for actor, role, refused in (
        (director, Role.TD, NotAllowed), (helper, Role.TD, NotAllowed), (other, Role.TD, NotAllowed),
    ):  # fmt: skip
        with pytest.raises(refused):
            check(actor, role)
    with pytest.raises(BadValue) as empty:
        check(other, Role.INSPECTOR, " ")
    assert empty.value.field == "looked_at"
    assert get_tag_check(db, stop) is None
    check(other, Role.INSPECTOR)
    kept = get_tag_check(db, stop)
    assert kept is not None
    assert (kept.by_name, kept.looked_at) == ("Kit Doran", "each rung, by hand")
    assert list_unfinished(db, house.id) == []
    with pytest.raises(Conflict, match="Nothing is unfinished"):
        check(other, Role.INSPECTOR)


@pytest.mark.parametrize("kind", [PartKind.LIFT_LINE, PartKind.BRAKE, PartKind.HEAD_BEAM])
def test_load_path_brakes_and_structure_are_never_finished_afterwards(
    db: Database, house: House, kind: PartKind
) -> None:
    inspector = add_person(db, house, "Mara", Role.INSPECTOR)
    stop = a_stop(db, house, kind)
    with pytest.raises(BadValue):
        release(db, house, stop, inspector.id, Role.INSPECTOR, work_by="Ines", checked_by="Ines")
    with pytest.raises(Conflict, match="before it is released"):
        check_released_work(
            db, at=START, actor=inspector.id, house=house.id, tag_out=stop, role=Role.INSPECTOR, looked_at="all of it"
        )


def test_a_stop_that_is_sent_twice_is_raised_once_and_later_or_in_other_words_again(db: Database, house: House) -> None:
    sam, kit = add_person(db, house, "Sam", Role.HELPER), add_person(db, house, "Kit", Role.HELPER)
    line_set = list_line_sets(db, house.id)[0].id

    def stop(who: Person, why: str = "noise", after: int = 0) -> str:
        at = START + timedelta(seconds=after)
        return stop_thing(db, at=at, actor=who.id, house=house.id, why=why, line_set=line_set)

    first = stop(sam)
    assert stop(sam, " noise ", after=5) == first
    made = {first, stop(kit), stop(sam, "smoke"), stop(sam, after=60)}
    assert {row.id for row in list_standing(db, house.id)} == made
    assert len(made) == 4


def test_each_stop_on_a_set_is_released_on_its_own_and_the_set_returns_with_the_last(
    db: Database, house: House
) -> None:
    inspector = add_person(db, house, "Mara", Role.INSPECTOR)
    line_set = list_line_sets(db, house.id)[0]
    args = {"at": START, "actor": inspector.id, "house": house.id, "line_set": line_set.id}
    first, second = stop_thing(db, why="noise", **args), stop_thing(db, why="frayed", **args)
    release(db, house, first, inspector.id, Role.INSPECTOR)
    assert [stop.id for stop in list_standing(db, house.id)] == [second]
    release(db, house, second, inspector.id, Role.INSPECTOR)
    assert list_standing(db, house.id) == []


def test_a_release_puts_its_next_look_into_the_calendar(db: Database, house: House) -> None:
    inspector = add_person(db, house, "Mara", Role.INSPECTOR)
    line_set = list_line_sets(db, house.id)[0]
    whole = stop_thing(db, at=START, actor=inspector.id, house=house.id, why="noise", line_set=line_set.id)
    release(db, house, whole, inspector.id, Role.INSPECTOR)
    (asked,) = list_relooks(db, house.id)
    assert (asked.tag_out, asked.look_on.isoformat()) == (whole, ANSWERS["relook_on"])
    assert asked.part in {part.id for part in list_parts(db, house.id, line_set=line_set.id)}
    one = a_stop(db, house, PartKind.LIFT_LINE)
    release(db, house, one, inspector.id, Role.INSPECTOR)
    assert {row.tag_out for row in list_relooks(db, house.id)} == {whole, one}


def test_a_person_with_two_roles_acts_under_the_one_they_name(db: Database, house: House) -> None:
    stop = a_stop(db, house, PartKind.LIFT_LINE)
    both = add_person(db, house, "Mara", Role.INSPECTOR, Role.TD)
    with pytest.raises(NotAllowed):
        release(db, house, stop, both.id, Role.TD)
    release(db, house, stop, both.id, Role.INSPECTOR)


def test_a_role_that_is_not_held_releases_nothing(db: Database, house: House) -> None:
    stop = a_stop(db, house, PartKind.LADDER)
    director = add_person(db, house, "Ines", Role.TD)
    with pytest.raises(NotAllowed):
        release(db, house, stop, director.id, Role.INSPECTOR)


def test_a_release_happens_once(db: Database, house: House) -> None:
    stop = a_stop(db, house, PartKind.LADDER)
    director = add_person(db, house, "Ines", Role.TD)
    release(db, house, stop, director.id, Role.TD)
    with pytest.raises(Conflict):
        release(db, house, stop, director.id, Role.TD)


def test_a_stop_on_a_whole_set_counts_as_load_path(db: Database, house: House) -> None:
    line_set = list_line_sets(db, house.id)[0]
    director = add_person(db, house, "Ines", Role.TD)
    stop = stop_thing(db, at=START, actor=director.id, house=house.id, why="noise", line_set=line_set.id)
    with pytest.raises(NotAllowed, match="qualified inspector"):
        release(db, house, stop, director.id, Role.TD)


def test_a_stop_on_an_area_counts_as_load_path_where_sets_hang_and_not_elsewhere(db: Database, house: House) -> None:
    director, inspector = add_person(db, house, "Ines", Role.TD), add_person(db, house, "Kim Roe", Role.INSPECTOR)
    areas = {area.name: area.id for area in list_areas(db, house.id)}
    stops = {
        name: stop_thing(db, at=START, actor=director.id, house=house.id, why="no entry", area=key)
        for name, key in areas.items()
    }
    release(db, house, stops["Deck and rail"], director.id, Role.TD)
    with pytest.raises(NotAllowed, match="Grid concerns load path"):
        release(db, house, stops["Grid"], director.id, Role.TD)
    release(db, house, stops["Grid"], inspector.id, Role.INSPECTOR)
    assert list_standing(db, house.id) == []


def test_every_kind_of_part_belongs_to_a_group_and_what_carries_is_never_other() -> None:
    for kind in (k for k in PartKind if any(word in k.value for word in ("block", "line", "batten", "arbor", "brake"))):
        assert group_of(kind, False) != "other", kind


def test_the_wrong_set_is_withdrawn_by_its_raiser_and_a_second_person_on_their_own_account(
    db: Database, house: House
) -> None:
    raiser, second = add_person(db, house, "Sam", Role.HELPER), add_person(db, house, "Ines", Role.HELPER)
    area = list_areas(db, house.id)[0]
    stop = stop_thing(db, at=START, actor=raiser.id, house=house.id, why="wrong", area=area.id)
    args = {"at": START, "house": house.id, "tag_out": stop}
    with pytest.raises(Conflict, match="has not asked"):
        confirm_withdrawal(db, actor=second.id, **args)
    with pytest.raises(NotAllowed, match="Sam"):
        ask_withdrawal(db, actor=second.id, reason="set 12 was meant", **args)
    with pytest.raises(BadValue):
        ask_withdrawal(db, actor=raiser.id, reason=" ", **args)
    ask_withdrawal(db, actor=raiser.id, reason="set 12 was meant", **args)
    assert len(list_standing(db, house.id)) == 1, "it stands until the second person confirms"
    with pytest.raises(NotAllowed, match="second person"):
        confirm_withdrawal(db, actor=raiser.id, **args)
    confirm_withdrawal(db, actor=second.id, **args)
    ending = get_ending(db, stop)
    assert ending is not None
    assert (ending.by_name, ending.second_name, ending.reason) == ("Sam", "Ines", "set 12 was meant")
    assert list_standing(db, house.id) == []


def test_a_second_person_from_another_house_does_not_do(db: Database, house: House, other_house: House) -> None:
    raiser, stranger = add_person(db, house, "Sam", Role.HELPER), add_person(db, other_house, "Al", Role.TD)
    area = list_areas(db, house.id)[0]
    stop = stop_thing(db, at=START, actor=raiser.id, house=house.id, why="wrong", area=area.id)
    args = {"at": START, "house": house.id, "tag_out": stop}
    ask_withdrawal(db, actor=raiser.id, reason="x", **args)
    with pytest.raises(NotAllowed):
        confirm_withdrawal(db, actor=stranger.id, **args)
    assert len(list_standing(db, house.id)) == 1


def test_how_a_stopped_set_was_left_is_kept_and_a_motorised_one_names_where_it_is_locked_off(
    db: Database, house: House
) -> None:
    person = add_person(db, house, "Sam", Role.HELPER)
    line_set = list_line_sets(db, house.id)[0]
    stop = stop_thing(db, at=START, actor=person.id, house=house.id, why="noise", line_set=line_set.id)
    args = {"at": START, "actor": person.id, "house": house.id, "tag_out": stop}
    with pytest.raises(BadValue):
        record_place(db, **args)
    record_place(db, **args, height="22 ft", load="6 lamps, 120 kg", tags_at=[TagAt.RAIL, TagAt.BATTEN])
    db.execute("UPDATE line_set SET kind = 'motorised' WHERE id = ?", (to_key(line_set.id),))
    with pytest.raises(BadValue, match="locked off"):
        record_place(db, **args, height="22 ft")
    record_place(db, **args, height="23 ft", tags_at=[TagAt.CONSOLE], lockout_point="isolator 7, fly floor")
    found = get_tag_out(db, house.id, stop)
    assert found is not None
    assert [(one.height, one.load, one.tags_at) for one in found.places] == [
        ("22 ft", "6 lamps, 120 kg", (TagAt.RAIL, TagAt.BATTEN)), ("23 ft", "", (TagAt.CONSOLE,)),
    ]  # fmt: skip
    assert found.place is not None
    assert found.place.lockout_point == "isolator 7, fly floor"


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


def test_nothing_is_recorded_on_a_stop_that_has_ended_meanwhile(db: Database, house: House) -> None:
    director = add_person(db, house, "Ines", Role.TD)
    stop = a_stop(db, house, PartKind.LADDER)
    release(db, house, stop, director.id, Role.TD)
    args = {"at": START, "actor": director.id, "house": house.id, "tag_out": stop}
    with pytest.raises(Conflict, match="was released meanwhile: it stops nothing"):
        record_step(db, **args, step=Step.LOCK_AND_TAG_ON)
    with pytest.raises(Conflict, match="was released meanwhile"):
        record_place(db, **args, tags_at=[TagAt.RAIL])
    found = get_tag_out(db, house.id, stop)
    assert found is not None
    assert (found.steps, found.places) == ((), ())


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
        release(db, house, stop, person.id, Role.INSPECTOR)


def test_no_step_tells_anyone_to_move_the_set() -> None:
    for words in STEP_TITLES.values():
        assert not any(verb in words.lower() for verb in ("lower", "raise", "fly", "bring in", "move"))
