"""The production server: one worker process with several threads behind an event loop that also speaks TLS.

One process, because writes take turns by a lock inside it. Idle and silent connections wait in the event loop and
hold no thread, so they cannot keep anyone else waiting.
"""

import errno
import os
import signal
import socket
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from granian import Granian
from granian.constants import HTTPModes, Interfaces, SSLProtocols
from granian.http import HTTP1Settings
from granian.log import LogLevels

from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, Conflict
from inspect_app.domain.lan import LanAddress, is_loopback
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db
from inspect_app.trust_listener import File, TrustListener
from inspect_app.web import create_app
from inspect_app.web.database import keep_connections
from inspect_app.web.trust import plain_files
from inspect_app.web.upload_slots import UploadSlots

THREADS = 64  # a thread is held while a body trickles in from a phone on a weak signal
UPLOADS = 48  # of them at most, so that pages are served meanwhile
_CONNECTIONS_WAITING = 1024
_LAST_REQUESTS_S = 15  # what is under way at a stop may take this long
_TLS_FLOOR = SSLProtocols.tls12
_LOOK_AGAIN_S = 6 * 3600  # between two looks at how long the certificate lasts


@dataclass(frozen=True, slots=True)
class Listen:
    """Where and how to listen. `names` are further host names that the address bar may show."""

    host: str = "127.0.0.1"
    port: int = 8137
    tls_cert: Path | None = None
    tls_key: Path | None = None
    proxies: int = 0
    names: tuple[str, ...] = ()
    lan: LanAddress | None = None

    @property
    def tls(self) -> bool:
        """Whether this server speaks TLS itself."""
        return self.tls_cert is not None

    @property
    def address(self) -> str:
        """What to type into a browser: on this machine, or anywhere when the log has one address on the network."""
        if self.lan is not None:
            return self.lan.origin
        host = "localhost" if self.host in ("0.0.0.0", "::") else self.host  # noqa: S104 (compared, not bound)
        host = f"[{host}]" if ":" in host else host
        return f"{'https' if self.tls else 'http'}://{host}:{self.port}"


def check_listen(listen: Listen) -> None:
    """Raise BadValue when the settings would send passwords over a network in the clear, or cannot work."""
    if (listen.tls_cert is None) != (listen.tls_key is None):
        raise BadValue("--tls-cert and --tls-key go together.")
    for path in (listen.tls_cert, listen.tls_key):
        if path is not None and not path.is_file():
            raise BadValue(f"There is no file {path}.")
    if not is_loopback(listen.host) and not listen.tls and not listen.proxies:
        raise BadValue(
            f"{listen.host} can be reached from other machines: give --tls-cert and --tls-key, "
            "or --behind-proxy 1 when a proxy in front speaks TLS."
        )


def settings_of(settings: Settings, listen: Listen) -> Settings:
    """The settings with what follows from where the server listens: cookies, proxies, names it answers to."""
    if listen.lan is not None:
        return replace(settings, secure_cookies=True, trusted_hosts=(listen.lan.host,), lan=listen.lan)
    host = f"[{listen.host}]" if ":" in listen.host else listen.host
    own = () if listen.host in ("0.0.0.0", "::") else (host,)  # noqa: S104 (compared, not bound)
    hosts = tuple(dict.fromkeys((*settings.trusted_hosts, *own, *listen.names)))
    secure = listen.tls or listen.proxies > 0
    return replace(settings, secure_cookies=secure, proxies=listen.proxies, trusted_hosts=hosts)


def refuse_taken_port(listen: Listen) -> None:
    """The server's own socket would share a taken port without a word. Raises Conflict."""
    family = socket.AF_INET6 if ":" in listen.host else socket.AF_INET
    with socket.socket(family) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((listen.host, listen.port))
        except OSError as error:
            why = "is in use" if error.errno == errno.EADDRINUSE else f"cannot be used ({error.strerror})"
            raise Conflict(f"{listen.host} port {listen.port} {why}. Choose another with --port.") from None


def _load(settings: Settings, parent: int, host: str) -> UploadSlots:
    """Make the application in the worker, which ends when the process that watches over it is gone."""
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    app = create_app(settings)
    keep_connections(app)
    if settings.lan is not None:
        files = {path: File(*found) for path, found in plain_files(app, settings).items()}
        TrustListener(host, settings.lan.trust_port, files).start()
    return UploadSlots(app, UPLOADS)


def _end_with(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(1)
    os.kill(os.getpid(), signal.SIGTERM)


def _read_certificate(server: Granian, listen: Listen) -> None:
    """Give the certificate as it is on disk now to the workers that start from here on."""
    server.build_ssl_context(listen.tls_cert, listen.tls_key, None, _TLS_FLOOR, None, [], False)


def _renew_in_time(server: Granian, renew: Callable[[], bool]) -> None:
    while True:
        time.sleep(_LOOK_AGAIN_S)
        if renew():
            server.signal_handler_reload()


def run(settings: Settings, listen: Listen, renew: Callable[[], bool] | None = None) -> None:
    """Serve until stopped by SIGINT or SIGTERM; what is under way is finished first.

    SIGHUP reads the certificate anew. `renew`, asked now and then, puts a new one in its place when that is due and
    tells whether it did.

    Raises BadValue and Conflict before it listens; SystemExit when the worker fails.
    """
    check_listen(listen)
    refuse_taken_port(listen)
    server = Granian(
        "inspect_app",
        address=listen.host,
        port=listen.port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=THREADS,
        http=HTTPModes.http1,
        http1_settings=HTTP1Settings(header_read_timeout=30_000),
        websockets=False,
        backlog=_CONNECTIONS_WAITING,
        backpressure=_CONNECTIONS_WAITING,
        log_level=LogLevels.error,
        ssl_cert=listen.tls_cert,
        ssl_key=listen.tls_key,
        ssl_protocol_min=_TLS_FLOOR,
        workers_kill_timeout=_LAST_REQUESTS_S,
    )
    if listen.tls:
        server.on_reload(partial(_read_certificate, server, listen))
    if renew is not None:
        threading.Thread(target=_renew_in_time, args=(server, renew), daemon=True).start()
    loader = partial(_load, settings_of(settings, listen), os.getpid(), listen.host)
    try:
        server.serve(target_loader=loader, wrap_loader=False)
    finally:
        _leave_one_file(database_path(settings))


def _leave_one_file(database: Path) -> None:
    """The last to close a database brings its log into it: somebody may copy the file as it is."""
    if database.is_file():
        open_db(database).conn.close()
