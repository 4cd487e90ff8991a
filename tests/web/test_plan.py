"""The pages of plan and section: every part in picture or table, links that lead somewhere, what is framed, years."""

import re
from collections.abc import Iterator
from datetime import date, timedelta
from types import SimpleNamespace

import pytest
from markupsafe import escape

from inspect_app import clock
from inspect_app.actions.plan import plan_record
from inspect_app.domain.checklist import Grade
from inspect_app.domain.plan_view import VIEWS
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house, list_line_sets
from inspect_app.store.part import list_parts
from tests.history_builder import ANNUAL_DAYS, STOPPED_FOR, WALK_DAY
from tests.history_place import history_place

PAGES = ("plan", "section")


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SimpleNamespace]:
    yield from history_place(tmp_path_factory.mktemp("plan"))


def page(place: SimpleNamespace, path: str) -> str:
    answer = place.client.get(f"{place.url}/{path}")
    assert answer.status_code == 200, answer.text[:400]
    return str(answer.text)


@pytest.mark.parametrize("view", list(VIEWS))
@pytest.mark.parametrize("path", PAGES)
def test_the_table_names_every_part_once_and_the_stop_stands_in_every_view(place, path, view) -> None:
    text = page(place, f"{path}?show={view}")
    table = text[text.index("<table") :]
    linked = re.findall(r'href="parts/([0-9a-f-]{36})/"', table)
    assert sorted(linked) == sorted(part.id for part in list_parts(place.db, place.house))
    assert "OUT OF USE. Set 1" in text
    assert str(escape(STOPPED_FOR)) in table
    assert 'aria-current="page"' in text
    assert "style=" not in text.split("<svg", 1)[1].split("</svg>", 1)[0]


def test_parts_with_nothing_to_act_on_stand_behind_a_line_that_counts_looked_at_and_not_looked_at_apart(place) -> None:
    folds = re.findall(r"<summary>(not looked at: \d+[^<]*)</summary>(.*?)</details>", page(place, "plan"), re.S)
    assert any("; " in line for line, _ in folds)
    for line, behind in folds:
        said = re.findall(r"<strong>([^<]*)</strong>(.*?)</p>", behind, re.S)
        for counted in line.split("; "):
            words, _, number = counted.rpartition(": ")
            assert int(number) == sum(parts.count("parts/") for told, parts in said if told.startswith(words))
        assert "deficiency" not in behind


def test_every_link_of_the_picture_leads_to_a_page(place) -> None:
    svg = page(place, "plan").split("<svg", 1)[1].split("</svg>", 1)[0]
    links = set(re.findall(r'href="((?:parts|line-sets)/[^"]+)"', svg))
    assert len(links) > 20
    for link in (*sorted(links)[:3], *sorted(links)[-3:]):
        assert place.client.get(f"{place.url}/{link}").status_code == 200


def test_what_the_address_asks_for_is_framed_and_found_in_the_table(place) -> None:
    parts = {part.tag: part for part in list_parts(place.db, place.house)}
    for tag in ("LB 2-1", "LL 1-1", "HB 3", "HL 2"):  # a block at its place, and parts that a column stands for
        for path in PAGES:
            text = page(place, f"{path}?part={parts[tag].id}")
            assert text.count('class="found"') == 1
            assert f"{tag}, " in text
            assert re.search(rf'{parts[tag].id}/" class="plan-found"', text)
    line_set = list_line_sets(place.db, place.house)[1]
    assert page(place, f"plan?set={line_set.id}").count('class="found"') == 1


def test_part_and_set_lead_to_the_plan(place) -> None:
    part, line_set = list_parts(place.db, place.house)[0], list_line_sets(place.db, place.house)[0]
    assert f"plan?part={part.id}" in page(place, f"parts/{part.id}/")
    assert f"plan?set={line_set.id}" in page(place, f"line-sets/{line_set.id}/")


def test_a_past_year_is_told_and_years_stand_side_by_side_at_one_scale(place) -> None:
    first = (clock.now() - timedelta(days=ANNUAL_DAYS[0])).year
    text = page(place, f"plan?show=look&year={first}")
    assert f"end of {first}" in text
    assert "OUT OF USE" not in text  # the stop came later
    many = page(place, "plan?show=condition&years=all")
    small = re.findall(r"<figure.*?</figure>", many, re.S)
    assert len(small) >= 3
    boxes = {re.search(r'viewBox="([^"]+)"', one)[1] for one in small}  # type: ignore[index]
    lines = {tuple(re.findall(r'<line x1="([\d.]+)" y1="([\d.]+)"', one)) for one in small}
    assert len(boxes) == len(lines) == 1
    ids = re.findall(r' id="([^"]+)"', many)
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("odd", ["show=<b>", "year=99999", "year=1066", "part=%27", "set=x&year=%F0%9F%98%80"])
def test_odd_questions_are_answered_with_the_usual_plan(place, odd) -> None:
    assert "Plan: condition" in page(place, f"plan?{odd}")


def test_a_house_without_a_set_or_a_place_is_drawn_all_the_same(client, sign_in, house, db) -> None:
    sign_in(client, house=house)
    for path in PAGES:
        assert client.get(f"/houses/{house.id}/{path}").status_code == 200  # no part of it has a place
    with write_transaction(db):
        db.execute("UPDATE line_set SET axis = 'along'")
    for path in PAGES:
        assert client.get(f"/houses/{house.id}/{path}").status_code == 200


def test_years_show_what_was_known_then(place) -> None:
    db, now = place.db, clock.now()
    record = plan_record(db, get_house(db, place.house), now.date())
    tags = {part.id: part.tag for part in record.inventory.parts}
    first = min(record.years)
    assert first == (now - timedelta(days=ANNUAL_DAYS[0])).year
    by_tag = {tags[part]: grade for part, (grade, _) in record.now.grades.items()}
    assert (by_tag["LB 2-1"], by_tag["HB 2"]) == (Grade.RESTRICT, Grade.REPAIR_BY)
    assert not record.years[first].stopped
    assert len(record.now.stopped) == 1
    assert {tags[part]: wear for part, (wear, _) in record.now.wear.items()}["LB 2-1"] == 3
    for year, known in record.years.items():
        assert known.day == date(year, 12, 31)
        assert all(look.on <= known.day for look in known.looks.values() if look.on)
        ago = (now.date() - known.day).days
        graded = {tags[part]: grade for part, (grade, _) in known.grades.items()}
        expected = Grade.WATCH if WALK_DAY < ago <= ANNUAL_DAYS[3] else Grade.RESTRICT if ago <= WALK_DAY else None
        assert graded.get("LB 2-1") == expected
        missed = ago <= ANNUAL_DAYS[2]
        part = next(key for key, tag in tags.items() if tag == "LB 1-2")
        assert known.looks[part].result == ("not_reached" if missed else "no_finding")
        assert known.looks[part].looked_on == (now - timedelta(days=ANNUAL_DAYS[0])).date()
