"""The form from whose few answers a whole house is made, with the counts shown before anything is written."""

import hashlib
import json
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from wtforms import BooleanField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.house import generate_house
from inspect_app.domain.answer_text import DECKS, read_answers
from inspect_app.domain.errors import Conflict
from inspect_app.domain.generator import count_by_kind, generate
from inspect_app.domain.house import Inventory
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_attributes import specs_for
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.store.house import list_line_sets
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import show_error
from inspect_app.web.house_form import PLAIN, SIDE_CHOICES, choices, units

blueprint = Blueprint("house_generate", __name__)

_CONSTRUCTION = next(one for one in specs_for(PartKind.LIFT_LINE) if one.key == "rope_construction")
_NEEDED = [InputRequired("Fill this in."), Length(max=60)]
_NUMBER = {"inputmode": "numeric", **PLAIN}


def _text(label: str, hint: str = "", **more: Any) -> StringField:
    return StringField(label, [Length(max=300)], description=hint, render_kw=PLAIN, **more)


def _needed(label: str, hint: str) -> StringField:
    return StringField(label, _NEEDED, description=hint, render_kw=PLAIN)


class AnswersForm(FlaskForm):
    """Answers about a house; text throughout, read by domain/answer_text.py."""

    sets = StringField("Number of line sets", _NEEDED, render_kw=_NUMBER)
    first = _needed("Distance of the first set from the datum", "Such as 2'-0\" or 0.6 m.")
    spacing = _needed("Spacing of the sets", "From one set to the next, such as 8 in or 200 mm.")
    head_side = SelectField("Head side", choices=choices(SIDE_CHOICES), description="Where head blocks and rail are.")
    other_side = _text("Sets with the head on the other side", "Such as 3, 10-12.")
    lines = StringField("Lift lines of a set", _NEEDED, default="6", render_kw=_NUMBER)
    line_counts = _text("Sets with another number of lines", "Such as 12=5, 20-23=4.")
    wells_apart = _text("Distance between neighbouring wells", "Even and about the centre line, such as 10' or 3 m.")
    wells = TextAreaField(
        "Or the place of each well",
        [Length(max=600)],
        description="From the centre line: 25' SR, 15' SR, 5' SR, 5' SL, 15' SL, 25' SL.",
        render_kw={**PLAIN, "rows": 2},
    )
    head_distance = _text("Distance of the head blocks from the centre line", "3 m beyond the last well if left empty.")
    motorised = _text("Motorised sets", "Such as 5, 12, 20-23. All others are single purchase.")
    double_purchase = _text("Double-purchase sets")
    rope = _text("Rope sets")
    dead_hung = _text("Dead-hung sets")
    electrics = _text("Electrics", "Sets that carry cable.")
    grid_height = _needed("Grid above the deck", "Top of the grid deck, such as 60' or 18.3 m.")
    deck = SelectField("Grid deck", choices=choices(dict(DECKS)))
    bridge_height = _text("Loading bridge above the deck", "Leave empty if there is none.")
    galleries = _text("Galleries", "Side and height of each: SR 28', SL 28'.")
    ladders = StringField("Ladders and stairs", [Length(max=5)], default="1", render_kw=_NUMBER)
    hatches = StringField("Hatches and gates", [Length(max=5)], default="1", render_kw=_NUMBER)
    anchor_points = StringField("Fall-protection anchors", [Length(max=5)], default="0", render_kw=_NUMBER)
    smoke_vents = StringField("Smoke vents", [Length(max=5)], default="0", render_kw=_NUMBER)
    fire_curtain = BooleanField("There is a fire safety curtain", default=False)
    rope_diameter_mm = _text("Nominal rope diameter of the lift lines", "From its paper or tag: 1/4 in, 6 mm.")
    rope_construction = SelectField(
        "Rope construction", choices=choices(dict(_CONSTRUCTION.choices), "not recorded"), default=""
    )
    rope_mass = _text("Mass of the rope", "From its paper: 11 lb per 100 ft, 0.16 kg/m.")
    hand_line_mm = _text("Hand-line size", "Such as 3/4 in or 19 mm.")
    arbor_capacity = _text("Arbor capacity as posted", "Only where all are alike; such as 1200 lb or 545 kg.")
    batten_length = _text("Batten length", "Only where all are alike.")
    batten_capacity = _text("Batten capacity as posted", "Only where all are alike.")
    arbor_mass = _text("The arbor itself", "Weighed without bricks, with rods, spreader plates and collars.")
    arbor_length = _text("Length between the arbor's plates", "Only where all are alike.")
    brick = _text("One whole brick", "Weighed on a scale, not believed.")
    brick_thickness = _text("Thickness of a whole brick")
    half_brick = _text("One half brick", "Weighed on a scale, not believed.")
    half_brick_thickness = _text("Thickness of a half brick")
    spreader_spacing = _text("Spacing of spreader plates", "By the maker or the house's rule.")
    lock_plate = _text("Imbalance on the plate of the rope locks", "Only where all are alike.")
    travel = _text("Travel of the battens", "Only where all are alike.")
    installed_on = StringField(
        "Installed on", description="Only where it is known for all of it.", render_kw={"type": "date"}
    )


