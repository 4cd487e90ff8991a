"""Keeping the certificates of the log on a house's own network: made once, renewed before they end, never moved."""

from datetime import datetime

from inspect_app.config import Settings
from inspect_app.domain.errors import Conflict
from inspect_app.domain.lan import TELL_BEFORE, CertificateFacts, LanAddress, Vouched, wants_new_leaf
from inspect_app.output.certificate import is_signed_by, make_authority, make_leaf, read_certificate
from inspect_app.store.lan import AUTHORITY, LEAF, ORIGIN, lan_folder, read_lan_file, set_lan_file


def get_kept_origin(settings: Settings) -> str:
    """The address that phones know this log by, or '' before the first start on a network."""
    return read_lan_file(settings, ORIGIN).decode("utf-8", "replace").strip()


def read_authority(settings: Settings) -> CertificateFacts:
    """What the house's own authority says of itself. Raises Conflict when there is none, or it cannot be read."""
    return _facts(settings, AUTHORITY, read_lan_file(settings, AUTHORITY))


def keep_certificates(settings: Settings, address: LanAddress, wanted: Vouched, at: datetime) -> CertificateFacts:
    """Make what is missing and renew what ends; returns what the authority says.

    Raises Conflict when the log would move to another address, when the authority has ended or may not vouch for the
    address, or when a file is damaged; NotSaved when nothing can be written.
    """
    kept = get_kept_origin(settings)
    if kept and kept != address.origin:
        raise Conflict(
            f"This log is known as {kept}: phones keep what is not sent yet, and their trust, for that address only. "
            f"Start it there. To move it to {address.origin} all the same, let every phone send all it holds, "
            f"then take the folder {lan_folder(settings)} away and start again; every phone must trust and pair anew."
        )
    authority = read_lan_file(settings, AUTHORITY)
    if not authority and not kept:
        authority = make_authority(wanted, f"Inspection log {address.host}", at)
        set_lan_file(settings, AUTHORITY, authority)
    facts = _facts(settings, AUTHORITY, authority)
    _refuse_ended(settings, facts, at)
    vouched = wanted.within(facts.vouched)
    if address.host not in (*vouched.names, *map(str, vouched.addresses)):
        raise Conflict(
            f"The authority in {lan_folder(settings)} may not vouch for {address.host}. Take that folder away and "
            "start again; every phone must trust the new one."
        )
    _keep_leaf(settings, authority, vouched, at)
    if not kept:
        set_lan_file(settings, ORIGIN, address.origin.encode() + b"\n")
    return facts


def _keep_leaf(settings: Settings, authority: bytes, vouched: Vouched, at: datetime) -> None:
    leaf = read_lan_file(settings, LEAF)
    if leaf and is_signed_by(leaf, authority) and not wants_new_leaf(read_certificate(leaf), vouched, at):
        return
    try:
        made = make_leaf(authority, vouched, at)
    except ValueError:
        path = lan_folder(settings) / AUTHORITY
        raise Conflict(f"The key in {path} cannot be read. Restore the file from the last backup.") from None
    set_lan_file(settings, LEAF, made)


def leaf_is_due(settings: Settings, at: datetime) -> bool:
    """Whether the server's certificate should be renewed now."""
    facts = _facts(settings, LEAF, read_lan_file(settings, LEAF))
    return wants_new_leaf(facts, facts.vouched, at)


def _facts(settings: Settings, name: str, pem: bytes) -> CertificateFacts:
    try:
        return read_certificate(pem)
    except ValueError:
        path = lan_folder(settings) / name
        what = "is damaged" if pem else "is missing"
        raise Conflict(
            f"{path} {what}. Restore it from the last backup, or take the folder {path.parent} away and start again; "
            "every phone must then trust a new authority."
        ) from None


def _refuse_ended(settings: Settings, facts: CertificateFacts, at: datetime) -> None:
    if at >= facts.ends:
        raise Conflict(
            f"The authority in {lan_folder(settings)} ended on {facts.ends:%Y-%m-%d}. Let every phone send all it "
            "holds, take that folder away and start again; every phone must trust the new one."
        )


def tell_of_end(facts: CertificateFacts, at: datetime) -> str:
    """A sentence when the authority itself ends within half a year, else ''."""
    if facts.ends - at > TELL_BEFORE:
        return ""
    return f"The house's own authority ends on {facts.ends:%Y-%m-%d}: plan a day on which every phone trusts a new one."
