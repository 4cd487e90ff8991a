"""The whole demonstration, built once: its history, today's walk, its report, its pages."""

import json
import os
import re
import subprocess
from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple

import pikepdf
import pytest
from click.testing import CliRunner
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.verify import verify_data
from inspect_app.cli import main
from inspect_app.config import settings_for
from inspect_app.demo import Demo, build_demo, copy_report, report_of
from inspect_app.demo.collision import ENDED_PARTS
from inspect_app.demo.compare import Seen, compare_walk
from inspect_app.demo.house import BLOCK_LOT
from inspect_app.demo.limits import CARD_IN_DATE, LIMITED
from inspect_app.demo.people import ACCOUNTS_FILE
from inspect_app.demo.planted import (
    KINKED_LINE,
    RECURRING_LABEL,
    SHRINKING_ROPE,
    STOPPED_SET,
    UNREACHED_WELL,
    UNREACHED_WHY,
    WORN_BLOCK,
    WRONG_STOP_SET,
    Today,
    standing,
)
from inspect_app.domain.batch import batch_of
from inspect_app.domain.checklist import GRADE_RANK
from inspect_app.domain.deficiency import DeficiencyState
from inspect_app.domain.errors import Conflict
from inspect_app.domain.event import EventKind
from inspect_app.domain.ids import to_key
from inspect_app.domain.rail_card import standings_of
from inspect_app.domain.restriction import RestrictionKind, is_expired, risen_grade
from inspect_app.domain.tag_out import TagOut, TagState
from inspect_app.domain.walk import Look, LookResult, WalkState
from inspect_app.domain.walk_record import WalkRecord
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.document import get_sealed_data
from inspect_app.store.event import list_events, list_held_by
from inspect_app.store.part import list_lives, list_present_lives
from inspect_app.store.rail_card import list_cards
from inspect_app.store.relook import list_relooks
from inspect_app.store.restriction import list_restrictions
from inspect_app.store.set_state import list_set_states
from inspect_app.store.tag_out import get_ending, get_tag_out, list_tag_outs
from inspect_app.store.walk import WalkRow, list_walks
from inspect_app.store.walk_record import get_walk_record
from inspect_app.web import create_app

pytestmark = pytest.mark.xdist_group("demo")
LINE = "Demonstration, invented house"


class Built(NamedTuple):
    """The built demonstration and what it told while it was built."""

    data: Path
    demo: Demo
    told: list[str]
    db: Database


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Built]:
    data, told = tmp_path_factory.mktemp("demonstration") / "demo-data", list[str]()
    demo = build_demo(data, told.append)
    db = open_db(database_path(settings_for(data)))
    yield Built(data, demo, told, db)
    db.conn.close()


@pytest.fixture(scope="module")
def record(built: Built) -> WalkRecord:
    found = get_walk_record(built.db, built.demo.house, built.demo.walk)
    assert found is not None
    return found


@pytest.fixture(scope="module")
def sealed(built: Built) -> dict[str, Any]:
    found = get_sealed_data(built.db, built.demo.house, built.demo.walk)
    assert found is not None
    data: dict[str, Any] = json.loads(found.data)
    return data


def history(built: Built) -> list[WalkRow]:
    return [row for row in list_walks(built.db, built.demo.house) if row.walk.id != built.demo.walk]


def looks_of(built: Built, walk: str) -> tuple[Look, ...]:
    found = get_walk_record(built.db, built.demo.house, walk)
    assert found is not None
    return found.looks


def tag_outs(built: Built) -> dict[str, list[TagOut]]:
    by_state: dict[str, list[TagOut]] = {}
    for tag_out in list_tag_outs(built.db, built.demo.house):
        by_state.setdefault(tag_out.state, []).append(tag_out)
    return by_state


def test_the_demonstration_is_built_by_one_worker_only(request: pytest.FixtureRequest) -> None:
    assert "PYTEST_XDIST_WORKER" not in os.environ or request.node.nodeid.endswith("@demo")


def test_everything_verifies(built: Built) -> None:
    result = verify_data(built.db, built.data)
    assert result.holds, [check.says for check in result.checks if not check.holds]


def test_three_years_of_walks_are_signed_but_for_one(built: Built) -> None:
    rows = history(built)
    assert len(rows) > 25
    oldest = min(row.walk.opened_at for row in rows)
    newest = max(row.walk.opened_at for row in rows)
    assert clock.now() - oldest > timedelta(days=1000)
    assert clock.now() - newest > timedelta(days=14)
    unsigned = [row for row in rows if row.walk.state is not WalkState.SEALED]
    assert len(unsigned) == 1
    waiting = [look for look in looks_of(built, unsigned[0].walk.id) if look.needs_countersign]
    assert waiting
    assert not any(look.countersigns for look in waiting)


