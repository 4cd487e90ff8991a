"""The sections of a hand-over pack in order: what is asked in advance, what stands today, and the period's history."""

from inspect_app.domain.hand_over import Column, Facts, Section
from inspect_app.domain.hand_over_history import history_sections
from inspect_app.domain.hand_over_today import today_sections
from inspect_app.domain.system_sheet import NOT_RECORDED


def sections_of(facts: Facts) -> list[Section]:
    """All sections; one that has nothing to say says so."""
    return [
        Section("What an inspector asks in advance", level=1, empty="", says="Answered from what is recorded."),
        _sheet(facts),
        _unknown(facts),
        _schedule(facts),
        *today_sections(facts),
        *history_sections(facts),
    ]


def _sheet(facts: Facts) -> Section:
    rows = [row for row in facts.sheet if row[1] != NOT_RECORDED]
    return Section("System sheet", (Column("Asked", 30), Column("Answer")), tuple(rows))


def _unknown(facts: Facts) -> Section:
    names = [name for name, answer in facts.sheet if answer == NOT_RECORDED]
    return Section(
        "Not recorded", (Column("Asked", 60), Column("Answer")), tuple((name, NOT_RECORDED) for name in names),
        empty="Each question has an answer.", says="Nobody has entered an answer to these: ask the house.",
    )  # fmt: skip


def _schedule(facts: Facts) -> Section:
    heads = (
        Column("Set", 7), Column("What is on it"), Column("Kind", 15), Column("Lines", 7), Column("From datum", 12),
        Column("Head side", 12), Column("Lift lines since", 14), Column("Hand line since", 13),
    )  # fmt: skip
    return Section("Line-set schedule", heads, tuple(facts.schedule), empty="No line set is recorded.")
