"""The hand-over pack, read by a small reader of its own: zipfile, hashlib, csv, json, jsonschema, nothing of ours."""

import csv
import hashlib
import io
import json
import subprocess
import zipfile
from datetime import timedelta
from pathlib import Path

import jsonschema
import pikepdf
import pytest
from PIL import Image

from inspect_app import clock
from inspect_app.actions.before_climb import before_climb
from inspect_app.actions.calendar import house_calendar
from inspect_app.actions.deficiency import move_deficiency
from inspect_app.actions.hand_over import Made, Wanted, answer_questions, make_pack
from inspect_app.actions.hand_over_facts import facts_of
from inspect_app.actions.history import open_register
from inspect_app.actions.old_page import keep_old_page, withdraw_old_page
from inspect_app.actions.repair_plan import change_policy, record_cost
from inspect_app.actions.restriction import set_restriction
from inspect_app.config import shared_dir
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import DeficiencyState
from inspect_app.domain.errors import BadValue, NotAllowed
from inspect_app.domain.hand_over import Period, read_period
from inspect_app.domain.hand_over_section import sections_of
from inspect_app.domain.hand_over_table import BY_NAME, schema_document
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.report_words import zone
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.domain.role import Role
from inspect_app.output.attachments import cell as attached_cell
from inspect_app.output.hand_over_zip import cell
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.hand_over_table import read_rows
from inspect_app.store.house import get_house
from inspect_app.store.journal import list_journal
from tests.conftest import make_house
from tests.walk_builder import BuiltWalk, add_person

EVIL = ('=HYPERLINK("http://x")', "+1+1", "-1+1", "@SUM(A1)", "\t=1")


class Read:
    """A pack as somebody reads it who has this program not at hand."""

    def __init__(self, path: Path) -> None:
        with zipfile.ZipFile(path) as packed:
            assert packed.testzip() is None
            self.files = {name: packed.read(name) for name in packed.namelist()}
        self.document = json.loads(self.files["hand-over.json"])

    def table(self, name: str) -> list[dict[str, str]]:
        text = self.files[f"csv/{name}.csv"].decode("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text, newline="")))


@pytest.fixture(scope="module")
def house_of_history(tmp_path_factory: pytest.TempPathFactory):
    """A small house with two signed walks in two years, deficiencies, a stop, costs, texts that look like formulas."""
    settings = open_data_folder(tmp_path_factory.mktemp("pack") / "data").settings
    db = open_db(database_path(settings))
    house, other = make_house(db, "Old Mill Playhouse"), make_house(db, "Harbour Hall")
    walk = BuiltWalk(db, settings, house)
    walk.open()
    for tag, note in zip(("HB 1", "LB 1-1", "LB 1-2", "HB 2", "LB 2-1"), EVIL, strict=True):
        walk.finding(tag, grade="repair_by", note=note)
    walk.look("LB 2-2")
    walk.close()
    walk.sign()
    strange = BuiltWalk(db, settings, other)
    strange.open()
    strange.finding("HB 1", note="elsewhere")
    deficiency = db.execute("SELECT id FROM deficiency WHERE house = ? LIMIT 1", (to_key(house.id),)).fetchone()[0]
    manager = add_person(db, house, "Odile", Role.MANAGER)
    change_policy(db, at=walk.at, actor=manager.id, house=house.id, days=dict.fromkeys(Grade, "30"), currency="USD")
    record_cost(
        db, at=walk.at, actor=manager.id, house=house.id, deficiency=from_key(deficiency), kind="estimate",
        amount="7231.50", what="new block",
    )  # fmt: skip
    answer_questions(db, at=walk.at, actor=walk.td.id, house=house.id, answers={"built": "1931, gear 1988"})
    yield db, settings, house, walk
    db.conn.close()


@pytest.fixture(scope="module")
def made(house_of_history) -> tuple[Made, Read]:
    db, settings, house, walk = house_of_history
    made = make_pack(db, settings, house.id, Wanted(Period(), "A4", True), walk.at, actor=walk.td.id)
    return made, Read(made.zip_path)


def test_every_file_has_its_digest_in_the_manifest_and_nothing_else_is_there(made) -> None:
    pack, read = made
    lines = read.files["SHA256SUMS"].decode().splitlines()
    listed = {line[66:]: line[:64] for line in lines}
    assert all(line[64:66] == "  " for line in lines)
    assert set(listed) == set(read.files) - {"SHA256SUMS"}
    for name, digest in listed.items():
        assert hashlib.sha256(read.files[name]).hexdigest() == digest, name
    assert hashlib.sha256(pack.zip_path.read_bytes()).hexdigest() == pack.pack.zip_sha256
    assert hashlib.sha256(pack.pdf_path.read_bytes()).hexdigest() == pack.pack.pdf_sha256
    assert read.files["hand-over.pdf"] == pack.pdf_path.read_bytes()


def test_the_json_fits_its_schema_and_the_schema_bites(made) -> None:
    _, read = made
    schema = json.loads(read.files["hand-over.schema.json"])
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)
    check.validate(read.document)
    for spoil in (
        lambda d: d["tables"]["looks"][0].pop("result"),
        lambda d: d["tables"]["looks"][0].update(more=1),
        lambda d: d["tables"]["deficiencies"][0].update(number="1"),
        lambda d: d["tables"].pop("walks"),
    ):
        spoilt = json.loads(read.files["hand-over.json"])
        spoil(spoilt)
        assert list(check.iter_errors(spoilt))


