"""The beam against Clapeyron's theorem of three moments, worked out here in fractions and apart from the program.

Which lines are tight is found by trying all of them: the ones that pull, with the pipe nowhere below a slack line's
end (checked with the moment-area sum, exactly as well). Lengths in mm, forces in N.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inspect_app.domain.beam import Beam, Load, PointLoad, UniformLoad, solve
from inspect_app.domain.errors import BadValue

EI = 2.6e10
Spread = tuple[Fraction, Fraction, Fraction]  # from, to, newtons in all; a point load where both ends agree
Case = tuple[tuple[int, ...], int, tuple[Spread, ...]]


def centre(load: Spread) -> Fraction:
    return (load[0] + load[1]) / 2


def between(loads: Sequence[Spread], left: Fraction, right: Fraction) -> Iterator[Spread]:
    """What lies from `left` up to, and not at, `right`."""
    for start, end, size in loads:
        if start == end:
            if left <= start < right:
                yield start, end, size
            continue
        low, high = max(start, left), min(end, right)
        if low < high:
            yield low, high, size * (high - low) / (end - start)


def cubes(load: Spread, zero: Fraction, span: Fraction, sign: int) -> Fraction:
    """6 A x̄ / L of the moments of one load on a simple span, taken about the end at `zero`."""
    ends = [sign * (place - zero) for place in load[:2]]
    if ends[0] == ends[1]:
        return load[2] * ends[0] * (span**2 - ends[0] ** 2) / span
    summed = [span**2 * x**2 / 2 - x**4 / 4 for x in ends]
    return load[2] * (summed[1] - summed[0]) / (ends[1] - ends[0]) / span


def over_lines(at: Sequence[Fraction], end: int, loads: Sequence[Spread]) -> list[Fraction]:
    """Moments over the lines, all of them held: three unknown moments to an equation, swept forwards and back."""
    far = Fraction(end + 1)
    first = -sum(one[2] * (at[0] - centre(one)) for one in between(loads, Fraction(0), at[0]))
    last = -sum(one[2] * (centre(one) - at[-1]) for one in between(loads, at[-1], far))
    rows: list[tuple[Fraction, Fraction]] = [(Fraction(0), Fraction(first))]  # moment k = a · moment k+1 + b
    for left, here, right in zip(at, at[1:], at[2:], strict=False):
        before, after = here - left, right - here
        known = -sum(cubes(one, left, before, 1) for one in between(loads, left, here))
        known -= sum(cubes(one, right, after, -1) for one in between(loads, here, right))
        a, b = rows[-1]
        pivot = 2 * (before + after) + before * a
        rows.append((-after / pivot, (known - before * b) / pivot))
    moments = [Fraction(last)]
    for a, b in reversed(rows):
        moments.append(a * moments[-1] + b)
    return moments[::-1]


def held_both_ways(at: Sequence[Fraction], end: int, loads: Sequence[Spread]) -> list[Fraction]:
    moments = over_lines(at, end, loads)
    held = [Fraction(0)] * len(at)
    held[0] += sum(one[2] for one in between(loads, Fraction(0), at[0]))
    held[-1] += sum(one[2] for one in between(loads, at[-1], Fraction(end + 1)))
    for k, (left, right) in enumerate(pairwise(at)):
        couple = (moments[k + 1] - moments[k]) / (right - left)
        for size, middle in ((one[2], centre(one)) for one in between(loads, left, right)):
            held[k] += size * (right - middle) / (right - left)
            held[k + 1] += size * (middle - left) / (right - left)
        held[k] += couple
        held[k + 1] -= couple
    return held


def sags(at: Sequence[Fraction], held: Sequence[Fraction], loads: Sequence[Spread], places: Sequence[Fraction]):
    """E·I times how deep the pipe hangs below the straight line through its first and last tight line."""

    def bent(x: Fraction) -> Fraction:
        deep = -sum(force * (x - place) ** 3 / 6 for place, force in zip(at, held, strict=True) if place < x)
        for start, end, size in loads:
            if start == end:
                deep += size * max(x - start, Fraction(0)) ** 3 / 6
                continue
            per = size / (end - start) / 24
            deep += per * (max(x - start, Fraction(0)) ** 4 - max(x - end, Fraction(0)) ** 4)
        return Fraction(deep)

    low, high = bent(at[0]), bent(at[-1])
    return [bent(x) - low - (high - low) * (x - at[0]) / (at[-1] - at[0]) for x in places]


def by_trial(case: Case) -> list[Fraction] | None:
    lines, end, loads = case
    for count in range(len(lines), 1, -1):
        for tight in combinations(range(len(lines)), count):
            at = [Fraction(lines[i]) for i in tight]
            held = held_both_ways(at, end, loads)
            slack = [Fraction(lines[i]) for i in range(len(lines)) if i not in tight]
            if min(held) >= 0 and all(deep <= 0 for deep in sags(at, held, loads, slack)):
                found = dict(zip(tight, held, strict=True))
                return [found.get(i, Fraction(0)) for i in range(len(lines))]
    return None


@st.composite
def pipes(draw: st.DrawFn) -> Case:
    """Two to five lines, overhangs, an even weight, and loads anywhere: on a line and at the very ends too."""
    spans = draw(st.lists(st.integers(1, 6000), min_size=1, max_size=4))
    lines = [draw(st.integers(0, 2500))]
    for span in spans:
        lines.append(lines[-1] + span)
    end = lines[-1] + draw(st.integers(0, 2500))
    place = st.integers(0, end) | st.sampled_from([0, end, *lines])
    loads = [(Fraction(0), Fraction(end), Fraction(draw(st.integers(1, 500))))]
    for start, stop in draw(st.lists(st.tuples(place, place), max_size=4)):
        size = Fraction(draw(st.sampled_from([1, 90, 700, 4000, 1_000_000])))
        loads.append((Fraction(min(start, stop)), Fraction(max(start, stop)), size))
    return tuple(lines), end, tuple(loads)


def point(at: int, size: int) -> Spread:
    return Fraction(at), Fraction(at), Fraction(size)


# two lines 8 mm apart, of which a trace of sag decides which one holds
NEAR_TWINS = (
    (Fraction(0), Fraction(7522), Fraction(3, 40) * 7522), point(0, 1), point(1316, 1_000_000), point(7522, 2_005_500),
)  # fmt: skip
EVEN = (Fraction(0), Fraction(12_000), Fraction(480))


@settings(max_examples=80, deadline=None)
@given(pipes())
@example(((1000, 4000, 7000, 11000), 12_000, (EVEN, point(0, 900), point(12_000, 900))))
@example(((1000, 4000, 7000, 11000), 12_000, (EVEN, point(4000, 900))))
@example(((300, 1185, 1193, 1316, 1463, 5443, 7522), 7522, NEAR_TWINS))
@example(((500, 501, 11_500), 12_000, (EVEN, point(6000, 1_000_000))))
def test_reactions_are_those_of_the_three_moment_equation_with_the_right_lines_tight(case: Case) -> None:
    lines, end, loads = case
    ours: list[Load] = [
        PointLoad(float(start), float(size))
        if start == stop
        else UniformLoad(float(start), float(stop), float(size / (stop - start)))
        for start, stop, size in loads
    ]
    total = float(sum(size for *_, size in loads))
    exact = by_trial(case)
    if exact is None:
        with pytest.raises(BadValue, match="tip"):
            solve(Beam(tuple(map(float, lines)), 0.0, float(end), EI), ours)
        return
    found = solve(Beam(tuple(map(float, lines)), 0.0, float(end), EI), ours)
    for mine, theirs in zip(found.reactions_n, exact, strict=True):
        assert mine == pytest.approx(float(theirs), abs=1e-9 * total)
    assert abs(sum(found.reactions_n) - total) <= 1e-9 * total


@pytest.mark.parametrize(
    ("spans", "middle"),
    [(2, "1/8"), (3, "1/10"), (4, "3/28"), (5, "4/38"), (6, "11/104"), (7, "15/142")],
)
def test_the_equation_as_typed_here_gives_the_handbook_moments(spans: int, middle: str) -> None:
    at = [Fraction(1000 * k) for k in range(spans + 1)]
    even = ((Fraction(0), Fraction(1000 * spans), Fraction(1000 * spans)),)
    assert over_lines(at, 1000 * spans, even)[1] == -Fraction(middle) * 1000**2
