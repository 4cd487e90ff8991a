"""Paper about repairs and dates, read back with poppler: all is on it, dated and numbered, nothing is clipped."""

import io
import re
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from PIL import Image

from inspect_app.domain.register_paper import AcceptedRow, PaperRow, PaperSection, RegisterPaper
from inspect_app.domain.work_order import CAUTIONS, FoundPrinted, PhotoPrinted, WorkOrder, order_lines
from inspect_app.domain.year_plan import PlanLine, PlanMonth, YearPlan
from inspect_app.domain.yearly_letter import GradeLine, Money, Named
from inspect_app.output.render import RenderJob, render_report
from inspect_app.output.repair_paper import KIND, paper_data
from tests.warm_render import started_cold

HEAD = {"house": "Old Mill", "demo": False, "made_local": "2026-03-04 19:22", "printed_by": "Ines Halloran"}
PAPERS = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}
LONG = "unbrokenwordwithoutanyspace" * 9
PHOTO = "0199aabb-0000-7000-8000-000000000001"


def run(*words: object) -> str:
    return subprocess.run([str(word) for word in words], capture_output=True, check=True, text=True).stdout


def printed(folder: Path, form: str, facts: dict[str, Any], paper: str, photos: dict[str, bytes] | None = None) -> Path:
    """The PDF of a form, whose words all lie inside the margins of the asked paper."""
    path = folder / f"{form}-{paper}.pdf"
    job = RenderJob(paper_data(form, {**HEAD, **facts}), photos or {}, paper, "2026-03-04T19:22:00+00:00", KIND)
    path.write_bytes(render_report(job, lambda _: None))
    root = ET.fromstring(re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "", run("pdftotext", "-bbox", path, "-")))
    space = "{http://www.w3.org/1999/xhtml}"
    for page in root.iter(f"{space}page"):
        width, height = float(page.get("width", 0)), float(page.get("height", 0))
        assert (width, height) == pytest.approx(PAPERS[paper], abs=1)
        for word in page.iter(f"{space}word"):
            left, top, right, bottom = (float(word.get(side, 0)) for side in ("xMin", "yMin", "xMax", "yMax"))
            assert min(left - 20, top - 10, width - 20 - right, height - 10 - bottom) >= 0, word.text
    return path


def text_of(path: Path) -> str:
    return " ".join(run("pdftotext", "-layout", path, "-").split())


def jpeg() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (600, 450), "grey").save(out, "JPEG")
    return out.getvalue()


def an_order(number: int, **more: Any) -> WorkOrder:
    found = FoundPrinted(
        "still there, Sam Orr, 4 March 2026, 19:20", "No crack", f"crack <b> of number {number}", "3 of 0 to 4",
        ("groove 8.1 mm: outside the cited criterion", "Basis of the point: 29 CFR 1926.1413"), "cracked cheek",
        (PhotoPrinted(PHOTO, "taken 4 March"), PhotoPrinted("x", "", "This photo had not reached the record.")),
    )  # fmt: skip
    values: dict[str, Any] = {
        "number": number, "tag": f"LB {number}-1", "where": "grid", "place": (("Area", "Grid"), ("Well", "WELL 3")),
        "what": f"cheek {LONG}", "grade": "stop_use", "grade_word": "stop use", "grade_means": "Not to be used.",
        "facts": (("Decision", "replace it"), ("Decided by", "Ines")), "due": "2026-04-01", "overdue": True,
        "who": "Harbour Rigging", "order_number": "PO 104", "stops": ("Out of use: do not move. Line set 12.",),
        "limits": ("Line set 12, restriction: load 100 kg",), "found": (found,), "check": "a qualified inspector",
        "release": ("Line set 12: released only by a qualified inspector",), "proof": ("Parts used", "What was done"),
        "more_photos": 2, "earlier": "look 1", "page": f"https://log.example/houses/x/deficiencies/{'0' * 36}",
    }  # fmt: skip
    return WorkOrder(**{**values, **more})


def order_facts(*orders: WorkOrder) -> dict[str, Any]:
    return {
        "who": "Harbour Rigging",
        "orders": [asdict(one) for one in orders],
        "lines": [line._asdict() for line in order_lines(orders)],
        "cautions": CAUTIONS,
    }


@pytest.mark.parametrize("paper", PAPERS)
def test_a_work_order_says_where_what_within_which_limits_and_what_to_bring_back(tmp_path: Path, paper: str) -> None:
    path = printed(tmp_path, "work_order", order_facts(an_order(12)), paper, {PHOTO: jpeg()})
    text = text_of(path)
    for words in (
        "Deficiency 12: LB 12-1", "Old Mill", "WELL 3", "Out of use: do not move. Line set 12.", "load 100 kg",
        "crack <b> of number 12", "29 CFR 1926.1413", "outside the cited criterion", "replace it", "PO 104",
        "Harbour Rigging", "2026-04-01 overdue", "This photo had not reached the record.", "Done on (date), by",
        "Parts used", "Signature, date", "checked by a qualified inspector", "Nobody checks their own work",
        "released only by a qualified inspector", "takes the place of each earlier print",
        "2026-03-04 19:22", "Page 1 of", "certifies nothing", "2 more photos",
        "Local codes", *(caution.split(".")[0] for caution in CAUTIONS),
    ):  # fmt: skip
        assert words in text, words
    assert " safe" not in text.lower()
    with pikepdf.open(path) as pdf:
        assert pdf.Root.Lang == "en"
        streams = [one for one in pdf.objects if isinstance(one, pikepdf.Stream)]
        assert sum(one.get("/Subtype") == "/Image" for one in streams) == 1


