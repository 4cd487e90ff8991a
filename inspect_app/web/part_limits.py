"""The limits of a part as its page shows them: side by side, with what can be worked out without measuring."""

from typing import NamedTuple

from inspect_app.domain.asked_limits import PartLimits, limits_of_part, measures_by_kind
from inspect_app.domain.criteria import Consequence
from inspect_app.domain.house import Inventory
from inspect_app.domain.judge import OUTSIDE_WORDS
from inspect_app.domain.judged_measure import judging_attributes
from inspect_app.domain.part import Part
from inspect_app.domain.walk_record import Accepted
from inspect_app.domain.worked_figure import WorkedFigure, worked_figures
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.checklist import load_shelf
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.repair_context import today
from inspect_app.web.walk import criteria_here


class ShownLimits(NamedTuple):
    """Everything a part's page says of limits: worked-out figures, limits by criterion, what outside calls for.

    `not_here` names, by what the record says, the criteria that it keeps away from this part. `accepted` are the
    house's accepted measures for the part, which a value outside at an edge may rest on.
    """

    worked: tuple[WorkedFigure, ...]
    by_criterion: tuple[PartLimits, ...]
    not_here: dict[str, list[str]]
    outside: dict[Consequence, str]
    edge: bool
    accepted: tuple[Accepted, ...]
    today: str


def shown_limits(part: Part, inventory: Inventory) -> ShownLimits:
    """For one part of the house of the page."""
    criteria = criteria_here(part.house)
    asked = measures_by_kind(load_shelf(get_settings()).checklists.values()).get(part.kind, ())
    rows = limits_of_part((row.criterion for row in asked), judging_attributes(inventory, part), criteria)
    shown = tuple(row for row in rows if row.limits or row.why_not)
    not_here: dict[str, list[str]] = {}
    for row in rows:
        if row.not_here:
            not_here.setdefault(row.not_here, []).append(row.criterion.title)
    edge = any(row.criterion.consequence is Consequence.EDGE for row in shown)
    accepted = tuple(one for one in list_accepted(get_db(), part.house) if one.part == part.id)
    worked = worked_figures(part, inventory, criteria)
    return ShownLimits(worked, shown, not_here, dict(OUTSIDE_WORDS), edge, accepted, today().isoformat())
