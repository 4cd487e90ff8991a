"""Where the phones of today send to: the field API itself, asked request by request as a browser and a phone do."""

import base64
import hashlib
import re
from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import datetime
from typing import Any

from flask import Flask

from inspect_app import clock
from inspect_app.actions.device import Paired
from inspect_app.demo.phone import Entry, NotAsPlanned, Phone

_TOKEN = re.compile(r'name="csrf_token"[^>]*value="([^"]+)"')
_UPLOADS = 2


class FieldOffice:
    """Speaks to the application over its WSGI interface; photos go up two at a time while the next is drawn."""

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._pool = ThreadPoolExecutor(_UPLOADS)
        self._waiting: list[Future[None]] = []

    def pair(self, username: str, password: str, house: str, label: str) -> Paired:
        """Sign in with the password and pair a browser, as a person does at the start of a walk."""
        browser = self._app.test_client()
        form = {"username": username, "password": password, "csrf_token": _form_token(browser.get("/sign-in").text)}
        signed_in = browser.post("/sign-in", data=form)
        if signed_in.status_code not in (302, 303):
            raise NotAsPlanned(f"signing in as {username} answered {signed_in.status_code}")
        page = browser.get(f"/houses/{house}/checklists", follow_redirects=True)
        answer = browser.post(
            "/api/v1/devices",
            json={"house": house, "label": label},
            headers={"X-CSRF-Token": _form_token(page.text)},
        )
        if answer.status_code != 201:
            raise NotAsPlanned(f"pairing {label} answered {answer.status_code}: {answer.text[:300]}")
        made: dict[str, Any] = answer.get_json()
        return Paired(made["device"], made["token"])

    def get_pack(self, phone: Phone) -> dict[str, Any]:
        """What a phone loads before a walk."""
        answer = self._app.test_client().get(f"/api/v1/houses/{phone.house}/pack", headers=_bearer(phone))
        if answer.status_code != 200:
            raise NotAsPlanned(f"the pack answered {answer.status_code}: {answer.text[:300]}")
        pack: dict[str, Any] = answer.get_json()
        return pack

    def get_tally(self, phone: Phone, walk: str) -> dict[str, Any]:
        """What has arrived for a walk, and what has not."""
        answer = self._app.test_client().get(f"/api/v1/walks/{walk}/tally", headers=_bearer(phone))
        if answer.status_code != 200:
            raise NotAsPlanned(f"the tally answered {answer.status_code}: {answer.text[:300]}")
        tally: dict[str, Any] = answer.get_json()
        return tally

    def take_entries(self, phone: Phone, entries: Sequence[Entry], sent_at: datetime) -> None:
        """Send a batch; the phone's clock is right, whatever time its walk has come to."""
        body = {"entries": list(entries), "sent_at": clock.now().isoformat(timespec="milliseconds")}
        answer = self._app.test_client().post("/api/v1/entries", json=body, headers=_bearer(phone))
        if answer.status_code != 200:
            raise NotAsPlanned(f"sending entries answered {answer.status_code}: {answer.text[:300]}")
        for verdict in answer.get_json()["verdicts"]:
            if verdict["verdict"] != "stored":
                raise NotAsPlanned(
                    f"entry {verdict['id']} was not stored but {verdict['verdict']}: {verdict['reason']}"
                )

    def take_photo(self, phone: Phone, photo: str, data: bytes, sent_at: datetime) -> None:
        """Send a photo with its digest."""
        self._waiting.append(self._pool.submit(self._put, phone, photo, data))

    def _put(self, phone: Phone, photo: str, data: bytes) -> None:
        digest = base64.b64encode(hashlib.sha256(data).digest()).decode()
        headers = {**_bearer(phone), "Content-Digest": f"sha-256=:{digest}:"}
        answer = self._app.test_client().put(
            f"/api/v1/photos/{photo}", data=data, headers=headers, content_type="image/jpeg"
        )
        if answer.status_code != 201:
            raise NotAsPlanned(f"sending photo {photo} answered {answer.status_code}: {answer.text[:300]}")

    def finish(self) -> None:
        """Wait for the photos under way."""
        for waiting in self._waiting:
            waiting.result()
        self._waiting.clear()

    def close(self) -> None:
        """End the threads."""
        self._pool.shutdown()


def _bearer(phone: Phone) -> dict[str, str]:
    return {"Authorization": f"Bearer {phone.token}"}


def _form_token(page: str) -> str:
    found = _TOKEN.search(page)
    if found is None:
        raise NotAsPlanned("a page without a form token")
    return found.group(1)
