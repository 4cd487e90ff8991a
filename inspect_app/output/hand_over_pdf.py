"""The pages of a hand-over pack as HTML and PDF, declared PDF/A-3 like a report, with their data attached.

`render_hand_over` runs in the render process of worker.py, with the isolated fonts.
"""

import hashlib
import json
from collections.abc import Callable, Mapping
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from inspect_app import __version__
from inspect_app.domain.report_words import DEMO_LINE, SHORT_STATEMENT
from inspect_app.output.attachments import AttachedFile
from inspect_app.output.fonts import printable
from inspect_app.output.report_html import PAPERS

KIND = "hand_over"
PAGES_JSON = "pages.json"
TIME_LIMIT_S = 900.0


def hand_over_html(document: Mapping[str, Any], sha256: str, paper: str, made_at: str) -> str:
    """The pages as HTML; every text is escaped and checked against the typeface."""
    environment = Environment(
        loader=PackageLoader("inspect_app.output", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: printable(value) if isinstance(value, str) and not isinstance(value, Markup) else value,
    )
    return environment.get_template("hand_over.html").render(
        **document, sha256=sha256, paper=paper, file_time=made_at, version=__version__, comes_first=SHORT_STATEMENT,
        demo_line=DEMO_LINE, pages_json=PAGES_JSON,
    )  # fmt: skip


def render_hand_over(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of the canonical pages `data` on A4 or Letter paper. Equal input gives equal bytes."""
    from inspect_app.output.pdf import archival_pdf

    document = json.loads(data)
    say("Writing the sections")
    html = hand_over_html(document, hashlib.sha256(data).hexdigest(), paper, made_at)
    css = (files("inspect_app.output") / "templates" / "hand_over.css").read_text(encoding="utf-8")
    note = f"{DEMO_LINE}. " if document["demo"] else ""
    says = f"{note}The data of these pages in canonical JSON (RFC 8785)"
    attached = (AttachedFile(PAGES_JSON, data, says, "Source"),)
    return archival_pdf(html, {}, (css, f"@page {{ size: {PAPERS[paper].css} }}"), attached, made_at, say)
