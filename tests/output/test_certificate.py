"""Certificates of a house's own, judged by OpenSSL's verifier: it knows nothing of our code."""

import subprocess
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv4Network
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID

from inspect_app.domain.lan import Vouched
from inspect_app.output.certificate import is_signed_by, make_authority, make_leaf, read_certificate

AT = datetime.now(UTC)
HOUSE = Vouched(("grid.local",), (IPv4Address("192.168.7.20"),), (IPv4Network("192.168.7.0/24"),))
BY_NAME = Vouched(("grid.local",))
BY_ADDRESS = Vouched((), (IPv4Address("192.168.7.20"),), (IPv4Network("192.168.7.0/24"),))


def verify(tmp_path: Path, authority: bytes, leaf: bytes, *options: str) -> str:
    """'OK', or what `openssl verify` has against the certificate of a TLS server."""
    for name, content in (("ca.pem", authority), ("leaf.pem", leaf)):
        (tmp_path / name).write_bytes(content)
    command = ["openssl", "verify", "-x509_strict", "-purpose", "sslserver", *options]
    done = subprocess.run(
        [*command, "-CAfile", str(tmp_path / "ca.pem"), str(tmp_path / "leaf.pem")],
        capture_output=True,
        text=True,
        check=False,
    )
    return "OK" if done.returncode == 0 else done.stderr


@pytest.mark.parametrize("limits", [HOUSE, BY_NAME, BY_ADDRESS], ids=["both", "name", "address"])
def test_openssl_takes_what_the_authority_may_vouch_for(tmp_path: Path, limits: Vouched) -> None:
    authority = make_authority(limits, "Inspection log", AT)
    leaf = make_leaf(authority, limits, AT)
    for name in limits.names:
        assert verify(tmp_path, authority, leaf, "-verify_hostname", name) == "OK"
    for address in limits.addresses:
        assert verify(tmp_path, authority, leaf, "-verify_ip", str(address)) == "OK"
    assert "mismatch" in verify(tmp_path, authority, leaf, "-verify_hostname", "elsewhere.local")


OUTSIDE = {
    "another name": Vouched(("bank.example",)),
    "a name that only ends alike": Vouched(("notgrid.local",)),
    "the name above": Vouched(("local",)),
    "one name inside, one outside": Vouched(("grid.local", "bank.example")),
    "another network": Vouched((), (IPv4Address("192.168.8.20"),)),
    "a public address": Vouched((), (IPv4Address("8.8.8.8"),)),
}


@pytest.mark.parametrize("limits", [HOUSE, BY_NAME, BY_ADDRESS], ids=["both", "name", "address"])
@pytest.mark.parametrize("outside", OUTSIDE)
def test_openssl_refuses_what_a_stolen_key_would_sign(tmp_path: Path, limits: Vouched, outside: str) -> None:
    authority = make_authority(limits, "Inspection log", AT)
    stolen = make_leaf(authority, OUTSIDE[outside], AT)
    assert "permitted subtree violation" in (said := verify(tmp_path, authority, stolen)) or "excluded" in said


def test_openssl_refuses_an_authority_made_below_this_one(tmp_path: Path) -> None:
    authority = make_authority(HOUSE, "Inspection log", AT)
    leaf = make_leaf(authority, HOUSE, AT)
    below = make_leaf(leaf, HOUSE, AT)  # signed with the server's own key
    (tmp_path / "chain.pem").write_bytes(leaf)
    assert verify(tmp_path, authority, below, "-untrusted", str(tmp_path / "chain.pem")) != "OK"


def test_the_authority_is_limited_as_rfc_5280_says() -> None:
    found = x509.load_pem_x509_certificate(make_authority(HOUSE, "Inspection log", AT))
    extension = {one.oid: one for one in found.extensions}
    basic = extension[x509.BasicConstraints.oid]
    usage = extension[x509.KeyUsage.oid]
    limits = extension[x509.NameConstraints.oid]
    assert basic.critical
    assert (basic.value.ca, basic.value.path_length) == (True, 0)
    assert usage.critical
    assert usage.value.key_cert_sign
    assert not usage.value.digital_signature
    assert limits.critical
    assert found.not_valid_after_utc - found.not_valid_before_utc <= timedelta(days=3652)
    key = found.public_key()
    assert isinstance(key, ec.EllipticCurvePublicKey)
    assert key.curve.name == "secp256r1"


def test_the_servers_certificate_is_what_phones_ask_for() -> None:
    found = x509.load_pem_x509_certificate(make_leaf(make_authority(HOUSE, "Inspection log", AT), HOUSE, AT))
    names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.DNSName) == ["grid.local"]
    assert names.get_values_for_type(x509.IPAddress) == [IPv4Address("192.168.7.20")]
    purposes = found.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(purposes) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert not found.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    assert found.not_valid_after_utc - found.not_valid_before_utc <= timedelta(days=397)


def test_no_certificate_outlives_its_authority() -> None:
    authority = make_authority(HOUSE, "Inspection log", AT - timedelta(days=3600))
    assert read_certificate(make_leaf(authority, HOUSE, AT)).ends == read_certificate(authority).ends


def test_the_fingerprint_is_the_one_openssl_shows(tmp_path: Path) -> None:
    authority = make_authority(HOUSE, "Inspection log", AT)
    (tmp_path / "ca.pem").write_bytes(authority)
    command = ["openssl", "x509", "-in", str(tmp_path / "ca.pem"), "-noout", "-fingerprint", "-sha256"]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert read_certificate(authority).fingerprint == said.strip().partition("=")[2]
    assert read_certificate(authority).vouched == Vouched(HOUSE.names, (), HOUSE.networks)


def test_another_authority_of_the_same_name_is_told_apart() -> None:
    first, second = (make_authority(HOUSE, "Inspection log", AT) for _ in range(2))
    leaf = make_leaf(first, HOUSE, AT)
    assert is_signed_by(leaf, first)
    assert not is_signed_by(leaf, second)
    assert not is_signed_by(b"no certificate", first)
