"""A calculation of the workbench asked as a browser asks it, and read as a person reads it."""

import re
from html import unescape
from urllib.parse import urlencode

from flask.testing import FlaskClient

from inspect_app.domain.house import House


def page(client: FlaskClient, house: House, sheet: str, **typed: str) -> tuple[int, str]:
    """The status of a calculation's page with these inputs, and its words."""
    answer = client.get(f"/houses/{house.id}/workbench/{sheet}/?{urlencode(typed)}")
    return answer.status_code, " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())
