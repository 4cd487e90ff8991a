"""The published figures as they hold in one house: tables from memory with what it read in its own copy.

What is remembered is never switched on: a signed table has the figures that were typed, and only the rows for which
one was.
"""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from inspect_app.domain.errors import BadValue
from inspect_app.domain.figures import FigureRow, Figures, FigureTable
from inspect_app.domain.house_rule import SignedValue
from inspect_app.domain.limit_form import number
from inspect_app.domain.units import UNITS

PREFIX = "figures/"  # before a table's id where signed rows of criteria and of figures stand in one list
LARGEST = 10**12


def figure_key(table: str) -> str:
    """What a signed value of a table of figures is kept under."""
    return PREFIX + table


def may_be_entered(table: FigureTable) -> bool:
    """Whether a house may enter the figures of a table itself: only what is shipped from memory, and off."""
    return table.mark == "memory" and not table.active


def units_of(table: FigureTable) -> tuple[str, ...]:
    """The units in which the table may be entered: those of its dimension, its own first; none where rows differ."""
    own = dict.fromkeys(row.unit for row in table.rows)
    if len(own) != 1:
        return ()
    unit = next(iter(own))
    return (unit, *(key for key, one in UNITS.items() if one.dimension == UNITS[unit].dimension and key != unit))


def row_name(row: FigureRow) -> str:
    """What a row is looked up by, in words; '' for a single figure."""
    return row.shown.replace("_", " ")


def house_figures(base: Figures, signed: Mapping[str, SignedValue]) -> Figures:
    """The shipped figures with what a house signed in, by table id.

    A signed value that no longer fits its table is left out, so that the table stays off.
    """
    return Figures(tuple(_table(table, signed.get(table.id)) for table in base.tables))


def _table(table: FigureTable, signed: SignedValue | None) -> FigureTable:
    if signed is None or not may_be_entered(table):
        return table
    try:
        return signed_table(table, signed)
    except BadValue:
        return table


def signed_table(table: FigureTable, signed: SignedValue) -> FigureTable:
    """The table with the figures a house read, in use; rows left empty are left out. Raises BadValue.

    `signed.figures` are texts in the order of the rows; `signed.unit` is empty where each row keeps its own.
    """
    if len(signed.figures) != len(table.rows):
        raise BadValue("The number of figures is not that of the table.", "figures")
    if signed.unit and signed.unit not in units_of(table):
        raise BadValue("Choose one of the units of this table.", "unit")
    rows = tuple(
        replace(row, value=_value(table, row, text, signed.unit or row.unit), unit=signed.unit or row.unit, note="")
        for row, text in zip(table.rows, signed.figures, strict=True)
        if text.strip()
    )
    if not rows:
        raise BadValue("Enter at least one figure.", "figures")
    return replace(table, rows=rows, clause=signed.clause, note="", active=True, signed=signed.words)


def _value(table: FigureTable, row: FigureRow, text: str, unit: str) -> Fraction:
    named = f" for {row_name(row)}" if row.shown else ""
    try:
        value = number(text.strip())
    except BadValue:
        raise BadValue(f"The figure{named} is “{text[:40]}”, which is not a number.", "figures") from None
    if not 0 < value <= LARGEST:
        raise BadValue(f"The figure{named} is {text[:40]}; it must be above zero and no slip of the thumb.", "figures")
    if table.kind == "termination_efficiency" and value * (1 if unit == "percent" else 100) > 100:
        raise BadValue(f"The figure{named} is {text[:40]}; a line end keeps no more than 100 % of the rope.", "figures")
    return value
