"""The form of a worksheet: a field for each input, filled from the address, so that a what-if can be kept as a link."""

from collections.abc import Iterable, Mapping
from typing import Any

from wtforms import Form, SelectField, StringField, TextAreaField
from wtforms.fields.choices import SelectChoice  # type: ignore[attr-defined]
from wtforms.validators import InputRequired

from inspect_app.domain.errors import DomainError
from inspect_app.domain.worksheet import Ask, Input
from inspect_app.web.house_form import PLAIN

_WIDE = frozenset({Ask.LENGTHS, Ask.LOADS, Ask.READINGS})
_UNIT_WORDS = {
    "in": "inches", "ft": "feet", "mm": "millimetres", "m": "metres", "lb": "pounds", "kg": "kilograms",
    "lbf": "pounds-force", "N": "newtons", "lb per 100 ft": "pounds per 100 feet",
    "kg per 100 m": "kilograms per 100 metres", "lbf·ft": "pound-feet", "N·m": "newton-metres",
}  # fmt: skip
_SUBJECTS = {Ask.LENGTHS: "they are", Ask.READINGS: "the figures are"}
_KEYPAD = {Ask.COUNT: "numeric", Ask.NUMBER: "decimal"}


def worksheet_form(inputs: Iterable[Input], typed: Mapping[str, str], units: str) -> Any:
    """A form with a field for each input, showing `typed`. It is read by domain/worksheet_input.py, not by itself."""
    fields = {one.key: _field(one, units) for one in inputs}
    form: Any = type("WorksheetForm", (Form,), fields)()
    for key in fields:
        form[key].data = typed.get(key, "")
    return form


def grouped(inputs: Iterable[Input], form: Any) -> list[tuple[str, list[Any]]]:
    """The fields in their order, those of one group that follow each other together under its heading."""
    found: list[tuple[str, list[Any]]] = []
    for one in inputs:
        if not found or found[-1][0] != one.group:
            found.append((one.group, []))
        found[-1][1].append(form[one.key])
    return found


def _field(one: Input, units: str) -> Any:
    needed = [InputRequired()] if one.required else []
    hint = " ".join(filter(None, (one.hint, _unit_hint(one, units))))
    if one.ask is Ask.CHOICE:
        empty = [] if one.default else [SelectChoice("", "choose one" if one.required else "not known")]
        options = [SelectChoice(value, words) for value, words in one.choices]
        return SelectField(one.label, needed, choices=empty + options, description=hint)
    if one.ask in _WIDE:
        return TextAreaField(one.label, needed, description=hint, render_kw={**PLAIN, "rows": 5, "maxlength": 4000})
    more = {"inputmode": _KEYPAD[one.ask]} if one.ask in _KEYPAD else {}
    return StringField(one.label, needed, description=hint, render_kw={**PLAIN, "maxlength": 120, **more})


def _unit_hint(one: Input, units: str) -> str:
    unit = one.bare_unit(units)
    if not unit or unit == "count":
        return ""
    words = _UNIT_WORDS.get(unit, unit)
    if one.ask is Ask.LOADS:
        amounts = "weights as pounds" if units == "imperial" else "a weight needs its kg or N"
        return f"Without a unit places are taken as {words}; {amounts}."
    return f"Without a unit {_SUBJECTS.get(one.ask, 'it is')} taken as {words}."


def show_problems(form: Any, problems: Mapping[str, list[str]]) -> None:
    """Put each mistake beside its field."""
    for key, messages in problems.items():
        form[key].errors = [*form[key].errors, *messages]


def show_refusal(form: Any, error: DomainError) -> None:
    """Put a refusal of the calculation beside the input that it names, or on top."""
    if error.field and error.field in form:
        show_problems(form, {error.field: [error.message]})
    else:
        form.form_errors = [*form.form_errors, error.message]
