"""A signed cookie that tells which account a browser has signed in to, so that strangers cannot keep its owner out.

Wrong tries from a known browser have a counter of their own (actions/throttle.py).
"""

import hashlib
from typing import Any

from flask import Response, current_app, request
from itsdangerous import BadSignature, URLSafeSerializer

from inspect_app.web.database import get_settings

_DAYS = 400


def _name() -> str:
    return "__Host-known" if get_settings().secure_cookies else "inspect-known"


def _sha256(data: bytes = b"") -> Any:
    return hashlib.sha256(data)


def _marks() -> URLSafeSerializer:
    return URLSafeSerializer(
        current_app.secret_key or b"", salt="known-browser", signer_kwargs={"digest_method": _sha256}
    )


def is_known(username: str) -> bool:
    """Whether this browser has signed in to the account before."""
    try:
        names = _marks().loads(request.cookies.get(_name(), ""))
    except BadSignature:
        return False
    return isinstance(names, list) and username.strip().casefold() in names


def set_known(response: Response, username: str) -> None:
    """Mark the browser as one that signed in to the account."""
    mark = str(_marks().dumps([username]))
    secure = get_settings().secure_cookies
    response.set_cookie(_name(), mark, max_age=_DAYS * 86400, secure=secure, httponly=True, samesite="Lax", path="/")
