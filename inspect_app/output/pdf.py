"""ReportModel to PDF: declared PDF/A-3a and PDF/UA-1, with the walk's data attached and nothing fetched from anywhere.

Runs inside the render process of worker.py, which has set the isolated font configuration before this is imported.
"""

import gc
import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from email.message import EmailMessage
from typing import Any
from xml.etree import ElementTree as ET

from weasyprint import CSS, HTML, Attachment
from weasyprint.urls import URLFetcher, URLFetcherResponse

from inspect_app.domain.report import build_report
from inspect_app.output.attachments import AttachedFile, attachments_of
from inspect_app.output.paper_page import PAPERS, paper_style
from inspect_app.output.report_html import MARK_PICTURES, PrintFacts, report_html
from inspect_app.output.report_photo import fit_photos

VARIANT = "pdf/a-3a"
_PAGE = "@page {{ size: {0} }} @page plan {{ size: {0} landscape }}"
_RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
_UA = "http://www.aiim.org/pdfua/ns/id/"
_EXTENSION = "http://www.aiim.org/pdfa/ns/extension/"
_SCHEMA = "http://www.aiim.org/pdfa/ns/schema#"
_PROPERTY = "http://www.aiim.org/pdfa/ns/property#"


class OnlyFromMemory(URLFetcher):  # type: ignore[misc]
    """A fetcher that knows an exact list of `app:` addresses held in memory and refuses every other one."""

    def __init__(self, served: Mapping[str, tuple[str, bytes]]) -> None:
        super().__init__(allowed_protocols=(), allow_redirects=False, fail_on_errors=True)
        self._served = served

    def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> URLFetcherResponse:
        """The bytes held under `url`. Raises ValueError for any other address; no file and no socket is ever opened."""
        if url not in self._served:
            raise ValueError("the report may use nothing but what the program hands it")
        mime, content = self._served[url]
        message = EmailMessage()
        message["Content-Type"] = mime
        return URLFetcherResponse(url, content, message)


def render_pdf(
    sealed: bytes, photos: Mapping[str, bytes], paper: str, made_at: str, say: Callable[[str], None]
) -> bytes:
    """The PDF of canonical walk data `sealed` with JPEG `photos` by id, on `paper` (A4 or Letter).

    `made_at` is the ISO 8601 time that the file carries; `say` is told each step. Equal input gives equal bytes.
    Raises ValueError when a photo that the report shows is missing.
    """
    data = json.loads(sealed)
    model = build_report(data)
    missing = [photo for photo in model.photo_ids if photo not in photos]
    if missing:
        raise ValueError(f"photo {missing[0]} is named by the walk but its picture is not there")
    say("Preparing the photos")
    fitted = fit_photos({photo: photos[photo] for photo in model.photo_ids})
    say("Writing the sections")
    facts = PrintFacts(paper, hashlib.sha256(sealed).hexdigest(), made_at)
    sheet = paper_style("report.css")
    styles = (sheet, _PAGE.format(PAPERS[paper]))
    return archival_pdf(report_html(model, facts), _served(fitted), styles, attachments_of(data, sealed), made_at, say)


def archival_pdf(
    text: str,
    served: Mapping[str, tuple[str, bytes]],
    styles: Iterable[str],
    attached: Iterable[AttachedFile],
    made_at: str,
    say: Callable[[str], None],
) -> bytes:
    """HTML as a PDF that declares PDF/A-3a and PDF/UA-1, with files attached and pictures from `served` alone."""
    fetcher = OnlyFromMemory(served)
    html = HTML(string=text, base_url="app:", url_fetcher=fetcher)
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 1000)  # a fifth faster: layout makes many small objects and few cycles
    sheets = [CSS(string=style, base_url="app:", url_fetcher=fetcher) for style in styles]
    document = html.render(stylesheets=sheets, pdf_variant=VARIANT)
    say(f"Writing {len(document.pages)} pages")
    metadata = document.metadata
    metadata.attachments = _attached(attached, datetime.fromisoformat(made_at), fetcher)
    plain = metadata.generate_rdf_metadata
    metadata.generate_rdf_metadata = lambda *spec: _with_universal_access(plain(*spec))
    return bytes(document.write_pdf(finisher=_name_attachments_once, pdf_variant=VARIANT))


def _name_attachments_once(_: Any, pdf: Any) -> None:
    """The typesetter lists each associated file twice in the catalogue; once is meant."""
    once = list(dict.fromkeys(pdf.catalog["AF"]))
    del pdf.catalog["AF"][:]
    pdf.catalog["AF"].extend(once)


def _served(photos: Mapping[str, bytes]) -> dict[str, tuple[str, bytes]]:
    served = {address: ("image/svg+xml", picture) for address, picture in MARK_PICTURES.items()}
    served |= {f"app:photo/{photo}": ("image/jpeg", content) for photo, content in photos.items()}
    return served


def _attached(attached: Iterable[AttachedFile], at: datetime, fetcher: OnlyFromMemory) -> list[Attachment]:
    return [
        Attachment(
            string=file.content,
            name=file.name,
            description=file.says,
            relationship=file.relationship,
            created=at,
            modified=at,
            url_fetcher=fetcher,
        )
        for file in attached
    ]


def _with_universal_access(rdf: bytes) -> bytes:
    """The XMP with the PDF/UA-1 identifier and the PDF/A extension schema that describes it, in the same rdf:RDF."""
    for prefix, address in (
        ("pdfuaid", _UA), ("pdfaExtension", _EXTENSION), ("pdfaSchema", _SCHEMA), ("pdfaProperty", _PROPERTY),
    ):  # fmt: skip
        ET.register_namespace(prefix, address)
    root = ET.fromstring(rdf)  # noqa: S314  made by the line above in this process
    ET.SubElement(root, f"{{{_RDF}}}Description", {f"{{{_RDF}}}about": "", f"{{{_UA}}}part": "1"})
    about = ET.SubElement(root, f"{{{_RDF}}}Description", {f"{{{_RDF}}}about": ""})
    schemas = ET.SubElement(ET.SubElement(about, f"{{{_EXTENSION}}}schemas"), f"{{{_RDF}}}Bag")
    schema = ET.SubElement(schemas, f"{{{_RDF}}}li", {f"{{{_RDF}}}parseType": "Resource"})
    for name, value in (("schema", "PDF/UA identification schema"), ("namespaceURI", _UA), ("prefix", "pdfuaid")):
        ET.SubElement(schema, f"{{{_SCHEMA}}}{name}").text = value
    listed = ET.SubElement(ET.SubElement(schema, f"{{{_SCHEMA}}}property"), f"{{{_RDF}}}Seq")
    entry = ET.SubElement(listed, f"{{{_RDF}}}li", {f"{{{_RDF}}}parseType": "Resource"})
    for name, value in (
        ("name", "part"), ("valueType", "Integer"), ("category", "internal"), ("description", "Part of ISO 14289"),
    ):  # fmt: skip
        ET.SubElement(entry, f"{{{_PROPERTY}}}{name}").text = value
    return bytes(ET.tostring(root, encoding="utf-8"))
