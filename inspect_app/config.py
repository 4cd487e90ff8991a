"""Settings and places: the only reader of environment variables and default paths."""

import os
from dataclasses import dataclass
from pathlib import Path

from inspect_app.domain.errors import BadValue
from inspect_app.domain.lan import LanAddress
from inspect_app.domain.mail_server import MailServer, Security, check_server

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


def mail_server() -> MailServer | None:
    """Where the digest is handed over, by INSPECT_APP_SMTP_HOST and its sisters; None, without a host: mail is off.

    Raises BadValue on a setting that cannot be.
    """
    said = {key: os.environ.get(f"INSPECT_APP_SMTP_{key}", "").strip() for key in _SMTP}
    if not said["HOST"]:
        return None
    if said["SECURITY"] not in ("", *Security):
        raise BadValue(f"INSPECT_APP_SMTP_SECURITY is one of: {', '.join(Security)}.")
    security = Security(said["SECURITY"] or Security.STARTTLS)
    port = said["PORT"] or {Security.TLS: "465", Security.STARTTLS: "587", Security.NONE: "25"}[security]
    if not (port.isascii() and port.isdigit()):
        raise BadValue("INSPECT_APP_SMTP_PORT is a number.")
    password = said["PASSWORD"]
    if said["PASSWORD_FILE"]:
        try:
            password = Path(said["PASSWORD_FILE"]).read_text(encoding="utf-8").strip()
        except OSError as error:
            raise BadValue(f"INSPECT_APP_SMTP_PASSWORD_FILE cannot be read: {error.strerror}.") from None
    return check_server(
        MailServer(said["HOST"], int(port), said["FROM"], security, said["USER"], password, said["CA_FILE"])
    )


_SMTP = ("HOST", "PORT", "SECURITY", "USER", "PASSWORD", "PASSWORD_FILE", "FROM", "CA_FILE")


def public_address() -> str:
    """Where people open the log in a browser, for links in the digest (INSPECT_APP_ADDRESS); '' for no links."""
    return os.environ.get("INSPECT_APP_ADDRESS", "").strip().rstrip("/")
