"""Reading the points of a checklist from nodes, and refusing instructions that put a hand where it must not be."""

import re
from dataclasses import dataclass

from inspect_app.domain.checklist import (
    Basis,
    Competence,
    Defect,
    Grade,
    MeasureSpec,
    Method,
    Point,
    State,
    Vantage,
    Way,
    judged_by,
)
from inspect_app.domain.node_reader import NodeReader
from inspect_app.domain.part import PartKind
from inspect_app.domain.source_tree import Node, Text

UNITS = (
    "mm",
    "in",
    "cm",
    "ft",
    "m",
    "deg",
    "N",
    "kN",
    "lbf",
    "kg",
    "lb",
    "s",
    "min",
    "count",
    "percent",
    "Nm",
    "lbf_ft",
    "lux",
    "dB",
    "none",
)
PHOTOS = ("never", "finding", "always")
POINT_KEYS = (
    "id",
    "ask",
    "vantage",
    "method",
    "state",
    "way",
    "competence",
    "how",
    "good",
    "defects",
    "stop_use",
    "photo",
    "grade",
    "basis",
)
POINT_OPTIONAL = ("parts", "measures", "needs_paper")
_QUANTITY = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*\Z")
NO_SOURCE = "common practice, no source"
ASBESTOS = "asbestos_ruled_out"

# A hand near these while they run or carry load can be drawn in.
RUNNING_GEAR = frozenset(
    {
        PartKind.HEAD_BLOCK,
        PartKind.LOFT_BLOCK,
        PartKind.MULE_BLOCK,
        PartKind.LIFT_LINE,
        PartKind.TERMINATION_ARBOR,
        PartKind.TERMINATION_BATTEN,
        PartKind.TRIM,
        PartKind.BATTEN,
        PartKind.ARBOR,
        PartKind.COUNTERWEIGHTS,
        PartKind.SPREADERS,
        PartKind.GUIDE,
        PartKind.HAND_LINE,
        PartKind.ROPE_LOCK,
        PartKind.TENSION_BLOCK,
        PartKind.SET_TRAVEL,
        PartKind.DOUBLE_PURCHASE,
        PartKind.HOIST,
        PartKind.DRUM,
        PartKind.BRAKE,
        PartKind.ROPE_SET,
        PartKind.CABLE,
    }
)
OPERATORS_HAND = frozenset({PartKind.HAND_LINE, PartKind.SET_TRAVEL})
MAY_HOLD_ASBESTOS = frozenset({PartKind.FIRE_SAFETY_CURTAIN, PartKind.BRAKE})


@dataclass(frozen=True, slots=True)
class Known:
    """The keys of the reference data that a checklist may name."""

    criteria: frozenset[str]
    sources: frozenset[str]


def read_kinds(reader: NodeReader, node: Node | None, what: str) -> tuple[PartKind, ...]:
    """A list of part kinds."""
    found = [reader.choice(item, "part kind", PartKind) for item in reader.listing(node, what, least=1)]
    return tuple(kind for kind in found if kind is not None)


def read_wear(reader: NodeReader, node: Node) -> dict[int, str]:
    """The wear scale: exactly the ratings 0 to 4, each described."""
    values = reader.table(node, "the wear scale", [str(rating) for rating in range(5)])
    return {int(key): reader.text(value, f"wear rating {key}") for key, value in values.items()}


def read_basis(reader: NodeReader, node: Node | None, known: Known) -> Basis:
    """What a point rests on."""
    if node is None:
        return Basis()
    if isinstance(node, Text):
        if reader.text(node, "basis") != NO_SOURCE:
            reader.wrong(
                node, f"basis must be `{NO_SOURCE}` or name a source with its clause: {{source: ..., clause: ...}}"
            )
        return Basis()
    values = reader.table(node, "basis", ("source", "clause"), ("mark",))
    source = reader.text(values.get("source"), "source")
    if source and source not in known.sources:
        reader.wrong(values["source"], f"unknown source `{source}`; the keys are in shared/sources.yaml")
    mark = reader.word(values.get("mark"), "mark", ("from memory",))
    return Basis(source, reader.text(values.get("clause"), "clause"), mark)


def read_points(reader: NodeReader, node: Node | None, kinds: tuple[PartKind, ...], known: Known) -> tuple[Point, ...]:
    """The points of a component or of a section written in place."""
    points = (read_point(reader, item, kinds, known) for item in reader.listing(node, "points", least=1))
    return tuple(point for point in points if point is not None)


