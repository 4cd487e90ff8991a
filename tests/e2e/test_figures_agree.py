"""Phone and office read and judge a figure alike: thousands of cases through the page's own scripts."""

import random
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route

from inspect_app.config import settings_for, shared_dir
from inspect_app.domain.asked_limits import measures_by_kind, part_limits, strictest_first
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import House, Inventory
from inspect_app.domain.judge import Limit, judge
from inspect_app.domain.judged_measure import judging_attributes
from inspect_app.domain.part import Life, Part
from inspect_app.domain.typed_figure import decimal_figure
from inspect_app.output.pack_limits import shown_limits
from inspect_app.store.checklist import load_shelf
from inspect_app.store.reference import reference_at
from inspect_app.web.static_files import FOLDER
from tests.domain.test_typed_figure import READ, REFUSED

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-access")]

ROPE = {"rope_diameter_mm": "6.35", "rope_construction": "7x19", "rope_baseline_mm": "6.5532", "rope_use": "running"}
METRIC = {**ROPE, "rope_diameter_mm": "8", "rope_construction": "6x19", "rope_baseline_mm": "8.13"}
STEPS = {"in": ("", "0.001", "0.0005", "0.25", "0.015625"), "mm": ("", "0.01", "0.0254", "1"), "count": ("1",)}
ASKED_IN = {"length": ("in", "mm", "ft", "cm"), "force": ("N", "lbf"), "mass": ("kg", "lb"), "torque": ("Nm", "lbf_ft")}
NEAR = (Fraction(0), Fraction(1, 10**6), Fraction(1, 2000), Fraction(1, 1000), Fraction(1, 8), Fraction(1, 3))


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """An empty page that can load the walk page's scripts, and nothing else."""
    context = browser.new_context(service_workers="block")
    page = context.new_page()

    def answer(route: Route) -> None:
        path = route.request.url.removeprefix("http://phone.test/")
        if path.startswith("static/"):
            route.fulfill(path=FOLDER / Path(path).relative_to("static"), content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html><title>Phone</title><p id=said></p>", content_type="text/html")

    page.route("**/*", answer)
    page.goto("http://phone.test/")
    yield page
    context.close()


def in_a_pack(tmp_path: Path) -> Iterator[tuple[Limit, dict, list]]:
    """Every limit that some part of some house meets, with how the pack of that house writes it."""
    criteria = reference_at(shared_dir()).criteria
    checklists = tuple(load_shelf(settings_for(tmp_path)).checklists.values())
    asked = measures_by_kind(checklists)
    for place in ("US", "US-WA", "GB", "EU"):
        house = House("h", "House", settings={"jurisdiction": place})
        for attributes in ({}, ROPE, METRIC):
            parts = tuple(Part(kind.value, "h", "a", kind, kind.value) for kind in asked)
            lives = {part.id: Life(part.id, part.id, attributes=attributes) for part in parts}
            inventory = Inventory(house, parts=parts, lives=lives)
            pack = shown_limits(parts, inventory, checklists, criteria)
            for part in parts:
                for row in asked[part.kind]:
                    if row.criterion in criteria:
                        found = part_limits(criteria[row.criterion], judging_attributes(inventory, part)).limits
                        written = pack.limits.get(part.id, {}).get(row.key, [])
                        for limit, one in zip(strictest_first(found), written, strict=True):
                            yield limit, one, pack.bounds


def texts_near(edge: Fraction, step: str, chance: random.Random) -> set[str]:
    """Figures at the edge, a millionth and half a step beside it, and somewhere else, as they may be typed."""
    beside = [*NEAR, Fraction(step or 0) / 2, Fraction(step or 0) / 2 + Fraction(1, 10**6)]
    found = set()
    for size in [edge + sign * one for one in beside for sign in (1, -1)] + [
        edge * times for times in (Fraction(chance.randrange(1, 400), 200), 2, 10, 25)
    ]:
        if 0 <= size < 10**9:
            text = f"{Decimal(round(size * 10**6)).scaleb(-6):f}"
            text = text.rstrip("0").rstrip(".") if "." in text else text
            found.add(chance.choice((text, text.replace(".", ","))))
            whole, rest = divmod(round(size * 64), 64)
            found |= {f"{whole} {rest}/64"} if rest else {str(whole)}
    return found


def said_by_the_office(typed: str, unit: str, step: str, limit: Limit) -> str | None:
    try:
        value = decimal_figure(typed, unit)
    except BadValue:
        return None
    (verdict,) = judge(Decimal(value), unit, Decimal(step) if step else None, [limit])
    return verdict.hint


def test_phone_and_office_say_the_same_of_every_figure_at_and_about_every_limit(page: Page, tmp_path: Path) -> None:
    chance = random.Random(23)
    limits, cases, expected, seen = [], [], [], set()
    for limit, written, bounds in in_a_pack(tmp_path):
        if (limit.rule, limit.value) in seen:
            continue
        seen.add((limit.rule, limit.value))
        bound = bounds[written["bound"]]
        dimension = [units for units in ASKED_IN.values() if limit.unit in units]
        for unit in {limit.unit, *(dimension[0] if dimension else ()), "mm"}:
            edge = Fraction(bound[unit]["at"]) if unit in bound else Fraction(3)
            for step in STEPS.get(unit, ("", "0.5")):
                for typed in sorted(texts_near(edge, step, chance)):
                    cases.append([typed, unit, step, len(limits)])
                    expected.append(said_by_the_office(typed, unit, step, limit))
        limits.append([{"op": written["op"], "value": written["value"], "unit": written["unit"], "bound": 0}, [bound]])
    assert len(seen) > 60
    assert len(cases) > 3000, len(cases)
    told = page.evaluate(
        """async ([limits, cases]) => {
          const { compare } = await import('/static/js/field/exact.js');
          const { decimalFigure } = await import('/static/js/field/typed_figure.js');
          return cases.map(([typed, unit, step, n]) => {
            const { value } = decimalFigure(typed, unit);
            return value === undefined ? null : compare(value, unit, step, ...limits[n]);
          });
        }""",
        [limits, cases],
    )
    wrong = [(case[:3], limits[case[3]], here, there) for case, here, there in zip(cases, expected, told, strict=True)
             if here != there]  # fmt: skip
    assert wrong == []
    assert {"inside", "outside", "cannot_tell", "none", None} == set(expected)


def test_phone_and_office_read_what_is_typed_alike(page: Page) -> None:
    rows = [[typed, unit] for typed, unit, _ in (*READ, *REFUSED)]
    told = page.evaluate(
        """(rows) => import('/static/js/field/typed_figure.js').then(({ decimalFigure }) =>
             rows.map(([typed, unit]) => decimalFigure(typed, unit)))""",
        rows,
    )
    assert [one.get("value") for one in told] == [*(value for _, _, value in READ), *(None for _ in REFUSED)]
    assert all(one["problem"] for one in told[len(READ) :])


def test_an_older_pack_is_compared_in_its_own_unit_only(page: Page) -> None:
    told = page.evaluate(
        """() => import('/static/js/field/exact.js').then(({ compare }) => {
          const limit = { op: 'less_than', value: '6.0325', unit: 'mm' };
          const typed = [['6.0325', 'mm'], ['6.0324', 'mm'], ['0.2', 'in']];
          const said = typed.map(([value, unit]) => compare(value, unit, '', limit));
          return [...said, compare('6', 'mm', '', { ...limit, op: 'of a newer office' })];
        })"""
    )
    assert told == ["inside", "outside", "none", "none"]


def test_the_phone_names_what_measures_ask_for_where_a_point_measures_it_and_nowhere_else(page: Page) -> None:
    told = page.evaluate(
        """async ({ asked, cases }) => {
            const { Walk } = await import("/static/js/field/walk.js");
            const points = (quantity) => [{ measures: [{ quantity }] }];
            const told = (look_again, quantity, part) =>
                Walk.prototype.lookAgain.call({ pack: { look_again } }, points(quantity), part);
            return [...cases.map((one) => told(asked, ...one)), told(undefined, ...cases[0])];
        }""",
        {
            "asked": {"rope": [{"quantity": "rope diameter", "words": "look again before 2027-05-21"}]},
            "cases": [["rope_diameter", "rope"], ["broken_wires", "rope"], ["rope_diameter", "other"]],
        },
    )
    assert told == [["look again before 2027-05-21"], [], [], []]


def test_the_only_unit_of_a_figure_stands_in_its_label_and_a_count_is_told_its_length_on_this_rope(page: Page) -> None:
    told = page.evaluate(
        """async ({ pack, point }) => {
            const { figures, readFigures } = await import("/static/js/field/figures.js");
            const shown = figures({ pack }, "rope", point);
            document.body.append(shown.node);
            const rows = shown.rows.map(({ node, value }) => {
                value.value = "1";
                return [node.querySelector("label").textContent, node.querySelectorAll(".entry select").length,
                    document.getElementById(value.getAttribute("aria-describedby")).textContent];
            });
            const bare = figures({ pack: { ...pack, counted_over: undefined } }, "rope", point).rows[0].node;
            return [rows, readFigures(shown, point).measures.map((one) => one.unit), bare.textContent];
        }""",
        {
            "pack": {
                "house": {"units": "imperial"},
                "counted_over": {"spans": [{}, {"p/broken_wires": "2 in (50.8 mm)"}], "of": {"rope": 1}},
            },
            "point": {
                "id": "p",
                "measures": [
                    {"quantity": "broken_wires", "units": ["count"], "instrument": "eye", "station": "worst length"},
                    {"quantity": "rail_height", "units": ["mm", "in"], "instrument": "tape", "station": "mid"},
                    {"quantity": "gap", "units": ["in"], "instrument": "rule", "station": "mid"},
                ],
            },
        },
    )
    rows, units, bare = told
    assert rows == [
        ["broken wires (eye), a count", 0, "Where: worst length; on this rope 2 in (50.8 mm)"],
        ["rail height (tape)", 1, "Where: mid"],
        ["gap (rule), in inches", 0, "Where: mid"],
    ]
    assert units == ["count", "in", "in"]
    assert "Where: worst length" in bare
