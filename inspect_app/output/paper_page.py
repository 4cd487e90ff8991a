"""What paper forms and label sheets are printed with: one template environment and one way to the PDF."""

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from inspect_app.output.fonts import printable


def paper_environment() -> Environment:
    """Templates of this package; each text is escaped, and checked against the typeface."""
    return Environment(
        loader=PackageLoader("inspect_app.output", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: printable(value) if isinstance(value, str) and not isinstance(value, Markup) else value,
    )


def write_paper(markup: str, css: str, size: str) -> bytes:
    """The PDF of some HTML with its style sheet on paper of a size that CSS knows; nothing else is fetched."""
    from weasyprint import CSS, HTML

    from inspect_app.output.pdf import OnlyFromMemory

    fetcher = OnlyFromMemory({})
    sheets = [CSS(string=text, base_url="app:", url_fetcher=fetcher) for text in (css, f"@page {{ size: {size} }}")]
    html = HTML(string=markup, base_url="app:", url_fetcher=fetcher)
    return bytes(html.write_pdf(stylesheets=sheets, pdf_variant="pdf/ua-1"))
