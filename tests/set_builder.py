"""A line set with all that its load page begins with, and that page asked with figures in its address."""

import re
from html import unescape
from urllib.parse import urlencode

from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.house import House, LineSet
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.store.db import write_transaction
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import add_lives, add_parts, list_parts, set_part

FACTOR = re.compile(r"\d : 1")
ROPE = {"rope_diameter_mm": "6.35", "rope_construction": "7x19"}


_PER_LINE = (
    (PartKind.LIFT_LINE, "LL"), (PartKind.TERMINATION_BATTEN, "TB"), (PartKind.TERMINATION_ARBOR, "TA"),
)  # fmt: skip


def words(text: str) -> str:
    """What a page says, its tags left out."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", text)).split())


def build_full_set(db: Database, house: House) -> LineSet:
    """Set 1 with two lines 20 ft apart on a batten of 30 ft, its rope, line ends and arbor recorded."""
    line_set = list_line_sets(db, house.id)[0]
    area = list_areas(db, house.id)[0].id
    made = [
        Part(clock.new_id(), house.id, area, PartKind.BATTEN, "BT 1", line_set.id, x_mm=0),
        Part(clock.new_id(), house.id, area, PartKind.ARBOR, "AR 1", line_set.id),
        Part(clock.new_id(), house.id, area, PartKind.ROPE_LOCK, "RL 1", line_set.id),
    ]
    had = [
        {"length_mm": "9144", "own_mass_kg": "40", "tube_diameter_mm": "48.26"},
        {"arbor_length_mm": "1828.8", "capacity_kg": "500"},
        {"imbalance_kg": "22.5"},
    ]
    for line in (1, 2):
        for kind, tag in _PER_LINE:
            made.append(Part(clock.new_id(), house.id, area, kind, f"{tag} 1-{line}", line_set.id, line))
            had.append(ROPE if tag == "LL" else {"termination": "clips", "rope_diameter_mm": "6.35"})
    with write_transaction(db):
        add_parts(db, made)
        add_lives(db, [Life(clock.new_id(), part.id, attributes=has) for part, has in zip(made, had, strict=True)])
        for part in list_parts(db, house.id, line_set=line_set.id):
            if part.kind is PartKind.LOFT_BLOCK:
                x_mm = -3048 if part.line == 1 else 3048
                set_part(db, Part(part.id, house.id, part.area, part.kind, part.tag, line_set.id, part.line, x_mm=x_mm))
    return line_set


TYPED = {
    "length": "30 ft", "lines": "5 ft\n25 ft", "pipe": "1 1/2", "own": "40 kg", "wrap": "90",
    "loads": "100 lb at 15 ft",
    "kind": "single_purchase", "rope_diameter_mm": "1/4 in", "rope_construction": "7x19", "grade": "carbon",
    "termination": "clips",
}  # fmt: skip


def ask(client: FlaskClient, house: House, line_set: LineSet, **change: str) -> str:
    """What the load page of the set says to TYPED with some figures changed."""
    answer = client.get(f"/houses/{house.id}/line-sets/{line_set.id}/load?{urlencode(TYPED | change)}")
    assert answer.status_code == 200, words(answer.text)
    return words(answer.text)