def test_the_shipped_schema_is_the_one_of_the_tables_and_describes_each_field() -> None:
    shipped = json.loads((shared_dir() / "hand-over.schema.json").read_text(encoding="utf-8"))
    assert shipped == schema_document(), "write shared/hand-over.schema.json anew from schema_document()"
    for table in shipped["properties"]["tables"]["properties"].values():
        for name, field in table["items"]["properties"].items():
            assert field["description"], name


_COUNTS = {  # csv -> the database's own count, for all of one house
    "areas": "area WHERE house = :h", "line_sets": "line_set WHERE house = :h", "parts": "part WHERE house = :h",
    "part_lives": "part_life WHERE part IN (SELECT id FROM part WHERE house = :h)", "walks": "walk WHERE house = :h",
    "seals": "seal WHERE house = :h", "looks": "look WHERE house = :h", "findings": "finding WHERE house = :h",
    "measures": "measure WHERE house = :h", "deficiencies": "deficiency WHERE house = :h",
    "deficiency_events": "deficiency_event WHERE deficiency IN (SELECT id FROM deficiency WHERE house = :h)",
    "deficiency_findings": "deficiency_finding WHERE deficiency IN (SELECT id FROM deficiency WHERE house = :h)",
    "deficiency_costs": "deficiency_cost WHERE deficiency IN (SELECT id FROM deficiency WHERE house = :h)",
    "tag_outs": "tag_out WHERE house = :h",
    "tag_steps": "tag_step WHERE tag_out IN (SELECT id FROM tag_out WHERE house = :h)",
    "restrictions": "restriction WHERE house = :h", "accepted_conditions": "accepted_condition WHERE house = :h",
    "events": "event WHERE house = :h", "relooks": "relook WHERE house = :h", "photos": "photo WHERE house = :h",
    "gauges": "gauge WHERE house = :h", "house_answers": "house_answer WHERE house = :h",
    "old_pages": "old_page WHERE house = :h",
}  # fmt: skip


def test_csv_and_json_have_as_many_rows_as_the_database(made, house_of_history) -> None:
    db, _, house, _ = house_of_history
    _, read = made
    for name, rows in read.document["tables"].items():
        table = read.table(name)
        assert len(table) == len(rows), name
        if name in _COUNTS:
            count = db.execute(f"SELECT count(*) FROM {_COUNTS[name]}", {"h": to_key(house.id)}).fetchone()[0]
            assert len(table) == count, name
    assert len(read.table("looks")) >= 6
    assert "elsewhere" not in read.files["hand-over.json"].decode()


def test_no_cell_starts_a_formula_and_every_text_is_still_there(made) -> None:
    _, read = made
    for name in read.document["tables"]:
        for row in read.table(name):
            for text in row.values():
                bare = text.lstrip(" \u00a0\ufeff")
                assert not bare.startswith(("=", "@", "+", "\t", "\r")), (name, text)
                assert not bare.startswith("-") or bare[1:].replace(".", "").isdigit(), (name, text)
    assert [row["note"] for row in read.document["tables"]["findings"]] == list(EVIL)
    assert {row["note"] for row in read.table("findings")} == {"'" + text for text in EVIL}
    assert cell("=1") == attached_cell("=1") == "'=1"
    assert cell(-7200) == "-7200"


