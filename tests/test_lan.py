"""`inspect-app serve --lan` as a subprocess: what it prints, both listeners, private files, reuse and renewal."""

import contextlib
import http.client
import os
import re
import signal
import socket
import ssl
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import timedelta
from ipaddress import IPv4Address
from pathlib import Path

import pytest

from inspect_app import clock
from inspect_app.config import settings_for
from inspect_app.domain.lan import Vouched
from inspect_app.output.certificate import make_leaf, read_certificate
from inspect_app.store.lan import set_lan_file

ROOT = Path(__file__).parent.parent
NAME = "grid.local"
HOUSE = Vouched((NAME,))


def two_free_ports() -> int:
    """A port that is free together with the next one."""
    for _ in range(50):
        with socket.socket() as first, socket.socket() as second:
            first.bind(("127.0.0.1", 0))
            port = int(first.getsockname()[1])
            with contextlib.suppress(OSError, OverflowError):
                second.bind(("127.0.0.1", port + 1))
                return port
    raise OSError("no two free ports in a row")


def command(data: Path, port: int, *options: str) -> list[str]:
    start = [sys.executable, "-m", "inspect_app", "--data", str(data), "serve", "--host", "127.0.0.1"]
    return [*start, "--port", str(port), *options]


def run(data: Path, port: int, *options: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command(data, port, *options), cwd=ROOT, capture_output=True, text=True, timeout=60)


