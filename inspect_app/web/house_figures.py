"""Figures that are shipped from memory: what waits for the house's own copy, and the page to sign it in."""

from typing import Any, NamedTuple

from flask import Blueprint, flash, g, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, StringField
from wtforms.validators import Length

from inspect_app import clock
from inspect_app.actions.house_criteria import LookedUp
from inspect_app.actions.house_figures import find_table, sign_figures, withdraw_figures
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.figures import Figures, FigureTable
from inspect_app.domain.house_figures import figure_key, may_be_entered, row_name, units_of
from inspect_app.domain.house_rule import SignedValue
from inspect_app.domain.units import UNITS, with_sign
from inspect_app.store.house_criteria import figures_for, list_signed_values
from inspect_app.store.reference import reference_at
from inspect_app.web.access import permission
from inspect_app.web.criteria import CopyForm, WithdrawForm
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import choices_of, show_error

blueprint = Blueprint("house_figures", __name__, url_prefix="/houses/<house_id>/criteria/figures")
OWN_UNITS = ""  # each row keeps its own
USED = {  # kind of table -> where a calculation looks it up; what is not here is kept for reference only
    "rope_strength": "the design factor of a batten load",
    "termination_efficiency": "the design factor of a batten load",
    "rope_mass": "the weight of the lift lines of a batten load and of a counterweight",
}


class TableShown(NamedTuple):
    """A table from memory as the pages show it: as shipped, and as it holds here."""

    table: FigureTable
    here: FigureTable


def _base() -> Figures:
    return reference_at(get_settings().shared).figures


@blueprint.get("/")
@permission("criteria.view")
def shelf(house_id: str) -> str:
    """Every table from memory, whether it is in use here and by whose word."""
    base = _base()
    here = {table.id: table for table in figures_for(get_db(), house_id, base).tables}
    shown = [TableShown(table, here[table.id]) for table in base.tables if may_be_entered(table)]
    return render_template("criteria/figures.html", tables=shown, used=USED, with_sign=with_sign, row_name=row_name)


def _form(table: FigureTable) -> Any:
    """A form with a field for each row of the table."""
    own = units_of(table)
    fields: dict[str, Any] = {
        f"figure_{n}": StringField(
            row_name(row).capitalize() + ("" if own else f" ({UNITS[row.unit].sign or row.unit})") or "Figure",
            [Length(max=40)],
            render_kw={"inputmode": "decimal", "autocomplete": "off"},
        )
        for n, row in enumerate(table.rows)
    }
    if own:
        fields["unit"] = SelectField(
            "Unit", choices=choices_of((key, UNITS[key].sign or "a plain number") for key in own)
        )
    return type("TableForm", (CopyForm,), fields)(
        name=g.person.name, credential=g.person.credential, on=clock.now().date()
    )


def _waiting(table: str) -> FigureTable:
    held = find_table(_base(), table)
    if not may_be_entered(held):
        raise NotFound("This table was read in its document; only tables from memory are signed in.")
    return held


def _history(house_id: str, table: str) -> list[SignedValue]:
    return [one for one in reversed(list_signed_values(get_db(), house_id)) if one.rule == figure_key(table)]


def _page(house_id: str, table: FigureTable, form: Any, withdraw: WithdrawForm, status: int) -> ResponseReturnValue:
    history = _history(house_id, table.id)
    page = render_template(
        "criteria/figure_table.html", form=form, withdraw=withdraw, table=table, history=history,
        standing=bool(history) and not history[0].withdrawn, with_sign=with_sign, row_name=row_name, units=UNITS,
        figures=[name for name in form._fields if name.startswith("figure_")],
    )  # fmt: skip
    return page, status


@blueprint.route("/<table_key>/", methods=["GET", "POST"])
@permission("criteria.sign")
def table(house_id: str, table_key: str) -> ResponseReturnValue:
    """Sign in a table from the house's own copy, with its history."""
    held = _waiting(table_key)
    form = _form(held)
    if form.validate_on_submit():
        figures = [field.data or "" for name, field in form._fields.items() if name.startswith("figure_")]
        given = LookedUp(
            figures, form.unit.data if "unit" in form else OWN_UNITS, "", form.edition.data, form.clause.data,
            form.name.data, form.credential.data, form.on.data.isoformat(),
        )  # fmt: skip
        try:
            sign_figures(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, base=_base(), table=table_key, given=given
            )
        except DomainError as error:
            show_error(form, error)
        else:
            where = USED.get(held.kind)
            flash(f"Signed in. Used for {where}." if where else "Signed in. It is kept for reference.")
            return redirect(url_for("house_figures.shelf", house_id=house_id), 303)
    return _page(house_id, held, form, WithdrawForm(formdata=None), 422 if form.errors else 200)


@blueprint.post("/<table_key>/withdraw")
@permission("criteria.sign")
def withdraw(house_id: str, table_key: str) -> ResponseReturnValue:
    """Take back a table signed in."""
    held, form = _waiting(table_key), WithdrawForm()
    if form.validate_on_submit():
        try:
            withdraw_figures(
                get_db(),
                at=clock.now(),
                actor=g.person.id,
                house=house_id,
                table=table_key,
                reason=form.reason.data or "",
            )
        except NotFound:
            raise
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Withdrawn. The table is off again.")
            return redirect(url_for("house_figures.shelf", house_id=house_id), 303)
    return _page(house_id, held, _form(held), form, 422)
