"""walk     an opened walk of the small house, with its builder (tests/walk_builder.py)"""

import pytest
from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.house import House
from tests.walk_builder import BuiltWalk


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    built = BuiltWalk(db, settings, house)
    built.open()
    return built
