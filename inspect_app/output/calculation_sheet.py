"""A calculation sheet: a worksheet's answer as a JSON document, and that document as a dated PDF.

`sheet_data` runs in the server, `render_sheet` in the render process of worker.py, with the isolated fonts.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from markupsafe import Markup

from inspect_app.domain.batten_load import BeamPicture
from inspect_app.domain.measure_history import Outlook
from inspect_app.domain.worksheet import COMES_FIRST, ROUNDING, WHAT_IF, Answer, Worksheet
from inspect_app.domain.worksheets.words import kept_together
from inspect_app.output.beam_picture import beam_picture
from inspect_app.output.fonts import printable
from inspect_app.output.paper_page import PAPERS, fill_template, paper_style, write_paper
from inspect_app.output.trend_picture import trend_svg

KIND = "calculation_sheet"
TONE_WORDS: Mapping[str, str] = {
    "outside": "outside", "cannot_tell": "cannot tell", "inside": "inside", "not_judged": "not judged",
    "withheld": "withheld",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class SheetFacts:
    """Who asked for a sheet, where and when. `place` is the line set, if it is about one; `paper` is A4 or Letter.

    `data` names the reference data that it was worked out with, `again` the address that works it out once more.
    """

    house: str
    place: str
    made_at: str  # ISO 8601
    made_local: str
    asked_by: str
    paper: str
    units: str
    demo: bool = False
    data: str = ""
    again: str = ""


def picture_svg(picture: object | None) -> str:
    """The picture of an answer, or its pictures one below another, as SVG text; '' when there is none."""
    if isinstance(picture, Outlook):
        return trend_svg(picture, "trend")
    drawn = picture if isinstance(picture, tuple) else (picture,)
    return "".join(beam_picture(one, f"beam-{n}") for n, one in enumerate(drawn, 1) if isinstance(one, BeamPicture))


def sheet_data(
    sheet: Worksheet,
    given: Sequence[tuple[str, str, str]],
    answer: Answer,
    facts: SheetFacts,
    empty: Sequence[str] = (),
) -> bytes:
    """Everything that the paper shows, as JSON: `given` is label, as typed, as understood; `empty` what was not."""
    document = {
        "facts": asdict(facts),
        "title": sheet.title,
        "about": sheet.about,
        "formula": list(sheet.formula),
        "given": [list(row) for row in given],
        "empty": list(empty),
        "outcomes": [asdict(outcome) for outcome in answer.outcomes],
        "steps": [asdict(step) for step in answer.steps],
        "tables": [asdict(table) for table in answer.tables],
        "assumptions": list(answer.assumptions),
        "cautions": list(answer.cautions),
        "citations": list(answer.all_citations()),
        "picture": picture_svg(answer.picture),
    }
    return json.dumps(document, ensure_ascii=False).encode()


def sheet_html(document: Mapping[str, Any]) -> str:
    """The sheet as one HTML page; every text escaped and checked against the typeface."""
    drawn = [f"{one}</svg>" for one in printable(document["picture"]).split("</svg>") if one]
    pictures = [Markup(one) for one in drawn]  # noqa: S704  drawn by picture_svg, escaped piece by piece
    return fill_template(
        "calculation_sheet.html",
        **document,
        pictures=pictures,
        what_if=WHAT_IF,
        comes_first=COMES_FIRST,
        tone_words=TONE_WORDS,
        kept=kept_together,
        rounding=ROUNDING,
    )


def render_sheet(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of a sheet's document on A4 or Letter paper. Equal input gives equal bytes."""
    say("Writing the sheet")
    document = json.loads(data)
    document["facts"]["made_at"] = made_at
    return write_paper(sheet_html(document), paper_style("calculation_sheet.css"), PAPERS[paper])
