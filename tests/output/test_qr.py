"""QR codes are read back by a decoder of another make."""

import re

import pytest
import zxingcpp
from PIL import Image, ImageDraw

from inspect_app.output.qr import draw_qr, print_qr

ADDRESSES = ["https://grid.local:8137/", "http://192.168.100.200:8138/trust", "https://" + "a" * 60 + ".local:65534/"]
SCALE = 6


@pytest.mark.parametrize("text", ADDRESSES)
def test_the_path_of_the_page_is_read_back(text: str) -> None:
    made = draw_qr(text)
    picture = Image.new("L", (made.size * SCALE, made.size * SCALE), 255)
    pen = ImageDraw.Draw(picture)
    runs = re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", made.path)
    assert "".join("M{} {}h{}v1h-{}z".format(*run, run[2]) for run in runs) == made.path
    for x, y, width in ((int(a), int(b), int(c)) for a, b, c in runs):
        pen.rectangle((x * SCALE, y * SCALE, (x + width) * SCALE - 1, (y + 1) * SCALE - 1), fill=0)
    assert [found.text for found in zxingcpp.read_barcodes(picture)] == [text]


@pytest.mark.parametrize("text", ADDRESSES)
def test_the_blocks_of_the_terminal_are_read_back(text: str) -> None:
    """A block is lit, so light, on a dark terminal: upper half, lower half, both or none."""
    lines = re.sub(r"\x1b\[[\d;]*m", "", print_qr(text)).splitlines()
    picture = Image.new("L", (max(map(len, lines)) * SCALE, len(lines) * 2 * SCALE), 0)
    pen = ImageDraw.Draw(picture)
    for row, line in enumerate(lines):
        for column, block in enumerate(line):
            for half in {"█": (0, 1), "▀": (0,), "▄": (1,), " ": ()}[block]:
                top, left = (2 * row + half) * SCALE, column * SCALE
                pen.rectangle((left, top, left + SCALE - 1, top + SCALE - 1), fill=255)
    assert [found.text for found in zxingcpp.read_barcodes(picture)] == [text]
