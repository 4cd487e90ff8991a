"""Walking orders: the screens of a stretch by well or by set; row keys are the same in both, so nothing moves."""

import re
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from typing import NamedTuple

from inspect_app.domain.checklist import Checklist, Stop
from inspect_app.domain.house import Inventory, LineSet, Side
from inspect_app.domain.line_names import line_words
from inspect_app.domain.part import Part

MOST_PARTS = 8  # what one tap may answer
ORDERS = ("well", "set")


class Row(NamedTuple):
    """One target: the parts that one hand reaches at one place. `key` is `<set id>/<line>`, or the part's id."""

    key: str
    label: str
    part_ids: tuple[str, ...]


class Screen(NamedTuple):
    """One screen of rows in the order in which the feet first go along it."""

    key: str
    title: str
    rows: tuple[Row, ...]


class _Place(NamedTuple):
    line_set: str
    line: int


def screens(checklist: Checklist, stop: Stop, inventory: Inventory, order: str) -> tuple[Screen, ...]:
    """The screens of a stop of the walk, in walking order.

    By `well`: one screen for each well, the one nearest to the head blocks first, its rows the sets from the datum
    upstage; parts of a set that belong to no line make one screen of all sets. By `set`, and for the lines of a stop
    that nobody walks along wells (at the rail, at a batten): one screen for each line set, its rows the lines. Parts of
    no set come last, in either order: one screen for each area, one row for each part. Kinds of which the checklist
    asks nothing from this vantage are left out. Raises ValueError on another order.
    """
    if order not in ORDERS:
        raise ValueError(f"{order!r} is no walking order")
    asked = {kind for point in checklist.points() if point.vantage is stop.vantage for kind in point.parts}
    kinds = asked.intersection(stop.parts)
    here = [part for part in inventory.parts if part.kind in kinds and part.retired_on is None]
    places = _by_place(here, stop, inventory)
    on_sets = _by_well(places, stop, inventory) if order == "well" else _by_set(places, inventory)
    return (*on_sets, *_by_area([part for part in here if not part.line_set], inventory))


def _by_place(parts: Iterable[Part], stop: Stop, inventory: Inventory) -> dict[_Place, list[Part]]:
    """Parts of line sets by set and line (0 for none), in the stop's order of kinds and then by tag."""
    rank = {kind: n for n, kind in enumerate(stop.parts)}
    present = {line_set.id for line_set in inventory.line_sets if line_set.retired_on is None}
    places: dict[_Place, list[Part]] = {}
    for part in sorted(parts, key=lambda part: (rank[part.kind], tag_key(part.tag))):
        if part.line_set in present:
            places.setdefault(_Place(str(part.line_set), part.line or 0), []).append(part)
    return places


def _sets_in_order(inventory: Inventory) -> list[LineSet]:
    return sorted(inventory.line_sets, key=lambda one: (one.sort_key, tag_key(one.number), one.id))


def _by_well(places: Mapping[_Place, list[Part]], stop: Stop, inventory: Inventory) -> list[Screen]:
    """Lines along their wells where the stop is walked so; elsewhere (at the rail, at a batten) set by set."""
    well_of, tags = wells_of(inventory), {part.id: part.tag for part in inventory.parts}
    by_screen: dict[str, list[Row]] = {}
    titles: dict[str, str] = {}
    for one in _sets_in_order(inventory):
        for place in sorted(place for place in places if place.line_set == one.id):
            key, title = _screen_of(place, one, stop, well_of, tags)
            titles[key] = title
            label = _line_label(inventory, one, place) if key.startswith("set:") else one.number
            by_screen.setdefault(key, []).extend(_rows(place, label, places[place]))
    order = sorted(by_screen, key=_well_order(inventory, well_of))
    return [Screen(key, titles[key], tuple(by_screen[key])) for key in order]


