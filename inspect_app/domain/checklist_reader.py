"""Reading component files and checklist files from nodes into checklists; the rules that span a whole file."""

from collections.abc import Mapping
from dataclasses import dataclass

from inspect_app.domain.checklist import Checklist, Competence, Point, Review, Section, Stop, Vantage
from inspect_app.domain.errors import BadValue
from inspect_app.domain.interval import parse_interval
from inspect_app.domain.node_reader import NodeReader
from inspect_app.domain.part import PartKind
from inspect_app.domain.point_reader import Known, read_basis, read_kinds, read_points, read_wear
from inspect_app.domain.source_tree import Listing, Node, Problem, Table, Text

SCHEMA = "1"
MOST_PARTS_OF_A_STOP = 8
COMPONENT_KEYS = ("schema", "component", "title", "parts", "wear", "points")
CHECKLIST_KEYS = (
    "schema",
    "id",
    "title",
    "purpose",
    "interval",
    "when",
    "coverage",
    "competence",
    "basis",
    "notice",
    "reviewed",
    "stops",
    "sections",
)


@dataclass(frozen=True, slots=True)
class Component:
    """The points of one component list, written once and used by several checklists."""

    slug: str
    title: str
    wear: Mapping[int, str]
    points: tuple[Point, ...]


def read_component(node: Node, file: str, stem: str, known: Known) -> tuple[Component | None, list[Problem]]:
    """A component file. `stem` is its file name without ending, which must equal its `component`."""
    reader = NodeReader(file)
    values = reader.table(node, "a component file", COMPONENT_KEYS)
    _check_schema(reader, values)
    slug = reader.identifier(values.get("component"), "component")
    if slug and slug != stem:
        reader.wrong(values["component"], f"component `{slug}` must be the file's name, `{stem}`")
    kinds = read_kinds(reader, values.get("parts"), "parts")
    wear = read_wear(reader, values["wear"]) if "wear" in values else {}
    title = reader.text(values.get("title"), "title", most=90)
    points = read_points(reader, values.get("points"), kinds, known)
    _refuse_twice(reader, values.get("points"))
    if reader.problems:
        return None, reader.problems
    return Component(slug, title, wear, points), []


def read_checklist(
    node: Node, file: str, stem: str, components: Mapping[str, Component], known: Known, *, revision: str = ""
) -> tuple[Checklist | None, list[Problem]]:
    """A checklist file, its sections filled from `components`."""
    reader = NodeReader(file)
    values = reader.table(node, "a checklist", CHECKLIST_KEYS)
    get = values.get
    _check_schema(reader, values)
    identifier = reader.identifier(get("id"), "checklist id")
    if identifier and identifier != stem:
        reader.wrong(values["id"], f"checklist id `{identifier}` must be the file's name, `{stem}`")
    stops = read_stops(reader, get("stops"))
    sections = tuple(
        _read_section(reader, item, components, known) for item in reader.listing(get("sections"), "sections", least=1)
    )
    _refuse_points_twice(reader, get("sections"), sections)
    competence = reader.choice(get("competence"), "competence", Competence) or Competence.COMPETENT
    if get("sections") is not None:
        _refuse_unreached(reader, values["sections"], stops, sections)
    checklist = Checklist(
        id=identifier,
        title=reader.text(get("title"), "title", most=90),
        purpose=reader.text(get("purpose"), "purpose"),
        interval=_read_interval(reader, get("interval")),
        when=reader.text(get("when"), "when", most=300),
        coverage=reader.share(get("coverage"), "coverage"),
        competence=competence,
        basis=read_basis(reader, get("basis"), known),
        notice=reader.text(get("notice"), "notice", most=900),
        stops=stops,
        sections=sections,
        revision=revision,
        reviewed=_read_review(reader, get("reviewed")),
    )
    return (None, reader.problems) if reader.problems else (checklist, [])


def _check_schema(reader: NodeReader, values: Mapping[str, Node]) -> None:
    if "schema" in values and reader.text(values["schema"], "schema") != SCHEMA:
        reader.wrong(values["schema"], f"schema must be {SCHEMA}; this release reads no other")


def _read_interval(reader: NodeReader, node: Node | None) -> str:
    value = reader.text(node, "interval")
    if node is not None and value:
        try:
            parse_interval(value)
        except BadValue:
            reader.wrong(
                node,
                f"interval `{value}` must be an ISO 8601 duration in days, weeks, months or years "
                "(P1M, P3M, P1Y) or `none`",
            )
    return value


def _read_review(reader: NodeReader, node: Node | None) -> Review:
    if node is None:
        return Review()
    values = reader.table(node, "reviewed", ("by", "credential", "on"))
    return Review(
        reader.text(values.get("by"), "by", empty=True),
        reader.text(values.get("credential"), "credential", empty=True),
        reader.day(values.get("on"), "the date of the review"),
    )


