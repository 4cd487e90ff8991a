"""The beam against a handbook's coefficients, against the usual formulas, and against a library of its own.

*Civil Engineering Formulas*, table 2.1, p. 50: continuous beams of equal spans, all loaded evenly. Shears and moments
were read there; a reaction is the sum of the two shears beside it.
anastruct (general-purpose frame analysis) is used by these tests only.
"""

from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest
from anastruct import SystemElements

from inspect_app.domain.beam import Beam, Load, PointLoad, Solution, UniformLoad, solve
from tests.published import published

HANDBOOK = "*Civil Engineering Formulas*"
REACTIONS = [
    (2, 1, "3/8"), (2, 2, "10/8"), (2, 3, "3/8"),
    (3, 1, "4/10"), (3, 2, "11/10"), (3, 3, "11/10"), (3, 4, "4/10"),
    (4, 1, "11/28"), (4, 2, "32/28"), (4, 3, "26/28"), (4, 4, "32/28"), (4, 5, "11/28"),
    (5, 1, "15/38"), (5, 2, "43/38"), (5, 3, "37/38"), (5, 4, "37/38"), (5, 5, "43/38"), (5, 6, "15/38"),
    (6, 1, "41/104"), (6, 2, "118/104"), (6, 3, "100/104"), (6, 4, "106/104"), (6, 5, "100/104"), (6, 6, "118/104"),
    (6, 7, "41/104"),
    (7, 1, "56/142"), (7, 2, "161/142"), (7, 3, "137/142"), (7, 4, "143/142"), (7, 5, "143/142"), (7, 6, "137/142"),
    (7, 7, "161/142"), (7, 8, "56/142"),
]  # fmt: skip
MOMENTS = [
    (2, 2, "1/8"), (3, 2, "1/10"), (3, 3, "1/10"), (4, 2, "3/28"), (4, 3, "2/28"), (5, 2, "4/38"), (5, 3, "3/38"),
    (6, 2, "11/104"), (6, 3, "8/104"), (6, 4, "9/104"), (7, 2, "15/142"), (7, 3, "11/142"), (7, 4, "12/142"),
]  # fmt: skip
END_SPANS = [(2, "0.0703"), (3, "0.080"), (4, "0.0772"), (5, "0.0779"), (6, "0.0777"), (7, "0.0778")]
W, L, EI = 1.3, 2400.0, 2.6e10


@cache
def equal_spans(spans: int) -> Solution:
    places = tuple(L * i for i in range(spans + 1))
    return solve(Beam(places, 0.0, L * spans, EI), [UniformLoad(0.0, L * spans, W)])


@published(
    "Continuous beam", HANDBOOK, "table 2.1, p. 50", "read", names="spans, line, coefficient", rows=REACTIONS,
    what="{spans} equal spans, reaction {line} over wL", value="{coefficient}",
)  # fmt: skip
def test_published_reactions_of_equal_spans(spans: int, line: int, coefficient: str) -> None:
    assert equal_spans(spans).reactions_n[line - 1] / (W * L) == pytest.approx(float(Fraction(coefficient)), rel=1e-12)


@published(
    "Continuous beam", HANDBOOK, "table 2.1, p. 50", "read", names="spans, line, coefficient", rows=MOMENTS,
    what="{spans} equal spans, moment over support {line} over wL²", value="{coefficient}",
)  # fmt: skip
def test_published_support_moments_of_equal_spans(spans: int, line: int, coefficient: str) -> None:
    found = equal_spans(spans).support_moments_nmm
    assert -found[line - 1] / (W * L**2) == pytest.approx(float(Fraction(coefficient)), rel=1e-11)
    assert found[line - 1] == pytest.approx(found[-line], rel=1e-11), "the same from the other end"


