"""Plan and section against the places in the database: each mark to 0.1 mm on paper, and none that covers another."""

import itertools
import json
import re
import sqlite3
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inspect_app import clock
from inspect_app.actions.plan import plan_record
from inspect_app.domain.checklist import Grade
from inspect_app.domain.generator import generate
from inspect_app.domain.house import House, Inventory, LineSetKind, Side
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.part import PartKind
from inspect_app.domain.plan import Plan
from inspect_app.domain.plan_house import plan_of_house
from inspect_app.domain.plan_view import VIEWS, PlanFacts
from inspect_app.domain.section import section_of
from inspect_app.domain.set_load import SetRecord, load_begin
from inspect_app.output.plan import plan_svg
from inspect_app.output.plan_frame import PLAN_SIZES
from inspect_app.output.plan_marks import REACH, SHAPES, shape_svg
from inspect_app.output.plan_paper import plan_data, plan_from, plan_html
from inspect_app.output.plan_pen import Style
from inspect_app.output.section import section_svg
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.house import add_areas, add_house, add_line_sets
from inspect_app.store.part import add_lives, add_parts

SVG = "{http://www.w3.org/2000/svg}"
WELLS = (-9000, -6000, -3000, 0, 3000, 6000, 9000)
FORTY = Answers(
    40, 203, 610, 7, WELLS, grid_mm=18_900, bridge_mm=15_200, galleries=((Side.LEFT, 7300),), head_x_mm=11_400,
    kinds={5: LineSetKind.MOTOR, 20: LineSetKind.DOUBLE}, ladders=2, hatches=2,
    attributes={PartKind.BATTEN: {"length_mm": "19200"}},
)  # fmt: skip
NEAR_MM = 0.1
GRAVE = ("watch", "repair_by", "restrict", "stop_use")


@dataclass
class Drawn:
    """A mark as the test reads it from the picture: its middle, its true place, its box and its order of drawing."""

    part: str
    code: str
    x: float
    y: float
    foot: tuple[float, float]
    box: tuple[float, float, float, float]
    order: int


@dataclass
class Picture:
    """A picture with the two scales it states."""

    root: ET.Element
    marks: dict[str, Drawn]
    upstage: int
    other: int
    texts: dict[str, tuple[float, float]]


def extent_of(shape: ET.Element) -> tuple[float, float, float, float]:
    """The box of a shape about its middle, outlines included."""
    xs, ys = [], []
    for one in shape:
        half = float(one.get("stroke-width", "0")) / 2 if one.get("stroke", "none") != "none" else 0.0
        if one.tag == f"{SVG}circle":
            r = float(one.get("r", "0")) + half
            found = [(float(one.get("cx", "0")) + s * r, float(one.get("cy", "0")) + s * r) for s in (-1, 1)]
        elif one.tag == f"{SVG}rect":
            x, y, w, h = (float(one.get(name, "0")) for name in ("x", "y", "width", "height"))
            found = [(x - half, y - half), (x + w + half, y + h + half)]
        else:
            numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", one.get("d", ""))]
            pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
            found = [(x + s * half, y + s * half) for x, y in pairs for s in (-1, 1)]
        xs += [x for x, _ in found]
        ys += [y for _, y in found]
    return min(xs), min(ys), max(xs), max(ys)


def read(svg: str) -> Picture:
    root = ET.fromstring(svg)
    shapes = {g.get("id"): g for g in root.iter(f"{SVG}g") if g.get("id")}
    feet = {
        g.get("data-part"): (float(g[0].get("x1")), float(g[0].get("y1")))  # type: ignore[arg-type]
        for g in root.iter(f"{SVG}g")
        if g.get("class") == "leader"
    }
    marks: dict[str, Drawn] = {}
    for order, link in enumerate(root.iter(f"{SVG}a")):
        use, address = link.find(f"{SVG}use"), link.get("href", "")
        if use is None or not address.startswith("parts/"):
            continue
        part, x, y = address.split("/")[1], float(use.get("x", "0")), float(use.get("y", "0"))
        shape = shapes[use.get("href", "")[1:]]
        box = extent_of(shape)
        around = (x + box[0], y + box[1], x + box[2], y + box[3])
        code = (shape.get("class") or "").removeprefix("mark-")
        assert part not in marks, "a part has one mark"
        assert link.find(f"{SVG}title") is not None
        marks[part] = Drawn(part, code, x, y, feet.get(part, (x, y)), around, order)
    said = [t.text or "" for t in root.iter(f"{SVG}text")]
    scales = next(text for text in said if text.startswith("On this size"))
    upstage, other = (int(n) for n in re.findall(r"1:(\d+)", scales))
    texts = {t.text or "": (float(t.get("x", "0")), float(t.get("y", "0"))) for t in root.iter(f"{SVG}text")}
    return Picture(root, marks, upstage, other, texts)


