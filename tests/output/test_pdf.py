"""The PDF held against independent readers: poppler, pikepdf, a PDF/UA subset checker and an audit hook."""

import hashlib
import json
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import pikepdf
import pytest

from tests.warm_render import started_cold

SAMPLES = ("walk_data", "draft", "tiny", "empty", "nothing_reached", "many_rules", "hostile", "inspected")
PAPERS = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}
EVERY = [(name, paper) for name in SAMPLES for paper in PAPERS]
STATEMENT = (
    "This log records observations; it certifies nothing. Local codes, the authority having jurisdiction, the maker's "
    "instructions and a qualified person's judgement come first."
)


def run(*words):
    return subprocess.run([str(word) for word in words], capture_output=True, check=True, text=True).stdout


@cache
def text_of(path, *options):
    return run("pdftotext", *options, path, "-")


def flat(text):
    return " ".join(text.split())


@cache
def pages_of(path):
    box = run("pdftotext", "-bbox", path, "-")
    root = ET.fromstring(re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "", box))
    space = "{http://www.w3.org/1999/xhtml}"
    return [
        (
            float(page.get("width")),
            float(page.get("height")),
            [
                (*(float(word.get(side)) for side in ("xMin", "yMin", "xMax", "yMax")), word.text)
                for word in page.iter(f"{space}word")
            ],
        )
        for page in root.iter(f"{space}page")
    ]


@pytest.mark.parametrize(("name", "paper"), EVERY)
def test_no_word_leaves_its_page(rendered, name, paper):
    for width, height, words in pages_of(rendered(name, paper)):
        for left, top, right, bottom, word in words:
            assert left >= 20, word
            assert top >= 10, word
            assert right <= width - 20, word
            assert bottom <= height - 10, word


@pytest.mark.parametrize(("name", "paper"), EVERY)
def test_every_page_has_the_asked_size_and_the_plan_lies_across(rendered, name, paper):
    tall = tuple(round(side) for side in PAPERS[paper])
    sizes = {(round(width), round(height)) for width, height, _ in pages_of(rendered(name, paper))}
    assert sizes <= {tall, tall[::-1]}
    assert (tall[::-1] in sizes) == (name != "empty")


@pytest.mark.parametrize(("name", "paper"), EVERY)
def test_no_page_holds_only_its_running_head_and_foot(rendered, name, paper):
    for number, (_, height, words) in enumerate(pages_of(rendered(name, paper)), 1):
        inside = [word for word in words if word[1] > 54 and word[3] < height - 51]
        assert len(inside) >= 8, f"page {number} has only {[word[4] for word in inside]}"


@pytest.mark.parametrize(("name", "paper"), EVERY)
def test_no_page_holds_only_a_line_or_two(rendered, name, paper):
    for number, (_, height, words) in enumerate(pages_of(rendered(name, paper)), 1):
        inside = [word for word in words if word[1] > 54 and word[3] < height - 51]
        lines = {round(word[3] / 4) for word in inside}
        assert len(lines) >= 4, f"page {number} has only {[word[4] for word in inside]}"


@pytest.mark.parametrize(("paper", "rows"), [("A4", 19), ("Letter", 17)])  # the table alone fills the page
def test_the_owners_signature_never_leaves_the_last_rows_of_its_table(sample, data_of, tmp_path, paper, rows):
    from inspect_app.output.render import RenderJob, render_report

    data, _ = data_of("many_rules")
    few = {**data, "measures": [], "findings": data["findings"][:rows]}
    job = RenderJob(sample.sealed(few), {}, paper, "2026-03-05T15:10:00+00:00")
    path = tmp_path / "full.pdf"
    path.write_bytes(render_report(job, lambda text: None))
    last = flat(text_of(path).split("\f")[-2])
    assert "Signature, date" in last
    for row in (rows - 2, rows - 1, rows):
        assert f"F{row} LL {row}-1" in last