@published(
    "Continuous beam", HANDBOOK, "table 2.1, p. 50", "read", names="spans, coefficient", rows=END_SPANS,
    what="{spans} equal spans, largest moment in the end span over wL²", value="{coefficient}",
)  # fmt: skip
def test_published_end_span_moments_of_equal_spans(spans: int, coefficient: str) -> None:
    printed = Fraction(coefficient)
    half_a_unit = 0.5 * 10.0 ** -len(coefficient.partition(".")[2])
    in_end_span = max(s.moment_nmm for s in equal_spans(spans).stations if s.at_mm <= L)
    assert in_end_span / (W * L**2) == pytest.approx(float(printed), abs=half_a_unit)


# The usual formulas of a beam on two supports, as any table of beam formulas prints them: (what, formula in W, L, EI).
# P = 900 N; a is the length of an overhang. The sixth and seventh are those of one overhang loaded at its tip.
P, OVER = 900.0, 700.0
ONE_SPAN: dict[str, tuple[tuple[Load, ...], float]] = {
    "even": ((UniformLoad(0.0, L, W),), L),
    "centre": ((PointLoad(L / 2, P),), L),
}
SIMPLE = [
    ("evenly loaded, moment", "w L²/8", "even", "moment", W * L**2 / 8),
    ("evenly loaded, sag", "5 w L⁴/(384 E I)", "even", "sag", 5 * W * L**4 / (384 * EI)),
    ("load at mid-span, moment", "P L/4", "centre", "moment", P * L / 4),
    ("load at mid-span, sag", "P L³/(48 E I)", "centre", "sag", P * L**3 / (48 * EI)),
]


@published(
    "Simple beam", "tables of beam formulas", "simply supported beam", "secondary",
    names="_what, _formula, case, kind, value", rows=SIMPLE, what="{_what}", value="{_formula}",
)  # fmt: skip
def test_published_formulas_of_a_single_span(case: str, kind: str, value: float) -> None:
    loads, length = ONE_SPAN[case]
    found = solve(Beam((0.0, length), 0.0, length, EI), loads)
    assert (found.sagging if kind == "moment" else found.sag).value == pytest.approx(value, rel=1e-11)
    assert (found.sagging if kind == "moment" else found.sag).at_mm == pytest.approx(length / 2, rel=1e-6)


@published(
    "Simple beam", "tables of beam formulas", "one overhang, load at its tip", "secondary",
    names="_what, _formula, kind, value",
    rows=[
        ("sag at the tip", "F a² (L + a)/(3 E I)", "sag", P * OVER**2 * (L + OVER) / (3 * EI)),
        ("rise between the supports", "F a L²/(9 √3 E I)", "rise", P * OVER * L**2 / (9 * 3**0.5 * EI)),
    ],
    what="overhang a, {_what}", value="{_formula}",
)  # fmt: skip
def test_published_formulas_of_an_overhang(kind: str, value: float) -> None:
    # Two lines that only pull would let go here: an even load between them holds the far one tight in the program,
    # and by superposition its own sag (evenly loaded span) is taken off again.
    beam = Beam((0.0, L), 0.0, L + OVER, EI)
    weight = UniformLoad(0.0, L, W)
    tip = PointLoad(L + OVER, P)
    both, alone = solve(beam, [weight, tip]), solve(beam, [weight])
    at = {s.at_mm: s.deflection_mm for s in both.stations}
    if kind == "sag":
        end = L + OVER
        assert at[end] - alone.stations[-1].deflection_mm == pytest.approx(value, rel=1e-9)
        return
    place = L / 3**0.5
    marked = [PointLoad(place, 0.0)]  # a station at the place of the largest rise
    rise = {s.at_mm: s.deflection_mm for s in solve(beam, [weight, *marked]).stations}[place]
    rise -= {s.at_mm: s.deflection_mm for s in solve(beam, [weight, tip, *marked]).stations}[place]
    assert rise == pytest.approx(value, rel=1e-9)


