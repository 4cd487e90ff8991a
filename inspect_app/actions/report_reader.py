"""Read what a report PDF carries: the attached walk data, the digest it states, and the text of its pages."""

import io
import logging
import re
from typing import NamedTuple

from pypdf import PdfReader
from pypdf.errors import PyPdfError

from inspect_app.domain.errors import BadValue

MAX_BYTES = 100 * 1024**2
WALK_JSON = "walk.json"
_STATED = re.compile(r"walk\.json sha256 ([0-9a-f]{64})")
_UNREADABLE = (
    *(PyPdfError, ValueError, KeyError, TypeError, AttributeError, IndexError),
    *(RecursionError, OSError, MemoryError),
)


class ReportFile(NamedTuple):
    """The attached walk data, the digest in the file's own description (or ''), and the text of its pages unspaced."""

    sealed: bytes
    stated: str
    printed: str


def read_report_file(content: bytes) -> ReportFile:
    """Take a report apart. Raises BadValue when it is no PDF, is damaged, or carries no walk data."""
    if len(content) > MAX_BYTES:
        raise BadValue(f"The file is larger than {MAX_BYTES // 1024**2} MB; a report of this program never is.")
    logging.getLogger("pypdf").setLevel(logging.ERROR)
    try:
        return _read(PdfReader(io.BytesIO(content), strict=False))
    except _UNREADABLE as error:
        raise BadValue(f"The file cannot be read as a PDF ({type(error).__name__}).") from None


def _read(reader: PdfReader) -> ReportFile:
    attached = reader.attachments
    found = attached.get(WALK_JSON)
    if not found:
        raise BadValue("The file carries no walk.json, so it is not a report of this program or was altered.")
    if len(found) > 1:
        raise BadValue("The file carries more than one walk.json; which of them is meant cannot be told.")
    keywords = str(reader.metadata.keywords or "") if reader.metadata else ""
    stated = _STATED.search(keywords)
    printed = "".join("".join((page.extract_text() or "").split()) for page in reader.pages)
    return ReportFile(found[0], stated.group(1) if stated else "", printed)
