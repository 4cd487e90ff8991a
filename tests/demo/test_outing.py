"""How the automatic walk walks: human pace, ways that vary, gaps with reasons, never *handled everywhere*."""

import random
from collections import Counter, defaultdict
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.demo import house as demo_house
from inspect_app.demo.calendar import QUARTERS, dark_day, past_outings
from inspect_app.demo.crew import Ground, Memory
from inspect_app.demo.house import NAME, TZ, describe_house
from inspect_app.demo.outing import walk_outing
from inspect_app.demo.people import CAST
from inspect_app.demo.phone import Entry, Phone
from inspect_app.demo.planted import UNREACHED_SINCE, UNREACHED_WHY
from inspect_app.domain.entry_reader import parse_entry
from inspect_app.domain.fitting import competence_of
from inspect_app.domain.house import House
from inspect_app.domain.part import PartKind
from inspect_app.domain.person import Person
from inspect_app.store.checklist import load_checklists
from inspect_app.store.data_folder import open_data_folder

TODAY = datetime(2026, 3, 4, 18, 0, tzinfo=UTC)


class Desk:
    """Takes in everything and keeps it."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.photos = 0

    def take_entries(self, phone: Phone, entries: Sequence[Entry], sent_at: datetime) -> None:
        self.entries += entries

    def take_photo(self, phone: Phone, photo: str, data: bytes, sent_at: datetime) -> None:
        self.photos += 1

    def finish(self) -> None:
        pass


@pytest.fixture(scope="module")
def ground(tmp_path_factory: pytest.TempPathFactory) -> Ground:
    settings: Settings = open_data_folder(tmp_path_factory.mktemp("demo") / "data").settings
    own = Path(demo_house.__file__).with_name("gauge-round.yaml")
    copyfile(own, settings.data / "checklists" / own.name)
    house = House(clock.new_id(), NAME, TZ, demo=True)
    return Ground(describe_house(house, date(2026, 3, 4), clock.new_id, 7), load_checklists(settings)[0])


def walked(ground: Ground, days_ago: int) -> Desk:
    desk = Desk()
    phones = {
        player.key: Phone(
            device=clock.new_id(),
            token="",
            house=ground.inventory.house.id,
            person=Person(clock.new_id(), player.name, player.credential),
            competence=competence_of(player.roles),
            tz=TZ,
            chance=random.Random(player.key),
            office=desk,
            moment=TODAY,
            seed=7,
        )
        for player in CAST
    }
    outing = next(one for one in past_outings(TODAY, TZ, 7) if one.habits.days_ago == days_ago)
    walk_outing(outing, phones, ground, Memory(), lambda _: None)
    return desk


@pytest.fixture(scope="module")
def grid_walk(ground: Ground) -> Desk:
    return walked(ground, QUARTERS[1])


def looks(desk: Desk) -> list[Entry]:
    return [entry for entry in desk.entries if entry["kind"] == "look"]


def test_every_entry_is_read_without_a_remark(grid_walk: Desk) -> None:
    for entry in grid_walk.entries:
        parsed = parse_entry(entry)
        assert parsed.entry is not None, parsed.problems
        assert not parsed.unread


def test_nobody_has_handled_everything(grid_walk: Desk, ground: Ground) -> None:
    kinds = {part.id: part.kind for part in ground.inventory.parts}
    handled: Counter[PartKind] = Counter()
    seen: dict[PartKind, set[str]] = defaultdict(set)
    for entry in looks(grid_walk):
        seen[kinds[entry["part"]]].add(entry["part"])
    for part in {entry["part"] for entry in looks(grid_walk) if "handled" in entry["ways"]}:
        handled[kinds[part]] += 1
    blocks = Counter(kinds.values())[PartKind.LOFT_BLOCK]
    assert 0 < handled[PartKind.LOFT_BLOCK] < blocks * 0.6
    assert len(seen[PartKind.LOFT_BLOCK]) < blocks


def test_ways_of_looking_vary_along_a_stretch(grid_walk: Desk) -> None:
    ways = {tuple(entry["ways"]) for entry in looks(grid_walk) if entry["pass"] == "grid/static" and entry["ways"]}
    assert len(ways) >= 3


def test_the_far_well_is_not_reached_and_says_why(grid_walk: Desk, ground: Ground) -> None:
    beyond = {part.id for part in ground.inventory.parts if ground.is_beyond_reach(part) and part.line_set is None}
    assert beyond
    for entry in looks(grid_walk):
        if entry["part"] in beyond and entry["pass"] == "grid/static":
            assert entry["result"] == "not_reached"
            assert entry["reason"] == UNREACHED_WHY
    blocks = [p for p in ground.inventory.parts if p.kind is PartKind.LOFT_BLOCK and ground.is_beyond_reach(p)]
    reached = {entry["part"] for entry in looks(grid_walk) if entry["result"] == "no_finding"}
    assert len(blocks) == 40
    assert not {block.id for block in blocks} & reached


def test_before_the_duct_was_hung_the_far_well_was_reached(ground: Ground) -> None:
    first = walked(ground, QUARTERS[-1])
    assert QUARTERS[-1] > UNREACHED_SINCE
    assert not [entry for entry in looks(first) if entry["result"] == "not_reached"]


def test_a_tap_answers_only_what_fits_its_ways(grid_walk: Desk, ground: Ground) -> None:
    points = {point.id: point for one in ground.checklists.values() for point in one.points()}
    for entry in looks(grid_walk):
        for point in entry["points"]:
            assert points[point].in_pass == entry["pass"]
            if points[point].way == "handled" and not entry["measures"]:
                assert "handled" in entry["ways"]


def test_people_take_a_few_seconds_to_a_minute_for_each_place(grid_walk: Desk) -> None:
    taps: dict[str, list[datetime]] = defaultdict(list)
    for entry in looks(grid_walk):
        taps[entry["device"]].append(datetime.fromisoformat(entry["recorded_at"]))
    for times in taps.values():
        moments = sorted(set(times))
        gaps = [later - sooner for sooner, later in pairwise(moments)]
        assert min(gaps) >= timedelta(seconds=3)
        assert timedelta(seconds=4) < sorted(gaps)[len(gaps) // 2] < timedelta(seconds=60)


def test_one_seed_gives_one_walk_but_for_the_ids(ground: Ground, grid_walk: Desk) -> None:
    def told(desk: Desk) -> list[Any]:
        return [
            (e["kind"], e["recorded_at"], e.get("part"), e.get("pass"), e.get("points"), e.get("ways"), e.get("result"))
            for e in desk.entries
        ]

    assert told(walked(ground, QUARTERS[1])) == told(grid_walk)


def test_the_closing_counts_what_the_phone_recorded(grid_walk: Desk) -> None:
    for closing in (entry for entry in grid_walk.entries if entry["kind"] == "closing"):
        own = [e for e in grid_walk.entries if e["device"] == closing["device"] and e["kind"] != "closing"]
        assert closing["count"] == len(own)
        assert closing["last_seq"] == max(entry["seq"] for entry in own)


def test_walks_fall_on_mondays_but_not_on_holidays() -> None:
    assert dark_day(date(2026, 3, 4)) == date(2026, 3, 2)
    assert dark_day(date(2023, 12, 27)) == date(2023, 12, 26)  # the 25th was a Monday
