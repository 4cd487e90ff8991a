"""The one address of the log on a house's network, and what its certificates may vouch for."""

from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv4Interface, IPv4Network, ip_address

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.lan import (
    LEAF_LIFE,
    RENEW_BEFORE,
    CertificateFacts,
    LanAddress,
    Vouched,
    is_private,
    read_lan_host,
    vouched_for,
    wants_new_leaf,
)
from tests.published import published

AT = datetime(2027, 3, 1, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("grid.local", "grid.local"),
        (" Grid.Local. ", "grid.local"),
        ("log.old-mill.example", "log.old-mill.example"),
        ("log.home.arpa", "log.home.arpa"),
        ("192.168.1.20", "192.168.1.20"),
        ("10.0.0.1", "10.0.0.1"),
    ],
)
def test_a_name_or_private_address_is_read(typed: str, read: str) -> None:
    assert read_lan_host(typed) == read


@pytest.mark.parametrize(
    "typed",
    [
        *("", "grid", "com", "co.uk", "example.org", "home.arpa", "local", "a..local", "-a.local", "a_b.local"),
        *("8.8.8.8", "fd00::1", "https://grid.local", "grid.local:8137", "*.grid.local", "1.2.3", "ä.local"),
        "a" * 64 + ".local",
    ],
)
def test_what_could_stand_for_others_or_is_no_host_is_refused_with_words(typed: str) -> None:
    with pytest.raises(BadValue) as refused:
        read_lan_host(typed)
    assert len(refused.value.message) > 20


@published(
    "Records, passwords, files", "RFC 1918", "section 3", "memory",
    what="private addresses", value="10/8, 172.16/12, 192.168/16",
)  # fmt: skip
@given(st.ip_addresses(v=4))
def test_private_addresses_are_those_of_rfc_1918(address: IPv4Address) -> None:
    """RFC 1918, section 3: 10/8, 172.16/12, 192.168/16, here by comparing numbers."""
    number = int(address)
    ends = (("10.0.0.0", "10.255.255.255"), ("172.16.0.0", "172.31.255.255"), ("192.168.0.0", "192.168.255.255"))
    assert is_private(address) == any(int(ip_address(low)) <= number <= int(ip_address(high)) for low, high in ends)


def test_the_origin_is_written_as_browsers_write_it() -> None:
    assert LanAddress("grid.local", 8137, 8138).origin == "https://grid.local:8137"
    assert LanAddress("grid.local", 443, 444).origin == "https://grid.local"
    assert LanAddress("grid.local", 8137, 8138).trust_page == "http://grid.local:8138/trust"


def test_a_name_is_vouched_for_together_with_the_machines_private_network() -> None:
    found = vouched_for("grid.local", IPv4Interface("192.168.7.20/24"))
    assert found == Vouched(("grid.local",), (IPv4Address("192.168.7.20"),), (IPv4Network("192.168.7.0/24"),))


def test_a_public_address_is_never_vouched_for() -> None:
    assert vouched_for("grid.local", IPv4Interface("203.0.113.9/24")) == Vouched(("grid.local",))


def test_an_address_that_the_machine_does_not_have_is_vouched_for_alone() -> None:
    found = vouched_for("10.1.2.3", IPv4Interface("192.168.7.20/24"))
    assert found.networks == (IPv4Network("192.168.7.0/24"), IPv4Network("10.1.2.3/32"))
    assert found.names == ()


def test_what_lies_outside_the_limits_is_left_out() -> None:
    limits = Vouched(("grid.local",), networks=(IPv4Network("192.168.7.0/24"),))
    moved = Vouched(("grid.local", "notgrid.local", "a.grid.local"), (IPv4Address("192.168.8.20"),))
    assert moved.within(limits) == Vouched(("grid.local", "a.grid.local"), (), limits.networks)


def facts(begins: datetime, ends: datetime) -> CertificateFacts:
    return CertificateFacts("", begins, ends, Vouched(("grid.local",)), b"")


@given(st.integers(min_value=0, max_value=int(LEAF_LIFE.total_seconds())))
def test_a_certificate_is_renewed_in_its_last_weeks_and_not_before(age_s: int) -> None:
    made = facts(AT, AT + LEAF_LIFE)
    now = AT + timedelta(seconds=age_s)
    assert wants_new_leaf(made, made.vouched, now) == (made.ends - now < RENEW_BEFORE)


def test_a_certificate_from_the_future_or_for_other_names_is_renewed() -> None:
    made = facts(AT, AT + LEAF_LIFE)
    assert wants_new_leaf(made, made.vouched, AT - timedelta(hours=1))
    assert wants_new_leaf(made, Vouched(("other.local",)), AT)
    assert wants_new_leaf(made, Vouched(("grid.local",), (IPv4Address("10.0.0.1"),)), AT)
