"""Voice notes: what kind of sound the bytes are, and how large one may be."""

import re

MOST_BYTES = 4_000_000  # two minutes at 256 kbit/s; the walk page asks its browser for 32 kbit/s
MOST_SECONDS = 120

# The first bytes of each container, and what must follow.
_EBML = b"\x1a\x45\xdf\xa3"  # RFC 8794, section 11.2.1: the element ID of an EBML header
_DOC_TYPE = re.compile(rb"\x42\x82[\x81-\xff](webm|matroska)")  # RFC 8794, 11.2.6; "webm" is the WebM project's DocType
_HEADER = 128  # bytes in which an EBML header of a recorder ends, with room to spare
_OGG = b"OggS"  # RFC 3533, section 6
# ISO/IEC 14496-12, section 4.3: a file type box first, whose major brand says what the file is. Brands of films and
# sound only (from memory, as registered with the MP4 registration authority); pictures use the same box.
_MP4_BRANDS = frozenset(
    (b"isom", b"iso2", b"iso4", b"iso5", b"iso6", b"iso8", b"iso9", b"mp41", b"mp42", b"M4A ", b"dash")
)
_ENDINGS = {"audio/webm": "webm", "audio/ogg": "ogg", "audio/mp4": "m4a", "audio/wav": "wav"}


def kind_of_sound(content: bytes) -> str:
    """The media type of the container that the bytes are: WebM, Ogg or MP4; '' for anything else."""
    if content[:4] == _EBML and _DOC_TYPE.search(content[:_HEADER]):
        return "audio/webm"
    if content[:4] == _OGG:
        return "audio/ogg"
    if content[4:8] == b"ftyp" and content[8:12] in _MP4_BRANDS:
        return "audio/mp4"
    return ""


def ending_of(mime: str) -> str:
    """How the name of a file of this media type ends."""
    return _ENDINGS.get(mime, "bin")
