"""Text answers compressed with gzip for clients that take it (RFC 9110, 8.4); each form has a strong ETag of its own.

Used for what is the same for everyone (static files, shell, service worker, manifest) and for the pack, never for a
page with a form: a body that holds a secret, such as a form token, beside words that somebody else chose gives the
secret away by its compressed length, letter by letter (BREACH, CVE-2013-3587). The pack holds no secret: the device's
token stands in the request alone, and no page of another site can have it sent, since no cookie does.
"""

import gzip
from functools import lru_cache

from flask import Response, request

LEAST_BYTES = 1_000  # below, the header says as much as is saved
_TIGHTEST, _FAST = 9, 3
_TEXTS = ("text/", "application/json", "application/javascript", "application/manifest+json", "image/svg+xml")


def answer_with(response: Response, etag: str, *, weak: bool = False, lasting: bool = True) -> Response:
    """Finish a GET: compressed when that is asked for and worth it, with its ETag, or 304 when the client has it.

    A strong ETag names the bytes, so the compressed form has one of its own; a weak one names the content and is the
    same for both. `lasting` answers are compressed once and kept; others each time, at a fast level.
    """
    response.vary.add("Accept-Encoding")
    body = response.get_data()
    small = len(body) < LEAST_BYTES or not (response.content_type or "").startswith(_TEXTS)
    compressed = not small and request.accept_encodings["gzip"] > 0
    response.set_etag(f"{etag}-gzip" if compressed and not weak else etag, weak=weak)
    response.make_conditional(request)
    if compressed and response.status_code == 200:
        response.set_data(_kept(body) if lasting else gzip.compress(body, _FAST, mtime=0))
        response.headers["Content-Encoding"] = "gzip"
    return response


@lru_cache(maxsize=256)
def _kept(body: bytes) -> bytes:
    return gzip.compress(body, _TIGHTEST, mtime=0)
