"""A program of its own, run in a process with little memory and time: decodes one picture and writes clean copies.

Reads the picture's bytes from standard input. Writes one line of JSON, then the copies one after the other:
{"state": "stored|damaged|too_large", "width", "height", "taken_at", "mime", "copies": [[name, bytes], ...]}.
A copy is made from the pixels alone, upright and in sRGB; nothing else of the original can be in it.
"""

import io
import json
import re
import resource
import sys
import warnings

from PIL import Image, ImageCms, ImageFile, ImageOps

MEMORY = 700 * 1024 * 1024
SECONDS = 25
MOST_PIXELS = 40_000_000
SIZES = (("print", 1200, 82), ("report", 600, 80), ("thumb", 320, 76))  # name, long side in px, JPEG quality
EXIF_IFD, TAKEN, OFFSET = 0x8769, 0x9003, 0x9011  # Exif 2.32: ExifIFD pointer, DateTimeOriginal, OffsetTimeOriginal
_TAKEN = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)")
_OFFSET = re.compile(r"[+-]\d\d:\d\d")
MIMES = {"JPEG": "image/jpeg", "MPO": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp", "HEIF": "image/heic"}


def limit() -> None:
    """Give this process little memory and time, and no way to write files."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS + 1))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def work(content: bytes) -> tuple[dict[str, object], list[bytes]]:
    """The head and the copies for one picture."""
    Image.MAX_IMAGE_PIXELS = None  # the size is checked here, from the header and before anything is decoded
    try:
        image = _opened(content)
    except Exception as error:
        return {"state": "damaged", "why": _words(error)}, []
    head: dict[str, object] = {"mime": MIMES.get(image.format or "", ""), "width": image.width, "height": image.height}
    if image.width * image.height > MOST_PIXELS:
        return {**head, "state": "too_large"}, []
    head["taken_at"] = _taken_at(image)
    try:
        image.load()
        head["state"] = "stored"
    except Exception as error:
        head.update(state="damaged", why=_words(error))
        try:
            image = _rest_of(content)
        except Exception:
            return head, []
    return _with_copies(head, image)


def _opened(content: bytes) -> Image.Image:
    """The picture with only its header read. Raises whatever the decoders raise."""
    if content[4:8] != b"ftyp":
        return Image.open(io.BytesIO(content), formats=["JPEG", "PNG", "WEBP"])
    import pillow_heif

    pillow_heif.register_heif_opener(thumbnails=False)
    return Image.open(io.BytesIO(content), formats=["HEIF"])


def _rest_of(content: bytes) -> Image.Image:
    """What can still be seen of a picture that breaks off: worth showing, marked as damaged."""
    ImageFile.LOAD_TRUNCATED_IMAGES = True
    image = _opened(content)
    image.load()
    return image


def _with_copies(head: dict[str, object], image: Image.Image) -> tuple[dict[str, object], list[bytes]]:
    width, height = image.size
    upright = _upright(image)
    if (upright.width < upright.height) != (width < height):
        width, height = height, width
    head.update(width=width, height=height)
    copies = []
    for name, side, quality in SIZES:
        small = upright.copy()
        small.thumbnail((side, side), Image.Resampling.LANCZOS, reducing_gap=3.0)
        clean = Image.new("RGB", small.size)
        clean.paste(small)
        out = io.BytesIO()
        clean.save(out, "JPEG", quality=quality, optimize=True, exif=b"", comment=b"")
        copies.append((name, out.getvalue()))
    head["copies"] = [[name, len(data)] for name, data in copies]
    return head, [data for _, data in copies]


def _upright(image: Image.Image) -> Image.Image:
    """The first frame, upright, in sRGB, on white where it is transparent, at twice the largest copy's size at most."""
    profile = image.info.get("icc_profile")
    most = 2 * SIZES[0][1]
    if image.mode.startswith("I;16"):
        image = image.point(lambda value: value / 256).convert("L")
    if image.mode in ("RGBA", "LA", "PA", "P") or "transparency" in image.info:
        image = ImageOps.contain(image.convert("RGBA"), (most, most)) if max(image.size) > most else image
        image = Image.alpha_composite(Image.new("RGBA", image.size, "white"), image.convert("RGBA"))
    elif max(image.size) > most:
        image.thumbnail((most, most), Image.Resampling.BOX)
    image = ImageOps.exif_transpose(image)
    return _in_srgb(image if image.mode in ("RGB", "CMYK", "L") else image.convert("RGB"), profile).convert("RGB")


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    if not profile:
        return image
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        return ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode="RGB") or image
    except Exception:
        return image  # a broken profile: the colours may be a little off


def _taken_at(image: Image.Image) -> str:
    """The camera's own time, read before everything else is left behind."""
    try:
        tags = image.getexif().get_ifd(EXIF_IFD)
        found = _TAKEN.fullmatch(str(tags.get(TAKEN, "")).strip("\x00 "))
        offset = _OFFSET.fullmatch(str(tags.get(OFFSET, "")).strip("\x00 "))
    except Exception:
        return ""
    if not found:
        return ""
    year, month, day, time = found.groups()
    return f"{year}-{month}-{day}T{time}" + (offset.group() if offset else "")


def _words(error: BaseException) -> str:
    return f"{type(error).__name__}: {error}"[:200]


def main() -> int:
    """Decode what stands on standard input."""
    limit()
    warnings.simplefilter("ignore")
    head, copies = work(sys.stdin.buffer.read())
    sys.stdout.buffer.write(json.dumps(head).encode() + b"\n" + b"".join(copies))
    return 0


if __name__ == "__main__":
    sys.exit(main())