STYLE = Style(linked=True, shared_shapes=True)


def picture_of(plan: Plan, legend: tuple[tuple[str, str], ...], paper: str = "Letter") -> Picture:
    return read(plan_svg(plan, PLAN_SIZES[paper], replace(STYLE, legend=legend)))


@dataclass
class Built:
    path: Path
    house: House
    inventory: Inventory
    facts: PlanFacts


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Built]:
    """Forty sets by seven lines in a database, with a finding of every grade in the midst and at the edges."""
    where = open_data_folder(tmp_path_factory.mktemp("plan") / "data").settings
    db = open_db(database_path(where))
    house = House(clock.new_id(), "Forty", "UTC")
    made = generate(house, FORTY, clock.new_id)
    with write_transaction(db):
        add_house(db, house, clock.now())
        add_areas(db, made.areas)
        add_line_sets(db, made.line_sets)
        add_parts(db, made.parts)
        add_lives(db, made.lives.values())
    record = plan_record(db, house, date(2026, 6, 1))
    tags = {part.tag: part.id for part in record.inventory.parts}
    found = {"LB 20-4": Grade.STOP_USE, "LB 1-1": Grade.RESTRICT, "HB 40": Grade.REPAIR_BY, "HM R2": Grade.STOP_USE,
             "GD 4-2": Grade.WATCH, "LL 9-3": Grade.RESTRICT, "LB 40-7": Grade.WATCH}  # fmt: skip
    grades = {tags[tag]: (grade, (n,)) for n, (tag, grade) in enumerate(found.items(), 1) if tag in tags}
    stopped = {one.id: ("stopped",) for one in record.inventory.line_sets if one.number in ("9", "20")}
    yield Built(database_path(where), house, record.inventory, record.now._replace(grades=grades, stopped=stopped))
    db.conn.close()


def rows_of(built: Built) -> list[tuple[str, str, int | None, int | None, int | None, str | None]]:
    """id, kind, x, y, z and set of every part, read from the database by the test itself."""
    with sqlite3.connect(built.path) as db:
        rows = db.execute("SELECT hex(id), kind, x_mm, y_mm, z_mm, hex(line_set) FROM part").fetchall()
    return [(uuid(row[0]), *row[1:]) for row in rows]


def uuid(text: str) -> str:
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:])).lower()


def made_plan(built: Built, view: str = "condition") -> tuple[Plan, tuple[tuple[str, str], ...]]:
    shown = VIEWS[view](built.facts)
    return plan_of_house(built.inventory, shown.mark_of, built.facts.stopped, "Forty"), shown.legend


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_mark_of_the_plan_lies_at_its_place_in_the_database(built: Built, paper: str) -> None:
    picture = picture_of(*made_plan(built), paper)
    datum_y = next(
        float(line.get("y1", "0"))
        for line in picture.root.iter(f"{SVG}line")
        if line.get("stroke-dasharray") == "6 1 1 1"
    )
    placed = [row for row in rows_of(built) if row[0] in picture.marks and row[2] is not None and row[3] is not None]
    on_grid = [row for row in placed if row[1] in ("head_block", "loft_block") or row[5] == ""]
    assert sum(row[1] == "loft_block" for row in on_grid) == 280
    assert {row[1] for row in on_grid} >= {"head_block", "head_beam", "grid_deck", "loft_beam", "locking_rail"}
    centre = next(picture.marks[row[0]].foot[0] for row in on_grid if row[2] == 0)
    for part, kind, x_mm, y_mm, _, _ in on_grid:
        foot = picture.marks[part].foot
        assert abs(foot[0] - (centre + (x_mm or 0) / picture.other)) <= NEAR_MM, kind
        assert abs(foot[1] - (datum_y - (y_mm or 0) / picture.upstage)) <= NEAR_MM, kind
    along = [row for row in rows_of(built) if row[1] in ("well", "loading_bridge") and row[2] is not None]
    assert along
    for part, kind, x_mm, *_ in along:
        assert abs(picture.marks[part].x - (centre + (x_mm or 0) / picture.other)) <= NEAR_MM, kind


