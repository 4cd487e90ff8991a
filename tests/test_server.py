"""The real server as a subprocess: many waiting connections, TLS, stopping, and what it refuses to do."""

import contextlib
import gzip
import http.client
import os
import resource
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import trustme

from inspect_app.server import Listen, check_listen, settings_of

ROOT = Path(__file__).parent.parent
WAITING = 500


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def command(data: Path, *options: str) -> list[str]:
    return [sys.executable, "-m", "inspect_app", "--data", str(data), "serve", *options]


@contextlib.contextmanager
def serving(tmp_path: Path, *options: str) -> Iterator[tuple[subprocess.Popen[str], int]]:
    port = free_port()
    process = subprocess.Popen(
        command(tmp_path / "data", "--port", str(port), *options),
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    try:
        _await_port(process, port)
        yield process, port
    finally:
        if process.poll() is None:
            process.terminate()
            process.wait(20)
        assert process.stdout is not None
        process.stdout.close()


def _await_port(process: subprocess.Popen[str], port: int) -> None:
    for _ in range(300):
        assert process.poll() is None, process.stdout and process.stdout.read()
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            return
        time.sleep(0.1)
    pytest.fail("the server does not listen")


@pytest.fixture
def many_files() -> Iterator[None]:
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, 8192), hard))
    yield
    resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


@pytest.fixture
def certificate(tmp_path: Path) -> tuple[ssl.SSLContext, list[str]]:
    authority = trustme.CA()
    own = authority.issue_cert("127.0.0.1", "localhost")
    cert, key = tmp_path / "cert.pem", tmp_path / "key.pem"
    cert.write_bytes(b"".join(blob.bytes() for blob in own.cert_chain_pems))
    own.private_key_pem.write_to_path(str(key))
    context = ssl.create_default_context()
    authority.configure_trust(context)
    return context, ["--tls-cert", str(cert), "--tls-key", str(key)]


def connection(port: int, context: ssl.SSLContext | None) -> http.client.HTTPConnection:
    if context is None:
        return http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    return http.client.HTTPSConnection("127.0.0.1", port, timeout=10, context=context)


def ask(link: http.client.HTTPConnection, path: str = "/code") -> int:
    link.request("GET", path)
    answer = link.getresponse()
    answer.read()
    return answer.status


@pytest.mark.parametrize("tls", [False, True], ids=["plain", "tls"])
def test_five_hundred_idle_and_five_hundred_silent_connections_keep_nobody_waiting(
    tmp_path: Path, tls: bool, many_files: None, certificate: tuple[ssl.SSLContext, list[str]]
) -> None:
    context, options = certificate if tls else (None, [])
    with serving(tmp_path, *options) as (_, port), contextlib.ExitStack() as stack:
        for _ in range(WAITING):
            link = connection(port, context)
            stack.callback(link.close)
            assert ask(link) == 200  # and stays open
        for _ in range(WAITING):
            stack.callback(socket.create_connection(("127.0.0.1", port), 10).close)  # and never says a word
        took = []
        for _ in range(5):
            fresh = connection(port, context)
            start = time.perf_counter()
            assert ask(fresh) == 200
            took.append(time.perf_counter() - start)
            fresh.close()
        assert min(took) < 1, took  # the best of five, so that a busy machine is not taken for a starved server


def test_uploads_that_trickle_in_leave_room_for_pages(tmp_path: Path, many_files: None) -> None:
    head = (
        "POST /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/x-www-form-urlencoded\r\n"
        "Content-Length: 100000\r\n\r\nusername=a"
    )
    with serving(tmp_path) as (_, port), contextlib.ExitStack() as stack:
        for _ in range(100):
            slow = socket.create_connection(("127.0.0.1", port), 10)
            stack.callback(slow.close)
            slow.sendall(head.encode())
        with contextlib.closing(connection(port, None)) as link:
            assert ask(link) == 200
            for _ in range(50):  # the slots fill as the threads get round to it
                link.request("POST", "/sign-in", body="username=a")
                answer = link.getresponse()
                answer.read()
                if answer.status == 503:
                    break
            assert (answer.status, answer.headers["Retry-After"]) == (503, "5")


def test_the_running_server_sends_both_forms_and_knows_each_again(tmp_path: Path) -> None:
    with serving(tmp_path) as (_, port), contextlib.closing(connection(port, None)) as link:

        def get(**headers: str) -> tuple[http.client.HTTPResponse, bytes]:
            sent = {name.replace("_", "-"): value for name, value in headers.items()}
            link.request("GET", "/static/js/field/walk.js", headers=sent)
            answer = link.getresponse()
            return answer, answer.read()

        plain, text = get()
        packed, pressed = get(Accept_Encoding="gzip, deflate, br")
        assert plain.getheader("Content-Encoding") is None
        assert packed.getheader("Content-Encoding") == "gzip"
        assert gzip.decompress(pressed) == text
        assert int(packed.getheader("Content-Length") or 0) == len(pressed) < len(text) / 2
        tags = [str(answer.getheader("ETag")) for answer in (plain, packed)]
        assert tags[0] != tags[1]
        assert [get(If_None_Match=tag)[0].status for tag in tags] == [304, 200]
        assert [get(If_None_Match=tag, Accept_Encoding="gzip")[0].status for tag in tags] == [200, 304]


