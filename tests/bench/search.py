"""Searching a house in which a hundred thousand notes were written."""

import random
import statistics
from pathlib import Path

from inspect_app import clock
from inspect_app.domain.ids import to_key
from inspect_app.domain.search_words import read_words
from inspect_app.store.db import write_transaction
from inspect_app.store.search import search_said
from tests.bench.measure import Line, seconds
from tests.bench.place import Place, make_place

NOTES, BUDGET_S, ROUNDS = 100_000, 0.1, 5
# Words of the trade by how often they come: the n-th as often as 1/n (Zipf's law, a usual model of running text).
TRADE = [
    *("rope", "block", "groove", "worn", "line", "head", "loft", "shackle", "grease", "dust", "rust", "noise", "arbor"),
    *("guide", "shoe", "batten", "clamp", "pin", "cotter", "bolt", "loose", "tight", "crack", "cheek", "bearing"),
    *("rail", "lock", "hand", "hemp", "frayed", "glazed", "trim", "chain", "link", "bent", "ladder", "rung", "hatch"),
    *("grid", "slat", "gap", "kick", "plate", "sign", "faded", "spreader", "collar", "missing", "moved", "filings"),
]
QUERIES = {
    "common": ("rope", "worn groove"),
    "rare": ("zinc", "zinc rope", "quartz"),
    "two words": ("cheek crack", "missing collar", "bent rung"),
    "beginning": ("ro", "spre", "loose bo", "fil"),
    "nothing fits": ("nothingofthekind", "rope nothingofthekind"),
    "kept to a set": ("rope", "groove"),
}


def _fill(place: Place, notes: int) -> str:
    """Attachments are the plainest rows with a note: each goes through the same trigger as any other text."""
    chance, db = random.Random(61), place.db
    weights = [1 / n for n in range(1, len(TRADE) + 1)]
    area, part, line_set, found = (clock.new_id() for _ in range(4))
    house, person = to_key(place.house.id), to_key(place.person.id)
    with write_transaction(db):
        db.execute("INSERT INTO area(id, house, kind, name) VALUES (?,?,'grid','Grid')", (to_key(area), house))
        db.execute(
            "INSERT INTO line_set(id, house, number, sort_key, kind, y_mm, head_side) "
            "VALUES (?,?,'7',7,'single_purchase',0,'left')",
            (to_key(line_set), house),
        )
        db.execute(
            "INSERT INTO part(id, house, area, kind, tag, line_set) VALUES (?,?,?,'loft_block','LB 7-1',?)",
            (to_key(part), house, to_key(area), to_key(line_set)),
        )
        db.execute(
            "INSERT INTO deficiency(id, house, number, part, what, grade, state, found_at) "
            "VALUES (?,?,1,?,'x','watch','found','2026-01-01T00:00:00.000+00:00')",
            (to_key(found), house, to_key(part)),
        )
        db.conn.executemany(
            "INSERT INTO attachment(id, house, deficiency, name, shows, note, mime, bytes, sha256, by, received_at) "
            "VALUES (?,?,?,'p.jpg','after',?,'image/jpeg',1,x'00',?,'2026-01-01T00:00:00.000+00:00')",
            (
                (
                    to_key(clock.new_id()), house, to_key(found),
                    " ".join(chance.choices(TRADE, weights, k=12)) + (" zinc" if n % 10_000 == 0 else f" {n}"), person,
                )
                for n in range(notes)
            ),
        )  # fmt: skip
    return line_set


def hundred_thousand_notes(folder: Path, notes: int = NOTES) -> list[Line]:
    """One line for each sort of words: a page of results with count, snippets and marks, against the budget."""
    place = make_place(folder)
    line_set = _fill(place, notes)
    lines = []
    for name, typed in QUERIES.items():
        kept_to, totals = line_set if "set" in name else "", []

        def ask(text: str, kept_to: str = kept_to, totals: list[int] = totals) -> None:
            found = search_said(place.db, place.house.id, read_words(text), line_set=kept_to)
            totals.append(found.total)

        taken = sorted(seconds(lambda text=text: ask(text)) for _ in range(ROUNDS) for text in typed)  # type: ignore[misc]
        worst = taken[min(len(taken) - 1, round(0.95 * len(taken)))]
        lines.append(
            Line(
                f"search: {name}",
                f"{notes} notes of 13 words; {' | '.join(typed)}; {min(totals)} to {max(totals)} fit (no more are "
                f"counted); the newest page with its words marked; half within {statistics.median(taken) * 1e3:.1f} ms",
                "a budget of 100 ms",
                "95 of 100 answers are quicker",
                worst,
                BUDGET_S,
            )
        )
    return lines