GROUPS = (
    ("The sets", ("sets", "first", "spacing", "head_side", "other_side")),
    ("Lines and wells", ("lines", "line_counts", "wells_apart", "wells", "head_distance")),
    ("Kinds of sets", ("motorised", "double_purchase", "rope", "dead_hung", "electrics")),
    ("Above", ("grid_height", "deck", "bridge_height", "galleries")),
    ("Ways up and the rest", ("ladders", "hatches", "anchor_points", "smoke_vents", "fire_curtain")),
    (
        "Known of all parts alike",
        (
            *("rope_diameter_mm", "rope_construction", "rope_mass", "hand_line_mm", "arbor_capacity"),
            *("batten_length", "batten_capacity", "travel", "installed_on"),
        ),
    ),
    (
        "Arbors and bricks, where all are alike",
        (
            *("arbor_mass", "arbor_length", "brick", "brick_thickness", "half_brick", "half_brick_thickness"),
            *("spreader_spacing", "lock_plate"),
        ),
    ),
)
FIELDS = tuple(name for _, names in GROUPS for name in names)


@blueprint.route("/houses/<house_id>/generate", methods=["GET", "POST"])
@permission("house.edit")
def form(house_id: str) -> Any:
    """Ask, show what would be made, and make it once the same answers are sent again."""
    if list_line_sets(get_db(), house_id, retired=True):
        raise Conflict(
            "This house has line sets already. Add sets one by one, or import a line-set schedule: "
            "both keep what is there."
        )
    asked = AnswersForm()
    preview: Inventory | None = None
    if asked.validate_on_submit():
        typed = {name: "y" if asked[name].data is True else str(asked[name].data or "") for name in FIELDS}
        answers, problems = read_answers(typed, units())
        for problem in problems:
            show_error(asked, problem)
        if answers is not None:
            if request.form.get("make") and request.form.get("seen") == _digest(typed):
                return _make(house_id, answers)
            preview = generate(g.house, answers, _Numbers())
            return _page(asked, preview, _digest(typed), changed=bool(request.form.get("make")))
    return _page(asked, None, "", changed=False)


class _Numbers:
    """Throw-away ids for a preview."""

    def __init__(self) -> None:
        self.last = 0

    def __call__(self) -> str:
        self.last += 1
        return str(self.last)


def _digest(typed: dict[str, str]) -> str:
    return hashlib.sha256(json.dumps(typed, sort_keys=True).encode()).hexdigest()


def _make(house_id: str, answers: Answers) -> Any:
    made = generate_house(get_db(), at=clock.now(), actor=g.person.id, house=house_id, answers=answers)
    flash(f"{len(made.line_sets)} sets and {len(made.parts)} parts are made. Put right now what differs in the house.")
    return redirect(url_for("house.one", house_id=house_id))


def _page(asked: AnswersForm, preview: Inventory | None, seen: str, changed: bool) -> Any:
    counts = count_by_kind(preview.parts) if preview else {}
    page = render_template(
        "house/generate.html",
        form=asked,
        groups=GROUPS,
        preview=preview,
        counts=[(KIND_WORDS[kind].many, count) for kind, count in counts.items()],
        seen=seen,
        changed=changed,
    )
    return page, 422 if asked.errors else 200
