"""Head block and loft block by their places: fleet angle, tread over rope, what a groove gauge says.

Places in mm: x from the centre line, y upstage of the datum, z above the deck. An angle from places known to a
millimetre resolves 0.01 degrees at best, and no more than those places allow.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from inspect_app.domain.errors import BadValue
from inspect_app.domain.judge import Limit, Verdict, judge
from inspect_app.domain.units import Number, exact

PLACE_STEP_MM = Fraction(1)  # places are kept to the whole millimetre
LARGEST_MM = Fraction(200_000)
FINEST_STEP = Fraction(1, 100)  # of a degree


class Place(NamedTuple):
    """A point in a house, in mm."""

    x_mm: Number
    y_mm: Number
    z_mm: Number


@dataclass(frozen=True, slots=True)
class Fleet:
    """Sideways offset over distance between two blocks, not rounded. `step_degrees` is what the places resolve."""

    offset_mm: Fraction
    distance_mm: Fraction
    degrees: Fraction
    ratio: Fraction
    step_degrees: Fraction
    from_groove: bool

    @property
    def step_ratio(self) -> Fraction:
        """What the places resolve, as a ratio."""
        return Fraction(math.tan(math.radians(self.step_degrees)))


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
    run = _distance(points[1][along] - points[0][along], points[1][2] - points[0][2])
    if run < 1:
        raise BadValue("Head block and loft block stand at one place. Check their x and z.", "x_mm")
    step = math.degrees(math.atan2(PLACE_STEP_MM, run))
    return Fleet(
        offset_mm=offset,
        distance_mm=run,
        degrees=Fraction(math.degrees(math.atan2(offset, run))),
        ratio=offset / run,
        step_degrees=max(FINEST_STEP, Fraction(f"{step:.4f}")),
        from_groove=groove_mm is not None,
    )


def fleet_verdicts(fleet: Fleet, limits: Sequence[Limit], *, as_typed: bool = False) -> tuple[Verdict, ...]:
    """One verdict for each limit, in the form its document writes it in: an angle, or offset over distance.

    What the places resolve is the gauge's step; `as_typed` for figures that stand for themselves.
    """
    forms = {"deg": (fleet.degrees, fleet.step_degrees), "none": (fleet.ratio, fleet.step_ratio)}
    return tuple(
        verdict
        for limit in limits
        if limit.unit in forms
        for verdict in judge(forms[limit.unit][0], limit.unit, None if as_typed else forms[limit.unit][1], [limit])
    )


def _distance(level: Fraction, height: Fraction) -> Fraction:
    """Exact where both blocks stand at one height, so that an offset of just 1 in 40 is one."""
    if not level or not height:
        return abs(level + height)
    return Fraction(math.hypot(level, height))


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


# Handbook pages on grooves and gauges, from a secondary source (groove-handbook-page in shared/sources.yaml).
GAUGE_WORDS: Mapping[GaugeFit, str] = {
    GaugeFit.LOOSE: "the gauge touches the bottom with light at its sides: the groove is wider than the worn minimum",
    GaugeFit.FITS: "the gauge fits without light: the groove is already at the worn minimum",
    GaugeFit.HIGH: "the gauge does not reach the bottom: the groove is below the worn minimum for this rope",
}


def _coordinate(value: Number) -> Fraction:
    place = exact(value)
    if abs(place) > LARGEST_MM:
        raise BadValue("A place that far off is no place of this house. Check figure and unit.", "x_mm")
    return place
