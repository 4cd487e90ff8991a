"""Paper about repairs and dates as HTML and PDF: work orders, the register, the yearly letter, the plan of the year.

`paper_data` runs in the server, `render_repair_paper` in the render process of worker.py, with the isolated fonts.
"""

import json
from collections.abc import Callable, Mapping
from typing import Any

from inspect_app.domain.report_words import DEMO_LINE, SHORT_STATEMENT
from inspect_app.output.paper_page import PAPERS, fill_template, paper_style, write_paper
from inspect_app.output.qr import draw_qr
from inspect_app.output.report_photo import fit_photos

KIND = "repair_paper"
TITLES: Mapping[str, str] = {
    "work_order": "Work order",
    "register": "Register of deficiencies",
    "letter": "Letter to the facility manager",
    "year_plan": "Plan of the year",
}


def paper_data(form: str, facts: Mapping[str, Any]) -> bytes:
    """The document of one form (a key of TITLES) as JSON, for the render process."""
    return json.dumps({"form": form, **facts}, ensure_ascii=False).encode()


def paper_html(document: Mapping[str, Any]) -> str:
    """One document as HTML; every text is escaped and checked against the typeface."""
    form = document["form"]
    return fill_template(
        f"repair_{form}.html", **document, title=TITLES[form], comes_first=SHORT_STATEMENT, demo_line=DEMO_LINE,
        qr=draw_qr,
    )  # fmt: skip


def render_repair_paper(
    data: bytes, photos: Mapping[str, bytes], paper: str, made_at: str, say: Callable[[str], None]
) -> bytes:
    """The PDF of a document with its JPEGs by photo id, on A4 or Letter paper. Equal input gives equal bytes."""
    document = json.loads(data)
    document["made_at"] = made_at
    say("Preparing the photos" if photos else "Writing the paper")
    served = {f"app:photo/{photo}": ("image/jpeg", content) for photo, content in fit_photos(photos).items()}
    return write_paper(paper_html(document), paper_style("desk_paper.css", "repair_paper.css"), PAPERS[paper], served)