def read_stops(reader: NodeReader, node: Node | None) -> tuple[Stop, ...]:
    """The stops of a walk: what one hand reaches at one place."""
    stops: list[Stop] = []
    for item in reader.listing(node, "stops", least=1):
        values = reader.table(item, "a stop", ("id", "title", "vantage", "order", "parts"))
        identifier = reader.identifier(values.get("id"), "stop id")
        if any(stop.id == identifier for stop in stops):
            reader.wrong(values["id"], f"stop id `{identifier}` is used twice")
        kinds = read_kinds(reader, values.get("parts"), "parts of a stop")
        if len(kinds) > MOST_PARTS_OF_A_STOP:
            reader.wrong(
                values["parts"], f"a stop has {len(kinds)} parts; at most {MOST_PARTS_OF_A_STOP} are within one reach"
            )
        vantage = reader.choice(values.get("vantage"), "vantage", Vantage)
        order = reader.word(values.get("order"), "order", ("well", "set", "place"))
        title = reader.text(values.get("title"), "title", most=60)
        if vantage is not None:
            stops.append(Stop(identifier, title, vantage, order, kinds))
    return tuple(stops)


def _read_section(reader: NodeReader, node: Node, components: Mapping[str, Component], known: Known) -> Section:
    if isinstance(node, Table) and "from" in node.items:
        return _section_from(reader, node, components)
    values = reader.table(node, "a section", ("title", "parts", "wear", "points"), ("from",))
    kinds = read_kinds(reader, values.get("parts"), "parts")
    wear = read_wear(reader, values["wear"]) if "wear" in values else {}
    points = read_points(reader, values.get("points"), kinds, known)
    _refuse_twice(reader, values.get("points"))
    return Section(reader.text(values.get("title"), "title", most=90), "", wear, points)


def _section_from(reader: NodeReader, node: Table, components: Mapping[str, Component]) -> Section:
    values = reader.table(node, "a section with `from`", ("title", "from", "points"))
    slug = reader.text(values.get("from"), "from")
    title = reader.text(values.get("title"), "title", most=90)
    component = components.get(slug)
    if component is None:
        reader.wrong(
            values.get("from", node), f"no component `{slug}`; there are: {', '.join(sorted(components)) or 'none'}"
        )
        return Section(title, slug, {}, ())
    return Section(title, slug, component.wear, _choose_points(reader, values.get("points"), component))


def _choose_points(reader: NodeReader, node: Node | None, component: Component) -> tuple[Point, ...]:
    if isinstance(node, Text):
        if node.value != "all":
            reader.wrong(node, "points must be `all` or a list of point ids")
        return component.points
    by_id = {point.id: point for point in component.points}
    chosen = []
    for item in reader.listing(node, "points", least=1):
        name = reader.text(item, "point id")
        if name and name not in by_id:
            reader.wrong(item, f"component `{component.slug}` has no point `{name}`")
        elif name:
            chosen.append(by_id[name])
    return tuple(chosen)


def _refuse_twice(reader: NodeReader, node: Node | None) -> None:
    seen: set[str] = set()
    for item in node.items if isinstance(node, Listing) else ():
        id_node = item.items.get("id", (None, None))[1] if isinstance(item, Table) else None
        if isinstance(id_node, Text):
            if id_node.value in seen:
                reader.wrong(id_node, f"point id `{id_node.value}` is used twice")
            seen.add(id_node.value)


def _refuse_points_twice(reader: NodeReader, node: Node | None, sections: tuple[Section, ...]) -> None:
    seen: dict[str, str] = {}
    nodes = node.items if isinstance(node, Listing) else ()
    for item, section in zip(nodes, sections, strict=False):
        for point in section.points:
            if point.id in seen and seen[point.id] != section.title:
                reader.wrong(
                    item, f"point `{point.id}` stands in two sections, `{seen[point.id]}` and `{section.title}`"
                )
            seen[point.id] = section.title


def _refuse_unreached(reader: NodeReader, node: Node, stops: tuple[Stop, ...], sections: tuple[Section, ...]) -> None:
    reached: set[tuple[Vantage, PartKind]] = {(stop.vantage, kind) for stop in stops for kind in stop.parts}
    nodes = node.items if isinstance(node, Listing) else ()
    for item, section in zip(nodes, sections, strict=False):
        for point in section.points:
            missed = [kind for kind in point.parts if (point.vantage, kind) not in reached]
            if missed:
                reader.wrong(
                    item,
                    f"no stop of vantage {point.vantage} holds {', '.join(missed)}, which point `{point.id}` needs; "
                    "add the part to a stop there",
                )
