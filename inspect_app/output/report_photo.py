"""Photos made fit for print: upright, of bounded size, without any metadata."""

import io
from collections.abc import Mapping

from PIL import Image, ImageOps

LONG_SIDE = 1200
QUALITY = 82
MAX_PIXELS = 60_000_000
FEW_BYTES = 200_000  # 60 photos of this size keep a report below 15 MB


def fit_photo(content: bytes) -> bytes:
    """A JPEG of at most LONG_SIDE pixels without metadata; a small one that has none comes back as it is.

    Raises ValueError when the bytes are no picture or the picture is too large to be opened.
    """
    try:
        with Image.open(io.BytesIO(content)) as image:
            if image.width * image.height > MAX_PIXELS:
                raise ValueError("the picture has too many pixels")
            plain = image.format == "JPEG" and image.mode in ("RGB", "L") and not _carries_metadata(image)
            if plain and max(image.size) <= LONG_SIDE and len(content) <= FEW_BYTES:
                return content
            image.draft("RGB", (LONG_SIDE, LONG_SIDE))
            upright = ImageOps.exif_transpose(image).convert("RGB")
            upright.thumbnail((LONG_SIDE, LONG_SIDE), Image.Resampling.LANCZOS)
    except (OSError, SyntaxError, Image.DecompressionBombError) as error:
        raise ValueError(f"the picture cannot be read ({type(error).__name__})") from None
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=QUALITY, exif=b"")
    return out.getvalue()


def _carries_metadata(image: Image.Image) -> bool:
    return bool({"exif", "xmp", "comment", "photoshop", "icc_profile"} & set(image.info)) or "mpinfo" in image.info


def fit_photos(photos: Mapping[str, bytes]) -> dict[str, bytes]:
    """All photos made fit. Raises ValueError naming the photo that cannot be used."""
    fitted = {}
    for photo, content in photos.items():
        try:
            fitted[photo] = fit_photo(content)
        except ValueError as error:
            raise ValueError(f"photo {photo}: {error}") from None
    return fitted
