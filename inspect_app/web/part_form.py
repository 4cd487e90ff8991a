"""Forms of a part, made for its kind: a field for each attribute that is asked of it."""

from collections.abc import Sequence
from typing import Any, TypeVar

from flask_wtf import FlaskForm
from wtforms import Field, SelectField, StringField
from wtforms.validators import InputRequired, Length

from inspect_app.domain.attribute_value import read_attributes
from inspect_app.domain.house import Area, LineSet
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_attributes import AttributeSpec, Form, specs_for
from inspect_app.domain.part_kind import KIND_TITLES
from inspect_app.store.part import list_parts
from inspect_app.web.database import get_db
from inspect_app.web.house_form import PLAIN, choices

ATTRIBUTE = "a-"  # begins the name of an attribute's field
_DAY = {"type": "date"}


class KindForm(FlaskForm):
    """The kind of a part to be added."""

    kind = SelectField("Kind of part", choices=choices(dict(sorted(KIND_TITLES.items(), key=lambda row: row[1]))))


class PartForm(FlaskForm):
    """Where a part is and since when; `line` and `well` are there for parts of a set only."""

    tag = StringField(
        "Tag", [InputRequired("Fill this in."), Length(max=40)], description="As on the part itself.", render_kw=PLAIN
    )
    area = SelectField("Area")
    line = SelectField("Line, from the head block", default="")
    well = SelectField("Well", default="")
    x_mm = StringField("Across the stage", [Length(max=60)], render_kw=PLAIN)
    y_mm = StringField("Upstage", [Length(max=60)], render_kw=PLAIN)
    z_mm = StringField("Above the deck", [Length(max=60)], render_kw=PLAIN)
    installed_on = StringField("Installed on", render_kw=_DAY)
    lot = StringField("Lot or serial number", [Length(max=120)], render_kw=PLAIN)
    reason = StringField(
        "Why it changes", [Length(max=300)], description="Kept beside the old values.", render_kw=PLAIN
    )


class ReplaceForm(FlaskForm):
    """What hangs in a part's place from a day on."""

    on = StringField("Replaced on", [InputRequired("Write the date.")], render_kw=_DAY)
    reason = StringField("Why, and by whom", [InputRequired("Say why and by whom."), Length(max=300)], render_kw=PLAIN)
    lot = StringField("Lot or serial number of the new one", [Length(max=120)], render_kw=PLAIN)


class RetirePartForm(FlaskForm):
    """From when a part is out of the house, and why."""

    on = StringField("Retired on", [InputRequired("Write the date.")], render_kw=_DAY)
    reason = StringField("Why", [InputRequired("Say why."), Length(max=300)], render_kw=PLAIN)


Made = TypeVar("Made", bound=FlaskForm)


def form_for(
    kind: PartKind, house: str, areas: Sequence[Area], line_set: LineSet | None, base: type[Made], start: dict[str, str]
) -> Made:
    """A form of `base` with the attributes of the kind, filled with `start`."""
    fields = {ATTRIBUTE + spec.key: _field(spec) for spec in specs_for(kind)}
    form: Any = type(f"{base.__name__}For{kind.value}", (base,), fields)(data=start)
    if "area" in form:
        form.area.choices = choices({area.id: area.name for area in areas})
        if line_set is None or not line_set.lines:
            del form.line
        else:
            form.line.choices = choices(
                {str(n): f"line {n} of {line_set.lines}" for n in range(1, line_set.lines + 1)}, "none"
            )
        if kind is not PartKind.LOFT_BLOCK:
            del form.well
        else:
            wells = {part.id: part.tag for part in list_parts(get_db(), house) if part.kind is PartKind.WELL}
            form.well.choices = choices(wells, "none")
    return form  # type: ignore[no-any-return]


def _field(spec: AttributeSpec) -> Any:
    hint = spec.hint[:1].upper() + spec.hint[1:]
    if spec.form is Form.CHOICE:
        return SelectField(
            spec.label, choices=choices(dict(spec.choices), "not recorded"), default="", description=hint
        )
    more = {"inputmode": "numeric"} if spec.form is Form.COUNT else {}
    return StringField(spec.label, [Length(max=240)], description=hint, render_kw={**PLAIN, **more})


def attributes_of(kind: PartKind, form: FlaskForm, units: str) -> dict[str, str] | None:
    """The attributes typed in a form, or None with an error beside each that cannot be read."""
    typed_in = {spec.key: form[ATTRIBUTE + spec.key].data or "" for spec in specs_for(kind)}
    good, problems = read_attributes(kind, typed_in, units)
    for problem in problems:
        field: Field = form[f"{ATTRIBUTE}{problem.field}"]
        field.errors = [*field.errors, problem.message]
    return None if problems else good
