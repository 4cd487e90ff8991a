"""What `inspect-app serve --lan` does beside serving: choose the one address, keep its certificates, tell them."""

import logging
from collections.abc import Callable
from functools import partial
from ipaddress import IPv4Interface
from urllib.parse import urlsplit

import click

from inspect_app import clock
from inspect_app.actions.lan import get_kept_origin, keep_certificates, leaf_is_due, tell_of_end
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, DomainError
from inspect_app.domain.lan import LanAddress, as_address, is_private, read_lan_host, vouched_for
from inspect_app.output.qr import print_qr
from inspect_app.own_network import leads_here, own_interface, own_name
from inspect_app.server import Listen
from inspect_app.store.lan import leaf_path

log = logging.getLogger(__name__)


def lan_listen(settings: Settings, host: str, port: int, given: str | None) -> Listen:
    """Where to listen and under which one address. Raises BadValue when no address can be found or used."""
    if port > 65534:
        raise BadValue("--port must leave room for the trust page on the next port: 65534 at most.")
    name = _choose_host(given, get_kept_origin(settings), own_interface())
    pem = leaf_path(settings)
    return Listen(host, port, pem, pem, lan=LanAddress(name, port, port + 1))


def _choose_host(given: str | None, kept: str, interface: IPv4Interface | None) -> str:
    if given:
        return read_lan_host(given)
    if kept:
        return urlsplit(kept).hostname or ""
    own = own_name()
    if own and leads_here(own, interface):
        return own
    if interface is not None and is_private(interface.ip):
        return str(interface.ip)
    raise BadValue(
        "This machine has no private address, and does not find itself under its own name. "
        "Give the name under which phones find it with --lan-name."
    )


def keep_lan(settings: Settings, address: LanAddress) -> Callable[[], bool]:
    """Make or renew the certificates and tell about them; returns what renews them while the server runs."""
    interface = own_interface()
    vouched = vouched_for(address.host, interface)
    facts = keep_certificates(settings, address, vouched, clock.now())
    click.echo(f"Once on each phone, to trust this log: {address.trust_page}")
    click.echo(print_qr(address.trust_page))
    click.echo("There, compare the SHA-256 fingerprint of the house's own authority with this one:")
    for half in (facts.fingerprint[:47], facts.fingerprint[48:]):
        click.echo(f"    {half}")
    click.echo(f"\nThen, and always: {address.origin}")
    click.echo(print_qr(address.origin + "/"))
    for sentence in (*_remarks(address.host, interface), tell_of_end(facts, clock.now())):
        if sentence:
            click.echo(sentence)
    return partial(_renew, settings, address)


def _remarks(host: str, interface: IPv4Interface | None) -> tuple[str, ...]:
    address = as_address(host)
    if address is None and not leads_here(host, interface):
        return (
            f"This machine does not find itself under {host}. Phones must: by multicast DNS for a .local name, "
            "else by the router or a name server.",
        )
    if address is not None and (interface is None or interface.ip != address):
        return (f"This machine does not have the address {host} now. Let the router give it that one always.",)
    return ()


def _renew(settings: Settings, address: LanAddress) -> bool:
    """Renew the certificate when it is due; a failure is logged and tried again later."""
    try:
        if not leaf_is_due(settings, clock.now()):
            return False
        keep_certificates(settings, address, vouched_for(address.host, own_interface()), clock.now())
    except DomainError as error:
        log.error("the certificate was not renewed: %s", error.message)
        return False
    log.info("the certificate was renewed")
    return True