@pytest.mark.parametrize("name", SAMPLES)
def test_no_heading_stands_alone_at_the_foot_of_a_page(rendered, name):
    headings = {"Findings", "Coverage:", "Measures", "Signatures", "By", "Accepted", "Criteria", "Deficiencies"}
    for _, height, words in pages_of(rendered(name)):
        inside = [word for word in words if word[3] < height - 51]
        if inside and height > 700:
            last = max(word[3] for word in inside)
            line = [word[4] for word in inside if word[3] > last - 3]
            big = max(word[3] - word[1] for word in inside if word[3] > last - 3) > 15
            assert not (big and line[0] in headings), line


@pytest.mark.parametrize(("name", "paper"), EVERY)
def test_all_fonts_are_ours_and_embedded(rendered, name, paper):
    rows = run("pdffonts", rendered(name, paper)).splitlines()[2:]
    assert rows
    for row in rows:
        assert re.match(r"[A-Z]{6}\+Source-?Sans-?Pro", row), row
        assert re.search(r"\byes\s+yes\s+yes\b", row), row


@pytest.mark.parametrize("name", SAMPLES)
def test_the_attachments_are_the_sealed_bytes_and_the_tables(rendered, sample, data_of, name, tmp_path):
    path = rendered(name)
    run("pdfdetach", "-saveall", "-o", tmp_path, path)
    data, _ = data_of(name)
    assert (tmp_path / "walk.json").read_bytes() == sample.sealed(data)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["findings.csv", "measures.csv", "parts.csv", "walk.json"]
    assert len((tmp_path / "parts.csv").read_text("utf-8-sig").splitlines()) == len(data["parts"]) + 1


@pytest.mark.parametrize("name", SAMPLES)
def test_the_digest_printed_is_that_of_the_attachment(rendered, sample, data_of, name):
    data, _ = data_of(name)
    digest = hashlib.sha256(sample.sealed(data)).hexdigest()
    assert digest in "".join(text_of(rendered(name)).split())


@pytest.mark.parametrize("name", SAMPLES)
def test_it_is_tagged_and_declared_as_archival_and_accessible(rendered, name):
    with pikepdf.open(rendered(name)) as pdf:
        assert str(pdf.Root.Lang) == "en"
        assert pdf.Root.MarkInfo.Marked
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        assert len(pdf.Root.AF) == 4
        relations = {str(file.UF): str(file.AFRelationship) for file in pdf.Root.AF}
        assert relations == {
            "walk.json": "/Source",
            "parts.csv": "/Data",
            "findings.csv": "/Data",
            "measures.csv": "/Data",
        }
        xmp = bytes(pdf.Root.Metadata.read_bytes())
        assert xmp.count(b"<rdf:RDF") == 1
        with pdf.open_metadata() as meta:
            assert meta["pdfaid:part"] == "3"
            assert meta["pdfaid:conformance"] == "A"
            assert meta["{http://www.aiim.org/pdfua/ns/id/}part"] == "1"


@pytest.mark.parametrize("name", ["walk_data", "hostile"])
def test_every_figure_has_words_and_every_cell_knows_its_heads(rendered, name):
    with pikepdf.open(rendered(name)) as pdf:
        elements = [
            thing
            for thing in pdf.objects
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/StructElem"
        ]
        figures = [thing for thing in elements if thing.S == "/Figure"]
        assert figures
        assert all(str(thing.get("/Alt", "")) for thing in figures)
        ids = {str(thing.ID) for thing in elements if thing.S == "/TH"}
        cells = [thing for thing in elements if thing.S == "/TD"]
        assert len(cells) > 100
        for cell in cells:
            heads = {str(head) for head in cell.A.get("/Headers", [])}
            assert heads
            assert heads <= ids


# pdfua 0.1.3 looks for /Headers beside /S, not inside the cell's attribute object, where ISO 32000-1, 14.8.5.7 puts it;
# the test before this one reads them there. Its UA-14-001 fails inside itself on these files and calls that skipped.
BLIND_TO_ATTRIBUTES = {"UA-15-003"}


