"""Which points a tap answers: by hand on a small checklist, by properties on the shipped ones."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import checklists_dir, settings_for
from inspect_app.domain.checklist import (
    Basis,
    Checklist,
    Competence,
    Grade,
    Method,
    Point,
    Section,
    State,
    Vantage,
    Way,
)
from inspect_app.domain.fitting import COMPETENCE_OF, competence_of, fit_of_claim, fitting_points
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role
from inspect_app.store.checklist import load_checklists

SHIPPED = load_checklists(settings_for(checklists_dir() / "no data folder"))[0]


def a_point(name: str, **given: object) -> Point:
    facts: dict[str, object] = {
        "parts": (PartKind.LOFT_BLOCK,), "vantage": Vantage.GRID, "method": Method.LOOK, "state": State.STATIC,
        "way": Way.SEEN_CLOSE, "competence": Competence.TRAINED, "photo": "finding", **given,
    }  # fmt: skip
    return Point(id=name, ask=name, how="", good="", defects=(), stop_use=(), grade=Grade.WATCH, basis=Basis(), **facts)  # type: ignore[arg-type]


SMALL = Checklist(
    id="small", title="", purpose="", interval="P3M", when="", coverage=0.9, competence=Competence.TRAINED,
    basis=Basis(), notice="", stops=(),
    sections=(
        Section("", "", {}, (
            a_point("groove"),
            a_point("from-afar", way=Way.SEEN_FROM_AFAR),
            a_point("rocks", method=Method.FEEL, way=Way.HANDLED, competence=Competence.COMPETENT),
            a_point("sound", method=Method.LISTEN, way=Way.HEARD),
            a_point("runs", state=State.MOVING, way=Way.SEEN_FROM_AFAR),
            a_point("radius", method=Method.MEASURE, way=Way.HANDLED),
            a_point("turns", method=Method.OPERATE, way=Way.HANDLED),
            a_point("paper", photo="always"),
            a_point("bolt-torque", competence=Competence.QUALIFIED),
            a_point("elsewhere", parts=(PartKind.HEAD_BLOCK,)),
        )),
    ),
)  # fmt: skip


def fitting(ways: set[Way], competence: Competence, in_pass: str = "grid/static") -> set[str]:
    return {p.id for p in fitting_points(SMALL, PartKind.LOFT_BLOCK, in_pass, frozenset(ways), competence)}


@pytest.mark.parametrize(
    ("ways", "competence", "wanted"),
    [
        ({Way.SEEN_FROM_AFAR}, Competence.TRAINED, {"from-afar"}),
        ({Way.SEEN_CLOSE}, Competence.TRAINED, {"from-afar", "groove"}),
        ({Way.HANDLED}, Competence.TRAINED, {"from-afar", "groove"}),
        ({Way.HANDLED}, Competence.COMPETENT, {"from-afar", "groove", "rocks"}),
        ({Way.SEEN_CLOSE, Way.HEARD}, Competence.TRAINED, {"from-afar", "groove", "sound"}),
        ({Way.SEEN_CLOSE}, Competence.QUALIFIED, {"from-afar", "groove", "bolt-torque"}),
        (set(), Competence.QUALIFIED, set()),
    ],
)
def test_a_tap_answers_what_these_ways_and_this_competence_meet(
    ways: set[Way], competence: Competence, wanted: set[str]
) -> None:
    assert fitting(ways, competence) == wanted


def test_a_tap_in_another_pass_answers_only_that_passs_points() -> None:
    assert fitting(set(Way), Competence.QUALIFIED, "grid/moving") == {"runs"}
    assert fitting(set(Way), Competence.QUALIFIED, "rail/static") == set()


def claim(
    points: tuple[str, ...], ways: set[Way], shown: tuple[str, ...] = (), competence: Competence = Competence.COMPETENT
) -> tuple[tuple[str, ...], dict[str, str]]:
    fit = fit_of_claim(SMALL, PartKind.LOFT_BLOCK, "grid/static", frozenset(ways), competence, points, frozenset(shown))
    return fit.counted, dict(fit.not_counted)


@pytest.mark.parametrize(
    ("point", "why"),
    [
        ("rocks", "has to be handled"),
        ("sound", "has to be heard"),
        ("runs", "belongs to grid/moving"),
        ("bolt-torque", "needs a qualified person"),
        ("radius", "asks for a figure"),
        ("elsewhere", "is not asked of this part"),
        ("no-such-point", "is not asked of this part"),
    ],
)
def test_a_claimed_point_that_does_not_fit_is_not_counted_and_says_why(point: str, why: str) -> None:
    counted, dropped = claim(("groove", point), {Way.SEEN_CLOSE})
    assert counted == ("groove",)
    assert why in dropped[point]


def test_points_asked_one_by_one_count_only_alone() -> None:
    assert claim(("turns",), {Way.HANDLED})[0] == ("turns",)
    assert claim(("paper",), {Way.HANDLED})[0] == ("paper",)
    counted, dropped = claim(("groove", "turns", "paper"), {Way.HANDLED})
    assert counted == ("groove",)
    assert set(dropped) == {"turns", "paper"}


def test_a_figure_or_a_finding_answers_its_own_point() -> None:
    assert claim(("radius",), {Way.SEEN_CLOSE}, shown=("radius",))[0] == ("radius",)
    assert claim(("groove", "rocks"), {Way.SEEN_CLOSE}, shown=("rocks",))[0] == ("groove", "rocks")


CASES = st.tuples(
    st.sampled_from(sorted(SHIPPED.values(), key=lambda one: one.id)),
    st.sampled_from(list(PartKind)),
    st.builds("{}/{}".format, st.sampled_from([v.value for v in Vantage]), st.sampled_from([s.value for s in State])),
    st.frozensets(st.sampled_from(list(Way))),
    st.sampled_from(list(Competence)),
)


@given(CASES)
def test_exactly_what_a_tap_answers_is_counted_when_it_is_claimed(case) -> None:  # type: ignore[no-untyped-def]
    checklist, kind, in_pass, ways, competence = case
    points = tuple(point.id for point in fitting_points(checklist, kind, in_pass, ways, competence))
    assert fit_of_claim(checklist, kind, in_pass, ways, competence, points, frozenset()).counted == points
    everything = tuple(point.id for point in checklist.points())
    if len(everything) > 1:
        claimed = fit_of_claim(checklist, kind, in_pass, ways, competence, everything, frozenset())
        assert set(claimed.counted) == set(points), "claiming more than fits gains nothing"


@given(CASES, st.sampled_from(list(Way)))
def test_looking_in_one_more_way_never_loses_a_point(case, way: Way) -> None:  # type: ignore[no-untyped-def]
    checklist, kind, in_pass, ways, competence = case
    before = set(fitting_points(checklist, kind, in_pass, ways, competence))
    assert before <= set(fitting_points(checklist, kind, in_pass, ways | {way}, competence))
    assert before <= set(fitting_points(checklist, kind, in_pass, ways, Competence.QUALIFIED))


def test_every_role_stands_for_a_competence_and_the_highest_counts() -> None:
    assert set(COMPETENCE_OF) == set(Role)
    assert competence_of([Role.HELPER, Role.TD]) is Competence.COMPETENT
    assert competence_of([Role.ADMIN, Role.MANAGER]) is Competence.TRAINED
    assert competence_of([Role.INSPECTOR, Role.HELPER]) is Competence.QUALIFIED
    assert competence_of([]) is Competence.TRAINED
