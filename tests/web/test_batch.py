"""The pages of batches, reached from a part and from a deficiency."""

from typing import Any

from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import list_deficiencies
from tests.walk_builder import BuiltWalk


def test_a_fault_lists_its_batch_to_be_looked_at_from_part_and_deficiency(
    client: FlaskClient, sign_in: Any, db: Database, settings: Settings, house: House, other_house: House
) -> None:
    db.execute("UPDATE part_life SET lot = 'R-77' WHERE part IN (SELECT id FROM part WHERE kind = 'loft_block')")
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "repair_by", note="flange worn")
    (row,) = list_deficiencies(db, house.id)
    sign_in(client, Role.HELPER)
    link = f"/houses/{house.id}/parts/{row.part}/batch"
    assert link in client.get(f"/houses/{house.id}/parts/{row.part}/").text
    assert f"{link}?deficiency={row.id}" in client.get(f"/houses/{house.id}/deficiencies/{row.id}").text
    page = client.get(f"{link}?deficiency={row.id}").text
    for words in ("lot R-77", "flange worn", "LB 2-1", "to be looked at", "never recorded"):
        assert words in page, words
    assert "R-77" in client.get(f"/houses/{house.id}/batches").text
    assert client.get(f"/houses/{other_house.id}/parts/{row.part}/batch").status_code == 404