def _screen_of(
    place: _Place, line_set: LineSet, stop: Stop, well_of: Mapping[_Place, str], tags: Mapping[str, str]
) -> tuple[str, str]:
    """Key and title of the screen on which a place stands in the order of the wells."""
    if not place.line:
        return "sets", stop.title
    if stop.order != "well":
        return f"set:{line_set.id}", _set_title(line_set)
    well = well_of.get(place)
    return (f"well:{well}", f"Well {tags[well]}") if well else (f"line:{place.line}", f"Line {place.line} of each set")


def _set_title(line_set: LineSet) -> str:
    return f"Set {line_set.number}: {line_set.label}" if line_set.label else f"Set {line_set.number}"


def _line_label(inventory: Inventory, line_set: LineSet, place: _Place) -> str:
    if not place.line:
        return f"Set {line_set.number}"
    return line_words(inventory.house, line_set.lines, place.line)


def wells_of(inventory: Inventory) -> dict[_Place, str]:
    """The well at which each line of each set comes through, as its loft block says."""
    return {
        _Place(part.line_set, part.line): part.well
        for part in inventory.parts
        if part.well and part.line_set and part.line and part.retired_on is None
    }


def _well_order(inventory: Inventory, well_of: Mapping[_Place, str]) -> Callable[[str], tuple[float, ...]]:
    """Wells from the head side across where their place is known, else by the least line that comes through them."""
    least: dict[str, int] = {}
    for place, well in well_of.items():
        least[well] = min(place.line, least.get(well, place.line))
    across = {part.id: part.x_mm for part in inventory.parts if part.id in least and part.x_mm is not None}
    heads = [one.head_side for one in inventory.line_sets if one.retired_on is None]
    toward = -1 if heads.count(Side.LEFT) * 2 > len(heads) else 1
    known = len(across) == len(least)

    def order(key: str) -> tuple[float, ...]:
        if key == "sets" or key.startswith("set:"):
            return (0.0,)  # as they come: in the order of the sets
        if key.startswith("line:"):
            return (2.0, float(key[5:]))
        well = key[5:]
        return (1.0, float(toward * across[well]) if known else float(least[well]))

    return order


def _by_set(places: Mapping[_Place, list[Part]], inventory: Inventory) -> list[Screen]:
    found = []
    for one in _sets_in_order(inventory):
        rows: list[Row] = []
        for place in sorted(place for place in places if place.line_set == one.id):
            rows += _rows(place, _line_label(inventory, one, place), places[place])
        if rows:
            found.append(Screen(f"set:{one.id}", _set_title(one), tuple(rows)))
    return found


def _rows(place: _Place, label: str, parts: list[Part]) -> list[Row]:
    """One row, or several where a place holds more parts than one tap may answer."""
    ids = [part.id for part in parts]
    chunks = [tuple(ids[at : at + MOST_PARTS]) for at in range(0, len(ids), MOST_PARTS)]
    return [
        Row(f"{place.line_set}/{place.line}" + (f"/{n}" if n else ""), f"{label} ({n + 1})" if n else label, chunk)
        for n, chunk in enumerate(chunks)
    ]


def _by_area(parts: list[Part], inventory: Inventory) -> list[Screen]:
    found = []
    for area in inventory.areas:
        rows = [
            Row(part.id, part.tag, (part.id,))
            for part in sorted((part for part in parts if part.area == area.id), key=_along_area)
        ]
        if rows:
            found.append(Screen(f"area:{area.id}", area.name, tuple(rows)))
    return found


def _along_area(part: Part) -> tuple[object, ...]:
    return (part.kind.value, tag_key(part.tag), part.id)


@lru_cache(maxsize=8192)
def tag_key(tag: str) -> tuple[tuple[int, int, str], ...]:
    """A key that sorts numbers inside tags as numbers: LB 2-1 before LB 12-1."""
    pieces = re.findall(r"[0-9]+|[^0-9]+", tag)
    return tuple((0, int(piece), "") if piece.isascii() and piece.isdigit() else (1, 0, piece) for piece in pieces)
