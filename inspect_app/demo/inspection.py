"""What the invented inspector adds to the yearly signature: credential as typed, remarks, a condition on use."""

from datetime import date, timedelta

from sqlite_utils import Database

from inspect_app.domain.house import AreaKind
from inspect_app.domain.inspection import ConditionOnUse, Inspection
from inspect_app.store.house import list_areas

REMARKS = (
    "Six sets of forty were handled from head block to batten; the rest was not mine to see this year.\n"
    "The house has no drawings of the head steel on file. Ask for them before the next change of loads.\n"
    "Invented remarks of an invented inspector."
)


def yearly_inspection(db: Database, house: str, on: date, newest: bool) -> Inspection:
    """The words of one yearly signature; the newest sets a condition for the walkway at the head blocks as well."""
    wells = [area for area in list_areas(db, house) if area.kind is AreaKind.HEAD_WELL]
    conditions = (
        ConditionOnUse(
            "Nobody passes the open head well while a set moves, until its rail is in and seen by an inspector",
            (on + timedelta(days=500)).isoformat(),
            area=wells[0].id,
        ),
    )
    return Inspection(
        body="Institute of Rigging Inspectors (invented)",
        number="0000",
        expires=f"end of {on.year + 2}",
        remarks=REMARKS,
        conditions=conditions if newest and wells else (),
    )
