"""What must hold for every pipe: equilibrium, mirror, scale, superposition, lines that only pull, refusals."""

import math
from collections.abc import Callable

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspect_app.domain.beam import Beam, Load, PointLoad, Solution, UniformLoad, solve
from inspect_app.domain.errors import BadValue

EI = 2.6e10
RUNS = settings(max_examples=60, deadline=None)
NEAR = 1e-9
Case = tuple[Beam, tuple[Load, ...]]


@st.composite
def pipes(draw: st.DrawFn, most_loads: int = 6) -> Case:
    """A pipe with its own weight and some loads, to the millimetre, overhangs included."""
    spans = draw(st.lists(st.integers(300, 6000), min_size=1, max_size=7))
    left, right = draw(st.integers(0, 2000)), draw(st.integers(0, 2000))
    places = [float(left)]
    for span in spans:
        places.append(places[-1] + span)
    end = places[-1] + right
    loads: list[Load] = [UniformLoad(0.0, end, draw(st.integers(10, 300)) / 1000)]
    for _ in range(draw(st.integers(0, most_loads))):
        loads.append(draw(points(end) | spreads(end)))
    return Beam(tuple(places), 0.0, end, EI), tuple(loads)


def points(end: float) -> st.SearchStrategy[Load]:
    return st.builds(PointLoad, st.integers(0, int(end)).map(float), st.integers(0, 4000).map(float))


@st.composite
def spreads(draw: st.DrawFn, end: float) -> Load:
    start = draw(st.integers(0, int(end) - 1))
    return UniformLoad(float(start), float(draw(st.integers(start + 1, int(end)))), draw(st.integers(0, 900)) / 1000)


def solved(case: Case) -> Solution:
    try:
        return solve(*case)
    except BadValue as error:
        assume("tip" not in error.message)
        raise


def weight(load: Load) -> tuple[float, float]:
    """A load's size and the place of its centre."""
    if isinstance(load, PointLoad):
        return load.newtons, load.at_mm
    return load.newtons_per_mm * (load.to_mm - load.from_mm), (load.from_mm + load.to_mm) / 2


@RUNS
@given(pipes())
def test_reactions_balance_loads_and_moments(case: Case) -> None:
    beam, loads = case
    reactions = solved(case).reactions_n
    total = math.fsum(size for size, _ in map(weight, loads))
    assert math.fsum(reactions) == pytest.approx(total, rel=NEAR)
    held = math.fsum(r * x for r, x in zip(reactions, beam.supports_mm, strict=True))
    turned = math.fsum(size * x for size, x in map(weight, loads))
    assert held == pytest.approx(turned, abs=NEAR * total * beam.right_end_mm)


@RUNS
@given(pipes())
def test_shear_and_moment_come_out_as_zero_at_the_free_ends(case: Case) -> None:
    found = solved(case)
    first, last = found.stations[0], found.stations[-1]
    scale = found.total_n * case[0].right_end_mm
    assert abs(first.moment_nmm) <= NEAR * scale
    assert abs(last.moment_nmm) <= NEAR * scale
    assert abs(last.shear_n) <= NEAR * found.total_n


@RUNS
@given(pipes())
def test_lines_pull_or_are_slack_and_the_pipe_never_hangs_below_a_line(case: Case) -> None:
    beam, _ = case
    found = solved(case)
    at = {station.at_mm: station.deflection_mm for station in found.stations}
    scale = found.total_n * beam.right_end_mm**3 / EI
    for index, (place, held) in enumerate(zip(beam.supports_mm, found.reactions_n, strict=True)):
        assert held >= 0
        assert (index in found.slack) == (held <= 1e-12 * found.total_n)
        assert at[place] <= 1e-9 * scale
        if held > 1e-9 * found.total_n:
            assert at[place] == pytest.approx(0.0, abs=1e-9 * scale), "a tight line is where the pipe is"


@RUNS
@given(pipes(), st.data())
def test_adding_a_load_never_lowers_the_sum_of_reactions(case: Case, data: st.DataObject) -> None:
    beam, loads = case
    more = data.draw(points(beam.right_end_mm) | spreads(beam.right_end_mm))
    before, after = solved(case), solved((beam, (*loads, more)))
    assert math.fsum(after.reactions_n) >= math.fsum(before.reactions_n) * (1 - 1e-12)
    assert math.fsum(after.reactions_n) == pytest.approx(math.fsum(before.reactions_n) + weight(more)[0], rel=NEAR)


def mirrored(case: Case) -> Case:
    beam, loads = case
    end = beam.right_end_mm
    turned: list[Load] = [
        PointLoad(end - load.at_mm, load.newtons)
        if isinstance(load, PointLoad)
        else UniformLoad(end - load.to_mm, end - load.from_mm, load.newtons_per_mm)
        for load in loads
    ]
    return Beam(tuple(end - place for place in reversed(beam.supports_mm)), 0.0, end, EI), tuple(turned)


