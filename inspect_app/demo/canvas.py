"""A drawing board for demonstration pictures: shaded steel, wire rope, torch light, and the mark they all carry."""

import io
import math
import random
from collections.abc import Sequence
from datetime import datetime
from functools import cache
from pathlib import Path

import font_source_sans_pro
from PIL import Image, ImageChops, ImageDraw, ImageFont, ImageOps

SIZE = (1600, 1200)
MARK = "DEMONSTRATION PICTURE"
MARK_DETAIL = "drawn by the program, invented house, nothing real is shown"
Colour = tuple[int, int, int]
Point = tuple[float, float]

STEEL, DARK_STEEL, PAINT, BRASS, WOOD = (128, 132, 138), (70, 74, 80), (58, 74, 92), (150, 124, 70), (122, 88, 54)
BLACK, RUST, RED, YELLOW, BRIGHT = (18, 18, 20), (116, 62, 30), (150, 40, 34), (196, 164, 40), (206, 206, 202)
WIRE = (118, 120, 122)


@cache
def _font(size: int, weight: str = "Semibold") -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(Path(font_source_sans_pro.font_directory) / f"SourceSansPro-{weight}.ttf"), size)


def _mix(one: Colour, other: Colour, share: float) -> Colour:
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(one, other, strict=True))
    return red, green, blue


