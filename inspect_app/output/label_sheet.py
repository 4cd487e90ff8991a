"""Label sheets as HTML and PDF: each label at its place in millimetres, its code as large as the label allows."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from inspect_app.domain.label_sheet import PAPERS_MM, LabelSize, Laid
from inspect_app.output.paper_page import PAPERS, fill_template, paper_style, write_paper
from inspect_app.output.qr import draw_qr

KIND = "label_sheet"
MARGIN_MM = 1.5  # nothing is printed nearer to the edge of a label; printers are out by about a millimetre
MOST_CODE_MM = 34.0
GAP_MM = 1.0  # the code brings its own quiet ground


def label_data(sheets: Sequence[Sequence[Laid]], size: LabelSize, facts: Mapping[str, Any]) -> bytes:
    """The document as JSON for the render process."""
    laid = [[{**one.label._asdict(), "x": one.x, "y": one.y} for one in sheet] for sheet in sheets]
    return json.dumps({**facts, "sheets": laid, "size": asdict(size)}, ensure_ascii=False).encode()


def label_html(document: Mapping[str, Any]) -> str:
    """The document as HTML; every text is escaped and checked against the typeface."""
    room = _words_mm(document["size"])
    sheets = [
        [{**one, "font_mm": _font_mm(one["large"], room, document["size"]["height"])} for one in sheet]
        for sheet in document["sheets"]
    ]
    return fill_template("label_sheet.html", **{**document, "sheets": sheets}, qr=draw_qr)


def _code_mm(size: Mapping[str, Any]) -> float:
    return min(float(size["height"]) - 2 * MARGIN_MM, float(size["width"]) * 0.5, MOST_CODE_MM)


def _words_mm(size: Mapping[str, Any]) -> float:
    return float(size["width"]) - _code_mm(size) - 2 * MARGIN_MM - GAP_MM


def _font_mm(text: str, room: float, height: float) -> float:
    """As large as fits on one line: a bold figure of the typeface is some 0.56 of its height wide, letters to 0.68."""
    return round(min(height * 0.34, room / (0.68 * max(len(text), 3)), 12.0), 2)


def _sizes_css(size: Mapping[str, Any]) -> str:
    """Where code and words lie on a label: the code in the upper left corner, the words beside it."""
    width, height, code = float(size["width"]), float(size["height"]), _code_mm(size)
    paper = PAPERS_MM[size["paper"]]
    return (
        f".sheet {{ width: {paper[0]:.3f}mm; height: {paper[1]:.3f}mm }}"
        f".label {{ width: {width:.3f}mm; height: {height:.3f}mm }}"
        f".label svg {{ left: {MARGIN_MM}mm; top: {min((height - code) / 2, MARGIN_MM):.3f}mm; "
        f"width: {code:.3f}mm; height: {code:.3f}mm }}"
        f".words {{ left: {MARGIN_MM + code + GAP_MM:.3f}mm; top: {MARGIN_MM}mm; width: {_words_mm(size):.3f}mm; "
        f"height: {height - 2 * MARGIN_MM:.3f}mm }}"
    )


def render_label_sheet(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of label sheets, on the paper that their size asks for. Equal input gives equal bytes."""
    say("Writing the labels")
    document = {**json.loads(data), "made_at": made_at}
    size = document["size"]
    css = paper_style("label_sheet.css") + _sizes_css(size)
    return write_paper(label_html(document), css, PAPERS[size["paper"]])
