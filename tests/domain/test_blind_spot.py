"""Blind spots keep apart what was never recorded, not reached, not looked at since, and seen without a hand on it."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.blind_spot import BlindKind, PartRecord, blind_spot, years_before

OLD, SINCE, NEW = date(2023, 5, 1), date(2024, 5, 1), date(2025, 5, 1)
days = st.none() | st.dates(date(2015, 1, 1), date(2026, 1, 1))
records = st.builds(PartRecord, st.just("p"), days, days, days, st.just("duct"), days, days)


@pytest.mark.parametrize(
    ("record", "kind", "last_on"),
    [
        (PartRecord("p"), BlindKind.NEVER_RECORDED, None),
        (PartRecord("p", waiting=NEW), BlindKind.NEVER_RECORDED, None),
        (PartRecord("p", missed=NEW), BlindKind.NOT_REACHED, None),
        (PartRecord("p", looked=OLD, handled=OLD, missed=NEW), BlindKind.NOT_REACHED, OLD),
        (PartRecord("p", looked=OLD, missed=date(2022, 1, 1)), BlindKind.NOT_SINCE, OLD),
        (PartRecord("p", looked=NEW, missed=NEW), BlindKind.NOT_HANDLED, NEW),
        (PartRecord("p", looked=NEW, handled=OLD), BlindKind.NOT_HANDLED, NEW),
        (PartRecord("p", looked=NEW, handled=SINCE), BlindKind.HANDLED, SINCE),
        (PartRecord("p", not_applicable=NEW), BlindKind.NOT_APPLICABLE, None),
        (PartRecord("p", not_applicable=OLD, missed=NEW), BlindKind.NOT_REACHED, None),
    ],
)
def test_each_record_is_one_thing(record: PartRecord, kind: BlindKind, last_on: date | None) -> None:
    spot = blind_spot(record, SINCE)
    assert (spot.kind, spot.last_on) == (kind, last_on)


def test_a_look_that_is_not_signed_is_told_and_counts_for_nothing() -> None:
    spot = blind_spot(PartRecord("p", looked=OLD, handled=OLD, waiting=NEW), SINCE)
    assert spot.kind is BlindKind.NOT_SINCE
    assert f"a look of {NEW} does not count yet" in spot.words


def test_the_reason_stands_with_what_was_not_reached() -> None:
    assert "(no footing)" in blind_spot(PartRecord("p", missed=NEW, reason="no footing"), SINCE).words


@settings(max_examples=60)
@given(records, st.dates(date(2015, 1, 1), date(2026, 1, 1)), st.integers(0, 900))
def test_a_longer_look_back_never_makes_a_part_more_blind(record: PartRecord, since: date, more: int) -> None:
    near, far = blind_spot(record, since), blind_spot(record, since - timedelta(days=more))
    assert not far.is_blind or near.is_blind or near.kind is BlindKind.NOT_APPLICABLE


@settings(max_examples=60)
@given(records)
def test_over_all_time_only_what_was_never_looked_at_is_unseen(record: PartRecord) -> None:
    kind = blind_spot(record, None).kind
    assert (kind is BlindKind.HANDLED) == (record.handled is not None)
    assert (kind is BlindKind.NOT_HANDLED) == (record.handled is None and record.looked is not None)


def test_two_years_before_a_leap_day() -> None:
    assert years_before(date(2024, 2, 29), 2) == date(2022, 2, 28)
