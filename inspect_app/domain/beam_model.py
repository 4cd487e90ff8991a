"""A pipe on its lines as values: what hangs where, and what came out. Checked on making; solved in beam.py.

Units: mm, N, N/mm, N·mm, and N·mm² for E·I. Positions run from left to right on any zero. Shear is positive when the
part to the left is pushed up, moment when the pipe sags, deflection downwards.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from inspect_app.domain.errors import BadValue

MOST_SUPPORTS = 24
MOST_LOADS = 120
FARTHEST_MM = 200_000.0  # beyond any pipe; a unit was mistaken
CLOSEST_MM = 1.0  # two lines nearer than this are one
MOST_N = 1e7
LEAST_RIGIDITY, MOST_RIGIDITY = 1.0, 1e20  # N·mm²; a 1 1/2 in. pipe has about 2.6e10


def checked(value: object, field: str, low: float = -FARTHEST_MM, high: float = FARTHEST_MM) -> float:
    """The value as a finite float within its bounds. Raises BadValue that names the field."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadValue(f"{field}: “{value}” is not a number. Give it as a plain figure.", field)
    if not math.isfinite(value):
        raise BadValue(f"{field} is not a finite number. Give it as read.", field)
    if not low <= value <= high:
        raise BadValue(f"{field} is {value:g}; it must be {low:g} to {high:g}. Check the figure and its unit.", field)
    return float(value)


@dataclass(frozen=True, slots=True)
class PointLoad:
    """A load at one place; `newtons` pull down, 0 or more. Raises BadValue."""

    at_mm: float
    newtons: float

    def __post_init__(self) -> None:
        checked(self.at_mm, "at_mm")
        checked(self.newtons, "newtons", 0.0, MOST_N)


@dataclass(frozen=True, slots=True)
class UniformLoad:
    """A load spread evenly from one place to another; 0 or more. Raises BadValue."""

    from_mm: float
    to_mm: float
    newtons_per_mm: float

    def __post_init__(self) -> None:
        checked(self.from_mm, "from_mm")
        checked(self.to_mm, "to_mm")
        if self.to_mm <= self.from_mm:
            raise BadValue("The spread load ends where or before it begins. Give its left end first.", "to_mm")
        checked(self.newtons_per_mm, "newtons_per_mm", 0.0, MOST_N)
        checked(self.newtons_per_mm * (self.to_mm - self.from_mm), "newtons_per_mm", 0.0, MOST_N)


Load = PointLoad | UniformLoad


@dataclass(frozen=True, slots=True)
class Beam:
    """A pipe from left_end_mm to right_end_mm on lines at supports_mm (ascending). Raises BadValue.

    `lowered_mm` says by how much each line hangs lower than level (higher: negative); empty when all are level.
    """

    supports_mm: tuple[float, ...]
    left_end_mm: float
    right_end_mm: float
    flexural_rigidity: float
    lowered_mm: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        left, right = checked(self.left_end_mm, "left_end_mm"), checked(self.right_end_mm, "right_end_mm")
        if right - left < CLOSEST_MM:
            raise BadValue("The pipe has no length: its right end must lie right of its left end.", "right_end_mm")
        checked(self.flexural_rigidity, "flexural_rigidity", LEAST_RIGIDITY, MOST_RIGIDITY)
        _check_supports(self.supports_mm, left, right)
        if self.lowered_mm and len(self.lowered_mm) != len(self.supports_mm):
            raise BadValue("Say for each line by how much it hangs lower, or for none.", "lowered_mm")
        for size in self.lowered_mm:
            checked(size, "lowered_mm", left - right, right - left)


def _check_supports(supports: Sequence[float], left: float, right: float) -> None:
    if not 1 <= len(supports) <= MOST_SUPPORTS:
        raise BadValue(f"A pipe hangs on 1 to {MOST_SUPPORTS} lines, not {len(supports)}.", "supports_mm")
    places = [checked(place, "supports_mm") for place in supports]
    if any(b - a < CLOSEST_MM for a, b in pairwise(places)):
        raise BadValue(
            f"The lines are to be given from left to right, each at least {CLOSEST_MM:g} mm from the next.",
            "supports_mm",
        )
    if places[0] < left or places[-1] > right:
        raise BadValue("A line is given beyond an end of the pipe.", "supports_mm")


class Station(NamedTuple):
    """The pipe at one place. At a jump of the shear there are two stations, before and after."""

    at_mm: float
    shear_n: float
    moment_nmm: float
    deflection_mm: float


class Extreme(NamedTuple):
    """A largest value and where it is."""

    value: float
    at_mm: float


@dataclass(frozen=True, slots=True)
class Solution:
    """What the lines carry (0.0 where slack, the index in `slack`) and how the pipe bends.

    Moments over the supports are negative where the pipe hogs. `sag` is the largest deflection downwards, `rise` the
    largest upwards as a positive value.
    """

    reactions_n: tuple[float, ...]
    slack: tuple[int, ...]
    support_moments_nmm: tuple[float, ...]
    stations: tuple[Station, ...]
    shear: Extreme
    sagging: Extreme
    hogging: Extreme
    sag: Extreme
    rise: Extreme
    total_n: float
