"""Paper for the rail as HTML and PDF: a tag, cards of sets (both A6, one a page), and *not to be flown today*."""

import json
from collections.abc import Callable, Mapping
from typing import Any

from inspect_app.domain.rail_card import CERTIFIES_NOTHING
from inspect_app.output.paper_page import PAPERS, fill_template, paper_style, write_paper
from inspect_app.output.qr import draw_qr

KIND = "rail_paper"
TITLES: Mapping[str, str] = {"tag": "Tag", "cards": "Rail card", "not_today": "Not to be flown today"}


def paper_data(form: str, facts: Mapping[str, Any]) -> bytes:
    """The document of one form (tag, cards, not_today) as JSON, for the render process."""
    return json.dumps({"form": form, **facts}, ensure_ascii=False).encode()


def paper_html(document: Mapping[str, Any]) -> str:
    """One document as HTML; every text is escaped and checked against the typeface."""
    form = document["form"]
    return fill_template(
        f"rail_{form}.html", **document, title=TITLES[form], certifies_nothing=CERTIFIES_NOTHING, qr=draw_qr
    )


def render_rail_paper(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of a document. Tags and cards are A6 on any paper. Equal input gives equal bytes."""
    say("Writing the paper")
    document = json.loads(data)
    document["made_at"] = made_at
    size = PAPERS[paper] if document["form"] == "not_today" else "A6"
    return write_paper(paper_html(document), paper_style("rail_paper.css"), size)
