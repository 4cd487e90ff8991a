"""How a phone comes to trust the house's own certificate: what to do on each kind of phone, and the file to install."""

from flask import Blueprint, Flask, Response, render_template, url_for

from inspect_app.actions.lan import read_authority
from inspect_app.config import Settings
from inspect_app.domain.errors import NotFound
from inspect_app.domain.lan import LanAddress
from inspect_app.output.qr import draw_qr
from inspect_app.web.access import permission
from inspect_app.web.database import get_settings
from inspect_app.web.static_files import FOLDER

blueprint = Blueprint("trust", __name__)

CERTIFICATE = "application/x-x509-ca-cert"
_STYLE, _ICON = "css/app.css", "icon.svg"


def _lan(settings: Settings) -> LanAddress:
    if settings.lan is None:
        raise NotFound("This server makes no certificates of its own. There is nothing to install on a phone.")
    return settings.lan


@blueprint.get("/trust")
@permission("public")
def page() -> str:
    """What to do on each kind of phone."""
    return _page(get_settings(), plain=False)


def _page(settings: Settings, plain: bool) -> str:
    address = _lan(settings)
    return render_template(
        "trust/page.html",
        plain=plain,
        address=address,
        authority=read_authority(settings),
        log_code=draw_qr(address.origin + "/"),
        page_code=draw_qr(address.trust_page),
    )


@blueprint.get("/trust/ca.crt")
@permission("public")
def authority() -> Response:
    """The authority's certificate, without its key."""
    settings = get_settings()
    _lan(settings)
    return Response(read_authority(settings).der, mimetype=CERTIFICATE)


def plain_files(app: Flask, settings: Settings) -> dict[str, tuple[str, bytes]]:
    """What the plain listener sends, as path -> (content type, content)."""
    address = _lan(settings)
    with app.test_request_context("/trust", base_url=f"http://{address.host}:{address.trust_port}/"):
        html = _page(settings, plain=True).encode()
        paths = {name: url_for("static", filename=name).partition("?")[0] for name in (_STYLE, _ICON)}
    return {
        "/": ("text/html; charset=utf-8", html),
        "/trust": ("text/html; charset=utf-8", html),
        "/trust/ca.crt": (CERTIFICATE, read_authority(settings).der),
        paths[_STYLE]: ("text/css; charset=utf-8", (FOLDER / _STYLE).read_bytes()),
        paths[_ICON]: ("image/svg+xml", (FOLDER / _ICON).read_bytes()),
    }
