"""The answer to whoever reaches the log on the house's network by another name than its one address."""

from flask import Response, make_response, render_template, request

from inspect_app.domain.lan import LanAddress
from inspect_app.web.errors import answer

# What is answered under every host name: it holds nothing of the house, and is needed to say where to go.
_ANYWHERE = frozenset({"static", "trust.page", "trust.authority"})


def send_elsewhere(address: LanAddress) -> Response | None:
    """Say where to go and start nothing; None for what may be asked for under any name.

    A walk begun here would be kept by the phone for this name only, and its entries would never be sent.
    """
    if request.endpoint in _ANYWHERE:
        return None
    if request.path.startswith("/api/"):
        return answer(421, "misdirected", "", f"This log is at {address.origin}. Keep what you hold and send it there.")
    return make_response(render_template("trust/elsewhere.html", address=address), 421)  # RFC 9110, section 15.5.20