def read_point(reader: NodeReader, node: Node, kinds: tuple[PartKind, ...], known: Known) -> Point | None:
    """One point, or None when something about it is wrong (the problems say what)."""
    before = len(reader.problems)
    values = reader.table(node, "a point", POINT_KEYS, POINT_OPTIONAL)
    get = values.get
    vantage = reader.choice(get("vantage"), "vantage", Vantage)
    method = reader.choice(get("method"), "method", Method)
    state = reader.choice(get("state"), "state", State)
    way = reader.choice(get("way"), "way of looking", Way)
    competence = reader.choice(get("competence"), "competence", Competence)
    grade = reader.choice(get("grade"), "grade", Grade)
    point = Point(
        id=reader.identifier(get("id"), "point id"),
        ask=reader.text(get("ask"), "ask", most=90),
        parts=read_kinds(reader, values["parts"], "parts") if "parts" in values else kinds,
        # The stand-ins never leave this function: a missing choice is a problem, and then None is returned.
        vantage=vantage or Vantage.GRID,
        method=method or Method.LOOK,
        state=state or State.STATIC,
        way=way or Way.HANDLED,
        competence=competence or Competence.QUALIFIED,
        how=reader.text(get("how"), "how"),
        good=reader.text(get("good"), "good"),
        defects=read_defects(reader, get("defects")),
        stop_use=tuple(reader.text(item, "stop_use") for item in reader.listing(get("stop_use"), "stop_use")),
        photo=reader.word(get("photo"), "photo", PHOTOS),
        grade=grade or Grade.STOP_USE,
        basis=read_basis(reader, get("basis"), known),
        measures=tuple(read_measure(reader, item, known) for item in reader.listing(get("measures"), "measures")),
        needs_paper=reader.word(get("needs_paper"), "needs_paper", (ASBESTOS,)),
    )
    if point.method is Method.MEASURE and method is not None and not point.measures:
        reader.wrong(node, f"point `{point.id}` measures but has no `measures` with quantity and units")
    if method is Method.FEEL and vantage is not None and state is not None:
        refuse_dangerous(reader, node, point)
    return point if len(reader.problems) == before else None


def read_defects(reader: NodeReader, node: Node | None) -> tuple[Defect, ...]:
    """The usual defects of a point; their ids are unique within it."""
    seen: set[str] = set()
    defects = []
    for item in reader.listing(node, "defects"):
        values = reader.table(item, "a defect", ("id", "says"))
        defect = Defect(
            reader.identifier(values.get("id"), "defect id"), reader.text(values.get("says"), "says", most=120)
        )
        if defect.id in seen:
            reader.wrong(item, f"defect id `{defect.id}` is used twice in one point")
        seen.add(defect.id)
        defects.append(defect)
    return tuple(defects)


def read_measure(reader: NodeReader, node: Node, known: Known) -> MeasureSpec:
    """A figure that a point asks for."""
    values = reader.table(node, "a measure", ("quantity", "units", "instrument", "station"), ("criterion",))
    quantity = reader.text(values.get("quantity"), "quantity", most=60)
    if quantity and not _QUANTITY.match(quantity):
        reader.wrong(values["quantity"], f"quantity `{quantity}` must be lower-case words joined by _")
    units = tuple(reader.word(unit, "unit", UNITS) for unit in reader.listing(values.get("units"), "units", least=1))
    criterion = reader.text(values["criterion"], "criterion") if "criterion" in values else ""
    if criterion and criterion not in known.criteria:
        reader.wrong(values["criterion"], f"unknown criterion `{criterion}`; the keys are in shared/criteria.yaml")
    instrument = reader.text(values.get("instrument"), "instrument", most=120)
    station = reader.text(values.get("station"), "station", most=160)
    return MeasureSpec(quantity, units, instrument, station, judged_by(quantity, criterion))


def refuse_dangerous(reader: NodeReader, node: Node, point: Point) -> None:
    """Refuse `feel` near running gear, and on cloth or brake lining while asbestos is not ruled out on paper."""
    kinds = frozenset(point.parts)
    at_the_rail = kinds <= OPERATORS_HAND and point.vantage is Vantage.RAIL
    if point.state in (State.MOVING, State.LOADED) and kinds & RUNNING_GEAR and not at_the_rail:
        reader.wrong(
            node,
            f"point `{point.id}` is dangerous: never `feel` a sheave, line, drum or arbor that is moving or loaded; "
            "allowed is only the operator's own hand on the hand line at the rail",
        )
    if kinds & MAY_HOLD_ASBESTOS and point.needs_paper != ASBESTOS:
        reader.wrong(
            node,
            f"point `{point.id}` is dangerous: curtain cloth and brake lining may hold asbestos; "
            f"`feel` needs `needs_paper: {ASBESTOS}`",
        )
