"""The criteria and figures of a house: the shipped ones, what it signed in, and the rule sets it chose to govern."""

import json
from collections.abc import Mapping
from typing import Any

from sqlite_utils import Database

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.figures import Figures
from inspect_app.domain.house_criteria import house_criteria
from inspect_app.domain.house_figures import PREFIX, house_figures
from inspect_app.domain.house_rule import GoverningChoice, SignedValue
from inspect_app.domain.ids import from_key, to_key


def criteria_for(db: Database, house: str, base: Mapping[str, Criterion]) -> dict[str, Criterion]:
    """The shipped criteria `base` as they hold in a house. Nothing else may judge a figure of that house."""
    signed = {one.rule: one for one in list_signed_values(db, house)}  # oldest first, so the newest stands
    choices = {one.criterion: one for one in list_governing_choices(db, house)}
    return house_criteria(
        base,
        {rule: one for rule, one in signed.items() if not one.withdrawn},
        {key: one for key, one in choices.items() if one.source},
    )


def figures_for(db: Database, house: str, base: Figures) -> Figures:
    """The shipped figures as they hold in a house: with the tables it signed in. Every lookup for it goes here."""
    signed = {one.rule: one for one in list_signed_values(db, house)}
    standing = {key: one for key, one in signed.items() if key.startswith(PREFIX) and not one.withdrawn}
    return house_figures(base, {key.removeprefix(PREFIX): one for key, one in standing.items()})


def list_signed_values(db: Database, house: str) -> list[SignedValue]:
    """Every figure signed in and every withdrawal, oldest first."""
    rows = db.execute(
        "SELECT s.id, s.rule, s.figures, s.unit, s.op, s.edition, s.clause, s.name, s.credential, s.looked_up_on, "
        "coalesce(p.name, ''), s.at, s.withdrawn, s.reason FROM signed_value s LEFT JOIN person p ON p.id = s.by "
        "WHERE s.house = ? ORDER BY s.at, s.id",
        (to_key(house),),
    )
    return [_signed(row) for row in rows.fetchall()]


def _signed(row: tuple[Any, ...]) -> SignedValue:
    key, rule, figures, *texts, withdrawn, reason = row
    unit, op, edition, clause, name, credential, on, by, at = texts
    return SignedValue(
        from_key(key), rule, tuple(json.loads(figures)), unit, op, edition, clause, name, credential, on, by, at,
        bool(withdrawn), reason,
    )  # fmt: skip


def add_signed_value(db: Database, house: str, value: SignedValue, by: str) -> None:
    """Keep a figure signed in, or its withdrawal; `by` is a person's id."""
    db.execute(
        "INSERT INTO signed_value(id, house, rule, figures, unit, op, edition, clause, name, credential, looked_up_on, "
        "by, at, withdrawn, reason) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(value.id), to_key(house), value.rule, json.dumps(value.figures), value.unit, value.op,
            value.edition, value.clause, value.name, value.credential, value.on, to_key(by), value.at,
            int(value.withdrawn), value.reason,
        ),
    )  # fmt: skip


def list_governing_choices(db: Database, house: str) -> list[GoverningChoice]:
    """Every choice of a rule set, oldest first; one with an empty source takes the earlier ones back."""
    rows = db.execute(
        "SELECT g.id, g.criterion, g.source, g.document, g.strictness, g.name, g.credential, g.reason, "
        "coalesce(p.name, ''), g.at FROM governing_choice g LEFT JOIN person p ON p.id = g.by "
        "WHERE g.house = ? ORDER BY g.at, g.id",
        (to_key(house),),
    )
    return [GoverningChoice(from_key(key), *texts) for key, *texts in rows.fetchall()]


def add_governing_choice(db: Database, house: str, choice: GoverningChoice, by: str) -> None:
    """Keep a choice; `by` is a person's id."""
    db.execute(
        "INSERT INTO governing_choice(id, house, criterion, source, document, strictness, name, credential, reason, "
        "by, at) VALUES (?,?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(choice.id), to_key(house), choice.criterion, choice.source, choice.document, choice.strictness,
            choice.name, choice.credential, choice.reason, to_key(by), choice.at,
        ),
    )  # fmt: skip
