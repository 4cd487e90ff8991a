"""Labels against the schedule: what counts as the same number, and what a set comes to."""

from datetime import date

import pytest

from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSet, LineSetKind, Side
from inspect_app.domain.label_audit import (
    PLACE_KINDS,
    LabelPlace,
    Reading,
    ReadState,
    WalkedLabel,
    audit_rows,
    check_reading,
    same_number,
)

DAY, LATER = date(2026, 3, 4), date(2026, 9, 4)
SET = LineSet("s12", "h", "12A", 120, LineSetKind.SINGLE, 0, Side.LEFT, lines=5)
FIVE = {"s12": dict.fromkeys(LabelPlace, 1) | {LabelPlace.LOFT_BLOCKS: 5}}


def read(place: LabelPlace, label: str, on: date = DAY, state: ReadState = ReadState.READ) -> Reading:
    return Reading("s12", place, state, label, on)


@pytest.mark.parametrize(
    ("number", "label", "place", "same"),
    [
        ("12", "12", LabelPlace.RAIL, True),
        ("12A", "12a", LabelPlace.ARBOR, True),
        ("7", "07", LabelPlace.ARBOR, True),
        ("7", "Set 7", LabelPlace.RAIL, True),
        ("7", "Line set no. 07", LabelPlace.RAIL, True),
        ("7", "SET #7", LabelPlace.ARBOR, True),
        ("10", "1", LabelPlace.RAIL, False),
        ("1", "10", LabelPlace.RAIL, False),
        ("12", "12A", LabelPlace.RAIL, False),
        ("12", "12-3", LabelPlace.LOFT_BLOCKS, True),
        ("12", "12-3", LabelPlace.RAIL, False),
        ("12", "112-3", LabelPlace.LOFT_BLOCKS, False),
        ("SL-1", "sl-1", LabelPlace.RAIL, True),
        ("LX1", "LX01", LabelPlace.RAIL, True),
    ],
)
def test_what_is_the_same_number(number: str, label: str, place: LabelPlace, same: bool) -> None:
    assert same_number(number, label, place) is same


def test_all_five_agree_only_when_all_five_were_read() -> None:
    readings = [read(place, "12A") for place in LabelPlace]
    (row,) = audit_rows([SET], FIVE, readings, [])
    assert row.all_agree
    (row,) = audit_rows([SET], FIVE, readings[:-1], [])
    assert not row.all_agree
    assert row.against == ()
    assert row.seen[-1].word == "never"


def test_what_disagrees_is_missing_or_cannot_be_read_stands_against_the_schedule() -> None:
    readings = [
        read(LabelPlace.RAIL, "21"),
        read(LabelPlace.ARBOR, "", state=ReadState.MISSING),
        read(LabelPlace.HEAD_BLOCK, "", state=ReadState.UNREADABLE),
        read(LabelPlace.BATTEN_END, "", state=ReadState.NOT_REACHED),
    ]
    (row,) = audit_rows([SET], FIVE, readings, [])
    assert [one.word for one in row.against] == ["differs", "missing", "unreadable"]


def test_the_newest_day_counts_whether_typed_or_walked() -> None:
    typed = [read(LabelPlace.RAIL, "21")]
    walked = [WalkedLabel("s12", LabelPlace.RAIL, "p", "RL 12A", True, "", LATER)]
    (row,) = audit_rows([SET], FIVE, typed, walked)
    assert (row.seen[0].word, row.seen[0].on) == ("agrees", LATER)
    (row,) = audit_rows([SET], FIVE, [read(LabelPlace.RAIL, "21", LATER)], walked)
    assert row.seen[0].word == "differs"


def test_loft_blocks_agree_when_every_one_was_read() -> None:
    def walked(n: int, agrees: bool = True, on: date = DAY) -> WalkedLabel:
        says = "" if agrees else "says 21-4"
        return WalkedLabel("s12", LabelPlace.LOFT_BLOCKS, f"p{n}", f"LB 12A-{n}", agrees, says, on)

    (row,) = audit_rows([SET], FIVE, [], [walked(n) for n in range(3)])
    loft = row.seen[list(LabelPlace).index(LabelPlace.LOFT_BLOCKS)]
    assert (loft.word, loft.says) == ("part", "3 of 5 read")
    (row,) = audit_rows([SET], FIVE, [], [walked(n, on=LATER) for n in range(4)] + [walked(4, False)])
    loft = row.seen[list(LabelPlace).index(LabelPlace.LOFT_BLOCKS)]
    assert (loft.word, loft.says, loft.on) == ("differs", "LB 12A-4: says 21-4", DAY)
    (row,) = audit_rows([SET], FIVE, [], [walked(n, on=LATER) for n in range(4)] + [walked(4)])
    loft = row.seen[list(LabelPlace).index(LabelPlace.LOFT_BLOCKS)]
    assert (loft.word, loft.on) == ("agrees", DAY), "one of the five was last read on the earlier day"


def test_a_set_has_only_the_places_it_has_parts_for() -> None:
    (row,) = audit_rows([SET], {"s12": {LabelPlace.BATTEN_END: 1}}, [], [])
    assert [one.place for one in row.seen] == [LabelPlace.BATTEN_END]
    assert set(PLACE_KINDS) == set(LabelPlace)


@pytest.mark.parametrize(
    ("state", "label", "on", "field"),
    [
        ("read", " ", DAY, "label"),
        ("missing", "12", DAY, "label"),
        ("guessed", "12", DAY, "state"),
        ("read", "x" * 41, DAY, "label"),
        ("read", "12", date(2027, 1, 1), "read_on"),
    ],
)
def test_a_reading_that_cannot_be_is_refused(state: str, label: str, on: date, field: str) -> None:
    with pytest.raises(BadValue) as caught:
        check_reading(state, label, on, DAY)
    assert caught.value.field == field
