"""A look that came in after the signature is signed by none, in story, list, search and pack, until an amendment."""

from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.store.hand_over import list_look_stubs
from inspect_app.store.part import list_latest_looks
from inspect_app.store.part_story import list_look_places
from inspect_app.store.search import search_said
from tests.walk_builder import BuiltWalk


def test_a_look_that_no_seal_covers_is_not_signed_though_its_walk_is(
    db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("HB 1", note="polished flange")
    walk.close()
    number = walk.sign().number
    late = walk.finding("HB 1", note="zincwhisker")
    part = walk.part("HB 1").id

    def signed() -> list[bool]:
        place = list_look_places(db, house.id, part)[late]
        newest = list_latest_looks(db, house.id, part)[0]
        (stub,) = [one for one in list_look_stubs(db, house.id, "finding") if one["id"] == late]
        (hit,) = search_said(db, house.id, ("zincwhisker",), kind="look").hits
        assert (place.report == number) is place.signed
        return [place.signed, newest.sealed, stub["counts"], "not signed yet" not in hit.marks]

    assert signed() == [False] * 4
    walk.amend()
    assert signed() == [True] * 4