@RUNS
@given(pipes())
def test_a_mirrored_pipe_has_the_mirrored_reactions(case: Case) -> None:
    here, there = solved(case), solved(mirrored(case))
    assert there.reactions_n[::-1] == pytest.approx(here.reactions_n, abs=1e-7 * here.total_n)
    assert there.sag.value == pytest.approx(here.sag.value, rel=1e-6, abs=1e-9)


def scaled(case: Case, length: float, force: float) -> Case:
    beam, loads = case
    changed: list[Load] = [
        PointLoad(load.at_mm * length, load.newtons * force)
        if isinstance(load, PointLoad)
        else UniformLoad(load.from_mm * length, load.to_mm * length, load.newtons_per_mm * force / length)
        for load in loads
    ]
    places = tuple(place * length for place in beam.supports_mm)
    return Beam(places, 0.0, beam.right_end_mm * length, EI * force * length**2), tuple(changed)


@RUNS
@given(pipes(), st.sampled_from([(1 / 25.4, 1 / 4.4482216152605), (1.0, 7.0), (3.5, 1.0), (0.1, 0.01)]))
def test_other_units_give_the_same_pipe(case: Case, units: tuple[float, float]) -> None:
    length, force = units
    assume(min(b - a for a, b in zip(case[0].supports_mm, case[0].supports_mm[1:], strict=False)) * length > 2)
    here, there = solved(case), solved(scaled(case, length, force))
    assert [r / force for r in there.reactions_n] == pytest.approx(here.reactions_n, abs=1e-7 * here.total_n)
    assert there.sag.value / length == pytest.approx(here.sag.value, rel=1e-6, abs=1e-9)
    assert there.sagging.value / (force * length) == pytest.approx(here.sagging.value, rel=1e-6, abs=1e-3)


@RUNS
@given(pipes(most_loads=3), st.data())
def test_loads_superpose_while_all_lines_stay_tight(case: Case, data: st.DataObject) -> None:
    beam, loads = case
    more = data.draw(points(beam.right_end_mm) | spreads(beam.right_end_mm))
    own = (loads[0],)
    parts = [solved((beam, loads)), solved((beam, (*own, more))), solved((beam, own)), solved((beam, (*loads, more)))]
    assume(not any(part.slack for part in parts))
    first, second, shared, both = (part.reactions_n for part in parts)
    added = [a + b - c for a, b, c in zip(first, second, shared, strict=True)]
    assert both == pytest.approx(added, abs=1e-8 * parts[-1].total_n)


def test_a_line_that_would_have_to_push_goes_slack() -> None:
    found = solve(Beam((0.0, 1000.0, 2000.0), -500.0, 2500.0, EI), [PointLoad(-500.0, 90.0), PointLoad(2500.0, 90.0)])
    assert found.reactions_n == pytest.approx((90.0, 0.0, 90.0))
    assert found.slack == (1,)
    assert found.rise.value > 0, "the pipe rises at the slack line"


def test_a_line_let_go_is_taken_up_again_when_the_pipe_sags_onto_it() -> None:
    # Held both ways, lines 1 and 3 would push; without line 1 the far end decides which others stay tight.
    beam = Beam((0.0, 400.0, 5000.0, 5400.0), -1500.0, 5400.0, EI)
    found = solve(beam, [PointLoad(-1500.0, 500.0), UniformLoad(0.0, 5400.0, 1.0), PointLoad(2700.0, 3000.0)])
    assert all(r >= 0 for r in found.reactions_n)
    assert math.fsum(found.reactions_n) == pytest.approx(8900.0)


def test_a_line_that_hangs_lower_carries_less() -> None:
    level = solve(Beam((0.0, 3000.0, 6000.0), 0.0, 6000.0, EI), [UniformLoad(0.0, 6000.0, 0.5)])
    lower = solve(Beam((0.0, 3000.0, 6000.0), 0.0, 6000.0, EI, (0.0, 5.0, 0.0)), [UniformLoad(0.0, 6000.0, 0.5)])
    # Two equal spans, the middle lowered by d: the middle reaction falls by 6 E I d / L³ of the half length L.
    assert level.reactions_n[1] - lower.reactions_n[1] == pytest.approx(6 * EI * 5.0 / 3000.0**3, rel=1e-9)
    slack = solve(Beam((0.0, 3000.0, 6000.0), 0.0, 6000.0, EI, (0.0, 400.0, 0.0)), [UniformLoad(0.0, 6000.0, 0.5)])
    assert slack.slack == (1,)
    assert slack.reactions_n == pytest.approx((1500.0, 0.0, 1500.0))