def test_the_far_well_was_not_reached_for_two_years(built: Built, record: WalkRecord) -> None:
    inventory = record.inventory
    well = next(part.id for part in inventory.parts if part.tag == UNREACHED_WELL)
    blocks = {part.id for part in inventory.parts if part.well == well}
    last: dict[str, Any] = {}
    for row in history(built):
        for look in looks_of(built, row.walk.id):
            if look.part in blocks and look.result == "no_finding" and look.in_pass.startswith("grid/"):
                last[look.part] = max(look.at, last.get(look.part, look.at))
    assert set(last) == blocks
    assert all(clock.now() - at > timedelta(days=730) for at in last.values())
    reasons = {look.reason for look in record.looks if look.part in blocks and look.in_pass.startswith("grid/")}
    assert reasons == {UNREACHED_WHY}


def test_a_stop_on_the_wrong_set_was_withdrawn_by_two(built: Built, record: WalkRecord) -> None:
    numbers = {line_set.id: line_set.number for line_set in record.inventory.line_sets}
    withdrawn = tag_outs(built)[TagState.WITHDRAWN]
    assert [numbers[tag_out.line_set or ""] for tag_out in withdrawn] == [WRONG_STOP_SET]
    by, second = built.db.execute("SELECT by, second FROM tag_withdrawal").fetchone()
    assert by != second


def test_one_old_stop_still_stands_and_today_adds_one(built: Built, record: WalkRecord) -> None:
    numbers = {line_set.id: line_set.number for line_set in record.inventory.line_sets}
    assert [numbers[t.line_set or ""] for t in tag_outs(built)[TagState.STANDING]] == ["8", STOPPED_SET]
    assert all(tag_out.steps for tag_out in tag_outs(built)[TagState.STANDING])


def test_a_limit_stands_a_measure_has_run_out_and_one_card_at_the_rail_is_wrong(built: Built) -> None:
    today = clock.now().date()
    rows = {one.kind: one for one in list_restrictions(built.db, built.demo.house)}
    limit, measure = rows[RestrictionKind.LIMIT], rows[RestrictionKind.MEASURE]
    assert limit.load_limit
    assert limit.who
    assert not is_expired(limit, today)
    assert is_expired(measure, today)
    (worn,) = [d for d in list_deficiencies(built.db, built.demo.house) if d.id == measure.deficiency]
    assert GRADE_RANK[risen_grade(worn.grade, [measure], today)] > GRADE_RANK[worn.grade]
    cards = standings_of(list_set_states(built.db, built.demo.house, today), list_cards(built.db, built.demo.house))
    hung = {one.state.number: one.out_of_date for one in cards if one.at_rail is not None}
    assert hung == {LIMITED: True, CARD_IN_DATE: False}


def test_the_open_well_is_accepted_until_a_day_ahead(record: WalkRecord) -> None:
    assert [accepted.part_tag for accepted in record.accepted] == ["W HR"]
    assert record.accepted[0].review_by > clock.now().date().isoformat()


def test_the_label_fault_comes_back(built: Built) -> None:
    found = [d for d in list_deficiencies(built.db, built.demo.house) if d.part_tag == RECURRING_LABEL]
    assert [d.state for d in found] == [DeficiencyState.SETTLED, DeficiencyState.SETTLED, DeficiencyState.FOUND]


def test_what_was_repaired_is_settled_and_its_stop_released(built: Built) -> None:
    settled = {d.part_tag for d in list_deficiencies(built.db, built.demo.house) if not d.open}
    assert settled == {RECURRING_LABEL, "LD 1", "RL 7", KINKED_LINE}
    assert len(tag_outs(built)[TagState.RELEASED]) == 1 + 5 + 1  # the lock, the holds after the collision, its kink