# A 1 1/2 in. schedule 40 pipe: I = .310 in⁴, S = .326 in³ (Mott, *Applied Strength of Materials*, appendix A-16), and
# E = 29e6 psi. Worked out apart from the program from the formulas above; in inches and pounds.
PIPE_EI, PIPE_S = 29e6 * 0.310, 0.326
PIPE = [
    ("10 ft, 15 + 2.72 lb/ft: moment, lb·in", "2658", 120.0, 17.72 / 12, 0.0, "moment", 2658.0, 0.5),
    ("10 ft, 15 + 2.72 lb/ft: stress, psi", "8153", 120.0, 17.72 / 12, 0.0, "stress", 8153.0, 0.9),
    ("10 ft, 15 + 2.72 lb/ft: sag, in", ".4435", 120.0, 17.72 / 12, 0.0, "sag", 0.4435, 5e-5),
    ("10 ft, 100 lb at mid-span: moment, lb·in", "3000", 120.0, 0.0, 100.0, "moment", 3000.0, 1e-6),
    ("10 ft, 100 lb at mid-span: stress, psi", "9202", 120.0, 0.0, 100.0, "stress", 9202.0, 0.6),
    ("10 ft, 100 lb at mid-span: sag, in", ".4004", 120.0, 0.0, 100.0, "sag", 0.4004, 5e-5),
    ("12 ft, 17.72 lb/ft: sag, in", ".9196", 144.0, 17.72 / 12, 0.0, "sag", 0.9196, 5e-5),
]


@published(
    "Pipe as a beam", "Mott, *Applied Strength of Materials*, 4th ed.", "appendix A-16, with beam formulas", "worked",
    names="_what, _shown, length, spread, middle, kind, value, near", rows=PIPE, what="1 1/2 in. pipe, {_what}",
    value="{_shown}",
)  # fmt: skip
def test_published_pipe_cases(
    length: float, spread: float, middle: float, kind: str, value: float, near: float
) -> None:
    loads: list[Load] = [UniformLoad(0.0, length, spread), PointLoad(length / 2, middle)]
    found = solve(Beam((0.0, length), 0.0, length, PIPE_EI), loads)
    shown = {
        "moment": found.sagging.value,
        "stress": found.sagging.value / PIPE_S,
        "sag": found.sag.value,
    }
    assert shown[kind] == pytest.approx(value, abs=near)


# Irregular pipes: (lines, left end, right end, loads). No line goes slack in them, so that a library whose supports
# hold both ways has the same answer.
IRREGULAR: dict[str, tuple[tuple[float, ...], float, float, tuple[Load, ...]]] = {
    "three lines, end overhangs": (
        (600.0, 4100.0, 8400.0), 0.0, 9200.0, (UniformLoad(0.0, 9200.0, 0.04), PointLoad(2500.0, 450.0)),
    ),
    "four lines, a light on each overhang": (
        (900.0, 4000.0, 7600.0, 12000.0), 0.0, 13000.0,
        (UniformLoad(0.0, 13000.0, 0.05), PointLoad(100.0, 150.0), PointLoad(12800.0, 120.0), PointLoad(5800.0, 700.0)),
    ),
    "five lines, a border over part": (
        (300.0, 3300.0, 6900.0, 9800.0, 13700.0), 0.0, 14000.0,
        (UniformLoad(0.0, 14000.0, 0.0397), UniformLoad(2200.0, 11150.0, 0.11), PointLoad(13700.0, 90.0)),
    ),
    "six lines at 10 ft, twelve lights": (
        tuple(1000.0 + 3048.0 * i for i in range(6)), 0.0, 17240.0,
        (UniformLoad(0.0, 17240.0, 0.0397), *(PointLoad(1200.0 + 1300.0 * i, 80.0 + 15.0 * i) for i in range(12))),
    ),
    "two lines, loads on three stretches": (
        (1500.0, 6500.0), 0.0, 9000.0,
        (UniformLoad(0.0, 1200.0, 0.2), UniformLoad(3000.0, 7500.0, 0.15), PointLoad(8800.0, 130.0)),
    ),
    "seven lines, very uneven": (
        (400.0, 2900.0, 5100.0, 6900.0, 9900.0, 11800.0, 14900.0), 0.0, 15600.0,
        (UniformLoad(0.0, 15600.0, 0.3), PointLoad(1350.0, 200.0), PointLoad(7100.0, 260.0), PointLoad(12650.0, 410.0)),
    ),
}  # fmt: skip
LIBRARY_ROWS = [(name, line) for name, (lines, *_) in IRREGULAR.items() for line in range(1, len(lines) + 1)]


