"""What binds the invented house besides repairs: a limit on a set, a measure that ran out, and cards at the rail."""

from datetime import datetime, timedelta

from inspect_app.actions.rail_card import issue_cards, swap_card
from inspect_app.actions.restriction import set_restriction
from inspect_app.demo.history import House
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.store.deficiency import list_deficiencies

MEASURE_ON, LIMIT_ON = "LB 14-3", "LL 9-4"  # parts with a deficiency that is open
LIMITED, CARD_IN_DATE = "9", "4"
_MEASURE = {
    "what": "Beam below the groove wiped clean, the filings looked for before each show",
    "load_limit": "90 kg on the batten",
    "who": "Wren Halloway",
}
_LIMIT = {
    "what": "Short line 4 thins each year; a new line is ordered",
    "load_limit": "120 kg on the batten",
    "who": "Wren Halloway, or who runs the rail in her place",
}


def plant_limits(house: House, now: datetime) -> None:
    """A measure that ran out 40 days ago, two cards hung at the rail, then a limit that makes one of them wrong."""
    td, open_ones = house.people["td"].id, list_deficiencies(house.db, house.id, open_only=True)
    by_part = {one.part_tag: one.id for one in open_ones}
    began, hung, limited = (now - timedelta(days=days) for days in (110, 60, 25))
    set_restriction(
        house.db, at=began, today=began.date(), actor=td, house=house.id, kind=RestrictionKind.MEASURE,
        texts=_MEASURE, until=now.date() - timedelta(days=40), recheck_on=began.date() + timedelta(days=30),
        deficiency=by_part[MEASURE_ON],
    )  # fmt: skip
    sets = [house.line_set(number) for number in (CARD_IN_DATE, LIMITED)]
    issue_cards(house.db, at=hung, today=hung.date(), actor=td, house=house.id, line_sets=sets)
    for line_set in sets:
        swap_card(house.db, at=hung, today=hung.date(), actor=td, house=house.id, line_set=line_set)
    set_restriction(
        house.db, at=limited, today=limited.date(), actor=td, house=house.id, kind=RestrictionKind.LIMIT,
        texts=_LIMIT, until=now.date() + timedelta(days=45), line_set=house.line_set(LIMITED),
        deficiency=by_part[LIMIT_ON],
    )  # fmt: skip