@pytest.mark.parametrize("name", ["walk_data", "tiny", "empty", "draft"])
def test_a_checker_of_pdf_ua_finds_no_fault(rendered, name):
    command = [sys.executable, "-m", "pdfua", "check", "--format", "json", str(rendered(name))]
    report = json.loads(subprocess.run(command, capture_output=True, text=True, check=False).stdout)
    assert report["summary"]["errors"] == 0
    assert report["summary"]["rules_run"] >= 11
    assert {finding["rule_id"] for finding in report["findings"]} <= BLIND_TO_ATTRIBUTES


@pytest.mark.parametrize(
    ("name", "paper"), [("draft", "A4"), ("tiny", "Letter"), ("many_rules", "Letter"), ("hostile", "A4")]
)
def test_poppler_and_qpdf_read_it_without_complaint(rendered, name, paper):
    done = subprocess.run(["pdftotext", str(rendered(name, paper)), "-"], capture_output=True, text=True, check=True)
    assert done.stderr == ""
    assert (
        subprocess.run(["qpdf", "--check", str(rendered(name, paper))], capture_output=True, check=False).returncode
        == 0
    )


def test_sixty_photos_and_forty_sets_stay_under_fifteen_megabytes(rendered, data_of):
    data, photos = data_of("walk_data")
    assert len(data["line_sets"]) == 40
    assert len(photos) == 60
    assert rendered("walk_data").stat().st_size < 15_000_000
    images = run("pdfimages", "-list", rendered("walk_data")).splitlines()[2:]
    assert len([row for row in images if " jpeg " in row]) == 60


@pytest.mark.parametrize("name", SAMPLES)
def test_every_page_is_numbered_and_names_the_demonstration(rendered, name):
    path = rendered(name)
    count = len(pages_of(path))
    for page, text in enumerate(map(flat, text_of(path).split("\f")[:count]), 1):
        assert f"Page {page} of {count}" in text
        assert "Demonstration, invented house" in text
        assert ("DRAFT, not signed" in text) == (name == "draft")


@pytest.mark.parametrize("name", SAMPLES)
def test_it_defers_to_codes_makers_and_qualified_people(rendered, name):
    assert STATEMENT in flat(text_of(rendered(name))).replace("’", "'")


@pytest.mark.parametrize("name", SAMPLES)
def test_no_count_of_findings_stands_as_a_score_and_nothing_is_called_safe(rendered, name):
    text = flat(text_of(rendered(name)))
    assert not re.search(r"\b\d+ (findings?|remarks?|deficienc(y|ies)|faults?|defects?|issues?)\b", text)
    assert not re.search(
        r"\b(score|rating of the house|health|grade of the house)\b(?!\.)", text.replace("is a score.", ""), re.I
    )
    assert not re.search(r"\bsafe\b", text, re.I)


def test_the_stop_is_on_page_one_with_who_was_told_and_when(rendered):
    text = flat(text_of(rendered("walk_data"), "-f", 1, "-l", 1))
    assert "Out of use now" in text
    assert "Line set 12" in text
    assert "The rail was told: Joan Pell, 4 March 2026, 13:03" in text


def test_gaps_are_never_empty_by_omission(rendered, data_of):
    assert "None: every part in scope has a look." in flat(text_of(rendered("tiny")))
    assert "No part was in scope." in flat(text_of(rendered("empty")))
    everything = flat(text_of(rendered("nothing_reached")))
    assert "every part in scope has a look" not in everything.lower()
    assert f"Of {len(data_of('nothing_reached')[0]['parts'])} parts in scope, none was looked at." in everything
    for tags in ("LB lines 1 to 6 of sets 1 to 14", "HB 1 to 14", "AR 1 to 5, 7 to 14", "FC 1", "GD 1 to 12"):
        assert tags in everything