def test_every_part_has_a_mark_or_is_stood_for_by_the_gravest_of_its_group(built: Built) -> None:
    plan, legend = made_plan(built)
    picture = picture_of(plan, legend)
    for part, kind, *_, line_set in rows_of(built):
        alone = line_set == "" or kind in ("head_block", "loft_block")
        assert part in picture.marks or not alone
    for part, (grade, _) in built.facts.grades.items():
        assert picture.marks[part].code == grade.value  # a finding in a column is the gravest of it


def overlap(a: Drawn, b: Drawn) -> float:
    wide = min(a.box[2], b.box[2]) - max(a.box[0], b.box[0])
    high = min(a.box[3], b.box[3]) - max(a.box[1], b.box[1])
    return max(wide, 0.0) * max(high, 0.0)


def assert_apart(picture: Picture) -> None:
    """No two marks overlap, all lie on the sheet, and of those at their place the graver is drawn later, so on top."""
    _, _, width, height = (float(n) for n in picture.root.get("viewBox", "").split())
    marks = sorted(picture.marks.values(), key=lambda mark: mark.box[0])
    for i, one in enumerate(marks):
        assert min(one.box[:2]) >= 0, one
        assert one.box[2] <= width, one
        assert one.box[3] <= height, one
        for other in marks[i + 1 :]:
            if other.box[0] >= one.box[2]:
                break
            assert overlap(one, other) < 1e-6, (one, other)
    below = picture.texts.get("Place not recorded:", (0, 1e9))[1] - 3
    drawn = [mark for mark in sorted(marks, key=lambda mark: mark.order) if mark.y < below]
    steps = [GRAVE.index(mark.code) if mark.code in GRAVE else -1 for mark in drawn]
    assert steps == sorted(steps)


@pytest.mark.parametrize("view", list(VIEWS))
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_mark_covers_another_at_forty_sets_by_seven_lines(built: Built, paper: str, view: str) -> None:
    assert_apart(picture_of(*made_plan(built, view), paper))


@pytest.mark.parametrize("view", list(VIEWS))
def test_a_set_out_of_use_is_shown_so_in_every_view(built: Built, view: str) -> None:
    plan, legend = made_plan(built, view)
    for svg in (
        plan_svg(plan, PLAN_SIZES["A4"], replace(STYLE, legend=legend)),
        section_svg(section_of(plan, "Side"), 270, 170, replace(STYLE, legend=legend)),
    ):
        titles = [title.text or "" for title in ET.fromstring(svg).iter(f"{SVG}title")]
        assert sum(text.startswith("OUT OF USE. Set ") for text in titles) == 2
        assert "Out of use: 9, 20" in svg


def test_every_mark_of_the_section_lies_at_its_height_and_distance(built: Built) -> None:
    plan, legend = made_plan(built)
    picture = read(section_svg(section_of(plan, "Side"), 270, 170, replace(STYLE, legend=legend)))
    datum = next(line for line in picture.root.iter(f"{SVG}line") if line.get("stroke-dasharray") == "6 1 1 1")
    origin, deck = float(datum.get("x1", "0")), float(datum.get("y2", "0"))
    blocks = [row for row in rows_of(built) if row[1] in ("head_block", "loft_block")]
    assert len(blocks) == 320
    for part, kind, _, y_mm, z_mm, _ in blocks:
        foot = picture.marks[part].foot
        assert abs(foot[0] - (origin + (y_mm or 0) / picture.upstage)) <= NEAR_MM, kind
        assert abs(foot[1] - (deck - (z_mm or 0) / picture.other)) <= NEAR_MM, kind
    heights = {
        float(line.get("y1", "0")) for line in picture.root.iter(f"{SVG}line") if line.get("y1") == line.get("y2")
    }
    for z_mm in (0, 7300, 15_200, 18_900):
        assert min(abs(y - (deck - z_mm / picture.other)) for y in heights) <= NEAR_MM
    assert_apart(picture)
    assert "height not recorded" in picture.texts  # of battens, whose height nobody recorded


