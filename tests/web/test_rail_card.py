"""Rail cards on the page: out of date when the log says something new, right again when the new one hangs."""

from datetime import timedelta
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.rail_card import issue_cards, swap_card
from inspect_app.actions.restriction import set_restriction
from inspect_app.actions.tag_out import stop_thing
from inspect_app.config import Settings
from inspect_app.domain.errors import Conflict, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.rail_card import NOTHING_KNOWN, OUT_OF_USE, RESTRICTED, CardStanding, standings_of
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.domain.role import Role
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import add_lives, add_parts
from inspect_app.store.rail_card import list_cards
from inspect_app.store.set_state import list_set_states
from tests.walk_builder import START, BuiltWalk, add_person

TODAY = START.date()


def standing(db: Database, house: House, number: str = "1") -> CardStanding:
    rows = standings_of(list_set_states(db, house.id, TODAY), list_cards(db, house.id))
    return next(one for one in rows if one.state.number == number)


def test_a_card_is_out_of_date_until_the_new_one_is_swapped_and_revisions_count_up(db: Database, house: House) -> None:
    person, line_set = add_person(db, house, "Mara", Role.INSPECTOR), list_line_sets(db, house.id)[0]
    args = {"at": START, "today": TODAY, "actor": person.id, "house": house.id}
    assert standing(db, house).out_of_date, "nothing hangs there yet"
    with pytest.raises(Conflict, match="No card"):
        swap_card(db, line_set=line_set.id, **args)
    assert [one.revision for one in issue_cards(db, line_sets=[line_set.id], **args)] == [1]
    assert standing(db, house).waits_for_swap
    swap_card(db, line_set=line_set.id, **args)
    assert not standing(db, house).out_of_date
    assert standing(db, house).state.word == NOTHING_KNOWN
    assert [one.revision for one in issue_cards(db, line_sets=[line_set.id], **args)] == [1], "it says the same"
    set_restriction(
        db, kind=RestrictionKind.LIMIT, texts={"what": "bent", "load_limit": "9 kg", "who": "Ines"},
        until=TODAY + timedelta(days=3), line_set=line_set.id, **args,
    )  # fmt: skip
    assert (standing(db, house).out_of_date, standing(db, house).state.word) == (True, RESTRICTED)
    assert [one.revision for one in issue_cards(db, **args) if one.state.number == "1"] == [2]
    stop_thing(db, at=START, actor=person.id, house=house.id, why="noise", line_set=line_set.id)
    with pytest.raises(Conflict, match="out of date already"):
        swap_card(db, line_set=line_set.id, **args)
    assert standing(db, house).state.word == OUT_OF_USE
    issue_cards(db, line_sets=[line_set.id], **args)
    swap_card(db, line_set=line_set.id, **args)
    assert not standing(db, house).out_of_date


def test_a_card_carries_what_its_arbor_is_looked_at_by_and_is_out_of_date_when_that_was_weighed_anew(
    db: Database, house: House
) -> None:
    person, line_set = add_person(db, house, "Mara", Role.INSPECTOR), list_line_sets(db, house.id)[0]
    args = {"at": START, "today": TODAY, "actor": person.id, "house": house.id, "line_set": line_set.id}
    area = list_areas(db, house.id)[0].id
    lock = Part(clock.new_id(), house.id, area, PartKind.ROPE_LOCK, "RL 1", line_set.id)
    bricks = Part(clock.new_id(), house.id, area, PartKind.COUNTERWEIGHTS, "CW 1", line_set.id)
    weighed = Life(clock.new_id(), bricks.id, attributes={"pipe_weight_kg": "33.475116906", "brick_kg": "11.158372302"})
    with write_transaction(db):
        add_parts(db, [lock, bricks])
        add_lives(db, [Life(clock.new_id(), lock.id, attributes={"imbalance_kg": "22.6796185"}), weighed])
    issue_cards(db, line_sets=[line_set.id], **{key: args[key] for key in ("at", "today", "actor", "house")})
    swap_card(db, **args)
    now = standing(db, house)
    assert dict(now.state.weights) == {
        "Pipe weight that stays on": "73.8 lb",
        "One whole brick": "24.6 lb",
        "Imbalance on the lock's plate": "50 lb; balance the set",
    }
    assert not now.out_of_date
    db.execute("UPDATE part_life SET attributes = ? WHERE part = ?", ('{"brick_kg": "11.3"}', to_key(bricks.id)))
    db.conn.commit()
    assert standing(db, house).out_of_date


def test_a_limit_that_expired_bars_the_set_from_the_next_day_on(db: Database, house: House) -> None:
    person, line_set = add_person(db, house, "Mara", Role.INSPECTOR), list_line_sets(db, house.id)[0]
    set_restriction(
        db, at=START, today=TODAY, actor=person.id, house=house.id, kind=RestrictionKind.LIMIT, until=TODAY,
        texts={"what": "bent", "load_limit": "9 kg", "who": "Ines"}, line_set=line_set.id,
    )  # fmt: skip
    words = [list_set_states(db, house.id, TODAY + timedelta(days=n))[0].word for n in (0, 1)]
    assert words == [RESTRICTED, OUT_OF_USE]


def test_a_set_of_another_house_gets_no_card(db: Database, house: House, other_house: House) -> None:
    person, there = add_person(db, house, "Mara", Role.INSPECTOR), list_line_sets(db, other_house.id)[0]
    args = {"at": START, "today": TODAY, "actor": person.id, "house": house.id}
    with pytest.raises(NotFound):
        issue_cards(db, line_sets=[there.id], **args)
    with pytest.raises(NotFound):
        swap_card(db, line_set=there.id, **args)


def test_the_page_lists_what_to_swap_and_prints_it(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, house: House
) -> None:
    person = sign_in(client, Role.TD)
    line_set = list_line_sets(db, house.id)[0]
    stop_thing(db, at=clock.now(), actor=person.id, house=house.id, why="frayed at the clip", line_set=line_set.id)
    page = client.get(f"/houses/{house.id}/rail").text
    assert "frayed at the clip" in page
    assert "No card of this log hangs at the rail." in page
    answer = client.post(f"/houses/{house.id}/rail/issue", data={"csrf_token": csrf(client), "line_set": line_set.id})
    assert answer.status_code == 303
    assert "/printing/" in answer.headers["Location"]
    assert "Revision 1 hangs now" in client.get(f"/houses/{house.id}/rail").text
    swap = f"/houses/{house.id}/rail/{line_set.id}/swap"
    assert "hangs at the rail since" in client.post(swap, data={"csrf_token": csrf(client)}, follow_redirects=True).text


def test_what_is_graded_restrict_without_a_limit_says_so_on_its_set_until_the_limit_is_recorded(
    client: FlaskClient, sign_in: Any, db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "restrict", note="cheek bent")
    (row,) = list_deficiencies(db, house.id)
    sign_in(client, Role.TD)
    assert "Say its limit" in client.get(f"/houses/{house.id}/restrictions").text
    state = standing(db, house).state
    assert (state.word, "has no limit yet" in state.limits[0]) == (RESTRICTED, True)
    set_restriction(
        db, at=START, today=TODAY, actor=walk.td.id, house=house.id, kind=RestrictionKind.LIMIT, deficiency=row.id,
        texts={"what": "bent", "load_limit": "9 kg", "who": "Ines"}, until=clock.now().date() + timedelta(days=9),
    )  # fmt: skip
    assert "Say its limit" not in client.get(f"/houses/{house.id}/restrictions").text
    assert all("no limit yet" not in text for text in standing(db, house).state.limits)
