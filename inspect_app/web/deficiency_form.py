"""Forms of a deficiency: one for each move, made from its row of the table, and those for what is set beside it."""

from collections.abc import Mapping
from typing import Any

from flask_wtf import FlaskForm
from flask_wtf.file import FileField, FileRequired, MultipleFileField
from wtforms import (
    DateField,
    Field,
    HiddenField,
    IntegerField,
    RadioField,
    SelectField,
    SelectMultipleField,
    StringField,
    TextAreaField,
)
from wtforms.validators import InputRequired, Length, Optional

from inspect_app.domain.checklist import GRADE_TITLES, Grade
from inspect_app.domain.deficiency_move import Transition
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.web.form import choices_of

NOBODY = ("", "Somebody else, or not a person of the house")
GRADES = [
    (grade.value, GRADE_TITLES[grade]) for grade in (Grade.STOP_USE, Grade.RESTRICT, Grade.REPAIR_BY, Grade.WATCH)
]
WHOLE_DAYS = "Write a whole number of days, from 0."
FILES = "application/pdf,image/jpeg,image/png"
PICTURES = {"accept": "image/jpeg,image/png"}


def _long(label: str, hint: str = "") -> TextAreaField:
    return TextAreaField(label, [Length(max=2000)], description=hint)


# What a need of the table of moves asks for on the form; texts keep the name they have in the proof.
_ASKED: Mapping[str, Any] = {
    "decision": lambda: {"decision": _long("What is decided", "What, and why.")},
    "responsible": lambda: {
        "responsible_id": SelectField("Who sees to it", choices=[]),
        "contractor": StringField("Contractor", [Length(max=120)], description="A firm, by name."),
    },
    "due_on": lambda: {"due_on": DateField("To be put right by", [Optional()])},
    "order_number": lambda: {"order_number": StringField("Order number", [Length(max=60)])},
    "put_right_by": lambda: {
        "put_right_by_id": SelectField("Put right by", choices=[]),
        "put_right_by": StringField("Or by somebody else", [Length(max=120)], description="A contractor, by name."),
    },
    "done_on": lambda: {"done_on": DateField("Put right on", [Optional()])},
    "what": lambda: {"what": _long("What was done")},
    "parts_used": lambda: {
        "parts_used": StringField("Parts used", [Length(max=300)], description="Maker, type, lot: as on the paper."),
        "photos": MultipleFileField("Photos of the work", render_kw=PICTURES, description="JPEG or PNG."),
    },
    "looked_at": lambda: {"looked_at": _long("What was looked at, measured and tried")},
    "reason": lambda: {"reason": _long("Why")},
    "decided_by": lambda: {"decided_by": StringField("Decided by", [Length(max=120)], description="By name.")},
    "until": lambda: {"until": DateField("Put off until", [Optional()], description="It comes back on the day after.")},
    "same_as": lambda: {"same_as": StringField("Number of the one that carries on", [Length(max=10)])},
    "re_look_on": lambda: {
        "re_look_on": DateField(
            "Look again on", [Optional()], description="Soon after a repair, such as in 30 days (common practice)."
        )
    },
    "note": lambda: {"note": _long("Note")},
}  # fmt: skip


def move_form(row: Transition, roles: tuple[Role, ...], people: list[tuple[str, str]], **given: Any) -> Any:
    """The form of one move. `roles` are those under which the person may make it; `given` goes to the form."""
    fields: dict[str, Field] = {
        "role": RadioField("You act as", [InputRequired("Choose the role you act in.")], choices=choices_of(
            (role.value, ROLE_TITLES[role]) for role in roles
        ))
    }  # fmt: skip
    for name in (*row.needs, *row.may_have):
        fields |= _ASKED[name]()
    either = ("responsible", "put_right_by")  # a person of the house or somebody else: neither field alone is needed
    kind: Any = type("MoveForm", (FlaskForm,), fields)
    form = kind(prefix=f"{prefix_of(row)}-", **given)
    for name in (need for need in row.needs if need not in either):
        form[name].flags.required = True
    for name in ("responsible_id", "put_right_by_id"):
        if name in form:
            form[name].choices = choices_of([NOBODY, *people])
    if len(roles) == 1 and not form.role.data:
        form.role.data = roles[0].value
    return form


def prefix_of(row: Transition) -> str:
    """The name of a move on a page: the state it leads to; a mark stays in its own state."""
    return "mark" if row.from_states == frozenset({row.to_state}) else row.to_state.value.replace("_", "-")