def test_the_pages_name_every_deficiency_and_carry_their_data(made) -> None:
    pack, read = made
    text = subprocess.run(
        ["pdftotext", "-layout", pack.pdf_path, "-"], capture_output=True, check=True, text=True
    ).stdout
    flat = "".join(text.split())
    for row in read.document["tables"]["deficiencies"]:
        assert "".join(row["what"].split()) in flat, row["number"]
    for words in ("1931, gear 1988", "not recorded", "2026-001", "Ines Halloran", "This log records observations"):
        assert "".join(words.split()) in flat, words
    with pikepdf.open(pack.pdf_path) as pdf:
        (name,) = pdf.attachments
        pages = pdf.attachments[name].get_file().read_bytes()
        xmp = bytes(pdf.Root.Metadata.read_bytes())
    assert name == "pages.json"
    digest = hashlib.sha256(pages).hexdigest()
    assert digest == pack.pack.data_sha256
    assert digest in flat
    assert b"<pdfaid:part>3" in xmp or b'pdfaid:part="3"' in xmp


def test_a_period_holds_what_belongs_to_it(house_of_history, tmp_path: Path) -> None:
    db, settings, house, walk = house_of_history
    before = make_pack(db, settings, house.id, Wanted(read_period("2020-01-01", "2020-12-31")), walk.at)
    read = Read(before.zip_path)
    assert read.document["period"] == {"first": "2020-01-01", "last": "2020-12-31"}
    for name in ("walks", "seals", "looks", "findings", "deficiencies", "photos"):
        assert read.document["tables"][name] == [], name
    assert "deficiency_costs" not in read.document["tables"]
    assert not any("7231.5" in content.decode(errors="replace") for content in read.files.values())
    jsonschema.Draft202012Validator(json.loads(read.files["hand-over.schema.json"])).validate(read.document)
    assert len(read.table("parts")) == 6
    after = Read(make_pack(db, settings, house.id, Wanted(read_period("2027-01-01", "")), walk.at).zip_path)
    assert len(after.table("deficiencies")) == 5, "what is still open belongs to every later period"


def test_packs_are_numbered_and_each_is_in_the_journal(made, house_of_history) -> None:
    db, _, house, _ = house_of_history
    numbers = [row[0] for row in db.execute("SELECT number FROM hand_over_pack ORDER BY rowid")]
    assert numbers == [f"2026-H{n:03d}" for n in range(1, len(numbers) + 1)]
    rows = [row for row in list_journal(db) if row.action == "hand_over.make"]
    assert len(rows) == len(numbers)
    assert {row.house for row in rows} == {house.id}


def test_who_may_make_a_pack_and_answer(house_of_history) -> None:
    db, settings, house, walk = house_of_history
    helper = add_person(db, house, "Sam", Role.HELPER)
    with pytest.raises(NotAllowed):
        make_pack(db, settings, house.id, Wanted(Period()), walk.at, actor=helper.id)
    with pytest.raises(NotAllowed):
        answer_questions(db, at=walk.at, actor=helper.id, house=house.id, answers={"built": "x"})
    with pytest.raises(BadValue):
        answer_questions(db, at=walk.at, actor=walk.td.id, house=house.id, answers={"no such": "x"})
    assert answer_questions(db, at=walk.at, actor=walk.td.id, house=house.id, answers={"built": "1931, gear 1988"}) == 0
    for first, last in (("soon", ""), ("2026-02-30", ""), ("2026-02-01", "2026-01-01")):
        with pytest.raises(BadValue):
            read_period(first, last)


def test_a_limit_that_ran_out_raises_the_grade_on_pages_and_in_files(house_of_history) -> None:
    db, settings, house, walk = house_of_history
    key, number = db.execute(
        "SELECT id, number FROM deficiency WHERE house = ? ORDER BY number DESC LIMIT 1", (to_key(house.id),)
    ).fetchone()
    set_restriction(
        db, at=walk.at, today=walk.at.date(), actor=walk.td.id, house=house.id, kind=RestrictionKind.LIMIT,
        texts={"what": "bent", "load_limit": "9 kg", "who": "Ines"}, until=walk.at.date(), deficiency=from_key(key),
    )  # fmt: skip
    assert db.execute("SELECT grade FROM deficiency WHERE id = ?", (key,)).fetchone()[0] == "repair_by"
    read = Read(make_pack(db, settings, house.id, Wanted(Period()), clock.now()).zip_path)
    assert {row["number"]: row["grade"] for row in read.table("deficiencies")}[str(number)] == "stop_use"
    (row,) = read.table("restrictions")
    assert (row["what"], row["until"]) == ("bent", walk.at.date().isoformat())
    with pikepdf.open(io.BytesIO(read.files["hand-over.pdf"])) as pdf:
        pages = json.loads(pdf.attachments["pages.json"].get_file().read_bytes())
    known = next(one for one in pages["sections"] if one["title"].startswith("Known problems"))
    assert known["rows"][0][:1] + known["rows"][0][3:4] == [str(number), "stop use"]
    standing = next(one for one in pages["sections"] if one["title"].startswith("Restrictions") and one["rows"])
    assert "expired" in standing["rows"][0][4]


