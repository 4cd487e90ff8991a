"""The forms about tag-outs: stopping, the steps after it, how it was left, release, and *it was the wrong set*."""

from collections.abc import Iterable, Mapping
from typing import Any

from flask_wtf import FlaskForm
from wtforms import RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import STEP_TITLES, Step, TagAt
from inspect_app.domain.tag_release import NEED_TITLES, Need
from inspect_app.web.form import CheckboxesField, choices_of


class StopForm(FlaskForm):
    """Take something out of use."""

    what = SelectField(
        "What is out of use",
        [InputRequired("Choose the set or the area.")],
        description="An area stops every line set that hangs there: then a qualified inspector releases it.",
    )
    part = StringField(
        "Or one part, by its tag", [Length(max=40)], description="For example GR 2. A part of a line set stops the set."
    )
    why = TextAreaField("What is wrong", [InputRequired("Say in a few words what is wrong."), Length(max=500)])


class StepForm(FlaskForm):
    """What was done after a stop."""

    step = RadioField(
        "What was done",
        [InputRequired("Choose one.")],
        choices=choices_of((step.value, STEP_TITLES[step]) for step in Step),
    )
    who = StringField(
        "Who was told, or who did it",
        [Length(max=120)],
        description="A lock and tag is taken off by who hung it: name that person.",
    )
    note = TextAreaField("Note", [Length(max=500)], description="Which lock, what could not be done.")
    responsible = StringField("Who sees to the rest", [Length(max=120)])


class PlaceForm(FlaskForm):
    """How the thing was left."""

    height = StringField("Height of the batten", [Length(max=60)], description="With its unit, such as 22 ft or 6.7 m.")
    load = StringField("What is on it", [Length(max=200)], description="Such as 6 lamps, about 120 kg; or nothing.")
    tags_at = CheckboxesField(
        "Where tags hang", choices=choices_of((one.value, f"at the {one.value}") for one in TagAt)
    )
    lockout_point = StringField("Where it is locked off", [Length(max=200)], description="For a motorised set.")


class ReleaseForm(FlaskForm):
    """Put it back into use: one field for each thing that a release may ask."""

    role = RadioField("You release it as", [InputRequired("Choose the role you act in.")])
    reason = TextAreaField(NEED_TITLES[Need.REASON], [Length(max=1000)], description="Work and parts used.")
    work_by = StringField(NEED_TITLES[Need.WORK_BY], [Length(max=120)])
    checked_by = StringField(
        NEED_TITLES[Need.CHECKED_BY], [Length(max=120)], description="Somebody other than who did the work."
    )
    checked = TextAreaField(NEED_TITLES[Need.CHECKED], [Length(max=1000)])
    paper = StringField(NEED_TITLES[Need.PAPER], [Length(max=300)], description="Who wrote it, date and number.")
    travel_empty = StringField(
        NEED_TITLES[Need.TRAVEL_EMPTY], [Length(max=300)], description="End to end, how it went, what was heard."
    )
    travel_loaded = StringField(
        NEED_TITLES[Need.TRAVEL_LOADED], [Length(max=300)], description="End to end, with what load, how it went."
    )
    travel_first = StringField(NEED_TITLES[Need.TRAVEL_FIRST], [Length(max=120)])
    travel_second = StringField(NEED_TITLES[Need.TRAVEL_SECOND], [Length(max=120)])
    locks_off = TextAreaField(
        NEED_TITLES[Need.LOCKS_OFF], [Length(max=500)], description="Each takes off their own. None if none was hung."
    )
    label = StringField(
        NEED_TITLES[Need.LABEL], [Length(max=300)], description="What label and schedule say now, or: nothing changes."
    )
    crew_told = StringField(NEED_TITLES[Need.CREW_TOLD], [Length(max=300)], description="Who was told, by whom.")
    relook_on = StringField(NEED_TITLES[Need.RELOOK_ON], [Length(max=10)], render_kw={"type": "date"})

    def answers(self) -> dict[str, str]:
        """What was typed, by need."""
        return {need.value: self[need.value].data or "" for need in Need}


class CheckForm(FlaskForm):
    """The check by another person of what is back in use."""

    role = RadioField("You check it as", [InputRequired("Choose the role you act in.")])
    looked_at = TextAreaField("What was looked at, measured and tried", [Length(max=1000)])


class WithdrawForm(FlaskForm):
    """Say that a stop was raised on the wrong set."""

    reason = TextAreaField(
        "What was stopped by mistake, and what was meant", [InputRequired("Say what was meant."), Length(max=500)]
    )


class ConfirmForm(FlaskForm):
    """Confirm as the second person; it has nothing to fill in."""


def release_form(roles: Iterable[Role], needs: Iterable[Need], **given: Any) -> ReleaseForm:
    """The form of a release with the roles to choose from; the only one is chosen."""
    form, held = ReleaseForm(prefix="release-", **given), tuple(roles)
    form.role.choices = choices_of((role.value, ROLE_TITLES[role]) for role in held)
    if len(held) == 1 and not form.role.data:
        form.role.data = held[0].value
    for need in needs:
        form[need.value].flags.required = True  # said in the label; what is missing is judged by the domain
    return form


def check_form(roles: Iterable[Role], **given: Any) -> CheckForm:
    """The form of a check after a release, with the roles to choose from; the only one is chosen."""
    form, held = CheckForm(prefix="check-", **given), tuple(roles)
    form.role.choices = choices_of((role.value, ROLE_TITLES[role]) for role in held)
    if len(held) == 1 and not form.role.data:
        form.role.data = held[0].value
    form.looked_at.flags.required = True
    return form


def shown_answers(answers: Mapping[str, str]) -> list[tuple[str, str]]:
    """What a release was told, as (title, text), without the reason that stands on its own."""
    return [(NEED_TITLES[need], answers[need]) for need in Need if need is not Need.REASON and answers.get(need)]
