"""Photos as members of a house see them: clean copies, originals for some, nothing that a browser would run."""

import io
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from flask.testing import FlaskClient
from PIL import Image
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.photo import Kept, save_photo
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.store.device import list_devices
from inspect_app.store.journal import list_journal
from tests.walk_builder import add_person

SECRET = b"taken by Owner Name"


def a_jpeg() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (1600, 1200), (90, 120, 60)).save(out, "JPEG", comment=SECRET)
    return out.getvalue()


@pytest.fixture
def photo(db: Database, settings: Settings, house: House, pair: Callable[..., tuple[str, str]]) -> Kept:
    person = add_person(db, house, "Ines Halloran", Role.TD)
    pair(person)
    device = list_devices(db, house.id, person.id)[0]
    return save_photo(
        db, settings, at=datetime(2026, 3, 4, tzinfo=UTC), device=device, photo=clock.new_id(), content=a_jpeg()
    )


@pytest.mark.parametrize(("size", "side"), [("thumb", 320), ("report", 600), ("print", 1200)])
@pytest.mark.parametrize("role", list(Role))
def test_every_member_sees_clean_copies(
    client: FlaskClient, house: House, photo: Kept, sign_in: Callable[..., Person], size: str, side: int, role: Role
) -> None:
    sign_in(client, role)
    answer = client.get(f"/houses/{house.id}/photos/{photo.id}/{size}")
    assert (answer.status_code, answer.mimetype) == (200, "image/jpeg")
    assert max(Image.open(io.BytesIO(answer.data)).size) == side
    assert SECRET not in answer.data
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Security-Policy"].startswith("sandbox")
    again = client.get(
        f"/houses/{house.id}/photos/{photo.id}/{size}", headers={"If-None-Match": answer.headers["ETag"]}
    )
    assert again.status_code == 304


@pytest.mark.parametrize("role", list(Role))
def test_the_original_is_for_those_who_may_and_the_journal_notes_it(
    client: FlaskClient, db: Database, house: House, photo: Kept, sign_in: Callable[..., Person], role: Role
) -> None:
    person = sign_in(client, role)
    answer = client.get(f"/houses/{house.id}/photos/{photo.id}/original")
    reads = [row.actor for row in list_journal(db) if row.action == "photo.read_original"]
    if role in (Role.HELPER, Role.MANAGER):
        assert answer.status_code == 403
        assert reads == []
        return
    assert answer.status_code == 200
    assert SECRET in answer.data
    assert answer.headers["Content-Disposition"] == f'attachment; filename="photo-{photo.id}.jpg"'
    assert answer.headers["Content-Security-Policy"].startswith("sandbox")
    assert answer.headers["Cache-Control"] == "no-store"
    assert reads == [person.id]


@pytest.mark.parametrize("size", ["thumb", "print", "report", "original"])
def test_a_photo_is_not_there_for_another_house_or_nobody(
    client: FlaskClient, house: House, other_house: House, photo: Kept, sign_in: Callable[..., Person], size: str
) -> None:
    assert client.get(f"/houses/{house.id}/photos/{photo.id}/{size}").status_code == 303
    sign_in(client, Role.TD, other_house)
    assert client.get(f"/houses/{house.id}/photos/{photo.id}/{size}").status_code == 404
    assert client.get(f"/houses/{other_house.id}/photos/{photo.id}/{size}").status_code == 404


@pytest.mark.parametrize("size", ["huge", "..", "print.jpg", "thumb%00"])
def test_a_size_that_is_none_is_not_there(
    client: FlaskClient, house: House, photo: Kept, sign_in: Callable[..., Person], size: str
) -> None:
    sign_in(client)
    assert client.get(f"/houses/{house.id}/photos/{photo.id}/{size}").status_code in (404, 422)
