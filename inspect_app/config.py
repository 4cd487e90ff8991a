"""Settings and places: the only reader of environment variables and default paths."""

import os
from dataclasses import dataclass
from pathlib import Path

from inspect_app.domain.lan import LanAddress

PACKAGE = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True)
class Settings:
    """What one running program needs to know; `data` holds inspect.db, photos/, reports/, checklists/ and the rest."""

    data: Path
    checklists: Path
    shared: Path
    trusted_hosts: tuple[str, ...] = ("127.0.0.1", "localhost", "[::1]")
    secure_cookies: bool = False
    proxies: int = 0
    lan: LanAddress | None = None


def _beside_or_inside(name: str) -> Path:
    """The folder `name` beside the package in a checkout, else the copy that ships inside the wheel."""
    inside = PACKAGE / "_data" / name
    return inside if inside.is_dir() else PACKAGE.parent / name


def checklists_dir() -> Path:
    """Where the shipped checklists are (INSPECT_APP_CHECKLISTS overrides)."""
    return Path(os.environ.get("INSPECT_APP_CHECKLISTS") or _beside_or_inside("checklists"))


def shared_dir() -> Path:
    """Where the shipped reference data are (INSPECT_APP_SHARED overrides)."""
    return Path(os.environ.get("INSPECT_APP_SHARED") or _beside_or_inside("shared"))


def default_data_dir() -> Path:
    """INSPECT_APP_DATA, else a folder of the user's own."""
    given = os.environ.get("INSPECT_APP_DATA")
    return Path(given) if given else Path.home() / ".local" / "share" / "inspect-app"


def settings_for(data: Path) -> Settings:
    """Settings with the shipped checklists and reference data for one data folder."""
    return Settings(data=data, checklists=checklists_dir(), shared=shared_dir())
