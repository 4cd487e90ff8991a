"""The register, one deficiency with its story and next steps, files, bulk setting, figures and the house's days."""

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import partial
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from flask.testing import FlaskClient
from openpyxl import load_workbook
from PIL import Image
from sqlite_utils import Database
from werkzeug.test import TestResponse

from inspect_app import clock
from inspect_app.actions.relook import ask_relook
from inspect_app.actions.repair_plan import set_risk
from inspect_app.actions.verify import verify_data
from inspect_app.config import Settings
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.risk import risk_level
from inspect_app.domain.role import Role
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.deficiency import list_deficiencies, list_deficiency_events
from inspect_app.store.deficiency_story import list_attachments, list_costs
from inspect_app.store.journal import list_journal
from inspect_app.store.photo import photo_path
from inspect_app.store.reference import reference_at
from inspect_app.store.tag_out import list_standing
from tests.walk_builder import BuiltWalk

Post = Callable[..., TestResponse]
DECIDED = {
    "to": "decided", "decided-decision": "replace it", "decided-contractor": "Harbour Rigging",
    "decided-responsible_id": "", "decided-due_on": "2026-04-01",
}  # fmt: skip
DONE = {
    "to": "work-done", "work-done-put_right_by_id": "", "work-done-put_right_by": "Harbour Rigging",
    "work-done-done_on": "2026-03-01", "work-done-what": "new block, tried empty",
}  # fmt: skip


@pytest.fixture
def built(db: Database, settings: Settings, house: House) -> BuiltWalk:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "restrict", note="cracked cheek")
    walk.finding("LB 2-1", "watch", note="paint worn")
    return walk


@pytest.fixture
def post(csrf: Any) -> Post:
    def send(client: FlaskClient, path: str, **fields: Any) -> TestResponse:
        return client.post(path, data={"csrf_token": csrf(client), **fields}, follow_redirects=True)

    return send


def the_one(built: BuiltWalk, number: int = 1) -> Deficiency:
    return next(row for row in list_deficiencies(built.db, built.house.id) if row.number == number)


def page_of(built: BuiltWalk, number: int = 1) -> str:
    return f"/houses/{built.house.id}/deficiencies/{the_one(built, number).id}"


def register_of(built: BuiltWalk) -> str:
    return f"/houses/{built.house.id}/deficiencies"


def jpeg(colour: str = "red") -> tuple[io.BytesIO, str]:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "JPEG")
    out.seek(0)
    return out, "after.jpg"


def test_it_is_followed_from_found_to_settled_on_its_page(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk, settings: Settings
) -> None:
    sign_in(client, Role.TD)
    path = page_of(built)
    assert "cracked cheek" in client.get(path).text
    role = {"decided-role": "technical_director", "work-done-role": "technical_director"}
    assert "replace it" in post(client, f"{path}/move", **DECIDED, **role).text
    post(client, f"{path}/move", **DONE, **role, **{"work-done-photos": jpeg()})
    page = client.get(path).text
    assert the_one(built).state is DeficiencyState.WORK_DONE
    assert "the repair is checked by a qualified inspector" in page
    assert 'value="checked"' not in page  # a director is not offered what the load path asks an inspector for
    (file,) = list_attachments(built.db, built.house.id, the_one(built).id)
    assert f"/attachments/{file.id}/report" in page
    assert photo_path(settings, file.sha256).is_file()
    assert verify_data(built.db, settings.data).holds

    sign_in(client, Role.INSPECTOR)
    form = {"to": "checked", "checked-role": "qualified_inspector", "checked-looked_at": "tried it loaded"}
    post(client, f"{path}/move", **form)
    today = clock.now().astimezone(ZoneInfo(built.house.tz)).date()
    soon = f'name="settled-re_look_on" type="date" value="{today + timedelta(days=30)}"'
    assert soon in client.get(path).text, "a look after the repair is asked for unless somebody takes the day out"
    ask_relook(
        built.db, at=clock.now(), actor=built.td.id, house=built.house.id, part=the_one(built).part, look_on=today,
        reason="released",
    )  # fmt: skip
    assert soon not in client.get(path).text, "one is asked for already"
    page = post(client, f"{path}/move", to="settled", **{"settled-role": "qualified_inspector"}).text
    assert the_one(built).state is DeficiencyState.SETTLED
    told = [page.index(words) for words in ("cracked cheek", "replace it", "new block, tried", "tried it loaded")]
    assert told[1:] == sorted(told[1:])  # the story goes on in order; the first words stand on top as well
    assert "What comes next" not in page