class Board:
    """One picture in the making. `chance` decides every variation, so that one seed gives one picture."""

    def __init__(self, chance: random.Random, ground: Colour = (62, 60, 58)) -> None:
        self.chance = chance
        self.image = Image.new("RGB", SIZE, ground)
        self.draw = ImageDraw.Draw(self.image)

    def slab(self, box: Sequence[float], colour: Colour, *, round_across: str = "", edge: int = 3) -> None:
        """A flat bar, or with `round_across` "x" or "y" a round one seen from the side."""
        left, top, right, bottom = (round(value) for value in box)
        if right <= left or bottom <= top:
            return
        width, height = right - left, bottom - top
        ramp = Image.new("L", (64, 1))
        if round_across:
            ramp.putdata([round(30 + 215 * math.sin(math.pi * (i + 0.5) / 64) ** 1.5) for i in range(64)])
        else:
            ramp.putdata([round(118 + 40 * i / 64) for i in range(64)])
        if round_across == "x":
            shade = ramp.resize((width, 1), Image.Resampling.BILINEAR)
        else:
            shade = ramp.rotate(90, expand=True).resize((1, height), Image.Resampling.BILINEAR)
        lit = ImageOps.colorize(shade, _mix(colour, BLACK, 0.75), _mix(colour, (255, 255, 255), 0.35), mid=colour)
        pixels = lit.tobytes()  # of one row or column, which is all the shading there is
        if round_across == "x":
            pixels *= height
        else:
            pixels = b"".join(pixels[at : at + 3] * width for at in range(0, len(pixels), 3))
        self.image.paste(Image.frombytes("RGB", (width, height), pixels), (left, top))
        self.draw.rectangle((left, top, right, bottom), outline=_mix(colour, BLACK, 0.7), width=edge)

    def disc(self, centre: Point, radius: float, colour: Colour, edge: int = 3) -> None:
        """A round plate, lit from the upper left."""
        x, y = centre
        for step in range(10):
            inner = radius * (1 - step / 14)
            shift = radius * 0.02 * step
            box = (x - inner - shift, y - inner - shift, x + inner - shift, y + inner - shift)
            self.draw.ellipse(box, fill=_mix(_mix(colour, BLACK, 0.35), _mix(colour, (255, 255, 255), 0.22), step / 9))
        self.draw.ellipse(
            (x - radius, y - radius, x + radius, y + radius), outline=_mix(colour, BLACK, 0.75), width=edge
        )

    def bolt(self, centre: Point, radius: float = 22, *, mark: bool = False) -> None:
        """A hexagon head with its washer, and a paint line across both when `mark`."""
        x, y = centre
        self.disc(centre, radius * 1.45, STEEL)
        turn = self.chance.uniform(0, math.pi / 3)
        corners = [
            (x + radius * math.cos(turn + i * math.pi / 3), y + radius * math.sin(turn + i * math.pi / 3))
            for i in range(6)
        ]
        self.draw.polygon(corners, fill=_mix(STEEL, (255, 255, 255), 0.12), outline=BLACK)
        if mark:
            self.draw.line((x, y, x + radius * 2.3, y + radius * 0.4), fill=YELLOW, width=9)

    def rope(self, start: Point, end: Point, width: float = 26, colour: Colour = WIRE, rust: float = 0.0) -> None:
        """A wire rope between two points, with the lay of its strands."""
        (x0, y0), (x1, y1) = start, end
        length = math.hypot(x1 - x0, y1 - y0) or 1.0
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        self.draw.line((x0, y0, x1, y1), fill=_mix(colour, BLACK, 0.72), width=round(width * 1.12))
        pitch = width * 0.42
        for i in range(int(length / pitch)):
            along = i * pitch
            tone = _mix(colour, RUST, rust * self.chance.random())
            for part, light in ((0.0, 0.16), (0.34, 0.42), (0.68, 0.06)):
                ax, ay = x0 + ux * (along + pitch * part), y0 + uy * (along + pitch * part)
                lean = width * 0.62
                p = (ax - uy * width * 0.48 - ux * lean * 0.5, ay + ux * width * 0.48 - uy * lean * 0.5)
                q = (ax + uy * width * 0.48 + ux * lean * 0.5, ay - ux * width * 0.48 + uy * lean * 0.5)
                self.draw.line(
                    (*p, *q), fill=_mix(tone, (255, 255, 255), light * 0.8), width=max(2, round(pitch * 0.26))
                )
        for side in (-1, 1):
            self.draw.line(
                (
                    x0 - uy * width * 0.5 * side,
                    y0 + ux * width * 0.5 * side,
                    x1 - uy * width * 0.5 * side,
                    y1 + ux * width * 0.5 * side,
                ),
                fill=_mix(colour, BLACK, 0.8),
                width=4,
            )

    def wire_end(self, at: Point, length: float, angle: float) -> None:
        """A broken wire that stands out of a rope."""
        x, y = at
        bend = angle + self.chance.uniform(-0.7, 0.7)
        knee = (x + length * 0.6 * math.cos(angle), y + length * 0.6 * math.sin(angle))
        tip = (knee[0] + length * 0.5 * math.cos(bend), knee[1] + length * 0.5 * math.sin(bend))
        self.draw.line((x, y, *knee, *tip), fill=BRIGHT, width=5, joint="curve")

    def text(self, at: Point, words: str, size: int = 44, colour: Colour = (230, 230, 224), anchor: str = "lm") -> None:
        """Words painted or stuck on the thing shown."""
        self.draw.text(at, words, font=_font(size), fill=colour, anchor=anchor)

    def label(self, at: Point, words: str, size: int = 46) -> None:
        """A stuck-on label with black letters, its middle at `at`."""
        x, y = at
        half = self.draw.textlength(words, font=_font(size)) / 2 + 18
        self.draw.rectangle(
            (x - half, y - size * 0.72, x + half, y + size * 0.72), fill=(214, 208, 190), outline=BLACK, width=3
        )
        self.text(at, words, size, (24, 24, 24), "mm")

    def arrow(self, tip: Point, length: float = 150, angle: float = 0.7) -> None:
        """A chalk arrow as one draws on a picture to say where to look."""
        x, y = tip
        tail = (x + length * math.cos(angle), y + length * math.sin(angle))
        self.draw.line((*tail, x, y), fill=(240, 236, 220), width=8)
        for turn in (0.45, -0.45):
            barb = (x + length * 0.32 * math.cos(angle + turn), y + length * 0.32 * math.sin(angle + turn))
            self.draw.line((*barb, x, y), fill=(240, 236, 220), width=8)

    def blotches(self, box: Sequence[float], colour: Colour, count: int, largest: float = 40) -> None:
        """Stains of rust, dust or paint inside a box."""
        for _ in range(count):
            x, y = self.chance.uniform(box[0], box[2]), self.chance.uniform(box[1], box[3])
            w, h = self.chance.uniform(3, largest), self.chance.uniform(3, largest * 0.6)
            self.draw.ellipse((x - w, y - h, x + w, y + h), fill=_mix(colour, BLACK, self.chance.uniform(0, 0.45)))

    def to_jpeg(self, taken_at: datetime, caption: str, close: bool = False) -> bytes:
        """Light, grain, the mark, and the file with the time of capture in its EXIF data (local time and offset)."""
        near = (360, 210, 1360, 960) if close else None
        picture = self._light(self.image.resize((1280, 960), Image.Resampling.BICUBIC, box=near))
        picture = _grain(picture, self.chance)
        picture = ImageOps.expand(picture, (0, 0, 0, 92), (12, 12, 12))
        _stamp(picture, caption, taken_at)
        exif = Image.Exif()
        exif[0x010E] = f"{MARK.capitalize()}, invented house"  # ImageDescription
        exif[0x0131] = "inspect-app demonstration"  # Software
        stamp = taken_at.strftime("%Y:%m:%d %H:%M:%S")
        offset = taken_at.strftime("%z")
        detail = exif.get_ifd(0x8769)
        detail[0x9003] = stamp  # DateTimeOriginal
        detail[0x9011] = f"{offset[:3]}:{offset[3:5]}" if offset else "+00:00"  # OffsetTimeOriginal
        out = io.BytesIO()
        picture.save(out, "JPEG", quality=84, exif=exif)
        return out.getvalue()

    def _light(self, picture: Image.Image) -> Image.Image:
        """The cone of a head torch, a little off the middle."""
        width, height = picture.size
        left = width // 4 + self.chance.randint(-120, 120)
        top = height // 4 + self.chance.randint(-90, 90)
        cone = _cone(width * 3 // 2, height * 3 // 2).crop((left, top, left + width, top + height))
        return ImageChops.multiply(picture, cone)


@cache
def _cone(width: int, height: int) -> Image.Image:
    bright = ImageOps.invert(Image.radial_gradient("L")).point([min(255, 96 + round(v * 1.35)) for v in range(256)])
    red = bright.resize((width, height), Image.Resampling.BILINEAR)
    green, blue = (red.point([round(v * share) for v in range(256)]) for share in (0.97, 0.9))
    return Image.merge("RGB", (red, green, blue))


def _grain(picture: Image.Image, chance: random.Random) -> Image.Image:
    width, height = picture.size
    grain = Image.frombytes("L", (width // 2, height // 2), chance.randbytes(width * height // 4))
    grain = grain.resize(picture.size, Image.Resampling.BILINEAR)
    return Image.blend(picture, Image.merge("RGB", (grain, grain, grain)), 0.055)


def _stamp(picture: Image.Image, caption: str, taken_at: datetime) -> None:
    draw = ImageDraw.Draw(picture)
    width, height = picture.size
    draw.text((24, height - 64), MARK, font=_font(34, "Bold"), fill=(255, 214, 64), anchor="lm")
    draw.text((24, height - 26), MARK_DETAIL, font=_font(24, "Regular"), fill=(232, 232, 226), anchor="lm")
    draw.text((width - 24, height - 64), caption, font=_font(28, "Regular"), fill=(232, 232, 226), anchor="rm")
    draw.text(
        (width - 24, height - 26),
        taken_at.strftime("%Y-%m-%d %H:%M"),
        font=_font(24, "Regular"),
        fill=(200, 200, 194),
        anchor="rm",
    )
