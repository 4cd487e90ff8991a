"""A real browser and a real server for the tests that tap through pages."""

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE = {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "is_mobile": True, "has_touch": True}
DESK = {"viewport": {"width": 1280, "height": 800}}
ROOT = Path(__file__).parent.parent.parent


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium. A missing browser is a failure, never a skip."""
    assert Path(CHROMIUM).exists(), "Chromium is missing: run `sh .ci/prepare test`"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


def free_port() -> int:
    """A port that nobody listens on just now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Server:
    """The program itself, as `inspect-app serve` runs it."""

    def __init__(self, data: Path) -> None:
        self.data = data
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it and wait until it answers."""
        command = [sys.executable, "-m", "inspect_app", "--data", str(self.data), "serve", "--port", str(self.port)]
        log = (self.data.parent / "server.log").open("ab")
        self.process = subprocess.Popen(command, cwd=ROOT, stdout=log, stderr=log, env={**os.environ})
        for _ in range(300):
            try:
                urllib.request.urlopen(f"{self.address}/api/v1/health", timeout=1)
                return
            except OSError:
                if self.process.poll() is not None:
                    break
                time.sleep(0.1)
        pytest.fail("the server did not start:\n" + (self.data.parent / "server.log").read_text()[-3000:])

    def stop(self) -> None:
        """Ask it to stop, and wait."""
        if self.process and self.process.poll() is None:
            self.process.terminate()
            self.process.wait(20)


def no_noise(page: Page) -> list[str]:
    """Collect what the browser complains about: errors, refused scripts or styles, failed requests."""
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(f"page error: {error}"))
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    return complaints
