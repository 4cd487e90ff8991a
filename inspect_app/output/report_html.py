"""The report's HTML from its model: one template, every text escaped and checked against the typeface."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from jinja2 import Environment
from markupsafe import Markup, escape

from inspect_app import __version__
from inspect_app.domain import report_words
from inspect_app.domain.plan import CONDITION_WORDS, Condition
from inspect_app.domain.report import ReportModel
from inspect_app.domain.report_findings import PhotoShown
from inspect_app.domain.report_record import SignatureShown
from inspect_app.domain.trend import CAUTION
from inspect_app.output.fonts import printable
from inspect_app.output.paper_page import paper_environment
from inspect_app.output.plan import plan_svg
from inspect_app.output.plan_frame import PLAN_SIZES
from inspect_app.output.plan_marks import mark_picture

MARK_PICTURES: Mapping[str, bytes] = {
    f"app:mark/{condition}.svg": mark_picture(condition, CONDITION_WORDS[condition]).encode() for condition in Condition
}
_PATH = re.compile(r"[MLCSQZ0-9eE., \-]{1,60000}\Z", re.ASCII)
_PLACE = re.compile(r"-?\d+(?:\.\d+)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class PrintFacts:
    """What the paper says about the file: paper size, SHA-256 of walk.json in hex, time of making (ISO 8601)."""

    paper: str
    digest: str
    made_at: str


def report_html(model: ReportModel, facts: PrintFacts) -> str:
    """The whole report as one HTML page that names nothing but `app:` addresses."""
    template = _environment().get_template("report.html")
    plan = Markup(printable(plan_svg(model.plan, PLAN_SIZES[facts.paper])))  # noqa: S704  escaped piece by piece
    return template.render(
        m=model,
        w=report_words,
        version=__version__,
        digest=facts.digest,
        digest_lines=[facts.digest[at : at + 8] for at in range(0, len(facts.digest), 8)],
        made_at=facts.made_at,
        author="; ".join(f"{s.name}, {s.role}" for s in model.record.signatures) or "not signed",
        marks=frozenset(condition.value for condition in Condition),
        plan_svg=plan,
        photo=_photo,
        trend_caution=CAUTION,
        signature_svg=signature_svg,
    )


def _environment() -> Environment:
    environment = paper_environment()
    environment.filters["first_up"] = _first_up
    return environment


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]


def _photo(photo: PhotoShown) -> Markup:
    caption = escape(printable(photo.caption))
    if photo.absent:
        words = escape(printable(photo.absent))
        return Markup('<div class="photo"><p class="absent">{}</p><p>{}</p></div>').format(words, caption)
    return Markup('<div class="photo"><img src="app:photo/{}" alt="{}"><p>{}</p></div>').format(
        photo.id, printable(photo.shows), caption
    )


def signature_svg(signature: SignatureShown) -> Markup:
    """A drawn signature (path data of absolute M, L, C, S, Q commands) within 70 by 18 mm; anything else in words."""
    places = [float(number) for number in _PLACE.findall(signature.drawn)]
    if not _PATH.match(signature.drawn) or len(places) < 4:
        return Markup('<p class="small">A drawn signature is on file that cannot be printed.</p>')
    xs, ys = places[0::2], places[1::2]
    left, top = min(xs), min(ys)
    width, height = max(max(xs) - left, 1.0), max(max(ys) - top, 1.0)
    pad = max(width, height) * 0.03
    box = f"{left - pad:g} {top - pad:g} {width + 2 * pad:g} {height + 2 * pad:g}"
    return Markup(
        '<svg class="drawn" xmlns="http://www.w3.org/2000/svg" role="img" width="70mm" height="18mm" viewBox="{}" '
        'preserveAspectRatio="xMinYMid meet"><title>Drawn signature of {}</title>'
        '<path d="{}" fill="none" stroke="#111111" stroke-width="{}" stroke-linecap="round"/></svg>'
    ).format(box, printable(signature.name), signature.drawn, f"{max(width / 90, height / 30):.2f}")
