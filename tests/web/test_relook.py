"""The page of re-looks: a whole set is asked for by one of its parts, and what still waits is told."""

from typing import Any

from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.role import Role
from inspect_app.store.part import list_parts
from inspect_app.store.relook import list_relooks


def test_each_part_of_a_set_is_asked_for_and_told(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, house: House
) -> None:
    sign_in(client, Role.TD)
    path, parts = f"/houses/{house.id}/relooks", list_parts(db, house.id)
    form = {"look_on": "2099-04-01", "way": "seen_close", "reason": "released", "whole": "set"}
    page = client.post(f"{path}/ask", data={**form, "part": "HB 1", "csrf_token": csrf(client)}, follow_redirects=True)
    (asked,) = list_relooks(db, house.id)
    assert asked.whole
    assert f"Each part of {asked.name} is to be looked at again by 2099-04-01" in page.text
    assert f"{asked.name}, each part" in page.text
    assert f"0 of {len(asked.parts)} parts looked at so far" in page.text
    assert asked.waiting_tags[0] in page.text
    bare = parts[0]
    db.execute("UPDATE part SET line_set = NULL WHERE id = ?", (to_key(bare.id),))
    refused = client.post(f"{path}/ask", data={**form, "part": bare.tag, "csrf_token": csrf(client)})
    assert refused.status_code == 422
    assert "belongs to no line set" in refused.text
