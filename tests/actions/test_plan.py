"""What was known of each part at the end of a year: looks, replacements, stops and deficiencies of those days."""

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.actions.plan import looks_at
from inspect_app.domain.checklist import Way
from inspect_app.domain.plan_view import Look
from inspect_app.store.plan_look import LookRow

RESULTS = ("no_finding", "finding", "not_reached", "not_applicable")
DAYS = st.dates(date(2020, 1, 1), date(2023, 12, 31))


@settings(max_examples=60, deadline=None)
@given(
    rows=st.lists(st.tuples(DAYS, st.sampled_from(RESULTS), st.sampled_from([*Way, None])), max_size=25),
    taken=st.lists(DAYS, max_size=3, unique=True),
    day=DAYS,
)
def test_a_day_knows_the_last_look_up_to_it_at_what_hung_there_then(rows, taken, day) -> None:
    """Against a plain reading of the same list: filter, then take the last."""
    looks = [LookRow("a", result, on, way) for on, result, way in sorted(rows, key=lambda row: row[0])]
    found = looks_at(looks, {"a": sorted(taken)}, [day, date(2024, 1, 1)])[day].get("a", Look())
    since = max((one for one in taken if one <= day), default=date.min)
    known = [row for row in looks if since <= row.on <= day]
    real = [row for row in known if row.result in ("no_finding", "finding")]
    ways = {row.way for row in real if row.on == real[-1].on}
    closest = next((way for way in Way if way in ways), None)
    assert (found.result, found.on) == ((known[-1].result, known[-1].on) if known else ("", None))
    assert (found.looked_on, found.way) == ((real[-1].on, closest) if real else (None, None))
