"""Head block and loft block by their places: fleet angle, tread over rope, what a groove gauge says, change of play.

Places in mm: x from the centre line, y upstage of the datum, z above the deck. An angle from places known to a
millimetre is given to 0.01 degrees, and no finer than those places allow.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from inspect_app.domain.errors import BadValue
from inspect_app.domain.units import Number, decimal_text, exact

PLACE_STEP_MM = Fraction(1)  # places are kept to the whole millimetre
LARGEST_MM = Fraction(200_000)


class Place(NamedTuple):
    """A point in a house, in mm."""

    x_mm: Number
    y_mm: Number
    z_mm: Number


@dataclass(frozen=True, slots=True)
class Fleet:
    """Sideways offset over distance between two blocks. `step_degrees` is what the places resolve."""

    offset_mm: Fraction
    distance_mm: float
    degrees: Decimal
    ratio: Decimal
    step_degrees: Decimal
    from_groove: bool

    @property
    def words(self) -> str:
        """How it was come by."""
        start = (
            "the groove of the line" if self.from_groove else "the middle of the head block (no groove distance known)"
        )
        return (
            f"worked out from the places of the parts, from {start}: {decimal_text(self.offset_mm)} mm sideways over "
            f"{self.distance_mm:.0f} mm; not measured on the rope"
        )


def fleet_angle(head: Place, loft: Place, axis: str = "across", groove_mm: Number | None = None) -> Fleet:
    """The fleet angle between a head block and a loft block of one line. Raises BadValue.

    Lines of a set run along x (`axis` across the stage) or along y (along); the sheaves turn in that plane, so the
    offset is square to it. `groove_mm` is how far the line's groove lies from the middle of the head block (+ along y
    for a set across, along x for one along); None when it is not known.
    """
    points = [[_coordinate(value) for value in place] for place in (head, loft)]
    along, side = (0, 1) if axis != "along" else (1, 0)
    shift = Fraction(0) if groove_mm is None else _coordinate(groove_mm)
    offset = abs(points[1][side] - points[0][side] - shift)
    run = math.hypot(float(points[1][along] - points[0][along]), float(points[1][2] - points[0][2]))
    if run < 1:
        raise BadValue("Head block and loft block stand at one place. Check their x and z.", "x_mm")
    degrees = math.degrees(math.atan2(float(offset), run))
    step = math.degrees(math.atan2(float(PLACE_STEP_MM), run))
    return Fleet(
        offset_mm=offset,
        distance_mm=run,
        degrees=Decimal(f"{degrees:.4f}"),
        ratio=Decimal(f"{float(offset) / run:.6f}"),
        step_degrees=max(Decimal("0.01"), Decimal(f"{step:.4f}")),
        from_groove=groove_mm is not None,
    )


def groove_offset(line: int, grooves: int, pitch_mm: Number) -> Fraction:
    """How far groove `line` of `grooves` equal ones lies from the middle of the head block, in mm. Raises BadValue."""
    if not 1 <= line <= grooves <= 40:
        raise BadValue(f"There is no groove {line} of {grooves}. Check the number of grooves.", "grooves")
    pitch = exact(pitch_mm)
    if not 0 < pitch <= 500:
        raise BadValue("The distance between grooves must be above zero and below half a metre.", "groove_pitch_mm")
    return (line - Fraction(grooves + 1, 2)) * pitch


def tread_ratio(tread_mm: Number, rope_mm: Number) -> Fraction:
    """Tread diameter over nominal rope diameter, D/d, exactly. Raises BadValue."""
    tread, rope = exact(tread_mm), exact(rope_mm)
    if tread <= 0 or rope <= 0:
        raise BadValue("Tread and rope diameter must be above zero.", "tread_diameter_mm")
    if tread < rope or tread > 200 * rope:
        raise BadValue("This tread cannot belong to this rope. Check both and their units.", "tread_diameter_mm")
    return tread / rope


class GaugeFit(StrEnum):
    """How a worn-groove gauge (nominal diameter plus half the oversize) sits in a groove."""

    LOOSE = "loose"
    FITS = "fits"
    HIGH = "high"


# Handbook pages on grooves and gauges, from a secondary source.
GAUGE_WORDS: Mapping[GaugeFit, str] = {
    GaugeFit.LOOSE: "the gauge touches the bottom with light at its sides: the groove is wider than the worn minimum",
    GaugeFit.FITS: "the gauge fits without light: the groove is already at the worn minimum",
    GaugeFit.HIGH: "the gauge does not reach the bottom: the groove is below the worn minimum for this rope",
}
GAUGE_SOURCE = "Wire rope handbook pages, grooves (from a secondary source)"


def play_words(first: Number, now: Number, unit: str = "mm") -> str:
    """Side play or alignment against the house's own first measure; no document that was read gives a limit."""
    before, here = exact(first), exact(now)
    if before < 0 or here < 0:
        raise BadValue("Play is never below zero.", "value")
    change = here - before
    moved = "as at the first measure" if not change else f"{decimal_text(abs(change))} {unit} "
    if change:
        moved += "more than at the first measure" if change > 0 else "less than at the first measure"
    return f"{moved}; no published limit is known: compare with sister blocks and the maker's paper"


def _coordinate(value: Number) -> Fraction:
    place = exact(value)
    if abs(place) > LARGEST_MM:
        raise BadValue("A place that far off is no place of this house. Check figure and unit.", "x_mm")
    return place
