"""The pages of a house's history: what they answer, what they refuse, and the file; over one house made once."""

import csv
import io
import re
from collections.abc import Iterator
from datetime import timedelta
from types import SimpleNamespace

import pytest

from inspect_app import clock
from inspect_app.actions.changes import changes_since, since_day, usual_since
from inspect_app.actions.tag_out import stop_thing
from inspect_app.domain.changes import ChangeKind
from inspect_app.domain.ids import from_key
from inspect_app.store.blind_spot import list_part_records
from inspect_app.store.point_clock import zone_of
from inspect_app.web.history import PAGES_HERE
from tests.history_builder import ANNUAL_DAYS, DUCT, STOPPED_FOR
from tests.history_place import history_place


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SimpleNamespace]:
    yield from history_place(tmp_path_factory.mktemp("history"))


def page(place: SimpleNamespace, path: str, status: int = 200) -> str:
    answer = place.client.get(f"{place.url}/{path}")
    assert answer.status_code == status, answer.text[:400]
    return str(answer.text)


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("before-you-climb", STOPPED_FOR),
        ("since", "wear rating 1 then, 3 now"),
        ("wear", "look again before"),
        ("recurring", "Found again after it was settled 1 time"),
        ("blind-spots", DUCT),
        ("blind-spots/patterns", "Annual hands-on inspection"),
    ],
)
def test_each_page_answers_and_leads_to_the_others(place: SimpleNamespace, path: str, said: str) -> None:
    text = page(place, path)
    assert said.casefold() in text.casefold()
    with place.client.application.test_request_context():
        for label, _ in PAGES_HERE:
            assert label in text
    assert " style=" not in text


def test_the_blind_spots_lead_to_their_view_of_the_plan(place: SimpleNamespace) -> None:
    found = re.search(r'href="([^"]+/plan\?show=blind)"', page(place, "blind-spots"))
    assert found
    text = place.client.get(found.group(1)).text
    assert "Plan: blind spots" in text
    assert "never recorded" in text


def test_the_file_has_every_part_that_the_list_has_and_its_dates(place: SimpleNamespace) -> None:
    answer = place.client.get(f"{place.url}/blind-spots.csv?show=all")
    assert "attachment" in answer.headers["Content-Disposition"]
    rows = list(csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig"))))
    records = list_part_records(place.db, place.house)
    assert len(rows) == len(records)
    by_tag = {row["Part"]: row for row in rows}
    missed = records[place.history.built.part("LB 1-2").id]
    row = by_tag["LB 1-2"]
    assert (row["What it is"], row["Last looked at (signed)"]) == ("not reached", str(missed.looked))
    assert row["Not reached on"] == str(missed.missed)
    assert {row["What it is"] for row in rows} == {"never recorded", "not reached", "handled"}


@pytest.mark.parametrize(
    "path",
    [
        "blind-spots?since=day&day=2999-01-01",
        "blind-spots?since=day&day=soon",
        "blind-spots?show=best",
        "blind-spots?sort=score",
        "blind-spots/patterns?stops=many",
        "since?since=2999-01-01",
        "since?since=31.12.2024",
    ],
)
def test_a_wish_that_cannot_be_read_is_said_and_the_usual_shown(place: SimpleNamespace, path: str) -> None:
    text = page(place, path, 422)
    assert 'role="alert"' in text


def test_a_file_for_a_wish_that_cannot_be_read_is_refused(place: SimpleNamespace) -> None:
    assert place.client.get(f"{place.url}/blind-spots.csv?show=best").status_code in (400, 422)


def test_a_walk_of_no_such_house_is_not_found(place: SimpleNamespace) -> None:
    page(place, f"since?walk={clock.new_id()}", 404)
    page(place, "since?walk=x", 404)


def test_the_usual_comparison_is_with_the_last_signed_inspection(place: SimpleNamespace) -> None:
    today = clock.now().astimezone(zone_of("America/Chicago")).date()
    since = usual_since(place.db, place.settings, place.house, today)
    assert since.until == place.history.day(ANNUAL_DAYS[-1]).astimezone(zone_of("America/Chicago")).date()
    kinds = [one.kind for one in changes_since(place.db, place.house, since, today)]
    wanted = {ChangeKind.WORSE: 2, ChangeKind.NEW: 1, ChangeKind.STOPPED: 1, ChangeKind.PUT_OFF: 2}
    assert {kind: kinds.count(kind) for kind in wanted} == wanted


def test_since_the_beginning_everything_is_new_and_since_today_nothing_changed(place: SimpleNamespace) -> None:
    zone = zone_of("America/Chicago")
    today = clock.now().astimezone(zone).date()
    first = changes_since(place.db, place.house, since_day(today - timedelta(days=2000), zone), today)
    numbers = {one.title for one in first if one.kind is ChangeKind.NEW and one.about[0] == "deficiency"}
    assert len(numbers) == place.db.execute("SELECT count(*) FROM deficiency").fetchone()[0]
    assert sum(one.kind is ChangeKind.REPAIRED for one in first) == 1
    later = changes_since(place.db, place.house, since_day(today, zone), today)
    assert {one.kind for one in later} <= {ChangeKind.ALTERED}, "the house itself was made today by this test"


def test_each_line_of_the_changes_leads_somewhere(place: SimpleNamespace) -> None:
    text = page(place, "since?kind=worse")
    (key,) = place.db.execute("SELECT id FROM deficiency WHERE number = 2").fetchone()
    assert f"/deficiencies/{from_key(key)}" in text
    assert "new 1" in text
    assert STOPPED_FOR not in text


def test_a_new_entry_is_on_the_page_at_once_although_it_is_kept(place: SimpleNamespace) -> None:
    assert "Lock found open" not in page(place, "before-you-climb")
    stop_thing(
        place.db, at=clock.now(), actor=place.history.built.td.id, house=place.house, why="Lock found open",
        part=place.history.built.part("HB 4").id,
    )  # fmt: skip
    assert "Lock found open" in page(place, "before-you-climb")