def test_what_was_typed_stays_when_something_is_missing(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    sent = {**DECIDED, "decided-due_on": "", "decided-contractor": "Kit & Co", "decided-role": "technical_director"}
    answer = post(client, f"{page_of(built)}/move", **sent)
    assert answer.status_code == 422
    assert "Set the day by which" in answer.text
    assert "Kit &amp; Co" in answer.text
    assert "replace it" in answer.text
    assert the_one(built).state is DeficiencyState.FOUND


def test_all_that_a_step_still_needs_is_said_at_once(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    empty = dict.fromkeys(DECIDED, "") | {"to": "decided", "decided-role": "technical_director"}
    page = post(client, f"{page_of(built)}/move", **empty).text
    for words in ("Say what is decided.", "Name who sees to it", "Set the day by which"):
        assert words in page
    assert the_one(built).state is DeficiencyState.FOUND


def test_a_step_that_is_not_open_any_more_says_so(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    answer = post(client, f"{page_of(built)}/move", **{**DONE, "work-done-role": "technical_director"})
    assert (answer.status_code, the_one(built).state) == (422, DeficiencyState.FOUND)
    assert "not open from where it stands" in answer.text


def test_who_did_the_work_reads_that_somebody_else_checks_it(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    person = sign_in(client, Role.TD)
    path, role = page_of(built, 2), {"decided-role": "technical_director", "work-done-role": "technical_director"}
    post(client, f"{path}/move", **DECIDED, **role)
    mine = {**DONE, "work-done-put_right_by": "", "work-done-put_right_by_id": person.id}
    page = post(client, f"{path}/move", **mine, **role).text
    assert "Record that it was checked:</strong> Somebody other than the person who put it right must check it" in page
    assert 'value="checked"' not in page


def test_a_stop_on_its_set_for_another_reason_shows_on_its_page(
    client: FlaskClient, sign_in: Any, built: BuiltWalk
) -> None:
    sign_in(client, Role.HELPER)
    assert "for another reason" not in client.get(page_of(built)).text
    built.finding("HB 1", "stop_use", note="bearing gone")
    page = client.get(page_of(built)).text
    assert "for another reason. bearing gone" in page
    assert "for another reason" not in client.get(page_of(built, 2)).text
    own = client.get(page_of(built, 3)).text
    assert "for another reason" not in own
    assert "Settling this does not release it" in own


def test_the_page_says_which_numbers_carry_on_and_why_only_those_of_the_part(
    client: FlaskClient, sign_in: Any, built: BuiltWalk
) -> None:
    built.finding("LB 1-1", "watch", point=built.points("LB 1-1")[1], note="squeaks")
    built.finding("HB 1", "watch", note="dry bearing")
    sign_in(client, Role.TD)
    page = client.get(page_of(built)).text
    assert "Open on LB 1-1 beside this: 3 (squeaks). Only on one part" in page
    beside = page[page.index("Also open on set 1") :]
    assert "HB 1, number 4: dry bearing" in beside
    assert "LB 2-1" not in beside
    assert f"line_set={built.part('LB 1-1').line_set}" in beside
    assert "No other is open on LB 2-1." in client.get(page_of(built, 2)).text


@pytest.mark.parametrize("role", Role)
def test_each_role_is_offered_only_its_own_steps(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, role: Role
) -> None:
    sign_in(client, role)
    page = client.get(page_of(built, 2)).text
    offered = {key for key in ("decided", "no-fault", "put-off", "same") if f'value="{key}"' in page}
    agreed = {
        Role.TD: {"decided", "no-fault", "put-off", "same"}, Role.INSPECTOR: {"decided", "no-fault", "same"},
        Role.MANAGER: {"decided", "put-off"},
    }  # fmt: skip
    assert offered == agreed.get(role, set())


def test_a_role_of_somebody_else_cannot_be_named(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.MANAGER)
    form = {**DECIDED, "decided-role": "qualified_inspector"}
    assert post(client, f"{page_of(built)}/move", **form).status_code == 422
    assert the_one(built).state is DeficiencyState.FOUND


def test_a_stop_that_stands_is_said_and_settling_is_not_offered(
    client: FlaskClient, sign_in: Any, built: BuiltWalk
) -> None:
    built.finding("HB 1", "stop_use", note="loose bolts")
    sign_in(client, Role.MANAGER)
    page = client.get(page_of(built, 3)).text
    assert "Settling this does not release it" in page
    assert 'value="put-off"' not in page


# -- files ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "name", "says"),
    [
        (b"", "empty.pdf", "Choose a file"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "plan.jpg", "no PDF, JPEG or PNG"),
        (b"MZ\x90\x00", "quote.pdf", "no PDF, JPEG or PNG"),
        (b"\xff\xd8\xff" + b"not a picture", "x.jpg", "cannot be read"),
    ],
)
def test_a_file_is_judged_by_its_bytes(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk, content: bytes, name: str, says: str
) -> None:
    sign_in(client, Role.TD)
    answer = post(
        client, f"{page_of(built)}/files", **{"file-file": (io.BytesIO(content), name), "file-shows": "paper"}
    )
    assert (answer.status_code, says in answer.text) == (422, True)
    assert list_attachments(built.db, built.house.id, the_one(built).id) == []


def test_a_paper_is_kept_by_digest_sent_as_a_download_and_verified(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk, settings: Settings
) -> None:
    sign_in(client, Role.HELPER)
    sent = (io.BytesIO(b"%PDF-1.7 an invoice"), '../../etc/"odd"\nname.pdf')
    post(client, f"{page_of(built)}/files", **{"file-file": sent, "file-shows": "paper", "file-note": "invoice"})
    (file,) = list_attachments(built.db, built.house.id, the_one(built).id)
    assert "/" not in file.name
    answer = client.get(f"/houses/{built.house.id}/attachments/{file.id}")
    assert (answer.data, answer.mimetype) == (b"%PDF-1.7 an invoice", "application/pdf")
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    photo_path(settings, file.sha256).write_bytes(b"%PDF-1.7 another")
    faults = [check.says for check in verify_data(built.db, settings.data).checks if not check.holds]
    assert faults == [f"attachments: {file.id} was altered"]


def test_a_helper_has_a_picture_without_what_the_camera_wrote(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.HELPER)
    out, exif = io.BytesIO(), Image.Exif()
    exif[0x010F] = "A camera maker"
    Image.new("RGB", (64, 48)).save(out, "JPEG", exif=exif)
    post(
        client,
        f"{page_of(built)}/files",
        **{"file-file": (io.BytesIO(out.getvalue()), "a.jpg"), "file-shows": "before"},
    )
    (file,) = list_attachments(built.db, built.house.id, the_one(built).id)
    assert b"A camera maker" not in client.get(f"/houses/{built.house.id}/attachments/{file.id}").data
    sign_in(client, Role.INSPECTOR)
    assert b"A camera maker" in client.get(f"/houses/{built.house.id}/attachments/{file.id}").data


def test_work_with_a_photo_that_is_none_is_not_recorded(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    post(client, f"{page_of(built)}/move", **DECIDED, **{"decided-role": "technical_director"})
    answer = post(client, f"{page_of(built)}/move", **DONE, **{"work-done-role": "technical_director",
                  "work-done-photos": (io.BytesIO(b"%PDF-1.7"), "a.pdf")})  # fmt: skip
    assert answer.status_code == 422
    assert "choose the photos again" in answer.text
    assert the_one(built).state is DeficiencyState.DECIDED


# -- beside the state -------------------------------------------------------------------------------------------------


def test_costs_are_exact_and_in_the_currency_of_the_house(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.MANAGER)
    path = f"{page_of(built)}/costs"
    assert "not named its currency" in post(client, path, **{"cost-kind": "estimate", "cost-amount": "10"}).text
    days = {"stop_use": "0", "restrict": "14", "repair_by": "90", "watch": "365", "currency": "usd"}
    post(client, f"/houses/{built.house.id}/repair-policy", **days)
    for kind, amount in (("estimate", "900"), ("estimate", "1250.10"), ("paid", "0.10"), ("paid", "0.20")):
        post(client, path, **{"cost-kind": kind, "cost-amount": amount})
    page = client.get(page_of(built)).text
    assert [words in page for words in ("1250.10", "0.30", "1249.80")] == [True] * 3
    assert len(list_costs(built.db, built.house.id)[the_one(built).id]) == 4
    twice = post(client, path, **{"cost-kind": "paid", "cost-amount": "0.20"})
    assert (twice.status_code, "kept a moment ago" in twice.text) == (422, True)
    assert len(list_costs(built.db, built.house.id)[the_one(built).id]) == 4
    for wrong in ("1,250.00", "1e3", "NaN", "", "١٢", "-5"):
        answer = post(client, path, **{"cost-kind": "estimate", "cost-amount": wrong})
        assert answer.status_code == 422, wrong
    assert "1249.80 USD" in client.get(f"{register_of(built)}.csv").data.decode()


def test_the_days_of_the_house_give_the_day_until_somebody_sets_one(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    assert "common practice, no source" in client.get(f"/houses/{built.house.id}/repair-policy").text
    assert "2026-04-03" in client.get(page_of(built)).text  # 30 days from the fourth of March
    path = f"/houses/{built.house.id}/repair-policy"
    days = {"stop_use": "0", "restrict": "14", "repair_by": "90", "watch": "365", "currency": ""}
    assert post(client, path, **{**days, "watch": "30"}).status_code == 422  # fewer than a graver grade has
    assert "cannot have fewer days" in post(client, path, **{**days, "watch": "30"}).text
    assert post(client, path, **{**days, "currency": "U$"}).status_code == 422
    assert post(client, path, **days).status_code == 200
    assert "2026-03-18" in client.get(page_of(built)).text


def test_comments_grade_and_risk_are_in_the_story(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    path = page_of(built, 2)
    empty = post(client, f"{path}/comment", **{"comment-text": " \t "})
    assert (empty.status_code, "Write the comment." in empty.text) == (422, True)
    post(client, f"{path}/comment", **{"comment-text": "<b>ask the painter</b>"})
    page = post(client, f"{path}/risk", **{"risk-severity": "2", "risk-probability": "D"}).text
    assert "&lt;b&gt;ask the painter&lt;/b&gt;" in page
    assert "Severity 2, probability D (Medium)." in page  # MIL-STD-882E, Table III, cell 2D
    form = {"grade-role": "technical_director", "grade-grade": "stop_use", "grade-reason": "it came off"}
    assert "it came off" in post(client, f"{path}/grade", **form).text
    assert len(list_standing(built.db, built.house.id)) == 1
    form |= {"grade-grade": "watch"}
    assert "Only a qualified inspector lowers" in post(client, f"{path}/grade", **form).text


def test_severity_and_probability_change_neither_grade_nor_day_nor_coverage_and_no_number_is_shown(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    path, matrix = page_of(built), reference_at(built.settings.shared).risk
    assert matrix is not None
    before, looks = the_one(built), built.record.looks
    offered = client.get(path).text
    assert "1 Catastrophic: death or permanent total disability" in offered
    assert "F Eliminated:" not in offered
    for severity, probability in [("1", "A"), ("4", "E"), ("3", "E"), ("2", "C"), ("4", "A")]:
        page = post(client, f"{path}/risk", **{"risk-severity": severity, "risk-probability": probability}).text
        level = risk_level(matrix, severity, probability)
        assert f"<dt>Risk, inside the grade</dt><dd>{level}</dd>" in page
        after = the_one(built)
        assert (after.severity, after.probability) == (severity, probability)
        assert replace(after, severity=before.severity, probability=before.probability) == before
        assert built.record.looks == looks  # from which coverage is counted


def test_an_open_deficiency_cannot_be_called_eliminated(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    answer = post(client, f"{page_of(built)}/risk", **{"risk-severity": "1", "risk-probability": "F"})
    assert answer.status_code == 422
    with pytest.raises(BadValue, match="never eliminate one"):
        set_risk(
            built.db, at=built.at, actor=built.td.id, house=built.house.id, deficiency=the_one(built).id,
            severity="1", probability="F", matrix=reference_at(built.settings.shared).risk,
        )  # fmt: skip
    assert the_one(built).probability == ""


def test_one_is_entered_by_hand_and_stop_use_stops_the_set(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    sign_in(client, Role.MANAGER)
    form = {"part": "hb 2", "what": "bolt missing, told by phone", "grade": "stop_use"}
    assert post(client, f"{register_of(built)}/new", **{**form, "part": "XX"}).status_code == 422
    page = post(client, f"{register_of(built)}/new", **form).text
    assert "Entered by hand" in page
    entered = page[page.index("Entered by hand") :]
    assert "Robin facility manager" in entered[: entered.index("</li>")]
    assert [tag.scope for tag in list_standing(built.db, built.house.id)] == ["Line set 2"]
    assert the_one(built, 3).made_by


# -- register ---------------------------------------------------------------------------------------------------------


def rows_of(client: FlaskClient, built: BuiltWalk, **query: str) -> list[list[str]]:
    text = client.get(f"{register_of(built)}.csv", query_string=query).data.decode("utf-8-sig")
    return list(csv.reader(io.StringIO(text)))[1:]


def test_the_register_is_filtered_and_the_file_has_what_is_filtered(
    client: FlaskClient, sign_in: Any, built: BuiltWalk
) -> None:
    sign_in(client, Role.MANAGER)
    built.finding("HB 2", "repair_by", note="=2+5;HYPERLINK")
    (set_2,) = {row.line_set_id for row in list_deficiencies(built.db, built.house.id) if row.line_set == "2"}
    for query, numbers in (
        ({}, ["1", "3", "2"]), ({"sort": "number"}, ["1", "2", "3"]), ({"grade": "watch"}, ["2"]),
        ({"line_set": set_2, "sort": "number"}, ["2", "3"]), ({"state": "closed"}, []), ({"older": "99999"}, []),
        ({"overdue": "yes", "older": "0"}, [r[0] for r in rows_of(client, built) if r[12] == "yes"]),
    ):  # fmt: skip
        assert [row[0] for row in rows_of(client, built, **query)] == numbers, query
        page = client.get(register_of(built), query_string=query).text
        shown = [f'aria-label="Deficiency {n}"' in page for n in (1, 2, 3)]
        assert shown == [str(n) in numbers for n in (1, 2, 3)]
    assert client.get(register_of(built), query_string={"sort": "colour"}).status_code == 422
    assert client.get(f"{register_of(built)}.csv", query_string={"grade": "bad"}).status_code == 422
    grouped = client.get(register_of(built), query_string={"group": "set"}).text
    assert grouped.index("Set 1 ") < grouped.index("Set 2 ")


def test_no_cell_of_a_file_is_a_formula(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk, tmp_path: Path
) -> None:
    sign_in(client, Role.MANAGER)
    form = {"chosen": the_one(built).id, "contractor": '=cmd|"/c calc"!A1', "order_number": "+44 20"}
    form |= {"responsible_id": ""}
    post(client, f"{register_of(built)}/assign", **form)
    (row,) = [row for row in rows_of(client, built) if row[0] == "1"]
    assert [cell for cell in row if cell[:1] in tuple("=+-@")] == []
    assert '\'=cmd|"/c calc"!A1' in row
    file = tmp_path / "r.xlsx"
    file.write_bytes(client.get(f"{register_of(built)}.xlsx").data)
    cells = [cell for line in load_workbook(file).active.iter_rows() for cell in line]
    assert {cell.data_type for cell in cells if cell.value} == {"s"}


def test_several_are_set_at_once_each_with_its_own_row_of_the_journal(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk, db: Database
) -> None:
    person: Person = sign_in(client, Role.MANAGER)
    before = len(list(list_journal(db)))
    chosen = [the_one(built, n).id for n in (1, 2)]
    path = f"{register_of(built)}/assign?sort=number"
    page = post(client, path, chosen=chosen, responsible_id=person.id, due_on="2026-04-01", order_number="PO 9").text
    assert "Set for 2 deficiencies" in page
    assert [row.action for row in list_journal(db)][before:] == ["deficiency.assign"] * 2
    for n in (1, 2):
        row = the_one(built, n)
        assert (row.responsible, row.due_on, row.order_number) == (person.id, "2026-04-01", "PO 9")
        assert (row.state, row.contractor) == (DeficiencyState.FOUND, "")
        assert "PO 9" in list_deficiency_events(db, row.id)[-1].note


def test_setting_several_is_all_or_nothing_and_keeps_what_was_typed(
    client: FlaskClient,
    sign_in: Any,
    post: Post,
    built: BuiltWalk,
    other_house: House,
    db: Database,
    settings: Settings,
) -> None:
    sign_in(client, Role.MANAGER)
    post = partial(post, responsible_id="")
    path, one = f"{register_of(built)}/assign", the_one(built).id
    answer = post(client, path, chosen=[one, the_one(built, 2).id], due_on="2026-12-01", contractor="Kit Co")
    assert answer.status_code == 422
    assert "by the house&#39;s days: say why" in answer.text
    assert "Kit Co" in answer.text
    assert f'value="{one}" checked' in answer.text
    foreign = BuiltWalk(db, settings, other_house)
    foreign.open()
    foreign.finding("HB 1")
    (theirs,) = list_deficiencies(db, other_house.id)
    for wrong in (theirs.id, "not an id", ""):
        assert post(client, path, chosen=[one, wrong], contractor="Kit Co").status_code in (400, 404, 422)
    assert post(client, path, contractor="Kit Co").status_code == 422
    assert post(client, path, chosen=[one]).status_code == 422
    assert {row.contractor for row in list_deficiencies(db, built.house.id)} == {""}


def test_a_helper_reads_the_register_and_sets_nothing(client: FlaskClient, sign_in: Any, built: BuiltWalk) -> None:
    sign_in(client, Role.HELPER)
    page = client.get(f"{register_of(built)}/").text
    assert "cracked cheek" in page
    assert 'name="chosen"' not in page


def test_the_figures_have_each_picture_with_its_table_and_no_score(
    client: FlaskClient, sign_in: Any, built: BuiltWalk
) -> None:
    sign_in(client, Role.MANAGER)
    page = client.get(f"{register_of(built)}/figures").text
    assert "Nothing here is a score" in page
    assert page.count("<svg") == 1  # nothing was repaired and nothing estimated: no picture of nothing
    assert "style=" not in page.split("<main", 1)[1]
    assert "2 open deficiencies have no estimate" in page


def test_a_condition_is_accepted_from_the_page_but_never_on_a_stopped_set(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    built.finding("LB 1-2", "stop_use")
    sign_in(client, Role.MANAGER)
    form = {
        "part": "HB 1", "what": "old plates", "accepted_by": "R. Abara", "role": "Manager",
        "reason": "replaced in summer", "review_by": "2099-01-01",
    }  # fmt: skip
    path = f"/houses/{built.house.id}/accepted-conditions"
    answer = post(client, f"{path}/new", **form)
    assert answer.status_code == 422
    assert "never accepted" in answer.text
    assert "old plates" in answer.text
    assert (
        "old plates"
        in post(client, f"{path}/new", **{**form, "part": "LB 2-1", "deficiency": the_one(built, 2).id}).text
    )
    assert [row[16] for row in rows_of(client, built) if row[0] == "2"] == ["2099-01-01"]
    (row,) = list_accepted(built.db, built.house.id)
    post(client, f"{path}/{row.id}/end")
    assert list_accepted(built.db, built.house.id) == []


def test_what_a_phone_tells_as_worse_is_put_before_the_director_until_somebody_decides(
    client: FlaskClient, sign_in: Any, post: Post, built: BuiltWalk
) -> None:
    first = the_one(built, 2).findings[0]
    page, today = page_of(built, 2), f"/houses/{built.house.id}/today/"
    sign_in(client, Role.TD)
    assert "Found worse" not in client.get(page).text
    answer = {
        "point": built.points("LB 2-1")[0],
        "answer": "worse",
        "of": first,
        "grade": "watch",
        "note": "to the steel",
    }
    for fields in ({}, {"comment-text": "seen"}):  # a comment answers nothing
        if fields:
            post(client, f"{page}/comment", **fields)
        else:
            built.finding("LB 2-1", **answer)
        assert the_one(built, 2).grade == "watch"
        assert "<strong>Found worse</strong> on 2026-03-04 by Ines Halloran: to the steel" in client.get(page).text
        assert "Deficiency 2, LB 2-1, watch: found worse on 2026-03-04 by Ines Halloran;" in client.get(today).text
    grade = {"grade-role": "technical_director", "grade-grade": "watch", "grade-reason": "still only paint"}
    post(client, f"{page}/grade", **grade)
    assert "Found worse" not in client.get(page).text
    assert "found worse" not in client.get(today).text
    built.at = clock.now() - timedelta(minutes=1)
    built.finding("LB 2-1", **answer)
    assert "Found worse" in client.get(page).text
    post(client, f"{page}/move", **DECIDED | {"decided-role": "technical_director"})
    assert "Found worse" not in client.get(page).text
