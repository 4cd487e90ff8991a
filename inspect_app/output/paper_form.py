"""The paper form as HTML and PDF: a cover, then for each stretch what is asked and its sheets to write on."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from typing import Any
from urllib.parse import urlencode

from inspect_app.domain.paper_form import FormPage, FormStretch
from inspect_app.output.paper_page import PAPERS, fill_template, paper_style, write_paper
from inspect_app.output.qr import draw_qr

KIND = "paper_form"


def form_data(stretches: Sequence[FormStretch], address: str, facts: Mapping[str, Any]) -> bytes:
    """The document as JSON for the render process. `address` is where the code of a sheet leads, without its query."""
    second = any(row.second for one in stretches for page in one.pages for row in page.rows)
    document = {**facts, "second": second, "stretches": [_stretch(one, address) for one in stretches]}
    return json.dumps(document, ensure_ascii=False).encode()


def _stretch(one: FormStretch, address: str) -> dict[str, Any]:
    return {**asdict(one), "pages": [{**page._asdict(), "rows": [r._asdict() for r in page.rows],
                                      "address": _address(page, address)} for page in one.pages],
            "points": [point._asdict() for point in one.points]}  # fmt: skip


def _address(page: FormPage, address: str) -> str:
    place = page.place
    query = {"checklist": place.checklist, "stop": place.stop, "state": place.state, "place": place.row}
    return f"{address}?{urlencode(query, safe='/')}"


def form_html(document: Mapping[str, Any]) -> str:
    """The document as HTML; every text is escaped and checked against the typeface."""
    return fill_template("paper_form.html", **document, qr=draw_qr)


def render_paper_form(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of a form on A4 or Letter. Equal input gives equal bytes."""
    say("Writing the form")
    document = {**json.loads(data), "made_at": made_at}
    return write_paper(form_html(document), paper_style("paper_form.css"), PAPERS[paper])