def test_a_figure_under_many_rules_says_each_verdict_once_and_keeps_every_citation(rendered):
    text = flat(text_of(rendered("many_rules")))
    finding = text[text.index("F3 LL 3-1 ") : text.index("F4 LL 4-1 ")]
    said = [finding.index(words) for words in ("“outside the", "“cannot tell", "“not judged", "“inside the")]
    assert said == sorted(said)
    for words in ("“outside the cited", "“cannot tell with", "“not judged: the lay", "“inside the cited"):
        assert finding.count(words) == 1
    marks = ("text read", "from a secondary source", "from memory: confirm before relying on it") * 4
    for n, mark in zip(range(12), marks, strict=True):
        assert f"Invented rule {n}, clause {n} [{mark}]" + (", by analogy" if n % 2 == 0 else "") in finding
    assert "outside when less than about 0.237 in (6.02 mm): Invented rule 2" in finding  # 6.02 mm / 25.4 = 0.23701 in


def test_hostile_text_is_printed_and_never_obeyed(rendered, sample):
    text = text_of(rendered("hostile"))
    whole = "".join(text.split())
    assert "<script>alert(1)</script>" in whole
    assert "{{7*7}}" in whole
    assert "[U+1F525U+1F9D1U+200DU+1F527]" in whole
    assert "[U+4E2DU+6587U+5B57]" in whole
    assert "[U+202E]" in whole
    with pikepdf.open(rendered("hostile")) as pdf:
        assert not [a for page in pdf.pages for a in page.get("/Annots", []) if a.get("/A", {}).get("/S") == "/URI"]
        assert len(pdf.Root.AF) == 4


def test_equal_input_gives_equal_bytes_in_another_process(rendered, render_again):
    first = rendered("draft").read_bytes()
    with started_cold():
        assert first == render_again("draft")
    assert first != rendered("draft", "Letter").read_bytes()


AUDIT = """
import json, os, sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
opened = []
def hook(event, args):
    if event == "open" and isinstance(args[0], (str, bytes)):
        opened.append(os.fsdecode(args[0]))
    if event in ("socket.connect", "socket.getaddrinfo", "urllib.Request", "subprocess.Popen", "os.system"):
        opened.append(event)
from inspect_app.output import pdf
sealed = Path(sys.argv[2]).read_bytes()
pdf.render_pdf(sealed, {}, "A4", "2026-03-05T15:10:00+00:00", lambda text: None)  # everything imported, fonts known
sys.addaudithook(hook)
pdf.render_pdf(sealed, {}, "A4", "2026-03-05T15:10:00+00:00", lambda text: None)
served = pdf.OnlyFromMemory({"app:a": ("text/plain", b"x")})
assert served.fetch("app:a").read() == b"x"
for url in ("file:///etc/passwd", "http://127.0.0.1:9/", "data:text/plain,x", "app:b", "ftp://x/", "app:a?x"):
    try:
        served.fetch(url)
    except ValueError:
        continue
    raise SystemExit("served " + url)
print(json.dumps(opened))
"""


def test_rendering_opens_no_foreign_file_and_no_socket(sample, tmp_path):
    data, _ = sample.hostile()
    given = tmp_path / "walk.json"
    given.write_bytes(sample.sealed(data))
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", AUDIT, str(root), str(given)], capture_output=True, text=True, check=True
    )
    opened = [name for name in json.loads(done.stdout) if not allowed(name, root)]
    assert opened == []


def allowed(name, root):
    """Our own templates, the interpreter's modules and the typesetter's own files."""
    return name.startswith((str(root / "inspect_app"), sys.prefix, sys.base_prefix)) or "site-packages" in name


def test_an_inspectors_credential_remarks_and_conditions_are_printed_as_typed(rendered):
    text = flat(text_of(rendered("inspected")))
    for words in (
        "Invented Board of Riggers", "IBR 0417", "end of 2027", "This program verifies none of it",
        "Ask for the drawings of the 1998 work.", "No load above 90 kg until the head block shaft is replaced",
        "Two people on the deck whenever a hatch is open", "2026-09-30",
    ):  # fmt: skip
        assert words in text
    assert "Conditions on use" not in flat(text_of(rendered("tiny")))