def test_without_costs_no_file_and_no_page_has_an_amount(made, house_of_history) -> None:
    db, settings, house, walk = house_of_history
    with_costs = made[1]
    assert ["7231.50" in row["note"] for row in with_costs.table("deficiency_events")].count(True) == 1
    assert len(with_costs.table("deficiency_costs")) == 1
    read = Read(make_pack(db, settings, house.id, Wanted(Period()), walk.at).zip_path)
    texts = {name: content.decode() for name, content in read.files.items() if name.endswith((".csv", ".json"))}
    with pikepdf.open(io.BytesIO(read.files["hand-over.pdf"])) as pdf:
        texts["pages.json"] = pdf.attachments["pages.json"].get_file().read_bytes().decode()
    assert len(texts) > 30
    assert not [name for name, text in texts.items() if "7231.5" in text or "7,231" in text or "new block" in text]
    told = {row["id"] for row in read.table("deficiency_events")}
    assert [row["id"] in told for row in with_costs.table("deficiency_events")].count(False) == 1


def sections(house_of_history, first: str, last: str) -> dict[str, list[tuple[str, ...]]]:
    """The rows of the pages by the title of their section."""
    db, settings, house, walk = house_of_history
    found: dict[str, list[tuple[str, ...]]] = {}
    for one in sections_of(facts_of(db, settings, house, read_period(first, last), walk.at)):
        found.setdefault(one.title.partition(":")[0], []).extend(one.rows)
    return found


def test_what_stands_today_does_not_depend_on_the_period(made, house_of_history) -> None:
    whole, before = sections(house_of_history, "", ""), sections(house_of_history, "2020-01-01", "2020-12-31")
    assert len(whole["Known problems"]) == 5
    assert any(row[0].startswith("Last signed walk") and "report 2026-001" in row for row in whole["Dates"])
    for title in ("Known problems", "Dates", "Out of use", "Restrictions, measures and conditions on use in force"):
        assert before[title] == whole[title], title
    for title in ("Walks", "Findings", "Deficiencies of the period", "Measures"):
        assert before[title] == [], title


def test_a_restriction_set_after_the_period_still_stands_today(house_of_history) -> None:
    db, _, house, walk = house_of_history
    set_restriction(
        db, at=walk.at, today=walk.at.date(), actor=walk.td.id, house=house.id, kind=RestrictionKind.LIMIT,
        texts={"what": "short line thins", "load_limit": "120 kg", "who": "Ines"}, until=walk.at.date(),
        line_set=from_key(db.execute("SELECT id FROM line_set WHERE house = ?", (to_key(house.id),)).fetchone()[0]),
    )  # fmt: skip
    rows = sections(house_of_history, "2020-01-01", "2020-12-31")
    standing = rows["Restrictions, measures and conditions on use in force"]
    assert "short line thins" in [row[2] for row in standing]


def test_the_days_of_a_period_are_those_of_the_house(house_of_history) -> None:
    db, settings, house, walk = house_of_history  # America/Chicago, six hours behind in winter
    for at, what in (("2025-01-01T05:59:59.999", "before"), ("2025-01-01T06:00:00.000", "first evening"),
                     ("2025-01-02T05:59:59.999", "still that show"), ("2025-01-02T06:00:00.000", "after")):  # fmt: skip
        db.execute(
            "INSERT INTO event(id, house, kind, line_set, what, danger, by, at) "
            "SELECT randomblob(16), house, 'shock', id, ?, 'no', ?, ? FROM line_set WHERE house = ? LIMIT 1",
            (what, to_key(walk.td.id), f"{at}+00:00", to_key(house.id)),
        )
    period = read_period("2025-01-01", "2025-01-01")
    told = [row["what"] for row in read_rows(db, BY_NAME["events"], house.id, period, zone(house.tz))]
    assert told == ["first evening", "still that show"]
    facts = facts_of(db, settings, house, period, walk.at)
    assert [row["what"] for row in facts.of("events")] == told
    assert {facts.day(row["at"]) for row in facts.of("events")} == {"2025-01-01"}
    assert {facts.after[row["id"]] for row in facts.of("events")} == {"nothing was put on hold; no inspection yet"}


