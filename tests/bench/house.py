"""Making the inventory of a large house."""

from pathlib import Path

from inspect_app import clock
from inspect_app.actions.house import generate_house
from inspect_app.domain.generator import generate
from tests.bench.measure import Line, in_turn
from tests.bench.place import FORTY_SETS, Place, Rows, copies, count, insert_plainly, make_place, rows_of

TABLES = ("area", "line_set", "part", "part_life")
ROUNDS = 5


def _filled(place: Place, folder: Path) -> Rows:
    """The rows of the generated house, made once in a copy."""
    (copy,) = copies(place, folder, 1)
    generate_house(copy, at=clock.now(), actor=place.person.id, house=place.house.id, answers=FORTY_SETS)
    return rows_of(copy, TABLES)


def generate_against_insert(folder: Path) -> Line:
    place = make_place(folder / "data")
    rows = _filled(place, folder)
    targets = iter(copies(place, folder, ROUNDS + 1))
    ours, plain = in_turn(
        lambda: generate(place.house, FORTY_SETS, clock.new_id),
        lambda: insert_plainly(next(targets), rows),
        ROUNDS,
    )
    return Line(
        "house: generate",
        f"from a few answers to 40 sets of 6 lines in memory: {len(rows['part'])} parts, each with a life",
        f"the {count(rows)} rows of that house written by plain executemany in one transaction",
        "one house",
        ours,
        plain,
    )


def save_against_insert(folder: Path) -> Line:
    place = make_place(folder / "data")
    rows = _filled(place, folder)
    mine, targets = iter(copies(place, folder, ROUNDS + 1)), iter(copies(place, folder, ROUNDS + 1))
    ours, plain = in_turn(
        lambda: generate_house(
            next(mine), at=clock.now(), actor=place.person.id, house=place.house.id, answers=FORTY_SETS
        ),
        lambda: insert_plainly(next(targets), rows),
        ROUNDS,
    )
    return Line(
        "house: generate and save",
        "the same house generated, written with foreign keys on, and entered in the journal with its digests",
        f"its {count(rows)} rows written by plain executemany in one transaction",
        "one house",
        ours,
        plain,
    )
