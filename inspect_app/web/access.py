"""Who may open which page. Every view says so with `@permission(...)`; a view that does not stops the program.

Before a view runs, `g.person` (a Person or None), `g.roles` (in the house of the address), `g.house` (a domain House or
None), `g.session` and `g.device` are set. Someone who is no member of a house gets 404 for all of it.
"""

import re
from collections.abc import Callable
from datetime import datetime
from typing import Any, TypeVar

from flask import Flask, current_app, g, redirect, request, session, url_for
from flask_wtf.csrf import CSRFError, CSRFProtect

from inspect_app import clock
from inspect_app.actions.session import hash_token, keep_post, note_device_use, note_session_use
from inspect_app.domain.errors import NotAllowed, NotFound, NotSaved
from inspect_app.domain.role import PERMISSIONS, allows
from inspect_app.store.device import find_device
from inspect_app.store.membership import get_membership
from inspect_app.store.session import Session, get_session
from inspect_app.web import guest_pass, security
from inspect_app.web.database import get_db
from inspect_app.web.errors import Unauthorised
from inspect_app.web.session_cookie import get_session_token

View = TypeVar("View", bound=Callable[..., object])

# Names beside the table of roles: anyone; anyone signed in; a paired device with its bearer token and no cookie; and
# whoever is signed in or sends a pairing code, which the view then checks.
OPEN_NAMES = frozenset({"public", "signed_in", "device", "pairing"})
_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}\Z")
_csrf = CSRFProtect()


def permission(name: str, most_bytes: int = 0) -> Callable[[View], View]:
    """Declare what a view needs: a name of domain/role.PERMISSIONS, or one of OPEN_NAMES.

    `most_bytes` is for a view that takes larger bodies than others. Goes below the route decorator. Raises ValueError
    on an unknown name.
    """
    if name not in PERMISSIONS and name not in OPEN_NAMES:
        raise ValueError(f"{name!r} is not in the table of permissions (domain/role.py)")

    def declare(view: View) -> View:
        view.permission = name  # type: ignore[attr-defined]
        view.most_bytes = most_bytes  # type: ignore[attr-defined]
        return view

    return declare


def permission_of(app: Flask, endpoint: str) -> str:
    """What the view of an endpoint declares, or ''."""
    return str(getattr(app.view_functions[endpoint], "permission", ""))


def check_declared(app: Flask) -> None:
    """Raise RuntimeError when a route declares nothing, or a permission of a house without naming the house."""
    for rule in app.url_map.iter_rules():
        name = permission_of(app, rule.endpoint)
        if not name:
            raise RuntimeError(f"{rule.rule} ({rule.endpoint}) declares no permission: add @permission(...)")
        if name in PERMISSIONS and not rule.rule.startswith("/houses/<house_id>/"):
            raise RuntimeError(f"{rule.rule} needs {name} and must start with /houses/<house_id>/")


def enter_house(house_id: str) -> None:
    """Set `g.house` and `g.roles`. Raises NotFound when the person is no member or there is no such house."""
    standing = get_membership(get_db(), house_id, g.person.id) if _ID.match(house_id) else None
    if standing is None:
        raise NotFound("There is no such page.")
    g.house, g.roles = standing


def require(name: str) -> None:
    """Raise NotAllowed unless one of the person's roles in the house carries the permission."""
    if not allows(name, g.roles):
        raise NotAllowed("Your role in this house does not allow this. Ask an administrator of the house.")


def may(name: str) -> bool:
    """Whether the person may do this in the house of the page; for templates."""
    return bool(g.get("roles")) and allows(name, g.roles)


def may_open(endpoint: str) -> bool:
    """Whether a link to a page of the house leads whoever looks anywhere: by a role, or for a guest by the list."""
    if g.get("guest"):
        return endpoint in guest_pass.PAGES
    needed = permission_of(current_app, endpoint)
    return needed not in PERMISSIONS or may(needed)