def test_what_nobody_signed_says_so_on_the_pages(tmp_path: Path) -> None:
    settings = open_data_folder(tmp_path / "data").settings
    db = open_db(database_path(settings))
    walk = BuiltWalk(db, settings, make_house(db, "Old Mill Playhouse"))
    walk.open()
    walk.finding("LB 1-1", note="worn")
    house = (db, settings, walk.house, walk)
    assert ["not signed" in row[3] for row in sections(house, "", "")["Findings"]] == [True]
    walk.close()
    walk.sign()
    assert ["not signed" in row[3] for row in sections(house, "", "")["Findings"]] == [False]
    db.conn.close()


def test_old_pages_are_history_marked_unverified(house_of_history) -> None:
    db, settings, house, walk = house_of_history
    line_set = from_key(db.execute("SELECT id FROM line_set WHERE house = ?", (to_key(house.id),)).fetchone()[0])
    image = io.BytesIO()
    Image.new("RGB", (40, 30), "white").save(image, "PNG")
    kept = {"new lines, all of set 1": (image.getvalue(), "jpg"), "certificate": (b"%PDF-1.4 old", "pdf"),
            "of another house": (b"%PDF-1.4 wrong", "pdf")}  # fmt: skip
    pages = {
        says: keep_old_page(
            db, settings, at=walk.at, actor=walk.td.id, house=house.id, line_set=line_set, year="1998", says=says,
            name="log.png", content=content,
        )
        for says, (content, _) in kept.items()
    }  # fmt: skip
    withdraw_old_page(
        db, at=walk.at, actor=walk.td.id, house=house.id, page=pages["of another house"], reason="wrong house"
    )
    read = Read(make_pack(db, settings, house.id, Wanted(read_period("2020-01-01", "2020-12-31")), walk.at).zip_path)
    rows = {row["says"]: row for row in read.table("old_pages")}
    assert {says: row["taken_back"] for says, row in rows.items()} == {
        "new lines, all of set 1": "", "certificate": "", "of another house": "wrong house",
    }  # fmt: skip
    for says, (content, ending) in kept.items():
        assert rows[says]["file"] == f"old-pages/{pages[says]}.{ending}"
        held = read.files[rows[says]["file"]]
        assert held == content if ending == "pdf" else held.startswith(b"\xff\xd8\xff")
    jsonschema.Draft202012Validator(json.loads(read.files["hand-over.schema.json"])).validate(read.document)
    told = sections(house_of_history, "2020-01-01", "2020-12-31")["Pages of an old paper log, unverified"]
    assert sorted(told) == [("1998", "Set 1", "certificate"), ("1998", "Set 1", "new lines, all of set 1")]


def test_when_a_repair_is_due_and_late_reads_as_in_the_register(house_of_history) -> None:
    db, settings, given, walk = house_of_history
    house = get_house(db, given.id)  # with its days of each grade
    at = walk.at + timedelta(days=120)
    found = {row.number: row.id for row in list_deficiencies(db, house.id)}
    for number, until in ((3, "2027-04-03"), (4, "2026-06-01")):
        move_deficiency(
            db, at=walk.at, actor=walk.td.id, house=house.id, deficiency=found[number],
            to_state=DeficiencyState.PUT_OFF, role=Role.TD,
            proof={"decision": "later", "decided_by": "R. Abara", "until": until},
        )  # fmt: skip
    db.execute("UPDATE deficiency SET due_on = '2027-03-01' WHERE id = ?", (to_key(found[2]),))
    pages = sections_of(facts_of(db, settings, house, Period(), at))
    told = {row[0]: row[6] for one in pages if one.title.startswith("Known problems") for row in one.rows}
    late = {str(one.row.number): one.overdue for one in open_register(db, settings, house, at.date())}
    assert {number: "overdue" in words for number, words in told.items()} == late
    assert told["1"] == "2026-04-03, by the house's days: overdue"
    assert told["2"] == "2027-03-01"
    assert told["3"] == "put off until 2027-04-03"
    assert told["4"] == "put off until 2026-06-01: overdue"


def test_what_the_house_answers_reads_the_same_before_the_climb_and_in_the_pack(house_of_history) -> None:
    db, settings, house, walk = house_of_history
    sheet = before_climb(db, settings, house, house_calendar(db, settings, house.id, clock.now())).sheet
    pack = facts_of(db, settings, house, Period(), walk.at).sheet
    assert [(row.name, row.value) for row in sheet] == list(pack)
    assert "1931, gear 1988 (as typed by Ines Halloran, 2026-03-04)" in [value for _, value in pack]
