"""Hardware of a line end: threads that show at a turnbuckle, and what a shackle, link or hook has lost or opened by."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import (
    EVERYWHERE,
    criterion_of,
    given_outcomes,
    length_words,
    limits_shown,
    notes_of,
    rounded,
    switched_off,
)

MOST = Fraction(500)  # mm; nothing on a lift line is larger
_INPUTS = (
    Input(
        "threads", "Threads showing at one end of a turnbuckle", Ask.COUNT, required=False, zero=True,
        most=Fraction(100), hint="Outside the body, at the end where more show.",
    ),
    Input("size_new", "Shackle, link, turnbuckle or ring: size when new", Ask.LENGTH, required=False, most=MOST,
          hint="The same dimension on a new one, or from the maker's paper."),
    Input("size_now", "The same at its most worn place", Ask.LENGTH, required=False, most=MOST),
    Input("throat_new", "Hook: throat when new", Ask.LENGTH, required=False, most=MOST,
          hint="From the maker's paper, or from a new one."),
    Input("throat_now", "Hook: throat now", Ask.LENGTH, required=False, most=MOST),
)  # fmt: skip
# (new, now, criterion, 1 for what grows and -1 for what wears away, formula)
_PAIRS = (
    ("size_new", "size_now", "hardware-wear", -1, "loss = (size when new − worn size) / size when new"),
    ("throat_new", "throat_now", "hook-throat", 1, "growth = (throat now − throat when new) / throat when new"),
)


def _judged(criterion: Criterion, value: Fraction, unit: str, shown: str) -> tuple[Outcome, ...]:
    return given_outcomes(criterion, value, unit, limits_shown(criterion, {}, EVERYWHERE), shown, {})


def _hardware(values: Mapping[str, Any], reference: Reference) -> Answer:
    outcomes: tuple[Outcome, ...] = ()
    steps, used = [], []
    if "threads" in values:
        criterion = criterion_of(reference, "turnbuckle-threads")
        used.append(criterion)
        outcomes += _judged(criterion, Fraction(values["threads"]), "count", str(values["threads"]))
        steps.append(Step("threads compared with the clause", "", str(values["threads"])))
    for new, now, key, sign, formula in _PAIRS:
        if new not in values and now not in values:
            continue
        for one in (new, now):
            if one not in values:
                raise BadValue("Give this as well: the change is worked out from both.", one)
        percent = sign * 100 * (values[now] - values[new]) / values[new]
        if percent < 0:
            raise BadValue("The sizes are the wrong way round, or not of the same dimension. Check both.", now)
        criterion = criterion_of(reference, key)
        used.append(criterion)
        outcomes += _judged(criterion, percent, "percent", f"{rounded(percent)} %")
        first, second = (values[now], values[new]) if sign > 0 else (values[new], values[now])
        sizes = [length_words(size, reference.units) for size in (first, second, values[new])]
        steps.append(Step(formula, f"({sizes[0]} − {sizes[1]}) / {sizes[2]}", f"{rounded(percent)} %"))
    if not used:
        raise BadValue("Give the threads, or a size when new and now.", "threads")
    return Answer(
        outcomes, tuple(steps),
        assumptions=notes_of(*used),
        cautions=(
            "Bent, cracked, stretched or not of its own kind is judged by eye and by a qualified person, whatever was "
            "measured. A shackle's pin and both ends of a turnbuckle are held against turning.",
            *switched_off(used),
        ),
    )  # fmt: skip


SHEET = Worksheet(
    "hardware",
    "Turnbuckle, shackle and hook",
    "How many threads may show, and how much may a shackle wear or a hook open, by published figures?",
    _INPUTS,
    _hardware,
    tuple(formula for *_, formula in _PAIRS),
)
