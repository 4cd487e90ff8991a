"""The demonstration house: invented, with three years of history, and a practice ground with planted defects."""

import fcntl
import gc
import json
import os
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import timedelta
from pathlib import Path

from sqlite_utils import Database

from inspect_app import __version__, clock
from inspect_app.actions.house import create_house, fill_house
from inspect_app.actions.report import file_report
from inspect_app.actions.verify import verify_data
from inspect_app.config import PACKAGE, Settings
from inspect_app.demo.collision import collision_days
from inspect_app.demo.crew import Ground
from inspect_app.demo.history import House, make_history, pair_phones
from inspect_app.demo.house import NAME, TYPED_UNITS, TZ, describe_house
from inspect_app.demo.learning import plant_learning
from inspect_app.demo.limits import plant_limits
from inspect_app.demo.office import PastOffice
from inspect_app.demo.people import DemoAccount, account_lines, add_people, read_accounts, write_accounts
from inspect_app.demo.walk import Walked, walk_today
from inspect_app.domain.errors import Conflict
from inspect_app.store.checklist import freeze_revision, load_shelf
from inspect_app.store.data_folder import database_path, open_data_folder, server_lock
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.reference import load_reference
from inspect_app.web import create_app

MARK = "demo.json"
SEED = 7
AGE = timedelta(days=1100)  # the house enters the record so long before today
Told = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Demo:
    """A demonstration that is ready: where it is, its house, today's walk and its report."""

    version: str
    house: str
    walk: str
    number: str
    pdf: str  # file name below reports/


def build_demo(data: Path, told: Told, *, fresh: bool = False, seed: int = SEED) -> Demo:
    """The demonstration in this folder: made when it is not there, else checked and used again.

    It is made in a folder beside and put in place when it is whole. Raises Conflict when the folder holds something
    else, or a demonstration that does not verify.
    """
    data.parent.mkdir(parents=True, exist_ok=True)
    with _alone_in(data.parent, told):
        kept = _read_mark(data)
        if kept is None and data.exists() and any(data.iterdir()):
            raise Conflict(f"{data} holds something other than a demonstration. Name another folder with --data.")
        if kept is not None and not fresh:
            _check(data, kept, told)
            return kept
        building = data.with_name(data.name + ".building")
        shutil.rmtree(building, ignore_errors=True)
        with _rare_collections():
            demo = _build(building, told, seed)
        if data.exists():
            with server_lock(data):  # a server that still runs on the old one keeps it
                shutil.rmtree(data)
        building.rename(data)
        return demo


@contextmanager
def _alone_in(folder: Path, told: Told) -> Iterator[None]:
    """One build at a time below a folder: another one waits until this is done, and then finds it made."""
    fd = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    try:
        try:
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            told("Another demonstration is being made here; waiting until it is done.")
            fcntl.flock(fd, fcntl.LOCK_EX)
        yield
    finally:
        os.close(fd)


@contextmanager
def _rare_collections() -> Iterator[None]:
    """Look for cycles seldom: a build makes hundreds of thousands of small objects and next to no cycles."""
    before = gc.get_threshold()
    gc.set_threshold(200_000, 50, 1000)
    try:
        yield
    finally:
        gc.set_threshold(*before)


def report_of(data: Path, demo: Demo) -> Path:
    """The PDF of today's walk; made again from the sealed data when its file is gone."""
    with _opened(open_data_folder(data).settings) as db:
        return file_report(db, data, demo.house, demo.walk, "Letter", clock.now())


def copy_report(pdf: Path, root: Path = PACKAGE.parent) -> Path | None:
    """Copy the PDF into reports/ of the working tree, when this program runs from one."""
    folder = root / "reports"
    if not ((root / "pyproject.toml").is_file() and folder.is_dir()):
        return None
    return Path(shutil.copyfile(pdf, folder / pdf.name))


def accounts_of(data: Path) -> list[str]:
    """The accounts as they are kept in the data folder."""
    return read_accounts(data)


def _read_mark(data: Path) -> Demo | None:
    path = data / MARK
    try:
        return Demo(**json.loads(path.read_text(encoding="utf-8"))) if path.is_file() else None
    except (ValueError, TypeError):
        raise Conflict(f"{path} cannot be read. Make the demonstration anew with --fresh, or remove {data}.") from None


def _check(data: Path, demo: Demo, told: Told) -> None:
    settings = open_data_folder(data).settings
    with _opened(settings) as db:
        result = verify_data(db, data)
    wrong = [check.says for check in result.checks if not check.holds and demo.pdf not in check.says]
    if wrong:
        raise Conflict(f"The demonstration in {data} does not verify: {wrong[0]}. Make it anew with --fresh.")
    told(f"The demonstration in {data} is there and verifies ({len(result.checks)} checks); it is used again.")


@contextmanager
def _opened(settings: Settings) -> Iterator[Database]:
    db = open_db(database_path(settings))
    try:
        yield db
    finally:
        db.conn.close()


def _build(data: Path, told: Told, seed: int) -> Demo:
    began = time.monotonic()
    settings = open_data_folder(data).settings
    shutil.copyfile(Path(__file__).with_name("gauge-round.yaml"), data / "checklists" / "gauge-round.yaml")
    with _opened(settings) as db:
        app = create_app(settings)
        house, accounts = _found(db, settings, told, seed)
        write_accounts(data, accounts)
        told(
            "Three years of history: grid walks each quarter; rail walks each month of the last four and one a quarter"
        )
        told("before that; two annual inspections by sample; one inspection after a collision")
        make_history(house, today=clock.now(), told=lambda text: told("  " + text), also=collision_days())
        plant_learning(house, clock.now())
        plant_limits(house, clock.now())
        told("The walk of today, through the field API")
        walked = walk_today(house, app, accounts, lambda text: told("  " + text))
    demo = _marked(data, house.id, walked)
    told(f"Built in {time.monotonic() - began:.0f} s")
    return demo


def _found(db: Database, settings: Settings, told: Told, seed: int) -> tuple[House, list[DemoAccount]]:
    """The house with its inventory, people, checklists and phones, as of three years ago."""
    today = clock.now()
    at = today - AGE
    founded = create_house(db, at=at, actor="system", name=NAME, tz=TZ, units=TYPED_UNITS, demo=True)
    inventory = describe_house(founded, today.date(), clock.new_id, seed)
    fill_house(db, at=at, actor="system", inventory=inventory)
    told(f"{NAME}: {len(inventory.line_sets)} line sets, {len(inventory.parts)} parts")
    people, accounts = add_people(db, at=at, house=founded.id)
    shelf = load_shelf(settings)
    with write_transaction(db):
        for key, checklist in shelf.checklists.items():
            freeze_revision(db, checklist, shelf.sources[key], at)
    office = PastOffice(db, settings)
    phones = pair_phones(db, at=at, house=founded.id, tz=TZ, seed=seed, people=people, office=office)
    ground = Ground(inventory, shelf.checklists)
    criteria = load_reference(settings.shared).criteria
    return House(db, settings, founded.id, TZ, seed, people, phones, ground, shelf, criteria), accounts


def _marked(data: Path, house: str, walked: Walked) -> Demo:
    demo = Demo(__version__, house, walked.walk, walked.number, walked.pdf.name)
    (data / MARK).write_text(json.dumps(asdict(demo), indent=1) + "\n", encoding="utf-8")
    return demo


__all__ = ["Demo", "account_lines", "accounts_of", "build_demo", "copy_report", "report_of"]
