"""The printed form: its code opens the same place, its rows keep to their sheet, nothing is cut at the margin."""

import re
import subprocess
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from inspect_app.domain.paper_form import ROWS_ON_A_PAGE, AskedPoint, FormPage, FormRow, FormStretch
from inspect_app.domain.walk_order import Place
from inspect_app.output.paper_form import form_data, render_paper_form

PLACE = Place("grid-quarterly", "loft-and-line", "static", "01890a5d-ac96-774b-bcce-b302099a8057/3")
FACTS = {
    "house": "Old Mill Playhouse", "demo": True, "made_local": "2026-03-04 12:00", "printed_by": "Ines Okoro",
    "title": "Quarterly grid and gallery walk", "scope": "All sets", "notice": "This list certifies nothing.",
    "before": ["The stage below is clear."],
}  # fmt: skip


def a_form(pages: int) -> tuple[FormStretch, ...]:
    rows = tuple(FormRow(n, f"Set {n}: second border masking", f"LB {n}-3, LL {n}-3, TM {n}-3") for n in range(1, 14))
    assert len(rows) == ROWS_ON_A_PAGE
    point = AskedPoint("A", "Groove is round", "loft block", "measure", "groove radius in in or mm", ("Tread cut",))
    sheet = FormPage("Well W 3, sheet 1 of 4", rows, PLACE)
    stretch = FormStretch(
        "Quarterly", "ab" * 32, "Loft block and its line", "grid", "at rest", (point,) * 20, (sheet,) * pages
    )
    return (stretch,)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_full_sheet_is_one_page_and_its_code_names_the_place(paper: str, tmp_path: Path) -> None:
    address = "https://walk.theatre.example/houses/01890a5d-ac96-774b-bcce-b302099a8056/paper/open"
    data = form_data(a_form(2), address, FACTS)
    (tmp_path / "form.pdf").write_bytes(render_paper_form(data, paper, "2026-03-04T12:00:00Z", lambda _: None))
    said = subprocess.run(["pdfinfo", str(tmp_path / "form.pdf")], check=True, capture_output=True, text=True).stdout
    assert re.search(r"Pages:\s+4\b", said), "a cover, the points and two sheets"
    subprocess.run(
        [
            "pdftoppm",
            "-r",
            "200",
            "-f",
            "3",
            "-gray",
            "-png",
            "-singlefile",
            str(tmp_path / "form.pdf"),
            str(tmp_path / "page"),
        ],
        check=True,
    )
    (code,) = zxingcpp.read_barcodes(Image.open(tmp_path / "page.png"))
    assert code.text == (
        f"{address}?checklist=grid-quarterly&stop=loft-and-line&state=static"
        "&place=01890a5d-ac96-774b-bcce-b302099a8057/3"
    )
