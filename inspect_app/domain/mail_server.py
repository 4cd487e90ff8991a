"""Where mail is handed over, and addresses it may go to."""

import re
from dataclasses import dataclass
from enum import StrEnum

from inspect_app.domain.errors import BadValue
from inspect_app.domain.lan import is_loopback

_ADDRESS = re.compile(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[A-Za-z0-9-]{1,63}(\.[A-Za-z0-9-]{1,63})+\Z", re.ASCII)
LONGEST_ADDRESS = 254


class Security(StrEnum):
    """How the connection is protected."""

    TLS = "tls"  # from the first byte, usually port 465
    STARTTLS = "starttls"  # asked for before anything else is said, usually port 587
    NONE = "none"  # only for a server on this machine


@dataclass(frozen=True, slots=True)
class MailServer:
    """Where mail is handed over. `ca_file` names a certificate to trust beside the machine's own."""

    host: str
    port: int
    sender: str
    security: Security = Security.STARTTLS
    user: str = ""
    password: str = ""
    ca_file: str = ""

    def __repr__(self) -> str:
        """Without the password, which has no place in a log."""
        return f"MailServer({self.security} {self.user}@{self.host}:{self.port})"


def read_address(text: str) -> str:
    """An e-mail address as typed. Raises BadValue on the field `address`."""
    address = text.strip()
    if len(address) > LONGEST_ADDRESS or not _ADDRESS.match(address):
        raise BadValue("Write one e-mail address, such as name@example.org.", "address")
    return address


def check_server(server: MailServer) -> MailServer:
    """The server, if mail may be handed to it: passwords and digests cross no network unprotected. Raises BadValue."""
    if not 0 < server.port < 65536:
        raise BadValue("The port of the mail server is a number from 1 to 65535.")
    if not _ADDRESS.match(server.sender):
        raise BadValue("The sender of the digest must be a plain e-mail address.")
    if server.security is Security.NONE and not is_loopback(server.host):
        raise BadValue(f"{server.host} is another machine: use tls or starttls, not none.")
    return server
