"""Issuing the cards of sets, and noting that one was hung at the rail in place of the old one."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.actions.walk import require_role
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.rail_card import CardStanding, SetState, card_digest, standings_of
from inspect_app.store.db import write_transaction
from inspect_app.store.journal import append_journal, item
from inspect_app.store.rail_card import add_card, list_cards, set_card_swapped
from inspect_app.store.set_state import list_set_states


class IssuedCard(NamedTuple):
    """A card to be printed, with its revision."""

    state: SetState
    revision: int


def issue_cards(
    db: Database, *, at: datetime, today: date, actor: str, house: str, line_sets: Iterable[str] | None = None
) -> list[IssuedCard]:
    """Issue the cards of these sets, or of all whose card at the rail is out of date.

    A card that says what the newest one said keeps its revision. Raises BadValue when there is nothing to print,
    NotFound for a set of another house.
    """
    with write_transaction(db):
        require_role(db, house, actor, "stop.step")
        standings = standings_of(list_set_states(db, house, today), list_cards(db, house))
        chosen = _chosen(standings, line_sets)
        if not chosen:
            raise BadValue("Each card at the rail says what the log says: there is nothing to print.")
        issued, items = [], []
        for one in chosen:
            digest = card_digest(one.state)
            if one.newest is not None and one.newest.digest == digest:
                issued.append(IssuedCard(one.state, one.newest.revision))
                continue
            revision = add_card(db, house, one.state.line_set, digest, by=actor, at=at)
            issued.append(IssuedCard(one.state, revision))
            items.append(item("rail_card", one.state.line_set, [revision, digest]))
        if items:
            append_journal(db, at=at, actor=actor, action="card.issue", house=house, items=items)
    return issued


def _chosen(standings: list[CardStanding], line_sets: Iterable[str] | None) -> list[CardStanding]:
    if line_sets is None:
        return [one for one in standings if one.out_of_date]
    wanted = set(line_sets)
    chosen = [one for one in standings if one.state.line_set in wanted]
    if len(chosen) != len(wanted):
        raise NotFound("There is no such line set in this house.")
    return chosen


def swap_card(db: Database, *, at: datetime, today: date, actor: str, house: str, line_set: str) -> int:
    """Note that the newest card of a set hangs at the rail; returns its revision.

    Raises Conflict when none was printed or when the newest one is out of date itself, NotFound.
    """
    with write_transaction(db):
        require_role(db, house, actor, "stop.step")
        standings = standings_of(list_set_states(db, house, today), list_cards(db, house))
        (one,) = _chosen(standings, [line_set])
        if one.newest is None:
            raise Conflict("No card of this set was printed yet.")
        if one.newest.digest != card_digest(one.state):
            raise Conflict("The card printed last is out of date already. Print it anew, then swap it.")
        set_card_swapped(db, line_set, one.newest.revision, by=actor, at=at)
        items = [item("rail_card", line_set, ["swapped", one.newest.revision])]
        append_journal(db, at=at, actor=actor, action="card.swap", house=house, items=items)
    return one.newest.revision
