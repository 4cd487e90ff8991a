"""Keeping the certificates: made once, private, reused, renewed in time, and never moved without a word."""

import stat
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Interface
from pathlib import Path

import pytest

from inspect_app.actions.lan import get_kept_origin, keep_certificates, leaf_is_due, read_authority, tell_of_end
from inspect_app.config import Settings
from inspect_app.domain.errors import Conflict, NotSaved
from inspect_app.domain.lan import LanAddress, Vouched, vouched_for
from inspect_app.output.certificate import read_certificate

AT = datetime(2027, 3, 1, 12, tzinfo=UTC)
ADDRESS = LanAddress("grid.local", 8137, 8138)
WANTED = vouched_for("grid.local", IPv4Interface("192.168.7.20/24"))


@pytest.fixture
def keep(settings: Settings) -> Callable[..., bytes]:
    """Keep the certificates at a time; returns the server's one."""

    def run(at: datetime = AT, wanted: Vouched = WANTED, address: LanAddress = ADDRESS) -> bytes:
        keep_certificates(settings, address, wanted, at)
        return (settings.data / "lan" / "server.pem").read_bytes()

    return run


def test_the_folder_and_its_files_are_for_this_account_only(settings: Settings, keep) -> None:
    keep()
    folder = settings.data / "lan"
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()}
    assert modes == {"authority.pem": 0o600, "server.pem": 0o600, "address": 0o600}
    assert get_kept_origin(settings) == "https://grid.local:8137"


def test_a_second_start_changes_nothing(settings: Settings, keep) -> None:
    keep()
    before = {path.name: path.read_bytes() for path in (settings.data / "lan").iterdir()}
    keep(AT + timedelta(days=300))
    assert {path.name: path.read_bytes() for path in (settings.data / "lan").iterdir()} == before


def test_near_its_end_the_certificate_is_renewed_and_the_authority_stays(settings: Settings, keep) -> None:
    first, authority = keep(), read_authority(settings)
    assert not leaf_is_due(settings, AT + timedelta(days=300))
    late = AT + timedelta(days=340)
    assert leaf_is_due(settings, late)
    second = keep(late)
    assert second != first
    assert read_certificate(second).ends > late + timedelta(days=390)
    assert not leaf_is_due(settings, late)
    assert read_authority(settings) == authority


def test_renewal_goes_on_to_the_last_day_of_the_authority(settings: Settings, keep) -> None:
    keep()
    ends = read_authority(settings).ends
    assert read_certificate(keep(ends - timedelta(hours=1))).ends == ends
    assert tell_of_end(read_authority(settings), ends - timedelta(days=170))
    assert not tell_of_end(read_authority(settings), ends - timedelta(days=190))
    with pytest.raises(Conflict, match="ended on"):
        keep(ends)


def test_a_new_address_in_the_same_network_needs_no_new_trust(settings: Settings, keep) -> None:
    keep()
    authority = read_authority(settings)
    moved = vouched_for("grid.local", IPv4Interface("192.168.7.99/24"))
    assert [str(one) for one in read_certificate(keep(AT, moved)).vouched.addresses] == ["192.168.7.99"]
    assert read_authority(settings) == authority


def test_in_another_network_the_name_goes_on(keep) -> None:
    keep()
    found = read_certificate(keep(AT, vouched_for("grid.local", IPv4Interface("10.0.0.5/8")))).vouched
    assert (found.names, found.addresses) == (("grid.local",), ())


@pytest.mark.parametrize("address", [LanAddress("other.local", 8137, 8138), LanAddress("grid.local", 9000, 9001)])
def test_the_log_never_moves_to_another_address_without_a_word(settings: Settings, keep, address: LanAddress) -> None:
    before = keep()
    with pytest.raises(Conflict, match=r"known as https://grid\.local:8137"):
        keep(AT, vouched_for(address.host, None), address)
    assert (settings.data / "lan" / "server.pem").read_bytes() == before


def damage(path: Path) -> None:
    path.write_bytes(b"-----BEGIN CERTIFICATE-----\nnonsense\n-----END CERTIFICATE-----\n")


def test_a_damaged_authority_is_told_and_left_alone(settings: Settings, keep) -> None:
    keep()
    path = settings.data / "lan" / "authority.pem"
    damage(path)
    before = path.read_bytes()
    with pytest.raises(Conflict, match="is damaged"):
        keep()
    assert path.read_bytes() == before


def test_a_lost_authority_is_not_replaced_in_silence(settings: Settings, keep) -> None:
    keep()
    (settings.data / "lan" / "authority.pem").unlink()
    with pytest.raises(Conflict, match="is missing"):
        keep()


def test_an_authority_without_its_key_is_told_when_the_key_is_needed(settings: Settings, keep) -> None:
    keep()
    path = settings.data / "lan" / "authority.pem"
    path.write_bytes(path.read_bytes().partition(b"-----BEGIN PRIVATE")[0])
    keep(AT + timedelta(days=1))
    with pytest.raises(Conflict, match="The key in"):
        keep(AT + timedelta(days=390))


def test_a_damaged_certificate_of_the_server_is_made_anew(settings: Settings, keep) -> None:
    keep()
    damage(settings.data / "lan" / "server.pem")
    assert read_certificate(keep()).vouched.names == ("grid.local",)


def test_a_file_that_others_can_read_is_refused(settings: Settings, keep) -> None:
    keep()
    path = settings.data / "lan" / "authority.pem"
    path.chmod(0o640)
    with pytest.raises(Conflict, match="chmod 600"):
        keep()


def test_a_folder_that_cannot_be_made_is_told(settings: Settings, keep) -> None:
    (settings.data / "lan").write_text("a file in the way")
    with pytest.raises(NotSaved):
        keep()