def test_all_orders_of_a_contractor_are_listed_in_front_and_each_has_its_own_page(tmp_path: Path) -> None:
    orders = [an_order(n, found=(), stops=()) for n in range(1, 5)]
    pages = run("pdftotext", "-layout", printed(tmp_path, "work_order", order_facts(*orders), "A4"), "-").split("\f")
    front = " ".join(pages[0].split())
    assert "Work orders for Harbour Rigging" in front
    for n in range(1, 5):
        assert f"LB {n}-1" in front
        assert sum(f"Deficiency {n}: LB {n}-1" in " ".join(page.split()) for page in pages) == 1


def test_equal_input_gives_equal_bytes(tmp_path: Path) -> None:
    first = printed(tmp_path, "work_order", order_facts(an_order(12)), "A4", {PHOTO: jpeg()}).read_bytes()
    with started_cold():
        assert printed(tmp_path, "work_order", order_facts(an_order(12)), "A4", {PHOTO: jpeg()}).read_bytes() == first


def paper_row(number: int, **more: Any) -> PaperRow:
    values = {
        "number": str(number), "part": f"LB {number}-1", "where": "set 1, Grid", "what": f"worn {LONG}",
        "grade": "watch", "state": "found", "when": "2026-04-01 (house's days)", "late": number % 2 == 0,
        "who": "Harbour Rigging",
    }  # fmt: skip
    return PaperRow(**{**values, **more})


ACCEPTED = AcceptedRow("W HR", "open well", "Odile", "rail ordered", "letter 4", "2026-02-01", True, "")


@pytest.mark.parametrize("paper", PAPERS)
def test_the_register_holds_each_row_of_each_section_over_many_pages(tmp_path: Path, paper: str) -> None:
    sections = (
        PaperSection("Open: watch", "To be looked at again.", "Due", tuple(paper_row(n) for n in range(1, 121)), ""),
        PaperSection("Put off", "Resting.", "Put off until", (paper_row(500, when="2027-01-01"),), "None."),
        PaperSection("Open: restrict", "Limits.", "Due", (), "None is recorded. That says nothing."),
    )
    register = RegisterPaper("2026-03-04", "2026-01-01", sections, (ACCEPTED,))
    path = printed(tmp_path, "register", {"register": asdict(register)}, paper)
    text = text_of(path)
    for n in [*range(1, 121), 500]:
        assert f"LB {n}-1" in text
    count = int(re.findall(r"Pages:\s+(\d+)", run("pdfinfo", path))[0])
    assert f"Page {count} of {count}" in text
    for words in ("None is recorded. That says nothing.", "open well", "passed: it counts as open again", "2027-01-01",
                  "says nothing about the state of a house", "certifies nothing", "2026-03-04 19:22"):  # fmt: skip
        assert words in text, words
    assert "score" not in text.lower()


def letter_facts(lists: int) -> dict[str, Any]:
    names = tuple(
        Named(str(n), f"LB {n}-1", f"worn number {n}", "restrict", "found on 2026-01-01") for n in range(lists)
    )
    named = {"rows": names, "others": 40, "total": lists + 40}
    letter = {
        "first": "2025-03-01", "last": "2026-02-28", "asked": 90, "granted": 40, "settled": 22, "waiting": 3,
        "no_fault": 1, "covered": 2, "grades": (GradeLine("stop use", 3, 2, 1, 2),), "money":
        (Money("USD", "120.00 USD", "23462.00 USD"),), "without_estimate": 4, "overdue": 5, "accepted": (ACCEPTED,),
        "not_decided": named, "put_off": named, "still_open": named, "recurring": named,
    }  # fmt: skip
    return {"letter": letter, "directors": "Ines Halloran", "managers": "Odile Marchbanks"}


@pytest.mark.parametrize("paper", PAPERS)
def test_the_letter_tells_its_figures_and_lists_in_few_pages(tmp_path: Path, paper: str) -> None:
    path = printed(tmp_path, "letter", letter_facts(4), paper)
    text = text_of(path)
    for words in ("To the facility manager: Odile Marchbanks", "From the technical director: Ines Halloran",
                  "2025-03-01 to 2026-02-28", "90 deficiencies were open", "40 were granted", "23462.00 USD",
                  "120.00 USD", "4 of what is open have no estimate", "5 are past the day", "the register has 40 more",
                  "LB 3-1", "came again", "open well", "Technical director, date", "certifies nothing"):  # fmt: skip
        assert words in text, words
    assert int(re.findall(r"Pages:\s+(\d+)", run("pdfinfo", path))[0]) <= 2


@pytest.mark.parametrize("paper", PAPERS)
def test_the_plan_of_the_year_names_each_month_and_each_line(tmp_path: Path, paper: str) -> None:
    lines = tuple(PlanLine(f"Mon 2026-04-{n:02}", "Walk", f"walk {n}", LONG[:160], "due", n == 1) for n in range(1, 9))
    months = tuple(PlanMonth(f"Month {n}", lines if n == 2 else ()) for n in range(1, 13))
    plan = YearPlan("2026-03-04", lines[:1], months, ("No rule set is chosen for this house.",))
    text = text_of(printed(tmp_path, "year_plan", {"plan": asdict(plan)}, paper))
    for words in (*(f"Month {n}" for n in range(1, 13)), *(f"walk {n}" for n in range(1, 9)), "Nothing.",
                  "From before, or without a day", "No rule set is chosen", "people decide"):  # fmt: skip
        assert words in text, words
