"""The web application: `create_app(settings)` puts the pages together."""

from importlib import import_module

from flask import Flask, g, request

from inspect_app.config import Settings
from inspect_app.store.data_folder import read_secret
from inspect_app.web import access, database, errors, filters, guest_pass, security, session_cookie, static_files

# Modules with a `blueprint`. A module may also have `NAV`: (label, endpoint, permission) rows for the menu of a house,
# which stand in the order of this list; each endpoint takes house_id and nothing else. The first page of the menu that
# a person may open is where they land after signing in.
PAGES: tuple[str, ...] = (
    "inspect_app.web.auth",
    "inspect_app.web.account",
    "inspect_app.web.today",
    "inspect_app.web.history",
    "inspect_app.web.search",
    "inspect_app.web.part_story",
    "inspect_app.web.plan",
    "inspect_app.web.walk",
    "inspect_app.web.review",
    "inspect_app.web.desk",
    "inspect_app.web.held",
    "inspect_app.web.tag_out",
    "inspect_app.web.restriction",
    "inspect_app.web.printing",
    "inspect_app.web.rail_card",
    "inspect_app.web.paper",
    "inspect_app.web.event",
    "inspect_app.web.batch",
    "inspect_app.web.register",
    "inspect_app.web.deficiency",
    "inspect_app.web.set_story",
    "inspect_app.web.repair_paper",
    "inspect_app.web.accepted_condition",
    "inspect_app.web.attachment",
    "inspect_app.web.calendar",
    "inspect_app.web.interval",
    "inspect_app.web.blackout",
    "inspect_app.web.relook",
    "inspect_app.web.house",
    "inspect_app.web.house_generate",
    "inspect_app.web.area",
    "inspect_app.web.line_set",
    "inspect_app.web.part",
    "inspect_app.web.gauge",
    "inspect_app.web.schedule_import",
    "inspect_app.web.checklist",
    "inspect_app.web.criteria",
    "inspect_app.web.house_figures",
    "inspect_app.web.report",
    "inspect_app.web.hand_over",
    "inspect_app.web.guest",
    "inspect_app.web.workbench",
    "inspect_app.web.set_load",
    "inspect_app.web.walk_shell",
    "inspect_app.web.field_worker",
    "inspect_app.web.pairing",
    "inspect_app.web.field",
    "inspect_app.web.field_photo",
    "inspect_app.web.field_original",
    "inspect_app.web.photo",
    "inspect_app.web.field_recording",
    "inspect_app.web.recording",
    "inspect_app.web.glossary",
    "inspect_app.web.second_look",
    "inspect_app.web.label_audit",
    "inspect_app.web.old_page",
    "inspect_app.web.by_ear",
    "inspect_app.web.member",
    "inspect_app.web.device",
    "inspect_app.web.unsent",
    "inspect_app.web.trust",
)
THEMES = ("auto", "light", "dark", "red")
THEME_COOKIE = "theme"


def create_app(settings: Settings) -> Flask:
    """The WSGI application on an opened data folder. Raises RuntimeError when a route declares no permission."""
    app = Flask(__name__, static_folder=None)
    app.secret_key = read_secret(settings)
    database.init_app(app, settings)
    session_cookie.init_app(app)
    security.init_app(app, settings)
    access.init_app(app)
    errors.init_app(app)
    filters.init_app(app)
    static_files.init_app(app)
    menu: list[tuple[str, str, str]] = []
    for name in PAGES:
        module = import_module(name)
        app.register_blueprint(module.blueprint)
        menu += getattr(module, "NAV", ())
    app.jinja_env.globals.update(house_menu=menu, themes=THEMES)
    app.context_processor(_theme)
    access.check_declared(app)
    if settings.proxies:
        _trust_proxies(app, settings.proxies)
    return app


def _theme() -> dict[str, object]:
    chosen = request.cookies.get(THEME_COOKIE, "auto")
    return {"theme": chosen if chosen in THEMES else "auto", "house": g.get("house"), "person": g.get("person")} | (
        guest_pass.for_templates()
    )


def _trust_proxies(app: Flask, count: int) -> None:
    from werkzeug.middleware.proxy_fix import ProxyFix

    app.wsgi_app = ProxyFix(app.wsgi_app, x_for=count, x_proto=count, x_host=count, x_port=count)  # type: ignore[method-assign]
