"""Paper for the rail, read back with pdftotext: tags, cards and *not to be flown today*."""

import subprocess
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from inspect_app.output.rail_paper import KIND, paper_data
from inspect_app.output.render import RenderJob, render_report

HEAD = {"house": "Old Mill", "demo": False, "made_local": "2026-03-04 19:22", "printed_by": "Ines Halloran"}
CARD = {
    "line_set": "x", "number": "12", "label": "2nd electric", "kind": "single purchase", "word": "Out of use",
    "bars": ["Stopped: LB 12-3: cracked cheek"], "limits": [], "posted": [["ARB 12", "1200 lb"]],
    "last_walk": "2026-02-01", "relook_on": "2026-04-01", "around": ["Grid: two people on deck"], "revision": 4,
    "weights": [["Pipe weight that stays on", "73.8 lb"], ["Imbalance on the lock's plate", "50 lb; balance the set"]],
}  # fmt: skip
LIMITED = {
    **CARD,
    "number": "13",
    "word": "Restricted",
    "bars": [],
    "limits": ["bent cheek: load 100 kg"],
    "revision": 2,
}
PLAIN = {
    **CARD, "number": "14", "word": "No stop and no restriction in this log", "bars": [], "posted": [], "last_walk": "",
    "relook_on": "",
}  # fmt: skip
TAG = {
    "scope": "Line set 20", "part_tag": "", "hold": False, "why": "brake slips <b>", "raised_by": "Sam Orr",
    "raised_local": "2026-03-04 19:20", "responsible": "", "motorised": True, "lockout_point": "isolator 7, gallery",
    "height": "22 ft", "load": "6 lamps", "tags_at": "rail, console", "hung_by": "Joan Pell",
    "entitled": "qualified inspector", "tag_short": "0199aabb",
    "address": "https://log.example/houses/0199aabb-0000-7000-8000-000000000000/tag-outs/0199aabb-0000-7000-8000-0",
}  # fmt: skip


def text_of(tmp_path: Path, form: str, **facts: object) -> tuple[str, str]:
    """The text of a rendered document on a metric house's paper, and what pdfinfo says of it."""
    data = paper_data(form, {**HEAD, **facts})
    path = tmp_path / f"{form}.pdf"
    path.write_bytes(render_report(RenderJob(data, {}, "A4", "2026-03-04T19:22:00+00:00", KIND), lambda _: None))
    texts = [
        subprocess.run([*command, str(path), *rest], capture_output=True, text=True, check=True).stdout
        for command, rest in ((["pdftotext", "-layout"], ["-"]), (["pdfinfo"], []))
    ]
    return " ".join(texts[0].split()), texts[1]


def test_a_tag_says_what_is_out_of_use_why_and_where_a_motor_is_locked_off(tmp_path: Path) -> None:
    text, info = text_of(tmp_path, "tag", **TAG)
    for words in (
        "Line set 20", "OUT OF USE. DO NOT USE", "brake slips <b>", "Sam Orr, 2026-03-04 19:20", "isolator 7, gallery",
        "22 ft", "6 lamps", "rail, console", "Joan Pell", "Leave it as it is", "qualified inspector", "Page 1 of 1",
        "printed 2026-03-04 19:22", "certifies nothing",
        "Printed 2026-03-04 19:22 by Ines Halloran: takes the place of each earlier print of this tag",
    ):  # fmt: skip
        assert words in text, words
    for verb in ("lower", "raise it", "fly it", "bring in", "move"):
        assert verb not in text.lower()
    assert "Pages: 1" in " ".join(info.split())
    assert "297.638 x 419.528 pts" in info, "A6 is 105 mm by 148 mm (ISO 216)"


def test_a_phone_reads_the_address_of_the_tag_out_from_the_tag(tmp_path: Path) -> None:
    text_of(tmp_path, "tag", **TAG)
    subprocess.run(["pdftoppm", "-r", "150", "-png", str(tmp_path / "tag.pdf"), str(tmp_path / "tag")], check=True)
    (page,) = tmp_path.glob("tag-*.png")
    assert [one.text for one in zxingcpp.read_barcodes(Image.open(page))] == [TAG["address"]]


def test_a_motorised_set_without_a_recorded_lockout_point_says_so(tmp_path: Path) -> None:
    text, _ = text_of(tmp_path, "tag", **{**TAG, "lockout_point": ""})
    assert "NOT RECORDED" in text


def test_each_card_has_its_page_revision_state_limits_and_dates(tmp_path: Path) -> None:
    text, info = text_of(tmp_path, "cards", cards=[CARD, LIMITED, PLAIN])
    for words in (
        "Set 12", "Out of use. DO NOT USE", "cracked cheek", "1200 lb", "2026-02-01", "2026-04-01", "card revision 4",
        "Page 1 of 3", "Set 13", "bent cheek: load 100 kg", "card revision 2", "Page 3 of 3",
        "No stop and no restriction in this log", "never recorded",
        "Where it hangs", "Grid: two people on deck", "Pipe weight that stays 73.8 lb", "50 lb; balance the set",
        "revision 4, takes the place of revision 3;", "Take down an older revision",
    ):  # fmt: skip
        assert words in text, words
    assert "takes the place" not in text_of(tmp_path, "cards", cards=[{**CARD, "revision": 1}])[0]
    assert "Pages: 3" in " ".join(info.split())
    assert " safe" not in text


@pytest.mark.parametrize("barred", [True, False])
def test_the_sheet_not_to_be_flown_today_names_each_set_or_says_what_its_silence_means(
    tmp_path: Path, barred: bool
) -> None:
    rows = [{"what": "Set 12", "label": "2nd electric", "why": ["Stopped: cracked cheek"]}] if barred else []
    limited = [{"what": "Set 13", "why": ["load 100 kg"]}]
    text, _ = text_of(tmp_path, "not_today", barred=rows, others=[["Loading bridge", "rail loose"]], limited=limited)
    for words in ("Not to be flown today", "Loading bridge", "rail loose", "Set 13", "load 100 kg", "Page 1 of 1"):
        assert words in text, words
    assert ("Set 12" in text and "Stopped: cracked cheek" in text) == barred
    assert ("says nothing about what has not been looked at" in text) != barred
