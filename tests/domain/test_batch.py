"""Batches: who belongs together by lot or install date, and who is to be looked at after a fault in one."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.batch import batch_of, batches_of, sisters_of
from inspect_app.domain.blind_spot import PartRecord
from inspect_app.domain.part import Life, Part, PartKind

OLD, NEW, FOUND = date(2019, 8, 1), date(2024, 8, 1), date(2026, 3, 4)


def part(key: str, kind: PartKind = PartKind.LIFT_LINE) -> Part:
    return Part(id=key, house="h", area="a", kind=kind, tag=key)


def life(of: str, lot: str = "", on: date | None = None) -> tuple[str, Life]:
    return of, Life(id=f"life of {of}", part=of, installed_on=on, lot=lot)


PARTS = [part(key) for key in "abcdef"] + [part("hb", PartKind.HEAD_BLOCK)]
LIVES = dict(
    [life("a", "L7", OLD), life("b", " l7 ", NEW), life("c", "L8", OLD), life("d", "", OLD), life("e", "", OLD),
     life("f"), life("hb", "L7", OLD)]
)  # fmt: skip


def tags(key: str) -> list[str]:
    found = batch_of(next(one for one in PARTS if one.id == key), PARTS, LIVES)
    return [one.tag for one in found.parts] if found else []


def test_a_lot_ties_parts_of_one_kind_whatever_day_they_were_installed() -> None:
    assert tags("a") == tags("b") == ["a", "b"]
    assert tags("c") == ["c"]
    assert tags("hb") == ["hb"]


def test_without_a_lot_the_install_date_ties_and_without_both_nothing_is_known() -> None:
    assert tags("d") == tags("e") == ["d", "e"]
    assert tags("f") == []


def test_the_list_of_batches_leaves_out_what_stands_alone() -> None:
    assert [[one.tag for one in batch.parts] for batch in batches_of(PARTS, LIVES)] == [["a", "b"], ["d", "e"]]


@given(
    lots=st.lists(st.sampled_from(["", "L1", "l1", "L2"]), min_size=1, max_size=8),
    days=st.lists(st.sampled_from([None, OLD, NEW]), min_size=8, max_size=8),
)
def test_belonging_together_is_mutual(lots: list[str], days: list[date | None]) -> None:
    parts = [part(str(n)) for n in range(len(lots))]
    lives = dict(life(str(n), lot, days[n]) for n, lot in enumerate(lots))
    cohort = {one.id: {x.id for x in found.parts} if (found := batch_of(one, parts, lives)) else set() for one in parts}
    for one, others in cohort.items():
        assert all(cohort[other] == others for other in others)
        assert one in others or not others


def test_those_not_looked_at_since_the_fault_come_first_the_longest_wait_on_top() -> None:
    parts = [part(key) for key in ("a", "b", "c", "d", "e")]
    lives = dict(life(one.id, "L7") for one in parts)
    batch = batch_of(parts[0], parts, lives)
    assert batch is not None
    looked = {
        "a": PartRecord("a", FOUND, FOUND), "b": PartRecord("b", NEW), "d": PartRecord("d", date(2026, 3, 5)),
        "e": PartRecord("e", FOUND),
    }  # fmt: skip
    rows = sisters_of(batch, looked, {"a": "stop_use"}, FOUND)
    assert [(row.part.tag, row.to_look_at) for row in rows] == [
        ("c", True), ("b", True), ("e", True), ("a", False), ("d", False),
    ]  # fmt: skip
    assert not any(row.to_look_at for row in sisters_of(batch, looked, {}, None)), "there is no fault to look for"


def test_not_reached_or_not_applicable_after_the_fault_is_no_look() -> None:
    parts = [part(key) for key in ("a", "b", "c", "d")]
    batch = batch_of(parts[0], parts, dict(life(one.id, "L7") for one in parts))
    assert batch is not None
    later = date(2026, 4, 1)
    records = {
        "a": PartRecord("a", NEW, NEW, missed=later, reason="duct"),
        "b": PartRecord("b", NEW, not_applicable=later),
        "c": PartRecord("c", later, missed=date(2026, 5, 1), reason="duct"),  # seen since, then not reached
        "d": PartRecord("d", waiting=later),
    }
    rows = {row.part.tag: row for row in sisters_of(batch, records, {}, FOUND)}
    assert {tag for tag, row in rows.items() if row.to_look_at} == {"a", "b", "d"}
    assert "not reached 2026-04-01 (duct)" in rows["a"].spot.words
    assert "does not count yet" in rows["d"].spot.words
