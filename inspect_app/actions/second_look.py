"""Drawing second looks when a walk is signed, noting what answered them, and setting a house's share."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.walk import require_role
from inspect_app.domain.journal import JournalItem
from inspect_app.domain.second_look import (
    LAPSES_AFTER,
    SETTING,
    SecondLook,
    answers_of,
    candidates,
    draw,
    percent_of,
    read_percent,
)
from inspect_app.domain.walk import Look, standing_looks
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house, set_house
from inspect_app.store.journal import append_journal, item
from inspect_app.store.second_look import (
    Draw,
    add_draw,
    add_second_look,
    drop_answers,
    get_draw,
    list_open_second_looks,
    list_people_of,
    set_answers,
)


def draw_second_looks(
    db: Database, *, at: datetime, actor: str, house: str, walk: str, looks: Sequence[Look]
) -> list[JournalItem]:
    """Draw among the sound looks of a walk that is being signed, once; returns what its journal row must name.

    Runs in the transaction of the signature. The seed is made here and kept with the candidates, so that nobody can
    choose and anybody can draw again. With a share of 0 nothing is drawn or kept.
    """
    percent = percent_of(get_house(db, house).settings)
    fit = {look.entry: look for look in candidates(looks)}
    if percent == "0" or not fit or get_draw(db, house, walk) is not None:
        return []
    made = Draw(walk, clock.new_seed(), percent, tuple(fit), at)
    add_draw(db, house, made, actor)
    chosen = draw(made.seed, percent, made.candidates)
    people = list_people_of(db, chosen)
    for entry in chosen:
        first = fit[entry]
        row = SecondLook(
            clock.new_id(), walk, entry, first.part, first.in_pass, first.points, people.get(entry, (first.by,)), at
        )
        add_second_look(db, house, row)
    return [item("second_look_draw", walk, [made.seed.hex(), percent, list(made.candidates), list(chosen)])]


def answer_second_looks(db: Database, *, house: str, walk: str, looks: Sequence[Look], at: datetime) -> None:
    """Work out which second looks a signed walk answered, in the transaction of its signature or amendment."""
    drop_answers(db, walk)
    standing: dict[tuple[str, str], list[Look]] = {}
    for look in standing_looks(looks):
        standing.setdefault((look.part, look.in_pass), []).append(look)
    for second in list_open_second_looks(db, house, at - LAPSES_AFTER):
        here = standing.get((second.part, second.in_pass))
        if here:
            people = list_people_of(db, [look.entry for look in here])
            set_answers(db, walk, answers_of(second, walk, here, people))


def set_second_look_share(db: Database, *, at: datetime, actor: str, house: str, percent: str) -> str:
    """Set the share of sound entries that come back, in percent; 0 switches it off. Raises BadValue."""
    share = read_percent(percent)
    with write_transaction(db):
        require_role(db, house, actor, "relook.ask")
        before = get_house(db, house)
        set_house(db, replace(before, settings={**before.settings, SETTING: share}))
        append_journal(
            db, at=at, actor=actor, action="house.second_looks", house=house, items=[item("house", house, share)]
        )
    return share