@contextlib.contextmanager
def serving(data: Path, port: int, name: str = NAME) -> Iterator[tuple[subprocess.Popen[bytes], Path]]:
    said = data.parent / "said.txt"
    with said.open("wb") as out:
        process = subprocess.Popen(
            command(data, port, "--lan-name", name),
            cwd=ROOT,
            stdout=out,
            stderr=subprocess.STDOUT,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
    try:
        for place in (port, port + 1):
            await_port(process, place, said)
        yield process, said
    finally:
        if process.poll() is None:
            process.terminate()
            process.wait(20)


def await_port(process: subprocess.Popen[bytes], port: int, said: Path) -> None:
    for _ in range(300):
        assert process.poll() is None, said.read_text()
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            return
        time.sleep(0.1)
    pytest.fail("the server does not listen")


def trusting(data: Path) -> ssl.SSLContext:
    """Python's own client, trusting the house's authority and nothing else."""
    certificate = (data / "lan" / "authority.pem").read_text().partition("-----BEGIN PRIVATE")[0]
    return ssl.create_default_context(cadata=certificate)


def shake_hands(port: int, context: ssl.SSLContext, name: str) -> bytes:
    """The certificate that the server shows, in DER, after the client has taken it for `name`."""
    with (
        socket.create_connection(("127.0.0.1", port), 10) as link,
        context.wrap_socket(link, server_hostname=name) as safe,
    ):
        return safe.getpeercert(binary_form=True) or b""


def get_plain(port: int, path: str, method: str = "GET") -> tuple[int, http.client.HTTPMessage, bytes]:
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    link.request(method, path, headers={"Cookie": "__Host-session=x"})
    answer = link.getresponse()
    found = answer.status, answer.headers, answer.read()
    link.close()
    return found


def test_it_serves_one_address_by_tls_and_one_page_in_plain(tmp_path: Path) -> None:
    data, port = tmp_path / "data", two_free_ports()
    with serving(data, port) as (_, said):
        context = trusting(data)
        shown = shake_hands(port, context, NAME)
        with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
            shake_hands(port, context, "localhost")
        with pytest.raises(ssl.SSLCertVerificationError, match=r"unable to get local issuer|self.signed"):
            shake_hands(port, ssl.create_default_context(), NAME)

        status, headers, page = get_plain(port + 1, "/trust")
        assert (status, headers["Set-Cookie"]) == (200, None)
        assert f"https://{NAME}:{port}" in page.decode()
        status, headers, file = get_plain(port + 1, "/trust/ca.crt")
        assert (status, headers["Content-Type"]) == (200, "application/x-x509-ca-cert")
        authority = read_certificate((data / "lan" / "authority.pem").read_bytes())
        assert file == authority.der
        for path in ("/sign-in", "/walk", "/api/v1/health", "/static/js/field/main.js", "/trust/../secret.key"):
            assert get_plain(port + 1, path)[0] == 404, path
        assert get_plain(port + 1, "/trust", "POST")[0] == 501
        assert get_plain(port + 1, "/trust/ca.crt", "HEAD")[2] == b""

        text = said.read_text()
        assert f"https://{NAME}:{port}" in text
        assert f"http://{NAME}:{port + 1}/trust" in text
        assert authority.fingerprint in re.sub(r"\s+", ":", text)
        assert text.count("▄▄▄▄▄") >= 4  # finder patterns of two codes
    leaf = read_certificate((data / "lan" / "server.pem").read_bytes())
    assert leaf.der == shown
    assert leaf.ends - leaf.begins <= timedelta(days=397)
    assert {stat.S_IMODE(path.stat().st_mode) for path in (data / "lan").iterdir()} == {0o600}
    assert stat.S_IMODE((data / "lan").stat().st_mode) == 0o700


def test_a_private_address_serves_as_well_as_a_name(tmp_path: Path) -> None:
    data, port = tmp_path / "data", two_free_ports()
    with serving(data, port, "192.168.7.20") as (_, said):
        context = trusting(data)
        assert shake_hands(port, context, "192.168.7.20")
        with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
            shake_hands(port, context, NAME)
        assert "https://192.168.7.20:" in said.read_text()
    limits = read_certificate((data / "lan" / "authority.pem").read_bytes()).vouched
    assert any(IPv4Address("192.168.7.20") in network for network in limits.networks)


def test_a_second_start_shows_the_same_certificate_and_a_late_one_is_renewed_without_a_stop(tmp_path: Path) -> None:
    data, port = tmp_path / "data", two_free_ports()
    with serving(data, port):
        first = shake_hands(port, trusting(data), NAME)
    authority = (data / "lan" / "authority.pem").read_bytes()
    with serving(data, port):
        assert shake_hands(port, trusting(data), NAME) == first
    old = clock.now() - timedelta(days=350)
    set_lan_file(settings_for(data), "server.pem", make_leaf(authority, HOUSE, old))
    with serving(data, port) as (process, _):
        context = trusting(data)
        renewed = shake_hands(port, context, NAME)
        assert renewed != first
        assert read_certificate((data / "lan" / "server.pem").read_bytes()).ends > clock.now() + timedelta(days=390)
        set_lan_file(settings_for(data), "server.pem", make_leaf(authority, HOUSE, clock.now()))
        process.send_signal(signal.SIGHUP)  # what the watch over the certificate does after it has renewed it
        deadline = time.monotonic() + 60
        while shake_hands(port, context, NAME) == renewed:
            assert time.monotonic() < deadline, "the new certificate is never shown"
            time.sleep(0.2)
        assert get_plain(port + 1, "/trust")[0] == 200
    assert (data / "lan" / "authority.pem").read_bytes() == authority


def test_many_silent_connections_do_not_stop_the_log_or_pile_up_at_the_plain_page(tmp_path: Path) -> None:
    data, port = tmp_path / "data", two_free_ports()
    with serving(data, port), contextlib.ExitStack() as stack:
        silent = []
        for _ in range(40):
            link = socket.create_connection(("127.0.0.1", port + 1), 10)
            stack.callback(link.close)
            silent.append(link)
        assert shake_hands(port, trusting(data), NAME)
        silent[-1].settimeout(5)
        assert silent[-1].recv(1) == b""  # beyond the bound: closed at once
        for link in silent[:5]:
            link.close()
        for _ in range(50):
            with contextlib.suppress(OSError, http.client.HTTPException):
                if get_plain(port + 1, "/trust")[0] == 200:
                    return
            time.sleep(0.2)
        pytest.fail("the plain page does not come back")


def test_another_address_is_refused_in_a_sentence(tmp_path: Path) -> None:
    data, port = tmp_path / "data", two_free_ports()
    with serving(data, port):
        pass
    done = run(data, port, "--lan-name", "other.local")
    assert done.returncode == 1
    assert f"known as https://{NAME}:{port}" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--lan-name", "com"), "too short a name"),
        (("--lan-name", "8.8.8.8"), "not a private address"),
        (("--lan", "--name", "a.example"), "leave"),
        (("--lan", "--behind-proxy", "1"), "leave"),
    ],
)
def test_wrong_options_are_told_with_status_2(tmp_path: Path, options: tuple[str, ...], words: str) -> None:
    done = run(tmp_path / "data", two_free_ports(), *options)
    assert done.returncode == 2
    assert words in done.stderr


def test_a_taken_trust_port_is_told_before_anything_starts(tmp_path: Path) -> None:
    port = two_free_ports()
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", port + 1))
        taken.listen()
        done = run(tmp_path / "data", port, "--lan-name", NAME)
    assert done.returncode == 1
    assert f"port {port + 1} is in use" in done.stderr
    assert not (tmp_path / "data" / "lan").exists()
