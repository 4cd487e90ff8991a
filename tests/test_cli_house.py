"""`inspect-app house`: made, generated, imported and exported from the command line."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.account import insert_account, insert_person
from inspect_app.cli import main
from inspect_app.config import Settings
from inspect_app.domain.role import Role
from inspect_app.store.db import write_transaction
from inspect_app.store.house import list_houses, list_line_sets
from inspect_app.store.membership import list_houses_of

GENERATE = (
    *("generate", "--sets", "40", "--first", "2'", "--spacing", "8 in", "--lines", "6", "--wells-apart", "10'"),
    *("--grid-height", "60'", "--bridge-height", "50'", "--fire-curtain"),
)


class Line:
    """The command line on one data folder."""

    def __init__(self, data: Path) -> None:
        self.data = data

    def __call__(self, *words: str, code: int = 0) -> Result:
        result = CliRunner().invoke(main, ["--data", str(self.data), "house", *words])
        assert result.exit_code == code, result.output
        return result


@pytest.fixture
def line(settings: Settings) -> Line:
    return Line(settings.data)


@pytest.fixture
def keeper(db: Database) -> str:
    with write_transaction(db):
        person = insert_person(db, "Alex Fly")
        insert_account(db, clock.now(), person.id, "alex", "not a hash")
    return person.id


@pytest.fixture
def mill(line: Line, keeper: str) -> Line:
    line("new", "Mill", "--tz", "America/Chicago", "--for", "alex")
    return line


def test_a_new_house_belongs_to_the_account_named(db: Database, mill: Line, keeper: str) -> None:
    ((house, roles),) = list_houses_of(db, keeper)
    assert (house.name, roles) == ("Mill", {Role.ADMIN, Role.TD})


def test_an_unknown_account_is_told_with_status_1(line: Line, db: Database) -> None:
    assert "no account" in line("new", "Mill", "--tz", "UTC", "--for", "nobody", code=1).output
    assert list_houses(db) == []


def test_a_house_is_generated_and_listed_and_generated_once_only(mill: Line) -> None:
    assert "would be made" in mill(*GENERATE, "--check").output
    assert "   240  loft blocks" in mill(*GENERATE).output
    assert "40 sets" in mill("list").output
    assert "already" in mill(*GENERATE, code=1).output


def test_an_answer_that_cannot_be_read_is_named_by_its_option(mill: Line) -> None:
    assert "--motorised" in mill(*GENERATE, "--motorised", "five", code=1).output


def test_a_schedule_is_imported_with_its_bad_row_named_and_status_1(db: Database, mill: Line, tmp_path: Path) -> None:
    mill(*GENERATE)
    file = tmp_path / "schedule.csv"
    file.write_text("Set,Distance,Use\n1,2'-1\",House curtain\n2,far,Legs\n41,29',Sky drop\n", encoding="utf-16")
    result = mill("import", str(file), "--lines", "6", code=1)
    assert "Row 3, column B (Distance)" in result.output
    assert "1 sets added, 1 brought up to date" in result.output
    assert len(list_line_sets(db, list_houses(db)[0].id)) == 41


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_an_exported_schedule_imports_without_a_change(db: Database, mill: Line, tmp_path: Path, ending: str) -> None:
    mill(*GENERATE)
    house = list_houses(db)[0].id
    before = list_line_sets(db, house)
    file = tmp_path / f"out.{ending}"
    mill("export", str(file))
    mill("import", str(file))
    assert list_line_sets(db, house) == before


def test_with_two_houses_one_must_be_named(mill: Line) -> None:
    mill("new", "Harbour", "--tz", "UTC", "--for", "alex")
    assert "by its id" in mill(*GENERATE, code=1).output
    mill(*GENERATE, "--house", "harbour")
    assert "There is no house" in mill(*GENERATE, "--house", "x", code=1).output
