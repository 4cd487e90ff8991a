"""What this machine is called and which address it has on its own network, as the system tells."""

import fcntl
import socket
import struct
from ipaddress import IPv4Address, IPv4Interface

from inspect_app.domain.errors import BadValue
from inspect_app.domain.lan import read_lan_host

_GET_ADDRESS, _GET_NETMASK = 0x8915, 0x891B  # SIOCGIFADDR, SIOCGIFNETMASK of linux/sockios.h
_ELSEWHERE = ("192.0.2.1", 9)  # an address that is nobody's (RFC 5737); nothing is sent to it


def own_name() -> str:
    """The name by which multicast DNS (RFC 6762) knows this machine, or '' when it has no fit host name."""
    try:
        return read_lan_host(f"{socket.gethostname().split('.')[0]}.local")
    except BadValue:
        return ""


def own_interface() -> IPv4Interface | None:
    """The IPv4 address, with its network, that this machine uses towards others; None without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_ELSEWHERE)
        except OSError:
            return None
        used = IPv4Address(probe.getsockname()[0])
        for _, name in socket.if_nameindex():
            found = _address_of(probe, name)
            if found is not None and found.ip == used:
                return found
    return None


def _address_of(probe: socket.socket, name: str) -> IPv4Interface | None:
    request = struct.pack("256s", name.encode()[:15])
    try:
        address = fcntl.ioctl(probe.fileno(), _GET_ADDRESS, request)[20:24]
        netmask = fcntl.ioctl(probe.fileno(), _GET_NETMASK, request)[20:24]
    except OSError:
        return None  # an interface without an IPv4 address
    return IPv4Interface(f"{socket.inet_ntoa(address)}/{socket.inet_ntoa(netmask)}")


def leads_here(name: str, interface: IPv4Interface | None) -> bool:
    """Whether the system finds this machine's own address on the network under a name."""
    try:
        found = socket.getaddrinfo(name, None, socket.AF_INET)
    except OSError:
        return False
    return interface is not None and any(row[4][0] == str(interface.ip) for row in found)
