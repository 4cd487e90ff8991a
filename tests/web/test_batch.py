"""The pages of batches, reached from a part and from a deficiency."""

import re
from datetime import timedelta
from typing import Any

from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import list_deficiencies
from tests.walk_builder import START, BuiltWalk


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


def test_a_sister_that_was_not_reached_since_the_fault_is_still_to_be_looked_at(
    client: FlaskClient, sign_in: Any, db: Database, settings: Settings, house: House
) -> None:
    db.execute("UPDATE part_life SET lot = 'R-77' WHERE part IN (SELECT id FROM part WHERE tag IN (?,?,?))",
               ("LB 1-1", "LB 1-2", "LB 2-1"))  # fmt: skip
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "repair_by", note="flange worn")
    walk.look("LB 1-2")
    walk.look("LB 2-1")
    walk.close()
    walk.sign()
    walk.id, walk.at = clock.new_id(), START + timedelta(days=9)
    walk.sent.clear()
    walk.open()
    walk.look("LB 1-2", "not_reached", reason="behind the duct")
    walk.look("LB 2-1", ways=["seen_close"])
    walk.close()
    walk.sign()
    sign_in(client, Role.INSPECTOR)
    page = client.get(f"/houses/{house.id}/parts/{walk.part('LB 1-1').id}/batch").text
    assert "1 of 3 parts to be looked at" in page
    rows = dict(re.findall(r'<th scope="row"><a[^>]*>([^<]+)</a></th>(.*?)</tr>', page))
    assert next(iter(rows)) == "LB 1-2"
    assert "to be looked at" in rows["LB 1-2"]
    assert "last handled 2026-03-04; not reached 2026-03-13 (behind the duct)" in rows["LB 1-2"]
    assert "last looked at 2026-03-13; last handled 2026-03-04" in rows["LB 2-1"]
    assert "looked at since" in rows["LB 2-1"]
