"""What all forms share: checkboxes for a few choices, and a broken rule put beside the field it belongs to."""

from collections.abc import Iterable
from typing import Any

from wtforms import SelectMultipleField
from wtforms.fields.choices import SelectChoice  # type: ignore[attr-defined]
from wtforms.widgets import CheckboxInput, ListWidget

from inspect_app.domain.errors import DomainError


class CheckboxesField(SelectMultipleField):
    """Several of a few choices, as checkboxes."""

    widget = ListWidget(prefix_label=False)
    option_widget = CheckboxInput()


def choices_of(pairs: Iterable[tuple[str, str]]) -> list[SelectChoice]:
    """Choices from (value, words) pairs."""
    return [SelectChoice(value, words) for value, words in pairs]


def show_error(form: Any, error: DomainError) -> None:
    """Put a broken rule beside the field it belongs to, or on top of the form."""
    named = getattr(form, error.field, None) if error.field else None
    if named is None:
        form.form_errors = [*form.form_errors, error.message]
    else:
        named.errors = [*named.errors, error.message]
