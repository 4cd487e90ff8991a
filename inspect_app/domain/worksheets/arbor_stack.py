"""Bricks on the arbor as the counterweight sheet says them: which, how high they stack, and their spreader plates."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import ceil
from typing import Any

from inspect_app.domain.balance import Balance
from inspect_app.domain.brick_stack import Brick, SpreaderRule, Stack, fit, nearest_stacks, plates_for
from inspect_app.domain.errors import BadValue
from inspect_app.domain.worksheet import Outcome, Reference
from inspect_app.domain.worksheets.balance import leaning_words
from inspect_app.domain.worksheets.words import length_words, mass_words

SIZES = (("brick", "whole"), ("half", "half"), ("third", "of the third size"))
_GIVEN = "by the spacing given"


def stacks_for(
    asked: Fraction, found: Balance, values: Mapping[str, Any], reference: Reference
) -> tuple[list[tuple[str, Stack]], list[Outcome]]:
    """The whole bricks next below and above a weight, each named and as an outcome; none where no brick is given.

    `values` are those of the counterweight sheet. Raises BadValue that names its input.
    """
    kinds = _bricks(values)
    if not kinds:
        return [], []
    below, above = nearest_stacks(asked, kinds)
    named = {"next below": below, "next above": above} if below != above else {"exactly": below}
    stacks: list[tuple[str, Stack]] = []
    outcomes = []
    for words, stack in named.items():
        if stack is not None:
            stacks.append((f"with the bricks {words}", stack))
            outcomes.append(_stack_outcome(words, stack, kinds, found, values, reference))
    return stacks, outcomes


def _stack_outcome(
    words: str, stack: Stack, kinds: Sequence[Brick], found: Balance, values: Mapping[str, Any], reference: Reference
) -> Outcome:
    units = reference.units
    rules = _rules(values, reference)
    fitted = fit(stack, rules[0] if rules else None, values.get("free"), values.get("collar", Fraction(0)))
    leaves = leaning_words(found.out_of_balance(values["arbor"] + stack.kg), units)
    spare = f" with {length_words(fitted.spare_mm, units)} to spare" if fitted.fits and fitted.spare_mm else ""
    collars = "" if "collar" in values else ", no room for collars counted"
    said = [
        f"{mass_words(stack.kg, units)}, which leaves the set {leaves}{' at mid-travel' if found.shift_kg else ''}",
        f"{fitted.words}{spare}: stack {length_words(fitted.height_mm, units)}{_plates(stack, rules, units)}{collars}",
    ]
    if fitted.fits is False:
        said.reverse()
    cited = "\n".join(rule.citation for rule in rules if rule.citation != _GIVEN)
    return Outcome(
        f"Bricks, {words}", _named(stack, kinds), words="; ".join(said), citation=cited,
        tone="outside" if fitted.fits is False else "plain",
    )  # fmt: skip


def _bricks(values: Mapping[str, Any]) -> list[Brick]:
    kinds = []
    for key, name in SIZES:
        if key in values:
            if f"{key}_mm" not in values:
                raise BadValue("Give its thickness as well.", f"{key}_mm")
            try:
                kinds.append(Brick(name, values[key], values[f"{key}_mm"]))
            except BadValue as error:
                raise BadValue(error.message, key if error.field == "kg" else f"{key}_mm") from None
    return kinds


def _named(stack: Stack, kinds: Sequence[Brick]) -> str:
    counted = (f"{count} {brick.name}" for count, brick in zip(stack.counts, kinds, strict=True) if count)
    return " + ".join(counted) or "none"


def plates_notes(stacks: Sequence[tuple[str, Stack]], reference: Reference) -> list[str]:
    """What other texts say of spreader plates than the ones counted, with what that comes to here."""
    if not stacks or reference.figures is None:
        return []
    most = max(sum(stack.counts) for _, stack in stacks)
    others = reference.figures.single("spreader_spacing", bound="most in other texts")
    said = [f"{one.title[:1].lower()}{one.title[1:]} ({one.citation})" for one in others]
    for one in reference.figures.single("spreader_spacing", bound="bricks"):
        said.append(f"{one.title[:1].lower()}{one.title[1:]}, {ceil(most / one.value)} here ({one.citation})")
    return [f"Texts on spreader plates differ; others say: {'; '.join(said)}. The maker comes first."] if said else []


def _rules(values: Mapping[str, Any], reference: Reference) -> list[SpreaderRule]:
    """The spacing given and that of trade practice, the one that asks for most plates first."""
    plate = values.get("plate_mm", Fraction(0))
    rules = [SpreaderRule(values["spacing"], _GIVEN, plate)] if "spacing" in values else []
    if reference.figures is not None:
        for figure in reference.figures.single("spreader_spacing", bound="most"):
            rules.append(SpreaderRule(figure.in_unit("mm"), figure.citation, plate))
    return sorted(rules, key=lambda rule: rule.spacing_mm)


def _plates(stack: Stack, rules: Sequence[SpreaderRule], units: str) -> str:
    """The spreader plates by each rule, in words; one sentence where all of them ask for as many."""
    counted: dict[int, list[str]] = {}
    for rule in rules:
        spacing = length_words(rule.spacing_mm, units).partition(" (")[0]
        name = _GIVEN if rule.citation == _GIVEN else f"at {spacing} by trade practice"
        counted.setdefault(plates_for(stack.bricks_mm, rule), []).append(name)
    said = [
        f"{count} spreader plate{'' if count == 1 else 's'} ({' and '.join(names)})" for count, names in counted.items()
    ]
    return f" with {' or '.join(said)}" if said else ""
