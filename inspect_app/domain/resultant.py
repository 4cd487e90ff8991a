"""The pull of a line on a block that turns it: by the wrap on the block, or by the angle between the two legs.

R = 2 T sin(wrap/2) = 2 T cos(included/2). The two angles add up to 180 degrees and agree only at 90: which one was
measured is kept. Friction in the block is left out, so both legs pull alike.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from inspect_app.domain.errors import BadValue

MOST_N = 1e7
HALF_TURN = 180.0


class Measured(StrEnum):
    """Which angle was measured."""

    WRAP = "wrap"  # how far the line lies round the block
    INCLUDED = "included"  # the angle between the two legs


MEASURED_WORDS = {
    Measured.WRAP: "wrap on the block",
    Measured.INCLUDED: "angle between the two legs",
}


@dataclass(frozen=True, slots=True)
class Resultant:
    """The pull on one block, in newtons. `factor` is pull over tension.

    `plumb_n` and `level_n` are its parts along and across one leg, plumb and level when that leg hangs plumb.
    """

    tension_n: float
    degrees: float
    measured: Measured
    factor: float
    pull_n: float
    plumb_n: float
    level_n: float

    @property
    def wrap_degrees(self) -> float:
        """The wrap, whichever angle was measured."""
        return self.degrees if self.measured is Measured.WRAP else HALF_TURN - self.degrees

    @property
    def included_degrees(self) -> float:
        """The angle between the legs, whichever angle was measured."""
        return HALF_TURN - self.wrap_degrees


def resultant(tension_n: float, degrees: float, measured: Measured = Measured.WRAP) -> Resultant:
    """The pull on a block from a line under tension.

    Wrap is more than 0 and at most 180 degrees; the included angle at least 0 and less than 180. Raises BadValue.
    """
    tension = finite(tension_n, "tension_n", MOST_N)
    angle = finite(degrees, "degrees", HALF_TURN)
    wrap = angle if measured is Measured.WRAP else HALF_TURN - angle
    if wrap <= 0:
        raise BadValue(
            f"A {MEASURED_WORDS[measured]} of {angle:g} degrees means that the block does not turn the line; "
            "check which angle was measured.",
            "degrees",
        )
    turned = math.radians(wrap)
    factor = 2 * math.sin(turned / 2)
    return Resultant(
        tension_n=tension,
        degrees=angle,
        measured=measured,
        factor=factor,
        pull_n=tension * factor,
        plumb_n=tension * (1 - math.cos(turned)),
        level_n=tension * math.sin(turned) if wrap < HALF_TURN else 0.0,
    )


def finite(value: object, field: str, most: float) -> float:
    """A number from 0 to `most` as a float. Raises BadValue that names the field."""
    try:
        number = math.nan if isinstance(value, bool | str) or value is None else float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, OverflowError):
        number = math.nan
    if not math.isfinite(number):
        raise BadValue(f"{field}: “{str(value)[:40]}” is not a finite number. Give the figure as read.", field)
    if not 0 <= number <= most:
        raise BadValue(f"{field} is {number:g}; it must be 0 to {most:g}. Check the figure and its unit.", field)
    return number
