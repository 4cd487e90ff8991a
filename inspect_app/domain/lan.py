"""The log on a house's own network: the one address it carries, and what its own certificates may vouch for."""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv4Interface, IPv4Network, ip_address

from inspect_app.domain.errors import BadValue

AUTHORITY_LIFE = timedelta(days=3650)
# Apple takes at most 825 days from an authority that the user has installed (its article 103769, read); the rule of the
# CA/Browser Forum for public ones was 398 until 2026 (from memory).
LEAF_LIFE = timedelta(days=397)
RENEW_BEFORE = timedelta(days=60)
TELL_BEFORE = timedelta(days=180)  # how long before its end the authority itself is spoken of
# Private IPv4 ranges: RFC 1918, section 3.
_PRIVATE = tuple(IPv4Network(text) for text in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16"))
# Endings that no public registry gives away: RFC 6762 (local), RFC 6761 (test, invalid), the ICANN board's decision of
# 2024 (internal, from memory); lan is common practice of routers, no source.
_PRIVATE_ENDINGS = frozenset({"local", "test", "internal", "lan"})
NO_NAME = "no-name.invalid"  # the only name an authority for bare addresses permits: one that never resolves (RFC 6761)
_LABEL = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)\Z")


@dataclass(frozen=True, slots=True)
class LanAddress:
    """The one address of the log: a host name or an IPv4 address, its port, and the port of the plain trust page."""

    host: str
    port: int
    trust_port: int

    @property
    def origin(self) -> str:
        """What phones open, and what everything they keep is bound to."""
        return f"https://{self.host}" + (f":{self.port}" if self.port != 443 else "")

    @property
    def trust_page(self) -> str:
        """The page for phones that do not trust the certificate yet; plain HTTP."""
        return f"http://{self.host}:{self.trust_port}/trust"


def is_loopback(host: str) -> bool:
    """Whether only the machine itself can reach the host."""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


@dataclass(frozen=True, slots=True)
class Vouched:
    """What certificates speak for: the names and addresses of this server, and the networks its addresses lie in."""

    names: tuple[str, ...]
    addresses: tuple[IPv4Address, ...] = ()
    networks: tuple[IPv4Network, ...] = ()

    def within(self, permitted: "Vouched") -> "Vouched":
        """Only what an authority with these limits may vouch for."""
        names = tuple(name for name in self.names if any(_covers(limit, name) for limit in permitted.names))
        addresses = tuple(one for one in self.addresses if any(one in network for network in permitted.networks))
        return Vouched(names, addresses, permitted.networks)


@dataclass(frozen=True, slots=True)
class CertificateFacts:
    """What a certificate says of itself. `fingerprint` is the SHA-256 of its DER form as pairs of hex digits."""

    fingerprint: str
    begins: datetime
    ends: datetime
    vouched: Vouched
    der: bytes


def _covers(limit: str, name: str) -> bool:
    """A permitted name also permits what stands below it (RFC 5280, section 4.2.1.10)."""
    return name == limit or name.endswith("." + limit)


def as_address(host: str) -> IPv4Address | None:
    """The IPv4 address that a host is, or None for a name. Raises BadValue for IPv6, which is not offered here."""
    try:
        found = ip_address(host.strip("[]"))
    except ValueError:
        return None
    if isinstance(found, IPv4Address):
        return found
    raise BadValue(f"{host} is an IPv6 address. Give a host name or a private IPv4 address.")


def is_private(address: IPv4Address) -> bool:
    """Whether an address belongs to no one in particular and so cannot be another's on the internet."""
    return any(address in network for network in _PRIVATE)


def read_lan_host(text: str) -> str:
    """A host name or private IPv4 address in its usual form. Raises BadValue when it is neither.

    An authority may vouch for a name and all below it, so a name that others could stand below is refused.
    """
    host = text.strip().rstrip(".").lower()
    address = as_address(host)
    if address is not None:
        if is_private(address):
            return str(address)
        raise BadValue(f"{host} is not a private address (10.x, 172.16-31.x, 192.168.x). Give a host name instead.")
    labels = host.split(".")
    if len(host) > 253 or not all(_LABEL.match(label) for label in labels) or labels[-1].isdigit():
        raise BadValue(f"{text!r} is no host name. Use letters, digits and hyphens, such as grid.local.")
    if len(labels) < (2 if labels[-1] in _PRIVATE_ENDINGS else 3):
        raise BadValue(
            f"{host} is too short a name for a certificate of your own: it could stand for other people's machines. "
            f"Use {labels[0]}.local, or a name of three parts that your house owns, such as log.theatre.example."
        )
    return host


def vouched_for(host: str, interface: IPv4Interface | None) -> Vouched:
    """What the certificates of a log at `host` speak for: it, and the machine's private address with its network."""
    address = as_address(host)
    known = interface is not None and is_private(interface.ip)
    addresses = [interface.ip] if interface is not None and known else []
    networks = [interface.network] if interface is not None and known else []
    if address is not None and address not in addresses:
        addresses.append(address)
        networks.append(IPv4Network(address))
    return Vouched((host,) if address is None else (), tuple(addresses), tuple(networks))


def wants_new_leaf(facts: CertificateFacts, wanted: Vouched, at: datetime) -> bool:
    """Whether the server's certificate ends soon, is not yet valid, or speaks for other names or addresses."""
    same = set(facts.vouched.names) == set(wanted.names) and set(facts.vouched.addresses) == set(wanted.addresses)
    return not same or at < facts.begins or facts.ends - at < RENEW_BEFORE
