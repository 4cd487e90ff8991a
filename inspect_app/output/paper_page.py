"""What all paper is printed with: one template environment, the style sheets, and one way to the PDF."""

from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from inspect_app import __version__
from inspect_app.output.fonts import printable

# The papers of the log, as CSS names them.
PAPERS: Mapping[str, str] = {"A4": "A4", "Letter": "letter"}


def paper_environment() -> Environment:
    """Templates of this package; each text is escaped, and checked against the typeface."""
    return Environment(
        loader=PackageLoader("inspect_app.output", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_fit_to_print,
    )


def fill_template(name: str, **facts: Any) -> str:
    """A template of this package as HTML; each text is escaped, and checked against the typeface."""
    return paper_environment().get_template(name).render(**facts, version=__version__)


def _fit_to_print(value: object) -> object:
    """Texts in characters that can be printed; what is already markup, and numbers, as they are."""
    return printable(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def paper_style(*names: str) -> str:
    """The text of style sheets beside the templates; a later one overrides those before it."""
    return "".join((files("inspect_app.output") / "templates" / name).read_text(encoding="utf-8") for name in names)


def write_paper(markup: str, css: str, size: str, served: Mapping[str, tuple[str, bytes]] | None = None) -> bytes:
    """The PDF of some HTML with its style sheet on paper of a size that CSS knows, declared PDF/UA-1.

    Pictures come from `served`, an `app:` address -> media type and bytes; nothing else is fetched. Equal input gives
    equal bytes.
    """
    from weasyprint import CSS, HTML

    from inspect_app.output.pdf import OnlyFromMemory

    fetcher = OnlyFromMemory(served or {})
    sheets = [CSS(string=text, base_url="app:", url_fetcher=fetcher) for text in (css, f"@page {{ size: {size} }}")]
    html = HTML(string=markup, base_url="app:", url_fetcher=fetcher)
    return bytes(html.write_pdf(stylesheets=sheets, pdf_variant="pdf/ua-1"))
