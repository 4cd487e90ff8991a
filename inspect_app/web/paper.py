"""Paper for a walk: blank forms in walking order, where their codes lead, and sheets of labels for sets and parts."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlsplit

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import Inventory
from inspect_app.domain.label_sheet import SIZES, Label, LabelSize, check_size, lay_out, size_words
from inspect_app.domain.lan import is_loopback
from inspect_app.domain.line_names import line_words
from inspect_app.domain.paper_form import choose_sets, paper_form, place_from
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.part_label import PartLabel, make_label
from inspect_app.domain.stretch import tag_key
from inspect_app.domain.walk import Scope, WalkState
from inspect_app.domain.walk_order import find_place, stretches
from inspect_app.output import label_sheet
from inspect_app.output import paper_form as paper
from inspect_app.output.label_sheet import label_data
from inspect_app.output.paper_form import form_data
from inspect_app.store.checklist import load_checklists
from inspect_app.store.walk import list_walks
from inspect_app.store.walk_record import get_inventory
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.house_form import units
from inspect_app.web.printing import asked_paper, paper_facts, print_paper
from inspect_app.web.second_look import second_looks_here
from inspect_app.web.walk import record_of

blueprint = Blueprint("paper", __name__, url_prefix="/houses/<house_id>")
TIME_LIMIT_S = 180.0  # two hundred sheets take about a minute
BEFORE = (
    "The stage below is clear and somebody on the deck keeps it clear.",
    "Loads are off or balanced; motors are locked out.",
    "Every tool and this board are tethered; pockets are empty.",
    "Nobody goes aloft alone. Both know where the openings are.",
    "Sets that are out of use stay out of use. If unsure, stop and ask.",
)
WORDS = {"paper": "Paper", "across": "Labels across", "down": "Labels down", "width": "Width", "height": "Height",
         "left": "Left margin", "top": "Top margin", "step_x": "Step across", "step_y": "Step down"}  # fmt: skip


@blueprint.get("/paper")
@permission("walk.view")
def forms(house_id: str) -> str:
    """Choose what to print a blank form of."""
    return _forms_page(house_id)


def _forms_page(house_id: str, problem: str = "") -> str:
    inventory = get_inventory(get_db(), house_id)
    return render_template(
        "paper/forms.html",
        checklists=load_checklists(get_settings())[0].values(),
        areas=inventory.areas,
        walks=[row.walk for row in list_walks(get_db(), house_id) if row.walk.state is not WalkState.SEALED],
        given=request.args,
        given_areas=request.args.getlist("area"),
        given_lists=request.args.getlist("checklist"),
        problem=problem,
        **_reach(),
    )


def _reach() -> dict[str, Any]:
    """Where the codes will lead, and whether that is this machine alone: paper cannot be told a new address later."""
    host = urlsplit(request.host_url).hostname or ""
    return {"address": request.host_url.rstrip("/"), "only_here": is_loopback(host)}


@blueprint.get("/paper/print")
@permission("walk.view")
def print_form(house_id: str) -> ResponseReturnValue:
    """Print the blank form of a scope, or of an open walk."""
    try:
        checklists, inventory, scope, words = _chosen(house_id)
        form, size = paper_form(checklists, inventory, scope, second_looks_here()), asked_paper()
    except BadValue as error:
        return _forms_page(house_id, error.message), 422
    address = request.host_url.rstrip("/") + url_for("paper.open_place", house_id=house_id)
    at = clock.now()
    facts = paper_facts(at) | {
        "title": " and ".join(one.title for one in checklists),
        "scope": words,
        "notice": " ".join(dict.fromkeys(one.notice for one in checklists)),
        "before": BEFORE,
    }
    back, data = url_for("paper.forms", house_id=house_id), form_data(form, address, facts)
    return print_paper(paper.KIND, "paper-form", data, at, back, paper=size, time_limit_s=TIME_LIMIT_S)


def _chosen(house_id: str) -> tuple[list[Checklist], Inventory, Scope, str]:
    """What the address asks for. Raises BadValue."""
    if request.args.get("walk"):
        record = record_of(house_id, request.args["walk"])
        words = f"Walk “{record.walk.title}” of {record.walk.date_local}"
        return list(record.checklists), record.inventory, record.walk.scope, words
    inventory = get_inventory(get_db(), house_id)
    shelf = load_checklists(get_settings())[0]
    lists = [shelf[key] for key in request.args.getlist("checklist") if key in shelf]
    if not lists:
        raise BadValue("Choose a checklist at least.")
    sets = choose_sets(request.args.get("sets", ""), _present(inventory))
    names = {area.id: area.name for area in inventory.areas}
    areas = [key for key in request.args.getlist("area") if key in names]
    scope = Scope(tuple((one.id, one.revision) for one in lists), sets, frozenset(areas) or None)
    said = [f"Sets {request.args['sets']}"] if sets else ["All sets"]
    said.append(", ".join(names[key] for key in areas) if areas else "all areas")
    return lists, inventory, scope, "; ".join(said)


def _present(inventory: Inventory) -> list[Any]:
    return [one for one in inventory.line_sets if one.retired_on is None]


@blueprint.get("/paper/open")
@permission("walk.record")
def open_place(house_id: str) -> ResponseReturnValue:
    """Where the code of a sheet leads: the same place at the desk, in the open walk that has it."""
    try:
        place = place_from(request.args)
    except BadValue as error:
        return render_template("paper/open.html", found=[], problem=error.message), 422
    found = []
    for row in list_walks(get_db(), house_id):
        if row.walk.state is WalkState.SEALED:
            continue
        record = record_of(house_id, row.walk.id)
        spot = find_place(stretches(record.checklists, record.inventory, record.walk.scope), place)
        if spot:
            url = url_for("desk.form", house_id=house_id, walk_id=row.walk.id, stretch=spot[0], at=spot[1])
            found.append((row.walk, url))
    if len(found) == 1:
        return redirect(found[0][1], 303)
    return render_template("paper/open.html", found=found, problem="")


@blueprint.get("/labels")
@permission("walk.view")
def labels(house_id: str) -> str:
    """Choose which labels to print and on what."""
    return _labels_page(house_id)


def _labels_page(house_id: str, problem: str = "", field: str = "") -> str:
    inventory = get_inventory(get_db(), house_id)
    kinds = sorted({part.kind for part in inventory.parts if part.retired_on is None}, key=kind_title)
    return render_template(
        "paper/labels.html",
        kinds=[(kind.value, kind_title(kind)) for kind in kinds],
        sizes=[(key, size_words(size)) for key, size in SIZES.items()],
        given=request.args,
        given_kinds=request.args.getlist("kind"),
        words=WORDS,
        problem=problem,
        wrong=field,
        metric=units() == "metric",
        **_reach(),
    )


@blueprint.get("/labels/print")
@permission("walk.view")
def print_labels(house_id: str) -> ResponseReturnValue:
    """Print the labels of the chosen sets and kinds of part."""
    inventory = get_inventory(get_db(), house_id)
    try:
        size = _size(request.args)
        sheets = lay_out(_labels(inventory), size, _whole("used", request.args.get("used") or "0"))
    except BadValue as error:
        return _labels_page(house_id, error.message, error.field or ""), 422
    at = clock.now()
    back, data = url_for("paper.labels", house_id=house_id), label_data(sheets, size, paper_facts(at))
    return print_paper(label_sheet.KIND, "labels", data, at, back, paper=size.paper, time_limit_s=TIME_LIMIT_S)


def _labels(inventory: Inventory) -> list[Label]:
    """The labels asked for, set by set in walking order. Raises BadValue."""
    sets = choose_sets(request.args.get("sets", ""), _present(inventory))
    kinds = {one for one in request.args.getlist("kind") if one in set(PartKind)}
    order = {one.id: (one.sort_key, tag_key(one.number)) for one in inventory.line_sets}
    chosen = [
        part
        for part in inventory.parts
        if part.retired_on is None and part.kind.value in kinds and (sets is None or part.line_set in sets)
    ]
    chosen.sort(key=lambda part: (part.line_set is None, order.get(part.line_set or "", ()), tag_key(part.tag)))
    found = [_part_label(part, inventory) for part in chosen]
    if request.args.get("whole_sets"):
        origin = request.host_url.rstrip("/")
        found = [
            Label(f"Set {one.number}", one.label, origin + url_for(
                "line_set.one", house_id=inventory.house.id, line_set_id=one.id))
            for one in sorted(_present(inventory), key=lambda one: order[one.id])
            if sets is None or one.id in sets
        ] + found  # fmt: skip
    if not found:
        raise BadValue("Nothing of this kind hangs in these sets. Tick what the labels are for.", "kind")
    return found


def _part_label(part: Part, inventory: Inventory) -> Label:
    line_set = next((one for one in inventory.line_sets if one.id == part.line_set), None)
    words = [kind_title(part.kind)]
    if line_set:
        words.append(f"set {line_set.number}")
        if part.line:
            words.append(line_words(inventory.house, line_set.lines, part.line))
    address = make_label(request.host_url, PartLabel(inventory.house.id, part.id))
    return Label(part.tag, ", ".join(words), address)


def _size(args: Mapping[str, str]) -> LabelSize:
    """One of the sizes of the list, or one's own. Raises BadValue."""
    key = args.get("size", "")
    if key in SIZES:
        return SIZES[key]
    if key != "own":
        raise BadValue("Choose a size of label.", "size")
    inch = 25.4 if args.get("unit") == "in" else 1.0
    mm = {name: _length(name, args.get(name, "")) * inch for name in ("width", "height", "left", "top")}
    steps = {
        name: _length(name, args[name]) * inch if args.get(name) else mm[least]
        for name, least in (("step_x", "width"), ("step_y", "height"))
    }
    across, down = (_whole(name, args.get(name, "")) for name in ("across", "down"))
    return check_size(
        LabelSize(args.get("paper", ""), mm["width"], mm["height"], across, down, mm["left"], mm["top"], **steps)
    )


def _length(name: str, text: str) -> float:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = -1.0
    if not 0 <= value < 1000:
        raise BadValue(f"{WORDS[name]}: write a number from 0 to 999, such as 63.5.", name)
    return value


def _whole(name: str, text: str) -> int:
    text = text.strip()
    if not (text.isascii() and text.isdigit() and len(text) < 5):
        raise BadValue(f"{WORDS.get(name, 'Labels gone')}: write a whole number.", name)
    return int(text)
