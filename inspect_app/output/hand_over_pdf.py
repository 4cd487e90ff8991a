"""The pages of a hand-over pack as HTML and PDF, declared PDF/A-3 like a report, with their data attached.

`render_hand_over` runs in the render process of worker.py, with the isolated fonts.
"""

import hashlib
import json
from collections.abc import Callable, Mapping
from typing import Any

from inspect_app.domain.report_words import DEMO_LINE, SHORT_STATEMENT
from inspect_app.output.attachments import AttachedFile
from inspect_app.output.paper_page import PAPERS, fill_template, paper_style

KIND = "hand_over"
PAGES_JSON = "pages.json"
TIME_LIMIT_S = 900.0


def hand_over_html(document: Mapping[str, Any], sha256: str, paper: str, made_at: str) -> str:
    """The pages as HTML; every text is escaped and checked against the typeface."""
    return fill_template(
        "hand_over.html", **document, sha256=sha256, paper=paper, file_time=made_at, comes_first=SHORT_STATEMENT,
        demo_line=DEMO_LINE, pages_json=PAGES_JSON,
    )  # fmt: skip


def render_hand_over(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of the canonical pages `data` on A4 or Letter paper. Equal input gives equal bytes."""
    from inspect_app.output.pdf import archival_pdf

    document = json.loads(data)
    say("Writing the sections")
    html = hand_over_html(document, hashlib.sha256(data).hexdigest(), paper, made_at)
    note = f"{DEMO_LINE}. " if document["demo"] else ""
    says = f"{note}The data of these pages in canonical JSON (RFC 8785)"
    attached = (AttachedFile(PAGES_JSON, data, says, "Source"),)
    styles = (paper_style("desk_paper.css", "hand_over.css"), f"@page {{ size: {PAPERS[paper]} }}")
    return archival_pdf(html, {}, styles, attached, made_at, say)