@cache
def ours(name: str) -> Solution:
    lines, left, right, loads = IRREGULAR[name]
    return solve(Beam(lines, left, right, EI), loads)


@cache
def theirs(name: str) -> tuple[list[float], list[float], list[tuple[float, float]]]:
    """Reactions, moments over the lines, and deflections at all nodes, by the library (stiff along the pipe)."""
    lines, left, right, loads = IRREGULAR[name]
    places = {left, right, *lines}
    for load in loads:
        places |= {load.at_mm} if isinstance(load, PointLoad) else {load.from_mm, load.to_mm}
    nodes = sorted(places)
    frame = SystemElements(EI=EI, EA=1e9)
    for start, end in pairwise(nodes):
        element = frame.add_element([[start, 0], [end, 0]])
        spread = [u for u in loads if isinstance(u, UniformLoad) and u.from_mm <= start and end <= u.to_mm]
        if spread:
            frame.q_load(q=-sum(u.newtons_per_mm for u in spread), element_id=element)
    for number, place in enumerate(nodes, start=1):
        down = sum(load.newtons for load in loads if isinstance(load, PointLoad) and load.at_mm == place)
        if down:
            frame.point_load(number, Fy=-down)
    supports = [nodes.index(line) + 1 for line in lines]
    frame.add_support_hinged(supports[0])
    for number in supports[1:]:
        frame.add_support_roll(number)
    frame.solve()
    held = [-float(frame.reaction_forces[number].Fy) for number in supports]
    moments = [_moment_at(frame, number, len(nodes)) for number in supports]
    sags = [(place, -float(frame.get_node_displacements(i)["uy"])) for i, place in enumerate(nodes, start=1)]
    return held, moments, sags


def _moment_at(frame: SystemElements, node: int, nodes: int) -> float:
    element = frame.element_map[node if node < nodes else node - 1]
    return float(element.bending_moment[0 if node < nodes else -1])


@published(
    "Continuous beam", "anastruct", "SystemElements", "library", names="name, line", rows=LIBRARY_ROWS,
    what="{name}: reaction of line {line}", value="as the library computes it",
)  # fmt: skip
def test_published_library_gives_the_same_reactions(name: str, line: int) -> None:
    assert ours(name).slack == ()
    assert ours(name).reactions_n[line - 1] == pytest.approx(theirs(name)[0][line - 1], rel=2e-5)


@published(
    "Continuous beam", "anastruct", "SystemElements", "library", names="name, _line",
    rows=[row for row in LIBRARY_ROWS if row[1] == 2], what="{name}: moments over the lines",
    value="as the library computes them",
)  # fmt: skip
def test_published_library_gives_the_same_support_moments(name: str) -> None:
    there = theirs(name)[1]
    for mine, other in zip(ours(name).support_moments_nmm, there, strict=True):
        assert abs(mine) == pytest.approx(abs(other), abs=2e-5 * max(abs(m) for m in there))


@published(
    "Continuous beam", "anastruct", "SystemElements", "library", names="name", rows=[(name,) for name in IRREGULAR],
    what="{name}: deflections where loads hang and lines hold", value="as the library computes them",
)  # fmt: skip
def test_published_library_gives_the_same_deflections(name: str) -> None:
    mine = {station.at_mm: station.deflection_mm for station in ours(name).stations}
    there = theirs(name)[2]
    scale = max(abs(sag) for _, sag in there)
    assert scale > 0.1
    for place, sag in there:
        assert mine[place] == pytest.approx(sag, abs=5e-5 * scale)
