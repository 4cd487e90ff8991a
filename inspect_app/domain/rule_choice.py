"""Which rule sets bind a house, which of their rules do not apply there and why, and examinations by others."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from inspect_app.domain.errors import BadValue
from inspect_app.domain.rule_set import Rule, RuleSet


@dataclass(frozen=True, slots=True)
class RuleChoice:
    """One choice; `what` is set:<key> or rule:<id>. The newest of each holds."""

    id: str
    what: str
    applies: bool
    reason: str
    by_name: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Examination:
    """An examination that somebody else held and wrote a paper about."""

    id: str
    house: str
    rule: str
    held_on: date
    examiner: str
    paper: str


def standing_choices(choices: Iterable[RuleChoice]) -> dict[str, RuleChoice]:
    """The choice that holds for each rule set and rule; `choices` come oldest first."""
    return {choice.what: choice for choice in choices}


def chosen_sets(sets: Mapping[str, RuleSet], choices: Mapping[str, RuleChoice]) -> tuple[RuleSet, ...]:
    """The rule sets that the house has chosen."""
    return tuple(one for key, one in sets.items() if f"set:{key}" in choices and choices[f"set:{key}"].applies)


def rules_that_apply(sets: Mapping[str, RuleSet], choices: Mapping[str, RuleChoice]) -> tuple[Rule, ...]:
    """The rules of the chosen sets, without those that the house says do not apply to it."""
    return tuple(
        rule
        for one in chosen_sets(sets, choices)
        for rule in one.rules
        if f"rule:{rule.id}" not in choices or choices[f"rule:{rule.id}"].applies
    )


def check_choice(what: str, applies: bool, reason: str, sets: Mapping[str, RuleSet]) -> None:
    """Raise BadValue for a set or rule that is not there, or one left off without a reason."""
    known = {f"set:{key}" for key in sets} | {f"rule:{rule.id}" for one in sets.values() for rule in one.rules}
    if what not in known:
        raise BadValue("There is no such rule set or rule.", "what")
    if not applies and not reason.strip():
        raise BadValue("Say why it does not apply to this house, and who says so.", "reason")


def check_examination(examination: Examination, rules: Iterable[Rule], today: date) -> None:
    """Raise BadValue for an examination that no rule of the house asks for, without examiner or paper, or to come."""
    if examination.rule not in {rule.id for rule in rules if rule.by_paper}:
        raise BadValue("No chosen rule asks for this examination.", "rule")
    if examination.held_on > today:
        raise BadValue("The day of the examination lies ahead. Enter it once it was held.", "held_on")
    for field, words in (("examiner", "Name who examined it."), ("paper", "Name the paper: number, date, where kept.")):
        if not getattr(examination, field).strip():
            raise BadValue(words, field)
