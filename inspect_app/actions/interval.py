"""Choosing rule sets, setting the house's own intervals, and entering examinations that others held."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.walk import require_role
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.interval import NO_INTERVAL, parse_interval
from inspect_app.domain.interval_scope import HouseScope, bound_checklists, check_scope
from inspect_app.domain.rule_choice import (
    Examination,
    RuleChoice,
    check_choice,
    check_examination,
    rules_that_apply,
    standing_choices,
)
from inspect_app.domain.rule_set import RuleSet
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house, set_house
from inspect_app.store.interval import (
    add_examination,
    add_rule_choice,
    end_scope,
    get_scope,
    list_rule_choices,
    list_scopes,
    set_scope,
)
from inspect_app.store.journal import append_journal, item
from inspect_app.store.point_clock import zone_of

WEEKDAYS, WATCHED = "walk_weekdays", "watched_interval"  # in the settings of a house


@dataclass(frozen=True, slots=True)
class Known:
    """What the program ships and the house has: rule sets by key and usable checklists by id."""

    sets: Mapping[str, RuleSet]
    checklists: Mapping[str, Checklist]


def choose_rule(
    db: Database, *, at: datetime, actor: str, house: str, what: str, applies: bool, reason: str, known: Known
) -> RuleChoice:
    """Let a rule set bind the house, or say that a set or one rule does not apply to it, and why.

    `what` is set:<key> or rule:<id>. Raises BadValue, NotAllowed, and Conflict when it stands so already.
    """
    with write_transaction(db):
        require_role(db, house, actor, "interval.edit")
        check_choice(what, applies, reason, known.sets)
        held = standing_choices(list_rule_choices(db, house)).get(what)
        if (held.applies if held else what.startswith("rule:")) == applies:
            raise Conflict("That is how it stands already.")
        choice = RuleChoice(clock.new_id(), what, applies, reason.strip(), "", at)
        add_rule_choice(db, house, choice, actor)
        content = [choice.what, choice.applies, choice.reason]
        _journal(db, at, actor, "interval.rule", house, "rule_choice", choice.id, content)
    return choice


def save_scope(db: Database, *, at: datetime, actor: str, scope: HouseScope, known: Known) -> HouseScope:
    """Set an interval of the house for a checklist on a scope, new when its id is ''.

    Raises BadValue, NotAllowed, NotFound, and Conflict when the whole house has one for the checklist already.
    """
    with write_transaction(db):
        require_role(db, scope.house, actor, "interval.edit")
        if scope.id and get_scope(db, scope.house, scope.id) is None:
            raise NotFound("There is no such interval in this house.")
        rules = rules_that_apply(known.sets, standing_choices(list_rule_choices(db, scope.house)))
        made = check_scope(scope, known.checklists, scope.checklist in bound_checklists(rules))
        others = [one for one in list_scopes(db, scope.house) if one.id != scope.id]
        if made.is_whole and any(one.is_whole and one.checklist == made.checklist for one in others):
            raise Conflict("The whole house has an interval for this checklist. Change that one.")
        made = replace(made, id=made.id or clock.new_id())
        set_scope(db, made, actor, at)
        _journal(db, at, actor, "interval.set", made.house, "interval_scope", made.id, _content(made))
    return made


def drop_scope(db: Database, *, at: datetime, actor: str, house: str, scope: str) -> None:
    """Take an interval of the house out of use; its parts count with the whole house again. Raises NotFound."""
    with write_transaction(db):
        require_role(db, house, actor, "interval.edit")
        kept = get_scope(db, house, scope)
        if kept is None:
            raise NotFound("There is no such interval in this house.")
        end_scope(db, scope, at)
        _journal(db, at, actor, "interval.end", house, "interval_scope", scope, _content(kept))


def enter_examination(db: Database, *, at: datetime, actor: str, examination: Examination, known: Known) -> Examination:
    """Enter an examination that somebody else held. Raises BadValue, NotAllowed."""
    house = examination.house
    with write_transaction(db):
        require_role(db, house, actor, "interval.edit")
        rules = rules_that_apply(known.sets, standing_choices(list_rule_choices(db, house)))
        check_examination(examination, rules, at.astimezone(zone_of(get_house(db, house).tz)).date())
        made = replace(examination, id=clock.new_id())
        add_examination(db, made, actor, at)
        content = [made.rule, made.held_on.isoformat(), made.examiner, made.paper]
        _journal(db, at, actor, "examination.enter", house, "examination", made.id, content)
    return made


def set_walking_days(
    db: Database, *, at: datetime, actor: str, house: str, weekdays: frozenset[int], watched: str
) -> None:
    """Say which days of the week suit the house for walks (Monday = 0), and how long after its last look a part with
    an open finding is looked at again ('' for no longer than usual). Raises BadValue, NotAllowed."""
    if not weekdays or not weekdays <= frozenset(range(7)):
        raise BadValue("Choose at least one day of the week.", "weekdays")
    watched_interval = parse_interval(watched) if watched.strip() else None
    if watched.strip().lower() == NO_INTERVAL:
        watched_interval = None
    with write_transaction(db):
        require_role(db, house, actor, "interval.edit")
        before = get_house(db, house)
        settings = {key: value for key, value in before.settings.items() if key not in (WEEKDAYS, WATCHED)}
        if len(weekdays) < 7:
            settings[WEEKDAYS] = ",".join(str(day) for day in sorted(weekdays))
        if watched_interval is not None:
            settings[WATCHED] = str(watched_interval)
        set_house(db, replace(before, settings=settings))
        content = [settings.get(WEEKDAYS, ""), settings.get(WATCHED, "")]
        _journal(db, at, actor, "interval.days", house, "house", house, content)


def _content(scope: HouseScope) -> list[object]:
    ids = [sorted(one) if one is not None else None for one in (scope.line_sets, scope.areas)]
    return [scope.checklist, scope.name, *ids, scope.interval, scope.early_days, scope.late_days, scope.reason]


def _journal(
    db: Database, at: datetime, actor: str, action: str, house: str, table: str, row: str, content: object
) -> None:
    append_journal(db, at=at, actor=actor, action=action, house=house, items=[item(table, row, content)])
