"""Label sheets: each code lies where the size says, to 0.3 mm, and reads back; words stay on their label."""

import re
import subprocess
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from inspect_app.domain.label_sheet import SIZES, Label, lay_out
from inspect_app.domain.part_label import PartLabel, make_label
from inspect_app.output.label_sheet import label_data, render_label_sheet

DPI = 300
HOUSE, PART = "01890a5d-ac96-774b-bcce-b302099a8057", "01890a5d-ac96-774b-bcce-b302099a8058"
FACTS = {"house": "Old Mill Playhouse", "demo": False, "made_local": "2026-03-04 12:00", "printed_by": "Ines Okoro"}


@pytest.mark.parametrize("key", ["letter-2.6x1", "a4-63x38"])
def test_each_code_is_on_its_label_and_reads_back(key: str, tmp_path: Path) -> None:
    size = SIZES[key]
    address = make_label("https://walk.theatre.example:8443", PartLabel(HOUSE, PART))
    labels = [Label(f"LB {n}A-{n}", "loft block, set 12A, line 4 of 6, mid-long", address) for n in range(9, 15)]
    sheets = lay_out(labels, size, used=1)
    pdf = render_label_sheet(label_data(sheets, size, FACTS), size.paper, "2026-03-04T12:00:00Z", lambda _: None)
    (tmp_path / "labels.pdf").write_bytes(pdf)
    subprocess.run(
        [
            "pdftoppm",
            "-r",
            str(DPI),
            "-gray",
            "-png",
            "-singlefile",
            str(tmp_path / "labels.pdf"),
            str(tmp_path / "page"),
        ],
        check=True,
    )
    page = Image.open(tmp_path / "page.png")
    read = zxingcpp.read_barcodes(page)
    assert [one.text for one in read] == [address] * len(labels)
    mm = DPI / 25.4
    for laid in sheets[0]:
        inside = [
            one for one in read
            if laid.x * mm <= one.position.top_left.x and one.position.bottom_right.x <= (laid.x + size.width) * mm
            and laid.y * mm <= one.position.top_left.y and one.position.bottom_right.y <= (laid.y + size.height) * mm
        ]  # fmt: skip
        assert len(inside) == 1, laid
    words = subprocess.run(
        ["pdftotext", "-bbox", str(tmp_path / "labels.pdf"), "-"], check=True, capture_output=True, text=True
    ).stdout
    boxes = [
        (text, *(float(edge) * 25.4 / 72 for edge in edges))
        for *edges, text in re.findall(r'xMin="(.+?)" yMin="(.+?)" xMax="(.+?)" yMax="(.+?)">(.*?)</word>', words)
    ]
    for _, left, top, right, foot in boxes:
        assert any(
            laid.x <= left and right <= laid.x + size.width and laid.y <= top and foot <= laid.y + size.height
            for laid in sheets[0]
        ), "a word lies outside every label"
    for laid in sheets[0]:
        (large,) = [box for box in boxes if box[0] == laid.label.large.split()[1]]
        assert laid.x <= large[1] < laid.x + size.width
        assert laid.y <= large[2] < laid.y + size.height
