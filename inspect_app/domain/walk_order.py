"""The stretches of a walk in walking order, which the desk form and the paper form both follow."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from inspect_app.domain.checklist import Checklist, Point, State, Stop
from inspect_app.domain.house import Inventory
from inspect_app.domain.part import Part
from inspect_app.domain.stretch import Row, screens
from inspect_app.domain.walk import Scope

STATE_WORDS = {
    State.STATIC: "at rest",
    State.MOVING: "moving",
    State.LOADED: "loaded",
    State.ISOLATED: "isolated, locks on",
}


class Stretch(NamedTuple):
    """One stop of the walk in one state: its places in walking order."""

    checklist: Checklist
    stop: Stop
    state: State
    rows: tuple[tuple[str, Row], ...]  # (title of the screen, row)

    @property
    def in_pass(self) -> str:
        """The pass of the stretch, as `grid/static`."""
        return f"{self.stop.vantage}/{self.state}"


class Place(NamedTuple):
    """Names one place of a stretch for as long as the house has it, whatever is added before it."""

    checklist: str
    stop: str
    state: str
    row: str


def stretches(checklists: Iterable[Checklist], inventory: Inventory, scope: Scope) -> list[Stretch]:
    """Every stretch that has parts in the scope and points to ask, in the order of the checklists."""
    parts = {part.id: part for part in inventory.parts}
    found = []
    for checklist in checklists:
        for stop in checklist.stops:
            places = _places(inventory, checklist, stop, scope, parts)
            for state in State:
                in_pass = f"{stop.vantage}/{state}"
                kinds = {kind for p in checklist.points() if p.in_pass == in_pass for kind in p.parts}
                rows = tuple((title, row) for title, row in places if any(parts[k].kind in kinds for k in row.part_ids))
                if rows:
                    found.append(Stretch(checklist, stop, state, rows))
    return found


def _places(
    inventory: Inventory, checklist: Checklist, stop: Stop, scope: Scope, parts: dict[str, Part]
) -> list[tuple[str, Row]]:
    order = stop.order if stop.order in ("well", "set") else "set"
    return [
        (screen.title, row)
        for screen in screens(checklist, stop, inventory, order)
        for row in screen.rows
        if all(
            (scope.line_sets is None or parts[k].line_set is None or parts[k].line_set in scope.line_sets)
            and (scope.areas is None or parts[k].area in scope.areas)
            for k in row.part_ids
        )
    ]


def points_of(stretch: Stretch, inventory: Inventory) -> tuple[Point, ...]:
    """The points that a stretch asks of any part at its places, in the order of the checklist."""
    on_rows = {key for _, row in stretch.rows for key in row.part_ids}
    kinds = {part.kind for part in inventory.parts if part.id in on_rows}
    return tuple(
        point
        for point in stretch.checklist.points()
        if point.in_pass == stretch.in_pass and kinds.intersection(point.parts)
    )


def find_place(every: Sequence[Stretch], place: Place) -> tuple[int, int] | None:
    """Which stretch and which of its rows a place is, counted from 0; None when this walk does not have it."""
    for n, stretch in enumerate(every):
        if (stretch.checklist.id, stretch.stop.id, stretch.state) == (place.checklist, place.stop, place.state):
            for at, (_, row) in enumerate(stretch.rows):
                if row.key == place.row:
                    return n, at
    return None
