"""The system sheet says what is recorded, with counts, and *not recorded* for what is not."""

from datetime import date

from inspect_app.domain.house import Area, AreaKind, House, Inventory, LineSet, LineSetKind, Side
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.system_sheet import NOT_RECORDED, system_sheet

HOUSE = House("h", "Mill", units="metric")
SETS = (
    LineSet("a", "h", "1", 1, LineSetKind.SINGLE, 500, lines=5),
    LineSet("b", "h", "2", 2, LineSetKind.DEAD, 9500, Side.LEFT, lines=4),
    LineSet("c", "h", "3", 3, LineSetKind.SINGLE, 800, retired_on=date(2020, 1, 1)),
)


def sheet(inventory: Inventory) -> dict[str, str]:
    return {row.name: row.value for row in system_sheet(inventory)}


def line(number: int) -> Part:
    return Part(f"l{number}", "h", "g", PartKind.LIFT_LINE, f"LL {number}")


def test_sets_by_kind_lines_and_sides_without_the_retired_ones() -> None:
    said = sheet(Inventory(HOUSE, (), SETS))
    assert said["Line sets"] == "2: 1 single purchase, 1 dead hung"
    assert said["Dead-hung pipes"] == "1"
    assert said["Lift lines for each set"] == "5 on 1 set, 4 on 1 set"
    assert said["Head side"] == "1 at stage left, 1 at stage right"
    assert said["Distance from the datum"].endswith("upstage of the plaster line")


def test_a_height_of_nought_is_not_told_as_one() -> None:
    areas = (Area("g", "h", AreaKind.GRID, "Grid"), Area("b", "h", AreaKind.BRIDGE, "Bridge", 14_000))
    said = sheet(Inventory(HOUSE, areas))
    assert said["Grid"] == f"Grid: height {NOT_RECORDED}"
    assert "above the deck" in said["Loading bridge"]
    assert said["Galleries"] == NOT_RECORDED


def test_attributes_are_counted_and_those_that_lack_are_counted_too() -> None:
    parts = tuple(line(n) for n in range(4))
    lives = {
        f"l{n}": Life(f"v{n}", f"l{n}", date(2010 + n, 1, 1) if n else None, attributes=attributes)
        for n, attributes in enumerate(({}, *[{"rope_diameter_mm": "6.35"}] * 2, {"rope_diameter_mm": "8"}))
    }
    said = sheet(Inventory(HOUSE, (), (), parts, lives))
    assert said["Lift lines"] == (
        "4; nominal rope diameter 6.35 mm (2), 8 mm (1), not recorded on 1; rope construction not recorded"
    )
    assert said["Lift lines put in"] == "2011-01-01 to 2013-01-01; not recorded for 1"


def test_an_empty_house_says_not_recorded_throughout() -> None:
    rows = system_sheet(Inventory(HOUSE))
    assert rows
    assert all(not row.known or NOT_RECORDED in row.value for row in rows)


def test_weights_and_the_figures_that_the_arbor_is_looked_at_by_are_told_or_not_recorded() -> None:
    parts = (
        Part("c", "h", "g", PartKind.COUNTERWEIGHTS, "CW 1"),
        Part("r", "h", "g", PartKind.ROPE_LOCK, "RL 1"),
        Part("a", "h", "g", PartKind.ARBOR, "AR 1"),
    )
    lives = {"c": Life("v", "c", attributes={"brick_kg": "11", "pipe_weight_kg": "33"})}
    said = sheet(Inventory(HOUSE, (), (), parts, lives))
    assert said["Counterweights"] == (
        "1; one whole brick 11 kg; one half brick not recorded; pipe weight that stays on 33 kg"
    )
    assert said["Rope locks"].endswith("imbalance on its plate not recorded")
    assert "the arbor itself not recorded" in said["Arbors"]
