"""A pipe as a continuous beam on lines that pull but cannot push: reactions by the stiffness method.

Uniform section, small deflections, lines that do not stretch. Units and signs as in beam_model.py.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from inspect_app.domain.beam_curve import NOTHING, curve_through, drawn
from inspect_app.domain.beam_model import (
    MOST_LOADS,
    Beam,
    Extreme,
    Load,
    PointLoad,
    Solution,
    Station,
    UniformLoad,
)
from inspect_app.domain.errors import BadValue

__all__ = ["Beam", "Extreme", "Load", "PointLoad", "Solution", "Station", "UniformLoad", "solve"]

Array = NDArray[np.float64]
Lump = tuple[float, float]  # place and newtons

TOUCH = 1e-12  # of W·L³/EI: a slack line nearer to the pipe than this only touches it
PLUMB = 1e-9  # of the pipe's length: a load's centre nearer to a line than this is right below it
GAUSS = 0.5 / math.sqrt(3)  # two points integrate the cubic of a fixed-end moment exactly


def solve(beam: Beam, loads: Sequence[Load]) -> Solution:
    """Reactions, shear, moment and deflection of a pipe whose lines can pull but not push.

    Starts from the outermost lines and takes in those that the pipe sags onto; a line that would have to push goes
    slack. What is left is the state of least strain energy: no reaction below zero, the pipe nowhere below a slack
    line's end. A single line holds only a load whose centre is plumb below it. Raises BadValue for loads off the
    pipe, for no load at all, and for a pipe that would tip.
    """
    _check_loads(beam, loads)
    lumps = _lumps(loads, ())
    total = math.fsum(newtons for _, newtons in lumps)
    if total <= 0:
        raise BadValue("There is no load on the pipe; give at least its own weight.", "loads")
    _check_tipping(beam, lumps, total)
    if len(beam.supports_mm) == 1:
        return drawn(beam, loads, (total,), (0,))
    held, tight = _settled(beam, loads, total)
    return drawn(beam, loads, tuple(float(size) for size in held), tight)


def _check_loads(beam: Beam, loads: Sequence[Load]) -> None:
    if len(loads) > MOST_LOADS:
        raise BadValue(f"More than {MOST_LOADS} loads on one pipe; put some of them together.", "loads")
    for number, load in enumerate(loads, start=1):
        ends = (load.at_mm, load.at_mm) if isinstance(load, PointLoad) else (load.from_mm, load.to_mm)
        if ends[0] < beam.left_end_mm or ends[1] > beam.right_end_mm:
            raise BadValue(
                f"Load {number} lies beyond an end of the pipe, which reaches from {beam.left_end_mm:g} mm "
                f"to {beam.right_end_mm:g} mm.",
                "loads",
            )


def _check_tipping(beam: Beam, lumps: Sequence[Lump], total: float) -> None:
    near = PLUMB * (beam.right_end_mm - beam.left_end_mm)
    first, last = beam.supports_mm[0], beam.supports_mm[-1]
    arm = math.fsum(newtons * (at - first) for at, newtons in lumps) / total
    if -near <= arm <= last - first + near:
        return
    if len(beam.supports_mm) == 1:
        raise BadValue(
            "The pipe would tip: a single line holds it only when the centre of the load hangs plumb below the line; "
            f"here it is {abs(arm):.3g} mm off. Give at least two lines.",
            "supports_mm",
        )
    raise BadValue(
        "The pipe would tip: the centre of the load lies beyond the outermost line that holds it.", "supports_mm"
    )


def _lumps(loads: Sequence[Load], cuts: Sequence[float]) -> list[Lump]:
    """The loads as point loads with the same force, moments and fixed-end moments between the cuts.

    A spread load is cut at `cuts`; two Gauss points stand for each piece.
    """
    found: list[Lump] = []
    for load in loads:
        if isinstance(load, PointLoad):
            found.append((load.at_mm, load.newtons))
            continue
        places = [load.from_mm, *(cut for cut in cuts if load.from_mm < cut < load.to_mm), load.to_mm]
        for start, end in pairwise(places):
            middle, half = (start + end) / 2, load.newtons_per_mm * (end - start) / 2
            found += [(middle - GAUSS * (end - start), half), (middle + GAUSS * (end - start), half)]
    return found


def _settled(beam: Beam, loads: Sequence[Load], total: float) -> tuple[Array, list[int]]:
    """Reactions and tight lines: lines are taken in and let go one after another; each round the energy falls."""
    count = len(beam.supports_mm)
    tight = [0, count - 1]
    held = np.maximum(_reactions(beam, loads, tight), 0.0)
    for _ in range(8 * count):
        taken = _sagged_onto(beam, loads, held, tight, total)
        if taken is None:
            return held, tight
        held, tight = _let_go(beam, loads, held, sorted([*tight, taken]), total)
    raise BadValue("No resting place was found for this pipe; check the places of its lines.", "supports_mm")


def _let_go(beam: Beam, loads: Sequence[Load], held: Array, tight: list[int], total: float) -> tuple[Array, list[int]]:
    """Goes from reactions that hold the pipe to those of the tight lines, letting go of each that comes to nothing."""
    nothing = NOTHING * total
    while len(tight) > 1:
        wanted = _reactions(beam, loads, tight)
        pushing = [i for i in tight if wanted[i] < -nothing]
        if not pushing:
            return np.maximum(wanted, 0.0), tight
        step = min(float(held[i] / (held[i] - wanted[i])) for i in pushing)
        held = held + step * (wanted - held)
        tight = [i for i in tight if i not in pushing or held[i] > nothing]
    raise BadValue("The pipe would tip: only one line would stay tight.", "supports_mm")


def _sagged_onto(beam: Beam, loads: Sequence[Load], held: Array, tight: list[int], total: float) -> int | None:
    """The slack line past whose end the pipe hangs deepest, or None."""
    curve = curve_through(beam, loads, tuple(held), tight)
    below = {
        i: curve.deflection(place) - (beam.lowered_mm[i] if beam.lowered_mm else 0.0)
        for i, place in enumerate(beam.supports_mm)
        if i not in tight
    }
    deepest = max(below, key=lambda i: below[i], default=None)
    scale = total * (beam.right_end_mm - beam.left_end_mm) ** 3 / beam.flexural_rigidity
    scale += max(map(abs, beam.lowered_mm), default=0.0)
    return deepest if deepest is not None and below[deepest] > TOUCH * scale else None


def _reactions(beam: Beam, loads: Sequence[Load], tight: Sequence[int]) -> Array:
    """Reactions of the tight lines as if they held the pipe both ways, 0 for the others.

    The unknowns are E·I times the turning of the pipe at each line; overhangs act as moments on the outermost lines.
    Turnings and moments are positive counter-clockwise.
    """
    at = np.array([beam.supports_mm[i] for i in tight])
    spans = np.diff(at)
    forces, outside, fixed = _without_turning(_lumps(loads, tuple(at)), at, spans)
    if beam.lowered_mm:
        drops = np.diff([beam.lowered_mm[i] for i in tight])
        fixed += (6 * beam.flexural_rigidity * drops / spans**2)[:, np.newaxis]
    stiffness = np.zeros((len(at), len(at)))
    turning = outside.copy()
    for k, length in enumerate(spans):
        stiffness[k : k + 2, k : k + 2] += np.array([[4.0, 2.0], [2.0, 4.0]]) / length
        turning[k : k + 2] -= fixed[k]
    turns = np.linalg.solve(stiffness, turning)
    couples = (6 * (turns[:-1] + turns[1:]) / spans + fixed.sum(axis=1)) / spans
    forces[:-1] += couples
    forces[1:] -= couples
    held = np.zeros(len(beam.supports_mm))
    held[list(tight)] = forces
    return held


def _without_turning(lumps: Sequence[Lump], at: Array, spans: Array) -> tuple[Array, Array, Array]:
    """Before the pipe turns: forces on the lines (simple spans), moments from overhangs, fixed-end moments by span."""
    forces, outside = np.zeros(len(at)), np.zeros(len(at))
    fixed = np.zeros((len(spans), 2))
    for place, newtons in lumps:
        k = int(np.searchsorted(at, place, side="right")) - 1
        if k < 0 or k == len(at) - 1:  # on an overhang, or right at the last line
            end = max(k, 0)
            forces[end] += newtons
            outside[end] -= newtons * (place - at[end])
            continue
        a, b, length = place - at[k], at[k + 1] - place, spans[k]
        forces[k] += newtons * b / length
        forces[k + 1] += newtons * a / length
        fixed[k] += newtons * a * b / length**2 * np.array([b, -a])
    return forces, outside, fixed
