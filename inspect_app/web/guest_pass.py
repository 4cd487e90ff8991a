"""What a guest with a read-only link may open: some views of one house, by GET alone, and nothing else.

A visit has a cookie of its own that ends with the browser. While it lasts, `g.guest` is its link and `g.person` stands
for the guest, with no role in any house, so that pages show neither forms nor links that need one.
"""

import re
from datetime import datetime
from typing import Any

from flask import Response, current_app, g, request, url_for
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect

from inspect_app.actions.guest_link import hash_of
from inspect_app.domain.errors import NotFound
from inspect_app.domain.person import Person
from inspect_app.store.guest_link import GuestLink, find_live_visit
from inspect_app.store.house import get_house
from inspect_app.web.database import get_db, get_settings

# (words, endpoint) of the guest's menu; endpoints take house_id and nothing else
MENU = (
    ("Before you climb", "history.before"),
    ("Plan", "plan.plan"),
    ("Section", "plan.section"),
    ("Since last time", "history.since"),
    ("Blind spots", "history.blind"),
    ("What wears", "history.wear"),
    ("What keeps coming back", "history.recurring"),
    ("Out of use", "tag_out.index"),
    ("Restricted", "restriction.index"),
    ("Deficiencies", "register.index"),
    ("Events", "event.index"),
    ("Line sets", "line_set.shelf"),
    ("Reports", "report.shelf"),
    ("Hand-over packs", "hand_over.shelf"),
    ("Workbench", "workbench.shelf"),
)
# Views of one house that only read. No people, devices, costs, calendar addresses, settings or journal among them.
PAGES = frozenset(endpoint for _, endpoint in MENU) | {
    "history.patterns", "history.blind_file", "tag_out.one", "walk.one", "batch.index", "batch.one", "criteria.shelf",
    "part.shelf", "set_story.story", "deficiency.one", "event.one", "line_set.one", "part.one", "part_story.story",
    "part_story.set_story", "search.search", "glossary.kind", "old_page.copy",
    "photo.copy", "attachment.copy", "report.filed", "report.pdf", "report.progress", "hand_over.filed_pdf",
    "hand_over.filed_zip", "workbench.one", "set_load.load", "set_load.balance",
}  # fmt: skip
OPEN_POSTS = frozenset({"account.theme", "auth.sign_in", "guest.enter", "guest.leave"})
GONE = "This link shows nothing here. It may have ended, or this is not part of what it shows. Ask the house."
_READS = ("GET", "HEAD")


def cookie_name() -> str:
    """A name that browsers bind to this very host wherever the connection is encrypted."""
    return "__Host-guest" if get_settings().secure_cookies else "inspect-guest"


def set_cookie(response: Response, token: str) -> None:
    """Give the browser the secret of a visit until it closes; an empty one takes it away."""
    response.set_cookie(
        cookie_name(), token, max_age=None if token else 0, secure=get_settings().secure_cookies, httponly=True,
        samesite="Lax", path="/",
    )  # fmt: skip


def is_guest() -> bool:
    """Whether the browser carries a visit, live or not."""
    return bool(request.cookies.get(cookie_name()))


def find_guest(at: datetime) -> GuestLink | None:
    """The link of the visit that the browser carries, while both last."""
    token = request.cookies.get(cookie_name(), "")
    return find_live_visit(get_db(), hash_of(token), at) if token else None


def admit(at: datetime, endpoint: str, house_id: str | None) -> None:
    """Let a guest in to a page of their house. Raises NotFound, with the same words, for everything else."""
    link = find_guest(at)
    if link is None or house_id != link.house:
        raise NotFound(GONE)
    place(link)
    if endpoint not in PAGES or request.method not in _READS:
        raise NotFound(GONE)


def refuse_posts(endpoint: str) -> None:
    """A guest sends nothing, but for the colours of the screen, signing in, and the visit itself."""
    if request.method not in (*_READS, "OPTIONS") and endpoint not in OPEN_POSTS:
        raise NotFound(GONE)


def place(link: GuestLink) -> None:
    """Make the request one of a guest of the link's house."""
    g.guest, g.house, g.roles = link, get_house(get_db(), link.house), frozenset()
    g.person = Person(link.id, f"{link.guest} (guest)")


def costs_hidden() -> bool:
    """Whether the amounts of repairs are kept from who looks: a guest whose link was made without costs."""
    link = g.get("guest")
    return link is not None and not link.with_costs


def menu_of(link: GuestLink | None) -> list[tuple[str, str]]:
    """(words, address) of the pages a guest may open."""
    views = current_app.view_functions
    return [(words, url_for(page, house_id=link.house)) for words, page in MENU if page in views] if link else []


def only_open_links(response: Response) -> Response:
    """Take out of a page what leads a guest nowhere: forms, buttons, and links, whose words stay."""
    if g.get("guest") and response.mimetype == "text/html" and not response.direct_passthrough:
        response.set_data(_LINK.sub(_opened, _FORM.sub(_sendable, response.get_data(as_text=True))))
    return response


_LINK = re.compile(r"""<a\b(?P<before>[^>]*?)\bhref="(?P<to>/[^"]*)"(?P<after>[^>]*)>(?P<words>.*?)</a>""", re.DOTALL)
_FORM = re.compile(r"""<form\b(?P<tag>[^>]*\bmethod="post"[^>]*)>.*?</form>""", re.DOTALL)
_ACTION = re.compile(r'\baction="([^"]*)"')
_FREE = frozenset({"static.static", "account.start", "auth.sign_in"})


def _endpoint_of(address: str, method: str) -> str:
    path = address.partition("?")[0].partition("#")[0]
    try:
        return str(current_app.url_map.bind(request.host).match(path, method=method)[0])
    except (HTTPException, RequestRedirect):
        return ""


def _sendable(found: re.Match[str]) -> str:
    action = _ACTION.search(found["tag"])
    return found[0] if _endpoint_of(action[1] if action else request.path, "POST") in OPEN_POSTS else ""


def _opened(found: re.Match[str]) -> str:
    endpoint = _endpoint_of(found["to"], "GET")
    if endpoint in PAGES or endpoint in _FREE:
        return found[0]
    return "" if "button" in found["before"] + found["after"] else found["words"]


def for_templates() -> dict[str, Any]:
    """What base.html and the pages need."""
    link = g.get("guest")
    return {"guest": link, "guest_menu": menu_of(link), "costs_hidden": costs_hidden()}
