"""The invented house as it is described, and the people in it."""

from collections import Counter
from datetime import date
from pathlib import Path

from inspect_app import clock
from inspect_app.demo.house import NAME, TZ, describe_house, typed_attributes
from inspect_app.demo.people import CAST, DemoAccount, new_password, read_accounts, write_accounts
from inspect_app.domain.house import House, Inventory, LineSetKind
from inspect_app.domain.part import PartKind
from inspect_app.domain.password import password_problem
from inspect_app.domain.role import Role


def described(seed: int = 7) -> Inventory:
    return describe_house(House(clock.new_id(), NAME, TZ, demo=True), date(2026, 3, 4), clock.new_id, seed)


def test_forty_sets_have_a_gap_and_a_12a() -> None:
    numbers = [line_set.number for line_set in described().line_sets]
    assert len(numbers) == len(set(numbers)) == 40
    assert numbers[11:14] == ["12", "12A", "13"]
    assert "25" not in numbers


def test_single_purchase_is_the_rule_and_every_other_kind_but_dead_hung_is_there() -> None:
    kinds = Counter(line_set.kind for line_set in described().line_sets)
    assert kinds[LineSetKind.SINGLE] > 30
    assert kinds[LineSetKind.MOTOR] == kinds[LineSetKind.DOUBLE] == 3
    assert kinds[LineSetKind.ROPE] == 1


def test_every_tag_is_unique_and_bears_its_own_sets_number() -> None:
    inventory = described()
    numbers = {line_set.id: line_set.number for line_set in inventory.line_sets}
    assert len({part.tag for part in inventory.parts}) == len(inventory.parts)
    for part in inventory.parts:
        if part.line_set:
            assert part.tag.partition(" ")[2].split("-")[0] == numbers[part.line_set]


def test_sets_stand_in_order_from_the_plaster_line() -> None:
    places = [line_set.y_mm for line_set in described().line_sets]
    assert places == sorted(places)


def test_attributes_are_read_as_somebody_types_them() -> None:
    assert typed_attributes()[PartKind.LIFT_LINE]["rope_diameter_mm"] == "6.35"


def test_one_seed_gives_one_house_but_for_the_ids() -> None:
    def told(inventory: Inventory) -> list[object]:
        return [
            (part.tag, part.x_mm, life.installed_on, life.lot, dict(life.attributes))
            for part in inventory.parts
            for life in (inventory.lives[part.id],)
        ]

    assert told(described()) == told(described())
    assert told(described()) != told(described(seed=8))


def test_all_five_roles_are_played() -> None:
    assert {role for player in CAST for role in player.roles} == set(Role)


def test_passwords_are_new_each_time_and_good_enough() -> None:
    made = {new_password() for _ in range(200)}
    assert len(made) == 200
    assert not any(password_problem(password, ["Wren Halloway", NAME]) for password in made)


def test_accounts_are_kept_for_their_owner_only(tmp_path: Path) -> None:
    account = DemoAccount("wren", "secret-of-the-day", "Wren Halloway", "Technical director")
    path = write_accounts(tmp_path, [account])
    assert path.stat().st_mode & 0o777 == 0o600
    assert any("wren" in line and "secret-of-the-day" in line for line in read_accounts(tmp_path))
