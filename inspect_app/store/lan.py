"""The folder `lan/` of a data folder: the house's own authority and the server's certificate, each with its key."""

import os
import stat
from pathlib import Path

from inspect_app.config import Settings
from inspect_app.domain.errors import Conflict, NotSaved
from inspect_app.store.data_folder import write_private

FOLDER = "lan"
AUTHORITY, LEAF, ORIGIN = "authority.pem", "server.pem", "address"


def lan_folder(settings: Settings) -> Path:
    """Where the certificates are."""
    return settings.data / FOLDER


def leaf_path(settings: Settings) -> Path:
    """The server's certificate and its private key in one file, so that the two can never disagree."""
    return lan_folder(settings) / LEAF


def read_lan_file(settings: Settings, name: str) -> bytes:
    """A file of the folder, or b'' when it is not there. Raises Conflict when others may read it."""
    path = lan_folder(settings) / name
    try:
        with path.open("rb") as file:
            if os.fstat(file.fileno()).st_mode & (stat.S_IRWXG | stat.S_IRWXO):
                raise Conflict(f"{path} can be read by others. Run `chmod 600 {path}`, then start again.")
            return file.read()
    except FileNotFoundError:
        return b""
    except OSError as error:
        raise NotSaved(f"{path} cannot be read: {error.strerror or error}.") from error


def set_lan_file(settings: Settings, name: str, content: bytes) -> None:
    """Write a file of the folder as a whole, readable by this account only. Raises NotSaved."""
    folder = lan_folder(settings)
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        os.chmod(folder, 0o700)
        write_private(folder / name, content)
    except OSError as error:
        raise NotSaved(f"{folder / name} cannot be written: {error.strerror or error}.") from error
