"""The forms of signing in, setting up and one-time codes."""

from functools import lru_cache
from zoneinfo import available_timezones

from flask_wtf import FlaskForm
from wtforms import PasswordField, SelectField, StringField
from wtforms.fields.choices import SelectChoice  # type: ignore[attr-defined]
from wtforms.validators import InputRequired, Length

from inspect_app.domain.password import MAX_LENGTH
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.web.form import CheckboxesField

_TEXT = [InputRequired("Fill this in."), Length(max=200)]
_PASSWORD = [InputRequired("Fill this in."), Length(max=MAX_LENGTH, message="Use at most 256 characters.")]


class SignInForm(FlaskForm):
    """User name and password."""

    username = StringField(
        "User name", _TEXT, render_kw={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}
    )
    password = PasswordField("Password", _PASSWORD, render_kw={"autocomplete": "current-password"})


class SetUpForm(FlaskForm):
    """The first house and its administrator."""

    code = StringField(
        "One-time code",
        _TEXT,
        description="It stands on the console where the program was started.",
        render_kw={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"},
    )
    house_name = StringField("Name of the house", _TEXT, render_kw={"autocomplete": "organization"})
    tz = SelectField("Time zone of the house")
    units = SelectField(
        "Units shown first",
        choices=[
            SelectChoice("imperial", "Feet and inches"),
            SelectChoice("metric", "Metres and millimetres"),
        ],
    )
    name = StringField("Your name, as it will be printed", _TEXT, render_kw={"autocomplete": "name"})
    roles = CheckboxesField(
        "Your roles besides administrator",
        choices=[SelectChoice(role.value, ROLE_TITLES[role]) for role in Role if role != Role.ADMIN],
    )
    username = StringField(
        "User name", _TEXT, render_kw={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}
    )
    password = PasswordField(
        "Password",
        _PASSWORD,
        description="At least 15 characters; a few words in a row do well.",
        render_kw={"autocomplete": "new-password"},
    )


class CodeForm(FlaskForm):
    """A one-time code from an administrator, with what the account shall be."""

    code = StringField(
        "One-time code", _TEXT, render_kw={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
    )
    username = StringField(
        "User name",
        [Length(max=64)],
        description="Leave empty if you have one and only forgot the password.",
        render_kw={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"},
    )
    password = PasswordField(
        "New password",
        _PASSWORD,
        description="At least 15 characters; a few words in a row do well.",
        render_kw={"autocomplete": "new-password"},
    )


@lru_cache(maxsize=1)
def time_zones() -> list[SelectChoice]:
    """The names of all time zones, as choices."""
    return [SelectChoice(name, name) for name in sorted(available_timezones())]
