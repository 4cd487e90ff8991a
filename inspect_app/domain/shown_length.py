"""Millimetres as a house shows them and as they stand in a form: feet and inches, or metres."""

from inspect_app.domain.length import format_feet_inches, parse_length


def length_words(mm: int | None, units: str) -> str:
    """A length to read: `12'-6 1/2"` (to 1/16 in) in an imperial house, `3.823 m` in a metric one; '' for None."""
    if mm is None:
        return ""
    return format_feet_inches(mm) if units == "imperial" else f"{mm / 1000:.3f} m"


def typed_length(mm: int | None, units: str) -> str:
    """A length as it stands in a form: read back it gives the same millimetres."""
    if mm is None:
        return ""
    words = length_words(mm, units)
    return words if round(parse_length(words, allow_negative=True)) == mm else f"{mm} mm"


def across_words(x_mm: int | None, units: str) -> str:
    """A place across the stage: `25'-0" stage right of the centre line`; '' for None."""
    if x_mm is None:
        return ""
    if x_mm == 0:
        return "on the centre line"
    side = "stage left" if x_mm > 0 else "stage right"
    return f"{length_words(abs(x_mm), units)} {side} of the centre line"