def test_a_single_line_holds_only_what_hangs_plumb_below_it() -> None:
    one = solve(Beam((500.0,), 0.0, 1000.0, EI), [UniformLoad(0.0, 1000.0, 1.0), PointLoad(500.0, 40.0)])
    assert one.reactions_n == pytest.approx((1040.0,))
    assert one.hogging.value == pytest.approx(1.0 * 500**2 / 2)
    with pytest.raises(BadValue, match="tip") as refused:
        solve(Beam((500.0,), 0.0, 1000.0, EI), [UniformLoad(0.0, 1000.0, 1.0), PointLoad(600.0, 40.0)])
    assert refused.value.field == "supports_mm"


def test_a_load_far_out_on_an_overhang_tips_the_pipe() -> None:
    with pytest.raises(BadValue, match="tip"):
        solve(Beam((1000.0, 2000.0), 0.0, 3000.0, EI), [PointLoad(100.0, 500.0), PointLoad(1500.0, 100.0)])


def test_forty_lights_on_a_long_pipe_are_solved() -> None:
    beam = Beam(tuple(600.0 + 3000.0 * i for i in range(7)), 0.0, 19200.0, EI)
    loads = [UniformLoad(0.0, 19200.0, 0.04), *(PointLoad(300.0 + 450.0 * i, 110.0) for i in range(40))]
    found = solve(beam, loads)
    assert math.fsum(found.reactions_n) == pytest.approx(0.04 * 19200 + 4400, rel=1e-12)


NAN, INF = math.nan, math.inf
GOOD = {"supports_mm": (0.0, 1000.0), "left_end_mm": -10.0, "right_end_mm": 1010.0, "flexural_rigidity": EI}
BAD_BEAMS: list[tuple[str, object]] = [
    *(("left_end_mm", bad) for bad in (NAN, INF, -INF, 1e9, 2000.0, "0", None, True)),
    *(("right_end_mm", bad) for bad in (NAN, INF, 1e9, "1 m", None)),
    *(("flexural_rigidity", bad) for bad in (0.0, -1.0, NAN, INF, 1e30, None)),
    *(
        ("supports_mm", bad)
        for bad in (
            (), (0.0, 0.0), (1000.0, 0.0), (0.0, 0.5), (NAN, 1.0), (0.0, INF), (-500.0, 0.0), (0.0, 5000.0),
            (0.0, "9"), tuple(float(i * 2) for i in range(300)),
        )
    ),
    *(("lowered_mm", bad) for bad in ((0.0,), (0.0, NAN), (0.0, 1e9))),
]  # fmt: skip


@pytest.mark.parametrize(("field", "bad"), BAD_BEAMS, ids=lambda v: str(v)[:30])
def test_a_pipe_that_makes_no_sense_is_refused_by_field(field: str, bad: object) -> None:
    with pytest.raises(BadValue) as refused:
        Beam(**{**GOOD, field: bad})  # type: ignore[arg-type]
    assert refused.value.field in ({field, "right_end_mm"} if field == "left_end_mm" else {field})


def point(field: str, bad: object) -> object:
    return PointLoad(**{"at_mm": 5.0, "newtons": 10.0, field: bad})  # type: ignore[arg-type]


def spread(field: str, bad: object) -> object:
    return UniformLoad(**{"from_mm": 5.0, "to_mm": 50.0, "newtons_per_mm": 1.0, field: bad})  # type: ignore[arg-type]


BAD_LOADS: list[tuple[Callable[[str, object], object], str, object]] = [
    *((point, "at_mm", bad) for bad in (NAN, INF, 1e9, "5", None)),
    *((point, "newtons", bad) for bad in (NAN, INF, -1.0, 1e12, "5", None)),
    *((spread, "from_mm", bad) for bad in (NAN, -INF, -1e9)),
    *((spread, "to_mm", bad) for bad in (NAN, INF, 5.0, 1.0, 1e9)),
    *((spread, "newtons_per_mm", bad) for bad in (NAN, INF, -0.1, 1e12)),
]


@pytest.mark.parametrize(("build", "field", "bad"), BAD_LOADS)
def test_a_load_that_makes_no_sense_is_refused_by_field(
    build: Callable[[str, object], object], field: str, bad: object
) -> None:
    with pytest.raises(BadValue) as refused:
        build(field, bad)
    assert refused.value.field == field


@pytest.mark.parametrize(
    "loads",
    [
        [],
        [PointLoad(500.0, 0.0)],
        [PointLoad(-11.0, 5.0)],
        [PointLoad(1011.0, 5.0)],
        [UniformLoad(-20.0, 500.0, 1.0)],
        [UniformLoad(500.0, 1020.0, 1.0)],
        [PointLoad(500.0, 1.0)] * 121,
    ],
    ids=[
        "none",
        "zero",
        "left of the pipe",
        "right of the pipe",
        "over the left end",
        "over the right end",
        "too many",
    ],
)
def test_loads_that_do_not_fit_the_pipe_are_refused(loads: list[Load]) -> None:
    with pytest.raises(BadValue) as refused:
        solve(Beam(**GOOD), loads)  # type: ignore[arg-type]
    assert refused.value.field == "loads"
