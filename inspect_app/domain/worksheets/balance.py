"""An imbalance against the lock's own plate, and what the counterweight sheet shares with it and with the batten's."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.balance import MOST_KG, RATIO, against_lock, leaning
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.judge import Result
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import mass_words

KIND = Input(
    "kind", "Kind of set", Ask.CHOICE,
    choices=((LineSetKind.SINGLE.value, "single purchase"), (LineSetKind.DOUBLE.value, "double purchase")),
)  # fmt: skip
ROPE_MASS = Input(
    "rope_mass", "Mass of the rope", Ask.LINE_MASS, required=False,
    hint="From the rope's paper, or weigh a piece of it: 11 lb per 100 ft, 0.16 kg/m.",
)  # fmt: skip
LOCK = Input("lock", "Imbalance on the lock's own plate", Ask.MASS, required=False, most=MOST_KG)
TIED = (
    "The hand line is tied to the arbor and moves half as far as the batten, so it feels twice what the batten is out "
    "of balance by. Where it runs round a block on the arbor as the lift lines do, it feels half of that."
)
LOCK_PLATE = "the plate of the lock, or its maker's paper, as given"
_FIELDS = {"lock_kg": "lock", "out_of_balance_kg": "batten"}


def leaning_words(over_kg: Fraction, units: str, *, both: bool = False) -> str:
    """`12 lb batten-heavy`, by the sign of what the batten side is heavier by; `both` adds the other system."""
    if not over_kg:
        return leaning(over_kg)
    mass = mass_words(abs(over_kg), units)
    return f"{mass if both else mass.partition(' (')[0]} {leaning(over_kg)}"


def _lock(values: Mapping[str, Any], reference: Reference) -> Answer:
    units = reference.units
    ratio = RATIO[LineSetKind(values["kind"])]
    over = values["batten"] - values["arbor_side_kg"] / ratio
    felt = over * ratio
    if not values["batten"] and not values["arbor_side_kg"]:
        raise BadValue("Nothing hangs on either side; give at least the pipe and the arbor.", "batten")
    try:
        found = against_lock(felt, values.get("lock"))
    except BadValue as error:
        raise BadValue(error.message, _FIELDS.get(error.field or "", error.field or "")) from None
    at_batten = [Outcome("Out of balance, at the batten", leaning_words(over, units, both=True))] if ratio > 1 else []
    formula = f"{mass_words(values['batten'], units)} − {mass_words(values['arbor_side_kg'], units)}"
    steps = [
        Step(
            "out of balance = batten side − arbor side / purchase",
            formula + (f" / {ratio}" if ratio > 1 else ""),
            leaning_words(over, units, both=True),
        )
    ]
    if ratio > 1:
        words = "at the hand line = purchase × out of balance"
        steps.append(Step(words, f"{ratio} × {mass_words(abs(over), units)}", leaning_words(felt, units, both=True)))
    return Answer(
        (
            *at_batten,
            Outcome("Out of balance, at the hand line", leaning_words(felt, units, both=True)),
            Outcome(
                "Against the lock's own figure",
                mass_words(found.lock_kg, units) if found.lock_kg is not None else "not known",
                words=found.words,
                citation=LOCK_PLATE if found.lock_kg is not None else "",
                tone="outside" if found.result is Result.OUTSIDE else "plain",
            ),
        ),
        tuple(steps),
        assumptions=(
            *_not_used(reference),
            *((TIED,) if ratio > 1 else ()),
            "Lift lines count as nothing here; blocks turn without friction.",
        ),
        cautions=(
            "Below the lock's figure it still reads: balance the set.",
            "A rope lock is for a balanced set and is no brake.",
            "The figure speaks of a lock in order and a hand line that fills it.",
        ),
    )


def _not_used(reference: Reference) -> tuple[str, ...]:
    """What trade texts say of rope locks, named so that nobody takes it for leave."""
    criterion = reference.criteria.get("lock-imbalance")
    rules = [rule for rule in criterion.rules if not rule.active] if criterion is not None else []
    if not rules:
        return ()
    figures = ", ".join(f"{getattr(rule.form, 'value', '')} {rule.unit}" for rule in rules)
    said = f"Texts on rope locks conflict ({figures}; {rules[0].source.document}) and are not used"
    return (f"{said}: only the figure of the lock itself.",)


SHEETS = (
    Worksheet(
        "imbalance",
        "Imbalance at the rope lock",
        "How far is this set out of balance, and what does the lock's own plate say?",
        (
            KIND,
            Input(
                "batten", "Batten side", Ask.MASS, zero=True, most=MOST_KG, hint="Pipe, what stays on it, and the load."
            ),
            Input("arbor_side_kg", "Arbor side", Ask.MASS, zero=True, most=MOST_KG, hint="Arbor and bricks."),
            LOCK,
        ),
        _lock,
        (
            "out of balance = batten side − arbor side / purchase (1 or 2)",
            "at the hand line = purchase × out of balance",
        ),
    ),
)