def test_a_collision_was_held_inspected_signed_and_released_and_its_line_replaced(built: Built) -> None:
    house = built.demo.house
    (event,) = list_events(built.db, house)
    assert timedelta(days=730) < clock.now() - event.at < timedelta(days=900)
    assert (event.kind, event.approaches[0].name) == (EventKind.COLLISION, "Tobias Quennell")
    held = [get_tag_out(built.db, house, key) for key in list_held_by(built.db, house, event.id)]
    assert [one.scope if one else "" for one in held] == [f"Line set {n}" for n in (34, 35, 36, 37, 38)]
    record = get_walk_record(built.db, house, event.walk or "")
    assert record is not None
    assert [one.role for one in record.signatures] == ["Qualified inspector"]
    assert not record.has_gaps
    assert {look.result for look in record.looks} == {LookResult.NO_FINDING, LookResult.FINDING}
    signed = record.signatures[0].at
    endings = [get_ending(built.db, one.id) for one in held if one is not None]
    assert all(one is not None and one.state is TagState.RELEASED and one.at > signed for one in endings)
    parts = {part.tag: part.id for part in record.inventory.parts}
    for tag in ENDED_PARTS:
        new, old = list_lives(built.db, house, parts[tag])
        assert (new.retired_on, old.retired_on) == (None, new.installed_on)
        rows = built.db.execute("SELECT life, at FROM look WHERE part = ?", (to_key(parts[tag]),)).fetchall()
        since = {life for life, at in rows if datetime.fromisoformat(at) > endings[2].at}  # type: ignore[union-attr]
        assert since == {to_key(new.id)}, "what was looked at later is what hangs there since"
    asked = [one for one in list_relooks(built.db, house, open_only=False) if one.whole]
    assert [one.name for one in asked if one.open] == ["Set 37"]
    assert {tag for one in asked for tag in one.waiting_tags} == {"LB 37-6"}, "passed by once, out of reach since"


def test_one_lot_of_blocks_has_a_fault_and_only_those_that_nobody_reaches_wait_for_a_look(
    built: Built, record: WalkRecord
) -> None:
    (worn,) = [d for d in list_deficiencies(built.db, built.demo.house) if d.part_tag == WORN_BLOCK]
    lives = list_present_lives(built.db, built.demo.house)
    part = next(one for one in record.inventory.parts if one.tag == WORN_BLOCK)
    batch = batch_of(part, record.inventory.parts, lives)
    assert batch is not None
    assert (batch.lot, len(batch.parts)) == (BLOCK_LOT, 18)
    client = create_app(settings_for(built.data)).test_client()
    sign_in(client, built, "tobias")
    page = client.get(f"/houses/{built.demo.house}/parts/{part.id}/batch?deficiency={worn.id}").text
    assert "3 of 18 parts to be looked at" in page
    rows = re.findall(r'<th scope="row"><a[^>]*>([^<]+)</a></th>(.*?)</tr>', page)
    assert {tag for tag, told in rows if "to be looked at" in told} == {"LB 13-6", "LB 14-6", "LB 15-6"}
    assert all(UNREACHED_WHY in told for _, told in rows[:3])
    assert f"18 in all: {BLOCK_LOT}" in client.get(f"/houses/{built.demo.house}/deficiencies/{worn.id}").text
    assert BLOCK_LOT in client.get(f"/houses/{built.demo.house}/search?q={BLOCK_LOT}&kind=house").text


def test_one_rope_measures_thinner_each_time_and_its_sisters_do_not(built: Built) -> None:
    def values(tag: str) -> list[Decimal]:
        rows = built.db.execute(
            "SELECT m.value FROM measure m JOIN part p ON p.id = m.part JOIN look l ON l.entry = m.entry "
            "WHERE p.tag = ? AND m.quantity = 'rope_diameter' ORDER BY l.at",
            (tag,),
        )
        return [Decimal(value) for (value,) in rows.fetchall()]

    thin = values(SHRINKING_ROPE)
    assert len(thin) >= 6
    assert thin == sorted(thin, reverse=True)
    assert thin[0] - thin[-1] > Decimal("0.008")
    sister = values("LL 10-4")
    assert max(sister) - min(sister) < Decimal("0.002")


def test_the_worn_groove_and_the_thin_rope_stand_apart_from_their_sisters(sealed: dict[str, Any]) -> None:
    assert {row["line_set"] for row in sealed["siblings"]} >= {"14", "9"}
    outside = {m["part"] for m in sealed["measures"] for v in m["verdicts"] if v["state"] == "outside"}
    assert {WORN_BLOCK, SHRINKING_ROPE} <= outside


def test_nobody_handled_every_part_of_a_kind_that_counts(sealed: dict[str, Any]) -> None:
    for kind in sealed["coverage"]["by_kind"]:
        if kind["in_scope"] >= 30:
            assert kind["handled"] < kind["in_scope"], kind
    parts = sealed["coverage"]["parts"]
    assert parts["not_reached"] > 40
    assert parts["not_looked_at"] > 0
    assert not sealed["pace"], "nobody taps faster than people walk"


def test_todays_walk_found_what_the_table_says_and_no_more(record: WalkRecord) -> None:
    expected = {
        Today.FOUND: {Seen.FOUND},
        Today.MISSED: {Seen.NOT_FOUND},
        Today.PASSED_BY: {Seen.NOT_REACHED, Seen.NOT_LOOKED_AT, Seen.NOT_ASKED},
    }
    rows = compare_walk(record)
    assert [row.planted for row in rows] == list(standing())
    for row in rows:
        assert row.seen in expected[row.planted.today], (row.planted.tag, row.seen)