def proof_of(form: Any) -> dict[str, str]:
    """What was typed into the form of a move, as texts."""
    return {
        name: field.data.isoformat() if isinstance(field, DateField) and field.data else str(field.data or "")
        for name, field in form._fields.items()
        if name not in ("role", "csrf_token", "photos")
    }


class CommentForm(FlaskForm):
    """A comment in the story."""

    text = TextAreaField("Comment", [InputRequired("Write the comment."), Length(max=2000)])


class FileForm(FlaskForm):
    """A file that belongs to the deficiency."""

    file = FileField(
        "File",
        [FileRequired("Choose a file.")],
        render_kw={"accept": FILES},
        description="PDF, JPEG or PNG, up to 15 MB.",
    )
    shows = RadioField(
        "It shows",
        choices=choices_of([("before", "before the repair"), ("after", "after the repair"), ("paper", "a paper")]),
        default="paper",
    )
    note = StringField("What it is", [Length(max=300)])


class CostForm(FlaskForm):
    """An estimate or something paid."""

    kind = RadioField(
        "This", choices=choices_of([("estimate", "is an estimate, instead of the one before"), ("paid", "was paid")]),
        default="estimate",
    )  # fmt: skip
    amount = StringField("Amount", [InputRequired("Write the amount, such as 1250.00."), Length(max=20)])
    what = StringField("What for", [Length(max=300)])


class GradeForm(FlaskForm):
    """Another action grade."""

    role = RadioField(
        "You act as", [InputRequired("Choose the role you act in.")],
        choices=choices_of((role.value, ROLE_TITLES[role]) for role in (Role.TD, Role.INSPECTOR)),
    )  # fmt: skip
    grade = RadioField("Grade", choices=choices_of(GRADES))
    reason = TextAreaField("Why", [Length(max=1000)])


class RiskForm(FlaskForm):
    """Severity and probability."""

    severity = RadioField("If it goes wrong", [InputRequired("Choose one.")], choices=[])
    probability = RadioField("How likely that is", [InputRequired("Choose one.")], choices=[])


class NewForm(FlaskForm):
    """A deficiency without a finding."""

    part = StringField("Part, by its tag", [InputRequired("Name the part by its tag."), Length(max=40)])
    what = TextAreaField("What is wrong", [InputRequired("Say in a few words what is wrong."), Length(max=500)])
    grade = RadioField(
        "Grade", [InputRequired("Choose a grade.")], choices=choices_of(GRADES),
        description="Stop use takes the set, area or part out of use at once.",
    )  # fmt: skip


class AssignForm(FlaskForm):
    """What is set for several deficiencies at once."""

    chosen = SelectMultipleField("Deficiencies", choices=[], validate_choice=False)
    responsible_id = SelectField("Who sees to it", choices=[])
    contractor = StringField("Contractor", [Length(max=120)])
    due_on = DateField("To be put right by", [Optional()])
    order_number = StringField("Order number", [Length(max=60)])
    reason = StringField("Why", [Length(max=300)], description="Needed when a day is later than the house's days.")


class PolicyForm(FlaskForm):
    """Days per grade and the currency."""

    stop_use = IntegerField("Stop use: days", [InputRequired(WHOLE_DAYS)])
    restrict = IntegerField("Restrict: days", [InputRequired(WHOLE_DAYS)])
    repair_by = IntegerField("Repair by date: days", [InputRequired(WHOLE_DAYS)])
    watch = IntegerField("Watch: days", [InputRequired(WHOLE_DAYS)])
    currency = StringField(
        "Currency", [Length(max=3)], description="Three letters (ISO 4217), such as USD, GBP or EUR."
    )


class AcceptForm(FlaskForm):
    """A condition that the house accepts for a time."""

    part = StringField("Part, by its tag", [InputRequired("Name the part by its tag."), Length(max=40)])
    deficiency = HiddenField()
    what = StringField("What the condition is", [Length(max=300)])
    accepted_by = StringField("Accepted by", [Length(max=120)])
    role = StringField("In what role", [Length(max=120)])
    reason = TextAreaField("Why, and what protects people meanwhile", [Length(max=1000)])
    paper = StringField("Paper", [Length(max=300)], description="Letter, minutes, drawing: which and when.")
    review_by = DateField("To be reviewed by", [InputRequired("Write the date as YYYY-MM-DD.")])
