"""Counterweight for a batten load, the stack of bricks on the arbor, and an imbalance against the lock's own plate."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from inspect_app.domain.balance import Balance, LiftLines, against_lock, against_posted, balance
from inspect_app.domain.brick_stack import Brick, SpreaderRule, Stack, fit, nearest_stacks
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.judge import Result
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Table, Worksheet
from inspect_app.domain.worksheets.words import length_words, mass_words, rounded, table_of

KIND = Input(
    "kind", "Kind of set", Ask.CHOICE,
    choices=((LineSetKind.SINGLE.value, "single purchase"), (LineSetKind.DOUBLE.value, "double purchase")),
)  # fmt: skip
ROPE_MASS = Input(
    "rope_mass", "Mass of the rope", Ask.LINE_MASS, required=False,
    hint="From the rope's paper, or weigh a piece of it: 11 lb per 100 ft, 0.16 kg/m.",
)  # fmt: skip
_LONG = ("ft", "m")
_INPUTS = (
    KIND,
    Input("pipe", "Pipe weight with what stays on it", Ask.MASS, hint="Pipe, clamps, cable: weighed."),
    Input("load", "Load hung on it", Ask.MASS, required=False, zero=True),
    Input("arbor", "The arbor itself", Ask.MASS, required=False, hint="Without bricks, with its rods and plates."),
    Input("brick", "One brick", Ask.MASS, required=False, hint="Weighed on a scale, not believed."),
    Input("brick_mm", "Its thickness", Ask.LENGTH, required=False),
    Input("half", "One brick of a second size", Ask.MASS, required=False),
    Input("half_mm", "Its thickness", Ask.LENGTH, required=False),
    Input("free", "Free length of the arbor", Ask.LENGTH, required=False, bare=_LONG, hint="Between the collars."),
    Input("spacing", "Distance between spreader plates", Ask.LENGTH, required=False, hint="By the house's own rule."),
    Input("plate_mm", "Thickness of a spreader plate", Ask.LENGTH, required=False),
    Input("lines", "Lift lines", Ask.COUNT, required=False),
    ROPE_MASS,
    Input("travel", "Travel of the batten", Ask.LENGTH, required=False, bare=_LONG),
    Input("batten_side", "Loft block to batten at high trim", Ask.LENGTH, required=False, zero=True, bare=_LONG),
    Input("arbor_side", "Head block to arbor when it is up", Ask.LENGTH, required=False, zero=True, bare=_LONG),
    Input("capacity", "Capacity posted on the arbor", Ask.MASS, required=False),
    Input("set_capacity", "Capacity posted for the set", Ask.MASS, required=False, hint="From its plate or card."),
    Input("lock", "Imbalance on the lock's own plate", Ask.MASS, required=False),
)  # fmt: skip


def _lines(values: Mapping[str, Any]) -> LiftLines | None:
    needed = ("lines", "rope_mass", "travel", "batten_side", "arbor_side")
    given = [key for key in needed if key in values]
    if not {"rope_mass", "lines", "batten_side", "arbor_side"} & set(given):
        return None
    for key in needed:
        if key not in values:
            raise BadValue("The weight of the lift lines needs all five: lines, mass, travel and both lengths.", key)
    try:
        return LiftLines(
            values["lines"], values["rope_mass"], values["travel"], values["batten_side"], values["arbor_side"]
        )
    except BadValue as error:
        raise BadValue(error.message.replace("count", "Lift lines"), _FIELDS.get(error.field or "")) from None


_FIELDS = {
    "count": "lines", "kg_per_m": "rope_mass", "travel_mm": "travel", "batten_side_mm": "batten_side",
    "arbor_side_mm": "arbor_side", "pipe_kg": "pipe", "load_kg": "load", "asked_kg": "brick", "kg": "brick",
    "thickness_mm": "brick_mm", "plate_mm": "plate_mm", "spacing_mm": "spacing", "free_mm": "free",
    "capacity_kg": "capacity", "lock_kg": "lock", "out_of_balance_kg": "batten",
}  # fmt: skip


def renamed(error: BadValue) -> BadValue:
    """The same mistake beside the input of these worksheets that it belongs to."""
    return BadValue(error.message, _FIELDS.get(error.field or "", error.field or ""))


def _counterweight(values: Mapping[str, Any], reference: Reference) -> Answer:
    try:
        return _worked(values, reference)
    except BadValue as error:
        raise renamed(error) from None


def _worked(values: Mapping[str, Any], reference: Reference) -> Answer:
    units = reference.units
    found = balance(LineSetKind(values["kind"]), values["pipe"], values.get("load", Fraction(0)), _lines(values))
    outcomes = [Outcome("The loaded arbor must weigh", mass_words(found.needed_kg, units), words="arbor and bricks")]
    steps = [_needed_step(found, units)]
    tables: list[Table] = []
    notes = list(found.assumptions)
    bricks = found.needed_kg - values.get("arbor", Fraction(0))
    if "arbor" in values:
        if bricks < 0:
            raise BadValue("The arbor alone weighs more than balances this load. Check both.", "arbor")
        outcomes.append(Outcome("In bricks", mass_words(bricks, units), words="less the arbor itself"))
        formula = f"{mass_words(found.needed_kg, units)} − {mass_words(values['arbor'], units)}"
        steps.append(Step("bricks = loaded arbor − arbor itself", formula, mass_words(bricks, units)))
    else:
        notes.append("The weight of the arbor itself is not given: it is part of the figure above.")
    if found.shift_kg:
        outcomes += _over_the_travel(found, values.get("lock"), units)
    elif "lock" in values:
        notes.append("The lock's figure is not used: the weight of the lift lines is not given.")
    outcomes += _posted(found, values, units)
    kinds = _bricks(values)
    if kinds and "arbor" in values:
        tables.append(_stacks(bricks, kinds, values, found, units))
    elif kinds:
        notes.append("Whole bricks are not worked out: the weight of the arbor itself is missing.")
    return Answer(
        tuple(outcomes), tuple(steps), tuple(tables), tuple(notes),
        ("A rope lock is for a balanced set and is no brake.", "Weigh pipe, load and bricks; do not believe them."),
    )  # fmt: skip


def _posted(found: Balance, values: Mapping[str, Any], units: str) -> list[Outcome]:
    asked = (
        ("capacity", "arbor", found.needed_kg, "", "the plate of the arbor"),
        ("set_capacity", "set", found.batten_kg, "; set against pipe and load together", "the plate of the set"),
    )
    made = []
    for key, what, kg, of, citation in asked:
        if key in values:
            posted = against_posted(what, kg, values[key])
            label = f"Against the capacity posted for the {what}"
            made.append(
                Outcome(label, mass_words(values[key], units), words=posted.words + of, citation=citation,
                        tone=posted.result.value)
            )  # fmt: skip
    return made


def _needed_step(found: Balance, units: str) -> Step:
    middle = found.needed_kg / found.ratio - found.batten_kg
    ropes = f" + {mass_words(middle, units)} of line at mid-travel" if middle else ""
    return Step(
        "loaded arbor = purchase × (pipe + load + lift line at mid-travel)",
        f"{found.ratio} × ({mass_words(found.batten_kg, units)}{ropes})",
        mass_words(found.needed_kg, units),
    )


def _over_the_travel(found: Balance, lock_kg: Fraction | None, units: str) -> tuple[Outcome, ...]:
    worst = against_lock(found.worst(found.needed_kg), lock_kg)
    return (
        Outcome(
            "Weight of line that passes over the travel",
            mass_words(abs(found.shift_kg), units),
            words=f"batten side heavier by {mass_words(found.low_kg, units)} at low trim and "
            f"{mass_words(found.high_kg, units)} at high trim (a minus means the arbor side)",
        ),
        Outcome(
            "Worst out of balance over the travel",
            mass_words(worst.kg, units),
            words=worst.words,
            citation="the plate of the lock, or its maker's paper" if lock_kg is not None else "",
            tone="outside" if worst.result is Result.OUTSIDE else "plain",
        ),
    )


def _bricks(values: Mapping[str, Any]) -> list[Brick]:
    kinds = []
    for key, name in (("brick", "brick"), ("half", "small brick")):
        if key in values:
            if f"{key}_mm" not in values:
                raise BadValue("Give its thickness as well.", f"{key}_mm")
            kinds.append(Brick(name, values[key], values[f"{key}_mm"]))
    return kinds


def _stacks(asked: Fraction, kinds: Sequence[Brick], values: Mapping[str, Any], found: Balance, units: str) -> Table:
    rule = None
    if "spacing" in values:
        rule = SpreaderRule(values["spacing"], "the house's own rule", values.get("plate_mm", Fraction(0)))
    rows = []
    for words, stack in zip(("nearest below", "nearest above"), nearest_stacks(asked, kinds), strict=True):
        row = _stack_row(stack, kinds, rule, values.get("free"), units)
        rows.append((words, *row, *_trims(stack, values["arbor"], found, units)))
    headings = (
        "Whole bricks", "Bricks", "Weight", "Off by", "Stack with plates", "Plates", "Between the plates",
        *(_TRIMS if found.shift_kg else ("Batten side heavier by",)),
    )  # fmt: skip
    return table_of(
        "Whole bricks next to the weight", headings, rows,
        "Off by: what the stack has over (minus: lacks). A set off by a brick is not balanced: trim the load. "
        "A minus in the last columns means that the arbor side is heavier.",
    )  # fmt: skip


def _stack_row(
    stack: Stack | None, kinds: Sequence[Brick], rule: SpreaderRule | None, free: Fraction | None, units: str
) -> tuple[str, ...]:  # fmt: skip
    if stack is None:
        return ("none", "", "", "", "", "")
    fitted = fit(stack, rule, free)
    counts = " + ".join(f"{count} {brick.name}" for count, brick in zip(stack.counts, kinds, strict=True) if count)
    height = length_words(fitted.height_mm, units)
    plates = str(fitted.plates) if rule else "no rule given"
    return (
        counts or "no bricks",
        mass_words(stack.kg, units),
        mass_words(stack.over_kg, units),
        height,
        plates,
        fitted.words,
    )


_TRIMS = ("Batten side heavier by, at low trim", "At high trim")


def _trims(stack: Stack | None, arbor_kg: Fraction, found: Balance, units: str) -> tuple[str, ...]:
    """What the batten side is heavier by with these bricks, at both trims where the weight of line is known."""
    if stack is None:
        return ("", "") if found.shift_kg else ("",)
    low, high = found.out_of_balance(arbor_kg + stack.kg)
    return tuple(mass_words(size, units) for size in ((low, high) if found.shift_kg else (low,)))


def _lock(values: Mapping[str, Any], reference: Reference) -> Answer:
    units = reference.units
    ratio = 2 if LineSetKind(values["kind"]) is LineSetKind.DOUBLE else 1
    over = values["batten"] - values["arbor_side_kg"] / ratio
    try:
        found = against_lock(over, values.get("lock"))
    except BadValue as error:
        raise renamed(error) from None
    side = "batten" if over > 0 else "arbor"
    leaning = "the two sides weigh alike" if not over else f"the {side} side is heavier"
    citation = "the plate of the lock, or its maker's paper" if found.lock_kg is not None else ""
    tone = "plain" if found.result is Result.NO_LIMIT else "outside" if found.result is Result.OUTSIDE else "plain"
    formula = f"{mass_words(values['batten'], units)} − {mass_words(values['arbor_side_kg'], units)}"
    return Answer(
        (
            Outcome("Out of balance", mass_words(found.kg, units), words=leaning),
            Outcome(
                "Against the lock's own figure",
                mass_words(found.lock_kg, units) if found.lock_kg is not None else "not known",
                words=found.words,
                citation=citation,
                tone=tone,
            ),
        ),
        (
            Step(
                "out of balance = batten side − arbor side / purchase",
                formula + (f" / {ratio}" if ratio > 1 else ""),
                mass_words(over, units) if over >= 0 else f"−{mass_words(-over, units)}",
            ),
        ),
        assumptions=(
            "Published figures for rope locks conflict (40, 50 and 75 lb) and are not used: only the lock's own.",
        ),
        cautions=(
            "Below the lock's figure it still reads: balance the set. A rope lock is no brake.",
            f"The figure speaks of a lock in order and a hand line that fills it; {rounded(ratio)} : 1 purchase.",
        ),
    )


SHEETS = (
    Worksheet(
        "counterweight",
        "Counterweight and stack",
        "What must the arbor weigh for this load, and do the bricks fit on it?",
        _INPUTS,
        _counterweight,
        (
            "single purchase: loaded arbor = pipe + load + lift line at mid-travel",
            "double purchase: loaded arbor = 2 × (pipe + load + lift line at mid-travel), half the travel",
        ),
    ),
    Worksheet(
        "imbalance",
        "Imbalance at the rope lock",
        "How far is this set out of balance, and what does the lock's own plate say?",
        (
            KIND,
            Input("batten", "Batten side", Ask.MASS, zero=True, hint="Pipe, what stays on it, and the load."),
            Input("arbor_side_kg", "Arbor side", Ask.MASS, zero=True, hint="Arbor and bricks."),
            Input("lock", "Imbalance on the lock's own plate", Ask.MASS, required=False),
        ),
        _lock,
        ("out of balance = batten side − arbor side / purchase (1 or 2)",),
    ),
)
