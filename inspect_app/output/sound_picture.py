"""How loud a recording is over its length, as a picture: one bar for each piece, symmetrical about the middle."""

from collections.abc import Sequence
from xml.sax.saxutils import quoteattr

from markupsafe import Markup

from inspect_app.output.svg import as_markup

_WIDE, _HIGH = 400, 60


def draw_levels(levels: Sequence[float], says: str) -> Markup:
    """The picture of `levels` (shares of full scale), or nothing when there are none. Small levels stay visible: the
    height of a bar is the square root of its level, the same in every picture."""
    if not levels:
        return Markup()
    step = _WIDE / len(levels)
    bars = []
    for n, level in enumerate(levels):
        half = max(0.6, (_HIGH / 2 - 1) * min(level, 1.0) ** 0.5)
        bars.append(f"M{(n + 0.5) * step:.2f} {_HIGH / 2 - half:.2f}v{2 * half:.2f}")
    return as_markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" class="levels" viewBox="0 0 {_WIDE} {_HIGH}" role="img" '
        f'aria-label={quoteattr(says)}><path d="{"".join(bars)}" fill="none" stroke="currentColor" '
        f'stroke-width="{step * 0.6:.2f}"/></svg>'
    )