def _gate() -> Any:
    g.person, g.roles, g.house, g.session, g.device, g.guest = None, frozenset(), None, None, None, None
    if request.routing_exception is not None or request.endpoint is None:
        _find_session(clock.now())  # so that the page that says so is theirs
        link = guest_pass.find_guest(clock.now()) if g.person is None else None
        if link is not None:
            guest_pass.place(link)
        return None
    name = permission_of(current_app, request.endpoint)
    request.max_content_length = getattr(current_app.view_functions[request.endpoint], "most_bytes", 0) or None
    security.refuse_unreadable()
    _refuse_odd_ids()
    if name == "device":
        _enter_device()
        return None
    return _enter_pairing() if name == "pairing" else _enter_person(name)


def _refuse_odd_ids() -> None:
    for key, value in (request.view_args or {}).items():
        if key.endswith("_id") and isinstance(value, str) and not _ID.match(value):
            raise NotFound("There is no such page.")


def _enter_device() -> None:
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    at = clock.now()
    device = find_device(get_db(), hash_token(token.strip()), at) if scheme.lower() == "bearer" and token else None
    if device is None:
        raise Unauthorised("This device is not paired, or its pairing was withdrawn. Sign in and pair it again.")
    g.device, g.person = device, device.person
    if (request.view_args or {}).get("house_id", device.house) != device.house:
        raise NotFound("There is no such page.")
    enter_house(device.house)
    _note_use(lambda: note_device_use(get_db(), device, at))


def _enter_pairing() -> object:
    """A code in the body stands for a session and its form token; nobody is signed in by it."""
    body = request.get_json(silent=True)
    if not isinstance(body, dict) or "code" not in body:
        return _enter_person("signed_in")
    security.refuse_other_sites()
    return None


def _enter_person(name: str) -> object:
    at = clock.now()
    found = _find_session(at)
    if g.session is not None:
        _note_use(lambda: note_session_use(get_db(), g.session, at))
    house_id = (request.view_args or {}).get("house_id")
    visits = g.person is None and guest_pass.is_guest()
    if visits:
        guest_pass.refuse_posts(request.endpoint or "")
    changes = request.method not in security.SAFE_METHODS
    if changes:
        security.refuse_other_sites()
        _csrf.protect()
    if name == "public":
        return None
    if visits:
        guest_pass.admit(at, request.endpoint or "", house_id)
        return None
    if g.person is None:
        return _ask_to_sign_in(found, changes)
    if house_id is not None:
        enter_house(house_id)
    if name in PERMISSIONS:
        require(name)
    return None


def _find_session(at: datetime) -> Session | None:
    """The session of the cookie, live or not; a live one gives the request its person."""
    token = get_session_token()
    found = get_session(get_db(), hash_token(token), at) if token else None
    if found is not None and found.live:
        g.session, g.person = found, found.person
    return found


def _note_use(write: Callable[[], None]) -> None:
    try:
        write()
    except NotSaved:
        return  # a full disk must not keep anyone from reading


def _ask_to_sign_in(found: Session | None, changes: bool) -> object:
    if request.path.startswith("/api/"):
        raise Unauthorised("Sign in first.")
    if changes and found is not None and not found.disabled and request.form:
        names = [file.filename or key for key, file in request.files.items(multi=True)]
        session["kept"] = keep_post(
            get_db(),
            at=clock.now(),
            account=found.account,
            path=request.path,
            fields=request.form.to_dict(flat=False),
            files=[name for name in names if name],
        )
    target = None if changes else request.full_path.rstrip("?")
    return redirect(url_for("auth.sign_in", next=target), 303)


def init_app(app: Flask) -> None:
    """Stand before every request."""
    _csrf.init_app(app)
    app.before_request(_gate)
    app.after_request(guest_pass.only_open_links)
    app.jinja_env.globals["may"] = may


__all__ = [
    "CSRFError",
    "check_declared",
    "enter_house",
    "init_app",
    "may",
    "may_open",
    "permission",
    "permission_of",
    "require",
]
