"""Paper about repairs and dates as HTML and PDF: work orders, the register, the yearly letter, the plan of the year.

`paper_data` runs in the server, `render_repair_paper` in the render process of worker.py, with the isolated fonts.
"""

import json
from collections.abc import Callable, Mapping
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from inspect_app import __version__
from inspect_app.domain.report_words import DEMO_LINE, SHORT_STATEMENT
from inspect_app.output.fonts import printable
from inspect_app.output.qr import draw_qr
from inspect_app.output.report_photo import fit_photos

KIND = "repair_paper"
TITLES: Mapping[str, str] = {
    "work_order": "Work order",
    "register": "Register of deficiencies",
    "letter": "Letter to the facility manager",
    "year_plan": "Plan of the year",
}
PAPERS: Mapping[str, str] = {"A4": "A4", "Letter": "letter"}


def paper_data(form: str, facts: Mapping[str, Any]) -> bytes:
    """The document of one form (a key of TITLES) as JSON, for the render process."""
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
    return environment.get_template(f"repair_{form}.html").render(
        **document, title=TITLES[form], version=__version__, comes_first=SHORT_STATEMENT, demo_line=DEMO_LINE,
        qr=draw_qr,
    )  # fmt: skip


def render_repair_paper(
    data: bytes, photos: Mapping[str, bytes], paper: str, made_at: str, say: Callable[[str], None]
) -> bytes:
    """The PDF of a document with its JPEGs by photo id, on A4 or Letter paper. Equal input gives equal bytes."""
    from weasyprint import CSS, HTML

    from inspect_app.output.pdf import OnlyFromMemory

    document = json.loads(data)
    document["made_at"] = made_at
    say("Preparing the photos" if photos else "Writing the paper")
    served = {f"app:photo/{photo}": ("image/jpeg", content) for photo, content in fit_photos(photos).items()}
    fetcher = OnlyFromMemory(served)
    css = (files("inspect_app.output") / "templates" / "repair_paper.css").read_text(encoding="utf-8")
    size = f"@page {{ size: {PAPERS[paper]} }}"
    sheets = [CSS(string=text, base_url="app:", url_fetcher=fetcher) for text in (css, size)]
    html = HTML(string=paper_html(document), base_url="app:", url_fetcher=fetcher)
    return bytes(html.write_pdf(stylesheets=sheets, pdf_variant="pdf/ua-1"))