def test_the_load_of_a_set_is_worked_out_from_the_same_places(built: Built) -> None:
    """Lines from the batten's left end, as the calculation begins, are those of the picture from its middle."""
    picture = picture_of(*made_plan(built))
    for line_set in built.inventory.line_sets[::13]:
        own = tuple(part for part in built.inventory.parts if part.line_set == line_set.id)
        begin = load_begin(SetRecord(replace(built.house, units="metric"), line_set, own, built.inventory.lives))
        lines = [float(text.removesuffix(" mm")) for text in begin.typed["lines"].split("\n")]
        lofts = sorted(picture.marks[part.id].foot[0] for part in own if part.kind is PartKind.LOFT_BLOCK)
        assert len(lines) == len(lofts) == 7
        for (a, b), (x, y) in zip(itertools.pairwise(lines), itertools.pairwise(lofts), strict=True):
            assert abs((b - a) / picture.other - (y - x)) <= NEAR_MM


@pytest.mark.parametrize("code", SHAPES)
def test_no_shape_reaches_further_than_the_room_that_is_kept_for_it(code: str) -> None:
    drawn = extent_of(ET.fromstring(f'<g xmlns="{SVG[1:-1]}">{shape_svg(code, 0, 0, 100)}</g>'))
    assert max(abs(side) for side in drawn) / 100 <= REACH


@settings(max_examples=15, deadline=None)
@example(gaps=[0, 0, 1], grades={15: Grade.RESTRICT, 61: Grade.RESTRICT})
@given(
    gaps=st.lists(st.sampled_from([0, 1, 20, 60, 150, 203, 900]), min_size=3, max_size=14),
    grades=st.dictionaries(st.integers(0, 400), st.sampled_from(list(Grade)), max_size=30),
)
def test_sets_at_any_distance_hide_no_finding(gaps: list[int], grades: dict[int, Grade]) -> None:
    counter = itertools.count()
    house = House("house", "A house")
    made = generate(house, replace(FORTY, sets=len(gaps), kinds={}), lambda: f"id-{next(counter)}")
    at = dict(zip((one.id for one in made.line_sets), itertools.accumulate(gaps), strict=True))
    made = replace(
        made,
        line_sets=tuple(replace(one, y_mm=at[one.id], sort_key=at[one.id]) for one in made.line_sets),
        parts=tuple(replace(part, y_mm=at.get(part.line_set or "", part.y_mm)) for part in made.parts),
    )
    chosen = {made.parts[n % len(made.parts)].id: (grade, (n,)) for n, grade in grades.items()}
    view = VIEWS["condition"](PlanFacts(date(2026, 1, 1), {}, chosen, {}, {}, {}))
    plan = plan_of_house(made, view.mark_of, {}, "Any")
    if len(set(at.values())) > 1:
        assert_apart(picture_of(plan, view.legend))


def test_what_has_no_recorded_place_is_listed_and_not_drawn_anywhere(built: Built) -> None:
    plan, legend = made_plan(built)
    picture = picture_of(plan, legend)
    below = picture.texts["Place not recorded:"][1]
    unknown = [part for part, kind, x_mm, *_ in rows_of(built) if kind in ("ladder", "hatch") and x_mm is None]
    assert len(unknown) == 4
    for part in unknown:
        assert picture.marks[part].y > below - 3


def test_the_sheet_carries_the_whole_plan_who_printed_it_and_when(built: Built) -> None:
    plan, legend = made_plan(built)
    facts = {"says": "Condition.", "house": "Forty", "demo": False, "as_of": "2026-06-01",
             "made_local": "2026-06-01 12:00", "printed_by": "Ines"}  # fmt: skip
    document = json.loads(plan_data(plan, legend, facts))
    assert plan_from(document["plan"]) == plan
    html = plan_html({**document, "made_at": "2026-06-01T10:00:00+00:00"}, "A4")
    assert '<meta name="author" content="Ines">' in html
    assert '<meta name="dcterms.created" content="2026-06-01T10:00:00+00:00">' in html
    assert html.count("<svg") == 2
