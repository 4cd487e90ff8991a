"""Paper for the rail as HTML and PDF: a tag, cards of sets (both A6, one a page), and *not to be flown today*."""

import json
from collections.abc import Callable, Mapping
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from inspect_app import __version__
from inspect_app.domain.rail_card import CERTIFIES_NOTHING
from inspect_app.output.fonts import printable
from inspect_app.output.qr import draw_qr

KIND = "rail_paper"
TITLES: Mapping[str, str] = {"tag": "Tag", "cards": "Rail card", "not_today": "Not to be flown today"}
_SIZES: Mapping[str, Mapping[str, str]] = {
    "tag": {"A4": "A6", "Letter": "A6"},
    "cards": {"A4": "A6", "Letter": "A6"},
    "not_today": {"A4": "A4", "Letter": "letter"},
}


def paper_data(form: str, facts: Mapping[str, Any]) -> bytes:
    """The document of one form (tag, cards, not_today) as JSON, for the render process."""
    return json.dumps({"form": form, **facts}, ensure_ascii=False).encode()


def paper_html(document: Mapping[str, Any]) -> str:
    """One document as HTML; every text is escaped and checked against the typeface."""
    environment = Environment(
        loader=PackageLoader("inspect_app.output", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: printable(value) if isinstance(value, str) and not isinstance(value, Markup) else value,
    )
    form = document["form"]
    return environment.get_template(f"rail_{form}.html").render(
        **document, title=TITLES[form], version=__version__, certifies_nothing=CERTIFIES_NOTHING, qr=draw_qr
    )


def render_rail_paper(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of a document. Tags and cards are A6 on any paper. Equal input gives equal bytes."""
    from weasyprint import CSS, HTML

    from inspect_app.output.pdf import OnlyFromMemory

    say("Writing the paper")
    document = json.loads(data)
    document["made_at"] = made_at
    fetcher = OnlyFromMemory({})
    css = (files("inspect_app.output") / "templates" / "rail_paper.css").read_text(encoding="utf-8")
    size = f"@page {{ size: {_SIZES[document['form']][paper]} }}"
    sheets = [CSS(string=text, base_url="app:", url_fetcher=fetcher) for text in (css, size)]
    html = HTML(string=paper_html(document), base_url="app:", url_fetcher=fetcher)
    return bytes(html.write_pdf(stylesheets=sheets, pdf_variant="pdf/ua-1"))
