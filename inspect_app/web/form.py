"""What all forms share: checkboxes for a few choices, and a broken rule put beside the field it belongs to."""

from typing import Any

from wtforms import SelectMultipleField
from wtforms.widgets import CheckboxInput, ListWidget

from inspect_app.domain.errors import DomainError


class CheckboxesField(SelectMultipleField):
    """Several of a few choices, as checkboxes."""

    widget = ListWidget(prefix_label=False)
    option_widget = CheckboxInput()


def show_error(form: Any, error: DomainError) -> None:
    """Put a broken rule beside the field it belongs to, or on top of the form."""
    named = getattr(form, error.field, None) if error.field else None
    if named is None:
        form.form_errors = [*form.form_errors, error.message]
    else:
        named.errors = [*named.errors, error.message]
