"""Shear, moment, slope and deflection along a pipe whose reactions are known, and their largest values.

Everything is summed from the left end with Macaulay's brackets, so that the far end and each tight line check the
reactions once more: there moment and deflection must come out as zero (or as the line's own place).
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from inspect_app.domain.beam_model import Beam, Extreme, Load, PointLoad, Solution, Station

STEPS = 8  # stations between two places where load or support changes
HALVINGS = 48
NOTHING = 1e-12  # of the whole load: a line that carries less carries nothing


@dataclass(frozen=True, slots=True)
class Curve:
    """A pipe in equilibrium. `turn` and `shift` make the deflection fit the tight lines (E·I times slope and place)."""

    beam: Beam
    loads: Sequence[Load]
    reactions_n: Sequence[float]
    turn: float = 0.0
    shift: float = 0.0

    def shear(self, at: float, *, before: bool = False) -> float:
        """Shear at a place: just right of it, or just left of it when `before`."""
        return math.fsum(self._bracket(at, 0, before))

    def moment(self, at: float) -> float:
        """Bending moment at a place, positive where the pipe sags."""
        return math.fsum(self._bracket(at, 1))

    def slope(self, at: float) -> float:
        """E·I times the slope at a place, positive where the pipe falls to the right."""
        return -math.fsum(self._bracket(at, 2)) + self.turn

    def deflection(self, at: float) -> float:
        """Deflection in mm at a place, positive downwards."""
        along = self.turn * (at - self.beam.left_end_mm)
        return (-math.fsum(self._bracket(at, 3)) + along + self.shift) / self.beam.flexural_rigidity

    def _bracket(self, at: float, power: int, before: bool = False) -> Iterator[float]:
        """The share of each reaction and load in the `power`-th integral of the shear."""
        over = math.factorial(power)
        reach = at if not before else math.nextafter(at, -math.inf)
        for place, size in zip(self.beam.supports_mm, self.reactions_n, strict=True):
            if place <= reach:
                yield size * (at - place) ** power / over
        for load in self.loads:
            if isinstance(load, PointLoad):
                if load.at_mm <= reach:
                    yield -load.newtons * (at - load.at_mm) ** power / over
                continue
            for place, sign in ((load.from_mm, -1.0), (load.to_mm, 1.0)):
                if place <= at:
                    yield sign * load.newtons_per_mm * (at - place) ** (power + 1) / (over * (power + 1))


def curve_through(beam: Beam, loads: Sequence[Load], reactions_n: Sequence[float], tight: Sequence[int]) -> Curve:
    """The curve that passes through the first and the last tight line; on a single line it lies level there."""
    bare = Curve(beam, loads, reactions_n)
    first, last = tight[0], tight[-1]
    want = [_place(beam, i) * beam.flexural_rigidity for i in (first, last)]
    have = [bare.deflection(beam.supports_mm[i]) * beam.flexural_rigidity for i in (first, last)]
    start = beam.supports_mm[first] - beam.left_end_mm
    if first == last:
        turn = -bare.slope(beam.supports_mm[first])
    else:
        turn = ((want[1] - have[1]) - (want[0] - have[0])) / (beam.supports_mm[last] - beam.supports_mm[first])
    return Curve(beam, loads, reactions_n, turn, want[0] - have[0] - turn * start)


def _place(beam: Beam, index: int) -> float:
    return beam.lowered_mm[index] if beam.lowered_mm else 0.0


def drawn(beam: Beam, loads: Sequence[Load], reactions_n: tuple[float, ...], tight: Sequence[int]) -> Solution:
    """The whole answer for known reactions."""
    curve = curve_through(beam, loads, reactions_n, tight)
    stations = _stations(curve, _places(curve))
    total = math.fsum(reactions_n)
    at = {station.at_mm: station for station in stations}
    return Solution(
        reactions_n=reactions_n,
        slack=tuple(i for i, size in enumerate(reactions_n) if size <= NOTHING * total),
        support_moments_nmm=tuple(at[place].moment_nmm for place in beam.supports_mm),
        stations=stations,
        shear=_most(stations, lambda s: abs(s.shear_n)),
        sagging=_most(stations, lambda s: max(0.0, s.moment_nmm)),
        hogging=_most(stations, lambda s: max(0.0, -s.moment_nmm)),
        sag=_most(stations, lambda s: max(0.0, s.deflection_mm)),
        rise=_most(stations, lambda s: max(0.0, -s.deflection_mm)),
        total_n=total,
    )


def _most(stations: Sequence[Station], of: Callable[[Station], float]) -> Extreme:
    best = max(stations, key=of)
    return Extreme(of(best), best.at_mm)


def _changes(beam: Beam, loads: Sequence[Load]) -> list[float]:
    """The places where load or support changes, ends included, each once."""
    places = {beam.left_end_mm, beam.right_end_mm, *beam.supports_mm}
    for load in loads:
        places |= {load.at_mm} if isinstance(load, PointLoad) else {load.from_mm, load.to_mm}
    return sorted(places)


def _places(curve: Curve) -> list[float]:
    """Where to look: even steps between changes, where the shear passes zero, and where the slope does."""
    changes = _changes(curve.beam, curve.loads)
    found = {changes[-1]}
    for left, right in pairwise(changes):
        found |= {left + (right - left) * step / STEPS for step in range(STEPS)}
        start, end = curve.shear(left), curve.shear(right, before=True)
        if start * end < 0:
            found.add(left + (right - left) * start / (start - end))
    ordered = sorted(found)
    slopes = [curve.slope(place) for place in ordered]
    level = [
        _level(curve, left, right)
        for left, right, here, there in zip(ordered, ordered[1:], slopes, slopes[1:], strict=False)
        if here * there < 0
    ]
    return sorted(found.union(level))


def _level(curve: Curve, left: float, right: float) -> float:
    """Where between two places the pipe is level, by halving."""
    falls = curve.slope(left) > 0
    for _ in range(HALVINGS):
        middle = (left + right) / 2
        left, right = (middle, right) if (curve.slope(middle) > 0) == falls else (left, middle)
    return (left + right) / 2


def _stations(curve: Curve, places: Sequence[float]) -> tuple[Station, ...]:
    jumps = set(curve.beam.supports_mm) | {load.at_mm for load in curve.loads if isinstance(load, PointLoad)}
    found: list[Station] = []
    for at in places:
        moment, deflection = curve.moment(at), curve.deflection(at)
        sides = (True, False) if at in jumps else (False,)
        found += [Station(at, curve.shear(at, before=before), moment, deflection) for before in sides]
    return tuple(found)
