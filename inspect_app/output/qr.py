"""QR codes of addresses: as one SVG path for pages, and as blocks of text for a terminal."""

import io
from dataclasses import dataclass

import segno

_MARGIN = 4  # modules of quiet ground on each side, as ISO/IEC 18004 asks for (from memory)


@dataclass(frozen=True, slots=True)
class QrPicture:
    """A square of `size` modules, quiet ground included, and the dark modules as the `d` of an SVG path."""

    size: int
    path: str


def draw_qr(text: str) -> QrPicture:
    """The QR code of a text; one run of dark modules in a row becomes one rectangle of the path."""
    rows = [bytes(row) for row in segno.make_qr(text, error="m").matrix_iter(border=_MARGIN)]
    parts = []
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            run = len(row[x:]) - len(row[x:].lstrip(b"\x01"))
            if run:
                parts.append(f"M{x} {y}h{run}v1h-{run}z")
            x += run or 1
    return QrPicture(len(rows), "".join(parts))


def print_qr(text: str) -> str:
    """The QR code of a text in half blocks, dark on the terminal's ground turned about, with colour codes."""
    out = io.StringIO()
    segno.make_qr(text, error="m").terminal(out, border=2, compact=True)
    return out.getvalue()
