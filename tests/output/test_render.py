"""The render process: progress, the hard time limit, and errors told in a sentence."""

import io

import pytest
from PIL import Image

from inspect_app.domain.errors import Conflict
from inspect_app.output.render import RenderJob, render_report
from inspect_app.output.report_photo import LONG_SIDE, fit_photo
from tests.warm_render import started_cold

MADE_AT = "2026-03-05T15:10:00+00:00"


@pytest.fixture(scope="module", autouse=True)
def _as_the_program_starts_it():
    with started_cold():
        yield


def jpeg(size=(300, 200), **more):
    out = io.BytesIO()
    Image.new("RGB", size, "teal").save(out, "JPEG", **more)
    return out.getvalue()


def test_each_page_is_told_while_it_is_laid_out(sample) -> None:
    data, photos = sample.tiny()
    lines: list[str] = []
    render_report(RenderJob(sample.sealed(data), photos, "A4", MADE_AT), lines.append)
    assert lines[0] == "Loading the typesetter"
    assert "Laying out page 1" in lines
    assert lines.index("Laying out page 1") < lines.index("Writing the PDF")


def test_a_render_that_takes_too_long_is_ended(sample) -> None:
    data, photos = sample.walk_data(photos=0)
    with pytest.raises(Conflict, match="given up"):
        render_report(RenderJob(sample.sealed(data), photos, "A4", MADE_AT), lambda text: None, time_limit_s=0.3)


def test_a_missing_or_broken_picture_stops_the_report_and_is_named(sample) -> None:
    data, photos = sample.walk_data(sets=12, findings=4, photos=2)
    first = next(iter(photos))
    for broken in ({}, {**photos, first: b"no picture"}):
        with pytest.raises(Conflict, match=first):
            render_report(RenderJob(sample.sealed(data), broken, "A4", MADE_AT), lambda text: None)


def test_data_that_are_no_json_give_a_sentence() -> None:
    with pytest.raises(Conflict, match="could not be made"):
        render_report(RenderJob(b"{", {}, "A4", MADE_AT), lambda text: None)


def test_a_small_plain_photo_is_printed_byte_for_byte() -> None:
    content = jpeg()
    assert fit_photo(content) == content


def test_a_large_photo_is_made_smaller_and_upright_without_metadata() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter (Exif 2.32, Orientation)
    exif[0x8825] = {1: "N"}  # place
    with Image.open(io.BytesIO(fit_photo(jpeg((4000, 3000), exif=exif)))) as fitted:
        assert fitted.size == (LONG_SIDE * 3 // 4, LONG_SIDE)
        assert not fitted.getexif()
        assert fitted.format == "JPEG"


@pytest.mark.parametrize("content", [b"", b"\xff\xd8\xff", b"GIF89a", jpeg()[:200]])
def test_what_is_no_whole_picture_is_refused(content: bytes) -> None:
    with pytest.raises(ValueError, match="picture"):
        fit_photo(content)