def test_a_stop_is_clean_and_frees_the_folder(tmp_path: Path) -> None:
    for _ in range(2):
        with serving(tmp_path) as (process, port):
            with contextlib.closing(connection(port, None)) as line:
                assert ask(line, "/sign-in") == 303  # to the set-up: read from the database
            process.send_signal(signal.SIGINT)
            out, _ = process.communicate(timeout=30)
        assert process.returncode == 0, out
        assert [path.name for path in (tmp_path / "data").glob("inspect.db*")] == [
            "inspect.db"
        ]  # to be copied as it is
        assert "Stopped." in out
        assert "Traceback" not in out


def test_a_stop_does_not_wait_for_connections_that_say_nothing(tmp_path: Path) -> None:
    with serving(tmp_path) as (process, port), contextlib.closing(connection(port, None)) as idle:
        assert ask(idle) == 200
        with socket.create_connection(("127.0.0.1", port), 10):
            process.terminate()
            out, _ = process.communicate(timeout=12)  # less than the server's own last resort
    assert process.returncode == 0, out


def test_it_tells_the_address_the_sqlite_mode_and_the_setup_code(tmp_path: Path) -> None:
    with serving(tmp_path) as (process, port):
        process.terminate()
        out, _ = process.communicate(timeout=30)
    assert f"http://127.0.0.1:{port}" in out
    assert "journal_mode=" in out
    assert "/set-up with the code" in out


def test_a_second_server_on_the_folder_or_on_the_port_is_refused(tmp_path: Path) -> None:
    with serving(tmp_path) as (_, port):
        same_folder = subprocess.run(
            command(tmp_path / "data", "--port", str(free_port())), cwd=ROOT, capture_output=True, text=True
        )
        same_port = subprocess.run(
            command(tmp_path / "other", "--port", str(port)), cwd=ROOT, capture_output=True, text=True
        )
    assert (same_folder.returncode, same_port.returncode) == (1, 1)
    assert "Another server is already running" in same_folder.stderr
    assert "is in use" in same_port.stderr


def test_the_worker_ends_when_the_server_is_killed(tmp_path: Path) -> None:
    with serving(tmp_path) as (process, port):
        process.kill()
        process.wait(10)
        for _ in range(100):
            try:
                socket.create_connection(("127.0.0.1", port), 1).close()
            except OSError:
                break
            time.sleep(0.1)
        else:
            pytest.fail("the worker outlived the server")
    with serving(tmp_path) as (_, port), contextlib.closing(connection(port, None)) as link:
        assert ask(link) == 200


def test_old_tls_is_refused_and_new_tls_is_spoken(
    tmp_path: Path, certificate: tuple[ssl.SSLContext, list[str]]
) -> None:
    context, options = certificate
    with serving(tmp_path, *options) as (_, port):
        with (
            socket.create_connection(("127.0.0.1", port), 10) as raw,
            context.wrap_socket(raw, server_hostname="127.0.0.1") as link,
        ):
            assert link.version() in ("TLSv1.2", "TLSv1.3")
        answer = connection(port, context)
        answer.request("GET", "/set-up")
        response = answer.getresponse()
        assert "__Host-messages=" in (response.headers["Set-Cookie"] or "")
        assert "Secure" in response.headers["Set-Cookie"]
        assert response.headers["Strict-Transport-Security"] == "max-age=31536000"
        response.read()
        answer.close()
        old = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
        old.check_hostname, old.verify_mode = False, ssl.CERT_NONE
        old.set_ciphers("ALL:@SECLEVEL=0")
        with pytest.warns(DeprecationWarning, match="TLSv1_1"):
            old.minimum_version = old.maximum_version = ssl.TLSVersion.TLSv1_1
        with socket.create_connection(("127.0.0.1", port), 10) as raw, pytest.raises((ssl.SSLError, OSError)):
            old.wrap_socket(raw, server_hostname="127.0.0.1")


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.20", "grid.example"])
def test_other_machines_are_served_only_over_tls_or_behind_a_proxy(tmp_path: Path, host: str) -> None:
    done = subprocess.run(command(tmp_path, "--host", host), cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 2
    assert "--tls-cert" in done.stderr
    check_listen(Listen(host, proxies=1))


def test_cookies_are_secure_and_the_host_is_known_wherever_the_network_is_involved(settings) -> None:
    behind = settings_of(settings, Listen("192.168.1.20", proxies=1, names=("grid.example",)))
    assert behind.secure_cookies
    assert {"192.168.1.20", "grid.example"} <= set(behind.trusted_hosts)
    assert not settings_of(settings, Listen()).secure_cookies
    assert "0.0.0.0" not in settings_of(settings, Listen("0.0.0.0", proxies=1)).trusted_hosts
