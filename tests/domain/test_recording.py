"""The container of a voice note is told by its bytes: WebM (RFC 8794), Ogg (RFC 3533), MP4 (ISO/IEC 14496-12)."""

import pytest

from inspect_app.domain.recording import ending_of, kind_of_sound
from tests.published import published


def ebml(doc_type: bytes) -> bytes:
    """An EBML header laid out by RFC 8794, section 11.2: version, read version, longest id and size, DocType."""
    body = b"\x42\x86\x81\x01\x42\xf7\x81\x01\x42\xf2\x81\x04\x42\xf3\x81\x08"
    body += b"\x42\x82" + bytes([0x80 | len(doc_type)]) + doc_type
    return b"\x1a\x45\xdf\xa3" + bytes([0x80 | len(body)]) + body


def file_type(brand: bytes) -> bytes:
    """A file type box by ISO/IEC 14496-12, section 4.3: size, `ftyp`, major brand, version, one compatible brand."""
    return (20).to_bytes(4) + b"ftyp" + brand + bytes(4) + brand


# RFC 3533, section 6: capture pattern, version 0, header type 2 (begin of stream), position, serial, number, checksum.
OGG_PAGE = b"OggS\x00\x02" + bytes(8) + b"\x01\x00\x00\x00" + bytes(8) + b"\x01\x13OpusHead"


@published(
    "Records, passwords, files", "{_document}", "{_clause}", "memory",
    names="_document, _clause, _what, content, kind, ending",
    rows=[
        ("RFC 8794", "section 11.2", "EBML header, webm", ebml(b"webm"), "audio/webm", "webm"),
        ("RFC 8794", "section 11.2", "EBML header, matroska", ebml(b"matroska"), "audio/webm", "webm"),
        ("RFC 3533", "section 6", "Ogg page", OGG_PAGE, "audio/ogg", "ogg"),
        ("ISO/IEC 14496-12", "section 4.3", "file type box, isom", file_type(b"isom"), "audio/mp4", "m4a"),
        ("ISO/IEC 14496-12", "section 4.3", "file type box, iso5", file_type(b"iso5"), "audio/mp4", "m4a"),
        ("ISO/IEC 14496-12", "section 4.3", "file type box, mp42", file_type(b"mp42"), "audio/mp4", "m4a"),
    ],
    what="{_what}", value="{kind}",
)  # fmt: skip
def test_the_containers_of_the_standards_are_told_apart(content: bytes, kind: str, ending: str) -> None:
    assert kind_of_sound(content + b"\x00" * 100) == kind
    assert ending_of(kind) == ending


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"RIFF\x00\x00\x00\x00WAVEfmt ",
        b"\xff\xd8\xff\xe0\x00\x10JFIF",
        file_type(b"heic"),
        file_type(b"avif"),
        ebml(b"other"),
        b"\x1a\x45\xdf\xa3" + b"\x00" * 300 + b"\x42\x82\x84webm",
        b"<html>OggS webm ftypisom</html>",
    ],
)
def test_pictures_pages_and_other_sounds_are_none(content: bytes) -> None:
    assert kind_of_sound(content) == ""


def test_a_media_type_that_nobody_knows_ends_in_nothing_a_browser_would_run() -> None:
    assert ending_of("text/html") == "bin"