def test_half_of_todays_helpers_stretch_does_not_count_yet(sealed: dict[str, Any]) -> None:
    assert sealed["not_counted"]
    assert sealed["countersigns"][0]["entries"] > 0


def test_about_sixty_photos_go_with_it(sealed: dict[str, Any]) -> None:
    assert 50 <= len(sealed["photos"]) <= 75


def test_every_page_of_the_pdf_and_every_attachment_says_so(built: Built) -> None:
    path = built.data / "reports" / built.demo.pdf
    assert path.stat().st_size < 15_000_000
    text = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True).stdout
    pages = text.split("\f")[:-1]
    assert len(pages) > 10
    assert all(LINE in page for page in pages)
    with pikepdf.open(path) as pdf:
        files = {name: spec.get_file().read_bytes() for name, spec in pdf.attachments.items()}
    assert files
    assert all(LINE.encode() in content for content in files.values()), sorted(files)


def test_every_page_of_the_house_says_so(built: Built) -> None:
    app = create_app(settings_for(built.data))
    client = app.test_client()
    sign_in(client, built, "wren")
    skipped = []
    house, walk = built.demo.house, built.demo.walk
    for rule in app.url_map.iter_rules():
        if "GET" not in (rule.methods or ()) or not rule.arguments <= {"house_id", "walk_id"} or not rule.arguments:
            continue
        answer = client.get(rule.rule.replace("<house_id>", house).replace("<walk_id>", walk))
        if answer.mimetype != "text/html" or answer.status_code != 200 or 'class="field' in answer.text:
            skipped.append(rule.rule)
            continue
        assert LINE in answer.text, rule.rule
    assert len(skipped) < len(list(app.url_map.iter_rules())) / 2


def sign_in(client: FlaskClient, built: Built, username: str) -> None:
    accounts = (built.data / ACCOUNTS_FILE).read_text()
    password = re.search(rf"^  {username} +(\S+)", accounts, re.MULTILINE)
    token = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', client.get("/sign-in").text)
    assert password
    assert token
    form = {"username": username, "password": password.group(1), "csrf_token": token.group(1)}
    assert client.post("/sign-in", data=form).status_code in (302, 303)


def test_all_five_accounts_let_in_and_none_is_in_the_source(built: Built) -> None:
    app = create_app(settings_for(built.data))
    for username in ("wren", "odile", "tobias", "juniper", "petra"):
        sign_in(app.test_client(), built, username)
    words = re.findall(r"^  \w+ +(\S+)", (built.data / ACCOUNTS_FILE).read_text(), re.MULTILINE)
    source = Path(__file__).parents[2] / "inspect_app"
    text = "".join(path.read_text() for path in source.rglob("*.py"))
    assert len(words) == 5
    assert not any(word in text for word in words)
    assert (built.data / ACCOUNTS_FILE).stat().st_mode & 0o777 == 0o600


def test_a_second_time_it_is_checked_and_used_again(built: Built) -> None:
    before = len(list_walks(built.db, built.demo.house))
    told: list[str] = []
    assert build_demo(built.data, told.append) == built.demo
    assert "verifies" in told[0]
    assert len(list_walks(built.db, built.demo.house)) == before
    assert report_of(built.data, built.demo).name == built.demo.pdf


def test_the_pdf_is_copied_into_the_working_tree_only(built: Built, tmp_path: Path) -> None:
    pdf = built.data / "reports" / built.demo.pdf
    assert copy_report(pdf, tmp_path) is None
    (tmp_path / "reports").mkdir()
    (tmp_path / "pyproject.toml").touch()
    copied = copy_report(pdf, tmp_path)
    assert copied == tmp_path / "reports" / pdf.name
    assert copied.read_bytes() == pdf.read_bytes()


def test_the_command_tells_what_was_planted(built: Built) -> None:
    done = CliRunner().invoke(main, ["--data", str(built.data), "demo", "--planted", built.demo.number])
    assert done.exit_code == 0, done.output
    for word in ("Found:", "Looked at, not found:", "Not reached:", "Not asked", "LL 9-4", "LB 33-6"):
        assert word in done.output
    assert "%" not in done.output, "a list, never a score"
    unknown = CliRunner().invoke(main, ["--data", str(built.data), "demo", "--planted", "1999-001"])
    assert unknown.exit_code == 1
    assert "There is no walk" in unknown.output


def test_a_folder_that_holds_something_else_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "somebody.txt").write_text("a real house")
    with pytest.raises(Conflict, match="something other"):
        build_demo(tmp_path, lambda _: None, fresh=True)
    assert (tmp_path / "somebody.txt").read_text() == "a real house"
