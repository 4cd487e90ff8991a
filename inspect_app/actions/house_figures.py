"""Signing in the figures of a table that is shipped from memory, from the house's own copy of the document."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app.actions.house_criteria import LookedUp, keep_looked_up, withdraw_value
from inspect_app.domain.errors import Conflict, NotFound
from inspect_app.domain.figures import Figures, FigureTable
from inspect_app.domain.house_figures import figure_key, may_be_entered, signed_table
from inspect_app.domain.house_rule import SignedValue


def find_table(figures: Figures, table: str) -> FigureTable:
    """A table by its id. Raises NotFound."""
    for one in figures.tables:
        if one.id == table:
            return one
    raise NotFound("There is no such table of figures.")


def sign_figures(
    db: Database, *, at: datetime, actor: str, house: str, base: Figures, table: str, given: LookedUp
) -> SignedValue:
    """Enter what the house's own copy says; then the table is looked up in this house, with who entered it.

    Raises NotFound, Conflict for a table that was read already, NotAllowed for a role that is not competent, BadValue.
    """
    held = find_table(base, table)
    if not may_be_entered(held):
        raise Conflict("This table was read in its document already; only tables from memory are entered here.")
    return keep_looked_up(db, at, actor, house, figure_key(table), given, lambda value: signed_table(held, value))


def withdraw_figures(db: Database, *, at: datetime, actor: str, house: str, table: str, reason: str) -> None:
    """Take it back: the table is off again. Raises NotAllowed, NotFound, BadValue."""
    withdraw_value(db, at=at, actor=actor, house=house, rule=figure_key(table), reason=reason)
