"""What every page has in common, over the whole route map: the mark of a demonstration, headings, labels."""

from html.parser import HTMLParser

import pytest
from flask import url_for

from inspect_app import clock
from inspect_app.domain.role import PERMISSIONS, Role
from inspect_app.store.membership import set_roles

NAMED_BY_ITSELF = {"hidden", "submit", "button", "image", "reset"}


class Page(HTMLParser):
    """What a test wants to know of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.labels: set[str] = set()
        self.fields: list[dict[str, str]] = []
        self.headings: list[str] = []
        self.inline: list[str] = []
        self.described: list[str] = []
        self.lang = ""
        self.inside_label = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if "id" in found:
            self.ids.append(found["id"])
        self.inline += [f"<{tag} {name}>" for name in found if name == "style" or name.startswith("on")]
        self.inline += ["<script>"] if tag == "script" and "src" not in found and found.get("type") is None else []
        self.described += found.get("aria-describedby", "").split()
        if tag == "html":
            self.lang = found.get("lang", "")
        if tag == "label":
            self.inside_label += 1
            self.labels.add(found.get("for", ""))
        if tag in ("h1", "h2", "h3", "h4"):
            self.headings.append(tag)
        if tag in ("input", "select", "textarea") and found.get("type") not in NAMED_BY_ITSELF:
            self.fields.append({**found, "in_label": "yes" if self.inside_label else ""})

    def handle_endtag(self, tag: str) -> None:
        if tag == "label":
            self.inside_label -= 1


@pytest.fixture
def pages(newcomer, routes, address, ask, house, sign_in, db):
    """(name, text) of every page, as a technical director or an administrator sees it."""
    db.execute("UPDATE house SET demo = 1")

    def read() -> list[tuple[str, str]]:
        found = []
        for route in routes:
            if route.changes or route.permission == "device" or route.rule.endpoint == "static":
                continue
            client = newcomer()
            able = PERMISSIONS.get(route.permission, {Role.TD})
            person = sign_in(client, Role.TD if Role.TD in able else Role.ADMIN)
            response = ask(client, route, address(route, house, person))
            if response.status_code == 200 and response.mimetype == "text/html":
                found.append((route.name, response.text))
        assert len(found) >= 8
        return found

    return read


def test_a_real_house_is_not_called_a_demonstration(client, house, sign_in) -> None:
    sign_in(client, Role.ADMIN)
    assert "Demonstration" not in client.get(f"/houses/{house.id}/members/").text


def test_every_page_is_well_formed_names_a_demonstration_and_holds_no_inline_code_or_style(pages) -> None:
    wrong = []
    for name, text in pages():
        page = Page(text)
        if page.inline:
            wrong.append((name, "inline", page.inline))
        if "/houses/<house_id>/" in name and "Demonstration, invented house" not in text:
            wrong.append((name, "does not say that it is a demonstration"))
        if page.lang != "en":
            wrong.append((name, "no language"))
        if page.headings[:1] != ["h1"] or page.headings.count("h1") != 1:
            wrong.append((name, "headings", page.headings[:4]))
        doubles = {one for one in page.ids if page.ids.count(one) > 1}
        if doubles:
            wrong.append((name, "ids twice", doubles))
        for field in page.fields:
            if not (
                field["in_label"]
                or field.get("id") in page.labels
                or "aria-label" in field
                or "aria-labelledby" in field
            ):
                wrong.append((name, "no label", field.get("name")))
        lost = set(page.described) - set(page.ids)
        if lost:
            wrong.append((name, "described by nothing", lost))
    assert wrong == []


def test_the_menu_leads_only_where_one_may_go(newcomer, house, sign_in, app) -> None:
    for role in Role:
        client = newcomer()
        sign_in(client, role)
        page = client.get("/", follow_redirects=True)
        assert page.status_code == 200
        for label, endpoint, _ in app.jinja_env.globals["house_menu"]:
            with app.test_request_context():
                path = url_for(endpoint, house_id=house.id)
            shown = f'href="{path}"' in page.text
            status = client.get(path).status_code
            assert (status == 200) if shown else (status == 403), (role, label, status)


def test_somebody_with_two_houses_chooses_and_one_with_none_is_told(client, house, other_house, sign_in, db) -> None:
    person = sign_in(client, Role.HELPER)
    assert client.get("/").status_code == 303
    now = clock.now()
    set_roles(db, other_house.id, person.id, frozenset({Role.TD}), now)
    page = client.get("/").text
    assert "Old Mill Playhouse" in page
    assert "Harbour Hall" in page
    for where in (house, other_house):
        set_roles(db, where.id, person.id, frozenset(), now)
    assert "You belong to no house" in client.get("/").text


@pytest.mark.parametrize("theme", ["light", "dark", "red", "auto"])
def test_the_screen_colours_are_kept_in_the_browser(client, csrf, theme: str) -> None:
    response = client.post("/theme", data={"csrf_token": csrf(client), "theme": theme, "back": "/code"})
    assert response.headers["Location"] == "/code"
    assert f'data-theme="{theme}"' in client.get("/code").text
    client.post("/theme", data={"csrf_token": csrf(client), "theme": '"><script>', "back": "//evil.example"})
    assert f'data-theme="{theme}"' in client.get("/code").text
