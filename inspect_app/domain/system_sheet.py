"""The system sheet: what a house is, as inspectors ask before coming; what is not recorded is said so."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from inspect_app.domain.attribute_value import shown_attribute
from inspect_app.domain.house import AreaKind, Inventory, LineSet, LineSetKind, Side
from inspect_app.domain.line_set import KIND_WORDS, SIDE_WORDS
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.part_attributes import specs_for
from inspect_app.domain.shown_length import across_words, length_words

NOT_RECORDED = "not recorded"
MOST_VALUES = 4  # of one attribute; beyond it the rest is counted


class SheetRow(NamedTuple):
    """One answer: what is asked, the answer in words, and the page that has it in full, as (noun, id)."""

    name: str
    value: str
    about: tuple[str, str] = ("", "")

    @property
    def known(self) -> bool:
        """Whether anything is recorded."""
        return self.value != NOT_RECORDED


def system_sheet(inventory: Inventory) -> list[SheetRow]:
    """The sheet in the order in which inspectors ask (research: questionnaires of inspecting firms)."""
    return [*_sets(inventory), *_heights(inventory), *_gear(inventory), *_dates(inventory)]


def _sets(inventory: Inventory) -> list[SheetRow]:
    sets = [one for one in inventory.line_sets if one.retired_on is None]
    shelf = ("line_sets", "")
    kinds = Counter(one.kind for one in sets)
    by_kind = ", ".join(f"{kinds[kind]} {KIND_WORDS[kind]}" for kind in LineSetKind if kinds[kind])
    first = f"{len(sets)}: {by_kind}" if sets else NOT_RECORDED
    dead = str(kinds[LineSetKind.DEAD]) if kinds[LineSetKind.DEAD] else "none recorded"
    lines = Counter(one.lines for one in sets if one.lines)
    by_lines = ", ".join(
        f"{count} on {many} {'set' if many == 1 else 'sets'}" for count, many in sorted(lines.items(), reverse=True)
    )
    return [
        SheetRow("Line sets", first, shelf),
        SheetRow("Dead-hung pipes", dead if sets else NOT_RECORDED, shelf),
        SheetRow("Lift lines for each set", by_lines or NOT_RECORDED, shelf),
        SheetRow("Distance from the datum", _reach(inventory, sets), shelf),
        SheetRow("Head side", _sides(sets), shelf),
    ]


def _reach(inventory: Inventory, sets: Sequence[LineSet]) -> str:
    across = [one.y_mm for one in sets if one.axis == "across"]
    if not across:
        return NOT_RECORDED
    units, datum = inventory.house.units, inventory.house.datum
    return f"{length_words(min(across), units)} to {length_words(max(across), units)} upstage of the {datum}"


def _sides(sets: Sequence[LineSet]) -> str:
    sides = Counter(one.head_side for one in sets)
    if not sides:
        return NOT_RECORDED
    if len(sides) == 1:
        return f"{SIDE_WORDS[next(iter(sides))]}, all sets"
    return ", ".join(f"{sides[side]} at {SIDE_WORDS[side]}" for side in Side if sides[side])


def _heights(inventory: Inventory) -> list[SheetRow]:
    units = inventory.house.units
    wells = sorted((p for p in _of(inventory, PartKind.WELL) if p.x_mm is not None), key=lambda part: part.x_mm or 0)
    places = "; ".join(f"{well.tag} {across_words(well.x_mm, units)}" for well in wells)

    def floor(kind: AreaKind) -> str:
        said = []
        for area in inventory.areas:
            if area.kind is kind and area.retired_on is None:
                height = f"{length_words(area.z_mm, units)} above the deck" if area.z_mm else f"height {NOT_RECORDED}"
                said.append(f"{area.name}: {height}")
        return "; ".join(said) or NOT_RECORDED

    return [
        SheetRow("Grid", floor(AreaKind.GRID), ("house", "")),
        SheetRow(
            "Grid deck", _attributes(inventory, PartKind.GRID_DECK, "deck_kind", "slat_gap_mm"), ("grid_deck", "")
        ),
        SheetRow("Wells and openings", places or NOT_RECORDED, ("well", "")),
        SheetRow("Loading bridge", floor(AreaKind.BRIDGE), ("house", "")),
        SheetRow("Galleries", floor(AreaKind.GALLERY), ("house", "")),
        SheetRow("Ways up", _attributes(inventory, PartKind.LADDER, "way_up"), ("ladder", "")),
    ]


def _gear(inventory: Inventory) -> list[SheetRow]:
    rows = (
        ("Head blocks", PartKind.HEAD_BLOCK, ("mounting", "tread_diameter_mm", "sheave_material")),
        ("Loft blocks", PartKind.LOFT_BLOCK, ("mounting", "tread_diameter_mm", "sheave_material")),
        ("Lift lines", PartKind.LIFT_LINE, ("rope_diameter_mm", "rope_construction")),
        ("Arbors", PartKind.ARBOR, ("guided_by", "capacity_kg", "own_mass_kg")),
        ("Counterweights", PartKind.COUNTERWEIGHTS, ("brick_kg", "half_brick_kg", "pipe_weight_kg")),
        ("Spreader plates", PartKind.SPREADERS, ("spreader_spacing_mm",)),
        ("Battens", PartKind.BATTEN, ("batten_kind", "capacity_kg", "own_mass_kg")),
        ("Hand lines", PartKind.HAND_LINE, ("hand_line_mm", "line_material")),
        ("Rope locks", PartKind.ROPE_LOCK, ("hand_line_mm", "imbalance_kg")),
        ("Load plate of the loading bridge", PartKind.LOADING_BRIDGE, ("capacity_kg",)),
        ("Rope sets", PartKind.ROPE_SET, ("line_material", "fibre_diameter_mm")),
        ("Motors", PartKind.HOIST, ("maker", "capacity_kg", "speed")),
        ("Fire safety curtain", PartKind.FIRE_SAFETY_CURTAIN, ("curtain_kind", "releases")),
        ("Asbestos ruled out: brakes", PartKind.BRAKE, ("asbestos_ruled_out",)),
        ("Asbestos ruled out: curtain", PartKind.FIRE_SAFETY_CURTAIN, ("asbestos_ruled_out",)),
        ("Anchors for fall protection", PartKind.ANCHOR_POINT, ("anchor_kind", "in_date_until")),
    )
    return [
        SheetRow(title, _attributes(inventory, kind, *keys), (kind.value, ""))
        for title, kind, keys in rows
        if _of(inventory, kind)
    ]


def _of(inventory: Inventory, kind: PartKind) -> list[Part]:
    return [part for part in inventory.parts if part.kind is kind and part.retired_on is None]


def _attributes(inventory: Inventory, kind: PartKind, *keys: str) -> str:
    """How many parts, and of each attribute what is recorded, most frequent first, and on how many it is not."""
    parts = _of(inventory, kind)
    if not parts:
        return NOT_RECORDED
    said = [_values(inventory, parts, kind, key) for key in keys]
    return f"{len(parts)}; " + "; ".join(said)


def _values(inventory: Inventory, parts: Sequence[Part], kind: PartKind, key: str) -> str:
    spec = next(one for one in specs_for(kind) if one.key == key)
    given = Counter(_given(inventory, part, key) for part in parts)
    missing = given.pop("", 0)
    label = spec.label[:1].lower() + spec.label[1:]
    if not given:
        return f"{label} {NOT_RECORDED}"
    counted = len(given) > 1 or missing
    words = [
        shown_attribute(spec, value, inventory.house.units) + (f" ({count})" if counted else "")
        for value, count in given.most_common(MOST_VALUES)
    ]
    more = [f"{len(given) - MOST_VALUES} more"] if len(given) > MOST_VALUES else []
    rest = [f"{NOT_RECORDED} on {missing}"] if missing else []
    return f"{label} {', '.join([*words, *more, *rest])}"


def _given(inventory: Inventory, part: Part, key: str) -> str:
    life = inventory.lives.get(part.id)
    return life.attributes.get(key, "") if life else ""


_DATED: Mapping[str, PartKind] = {
    "Lift lines put in": PartKind.LIFT_LINE,
    "Hand lines put in": PartKind.HAND_LINE,
    "Loft blocks put in": PartKind.LOFT_BLOCK,
    "Motors put in": PartKind.HOIST,
}


def _dates(inventory: Inventory) -> list[SheetRow]:
    return [
        SheetRow(title, _span(inventory, _of(inventory, kind)), (kind.value, ""))
        for title, kind in _DATED.items()
        if _of(inventory, kind)
    ]


def _span(inventory: Inventory, parts: Iterable[Part]) -> str:
    days: list[date] = []
    missing = 0
    for part in parts:
        life = inventory.lives.get(part.id)
        if life is not None and life.installed_on is not None:
            days.append(life.installed_on)
        else:
            missing += 1
    if not days:
        return NOT_RECORDED
    span = f"{min(days)}" if min(days) == max(days) else f"{min(days)} to {max(days)}"
    return f"{span}; {NOT_RECORDED} for {missing}" if missing else span
