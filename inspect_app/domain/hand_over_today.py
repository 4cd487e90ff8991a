"""The sections of a hand-over pack on what stands today, whatever the period."""

from collections.abc import Callable

from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.deficiency import OPEN_STATES
from inspect_app.domain.hand_over import Column, Facts, Row, Section, part_names, place_of
from inspect_app.domain.system_sheet import NOT_RECORDED

NOT_HEALTH = "How many there are says nothing about the state of a house, and what nobody looked at is not among them."


def today_sections(facts: Facts) -> list[Section]:
    """The chapter on what stands today."""
    return [
        Section("What stands today", level=1, empty="", says=f"On {facts.today}, by the house's clock."),
        _barred(facts),
        restrictions(facts, "Restrictions, measures and conditions on use in force", standing=True),
        _known(facts),
        accepted(facts, "Conditions that the house accepts for a time", standing=True),
        _outside(facts),
        _worked(facts),
        _dates(facts),
        _blind(facts),
    ]


def _barred(facts: Facts) -> Section:
    rows = [(f"Set {number}", said) for number, word, said in facts.states if word == "bar"]
    return Section(
        "Out of use", (Column("What", 20), Column("Why")), (*rows, *facts.other_bars),
        empty="No stop stands in this log. That says nothing about what nobody has looked at.",
    )  # fmt: skip


def restrictions(facts: Facts, title: str, standing: bool) -> Section:
    """The restrictions that are in force or, not `standing`, those of the period that ended."""
    name, rows = place_of(facts), []
    for row in (facts.today_of if standing else facts.of)("restrictions"):
        if (row["ended_at"] is None) != standing:
            continue
        limits = [f"load {row['load_limit']}" if row["load_limit"] else ""]
        limits += [f"travel {row['travel_limit']}" if row["travel_limit"] else "", f"who: {row['who']}"]
        until = row["until"] + (" (expired)" if standing and row["until"] < facts.today else "")
        ended = f"{facts.day(row['ended_at'])}: {row['ended_reason']}" if row["ended_at"] else "stands"
        if row["lifted_name"]:
            ended += f" Lifted by {row['lifted_name']}, {row['lifted_credential']}."
        kind = facts.say("restriction", row["kind"])
        rows.append((name(row), kind, row["what"], "; ".join(filter(None, limits)), until, ended))
    heads = (
        Column("For", 15), Column("Kind", 12), Column("Why, or the condition"), Column("Limit", 22),
        Column("Until", 11), Column("Ended", 17),
    )  # fmt: skip
    return Section(title, heads, tuple(rows))


def _is_open(row: Row) -> bool:
    return row["state"] in OPEN_STATES


def _known(facts: Facts) -> Section:
    parts, again = part_names(facts), found_again(facts)
    rows = sorted(
        filter(_is_open, facts.today_of("deficiencies")),
        key=lambda row: (-GRADE_RANK[Grade(row["grade"])], row["due_on"] or "9999", row["number"]),
    )
    heads = (
        Column("No.", 5), Column("Part", 9), Column("What"), Column("Grade", 11), Column("State", 9),
        Column("Found", 9), Column("Due", 15), Column("Who sees to it", 16),
    )  # fmt: skip
    told = tuple(
        (
            *(str(row["number"]), parts.get(row["part_id"], ""), row["what"] + again(row)),
            *(facts.say("grade", row["grade"]), facts.say("state", row["state"])),
            *(facts.day(row["found_at"]), due_of(facts, row)),
            row["responsible"] or row["contractor"] or "nobody named",
        )
        for row in rows
    )
    return Section("Known problems: deficiencies that are open", heads, told, says=NOT_HEALTH)


def found_again(facts: Facts) -> Callable[[Row], str]:
    """Says of a deficiency that it was found again, '' where it was not."""
    numbers = {row["id"]: row["number"] for row in facts.today_of("deficiencies")}

    def words(row: Row) -> str:
        before = numbers.get(row["again_of"] or "")
        after = f"number {before}{' was settled' if row['recurring'] else ''}"
        return f" – found again after {after}" if before else ""

    return words


def due_of(facts: Facts, row: Row) -> str:
    """When a deficiency is due, in words."""
    return facts.due.get(row["id"]) or row["due_on"] or "no day set"


def _passed(facts: Facts, day: str) -> str:
    return " (passed)" if day < facts.today else ""


def accepted(facts: Facts, title: str, standing: bool) -> Section:
    """The accepted conditions that stand or, not `standing`, those of the period that ended."""
    parts = part_names(facts)
    rows = tuple(
        (
            *(parts.get(row["part_id"], ""), row["what"], f"{row['accepted_by']}, {facts.say('role', row['role'])}"),
            *(row["reason"], row["review_by"] + (_passed(facts, row["review_by"]) if standing else "")),
            f"{facts.day(row['ended_at'])} {row['ended_why']}".strip() or "stands",
        )
        for row in (facts.today_of if standing else facts.of)("accepted_conditions")
        if (row["ended_at"] is None) == standing
    )
    heads = (
        Column("Part", 14), Column("What"), Column("Accepted by", 18), Column("Why", 22), Column("Review by", 12),
        Column("Ended", 14),
    )  # fmt: skip
    return Section(title, heads, rows)


def _outside(facts: Facts) -> Section:
    return Section(
        "Newest figures that a limit puts outside, or that their gauge cannot tell",
        (Column("Part", 14), Column("Figure", 24), Column("What each limit says")), tuple(facts.outside),
        empty="No newest figure of a signed walk lies outside a cited criterion. That says nothing of what was not "
        "measured.",
        says="The newest signed figure of each quantity and place of what hangs there now, judged by the limits that "
        "hold in the house today. Every figure is in measures.csv; what was said of each is in the report of its walk.",
    )  # fmt: skip


def _worked(facts: Facts) -> Section:
    return Section(
        "Figures worked out from the record, not measured on a walk, that a limit puts outside",
        (Column("Parts", 14), Column("Figure", 24), Column("What each limit says")), tuple(facts.worked),
        empty="No figure that could be worked out from the record lies outside a cited criterion. That says nothing of "
        "what the record leaves open.",
        says="No walk measured these. They follow from what is recorded of the parts today: tread and rope, places and "
        "grooves, the metal of a sleeve, the first diameter of a rope as it was typed. Where the record is wrong, so "
        "are they: hold it against the part.",
    )  # fmt: skip


def _dates(facts: Facts) -> Section:
    last: dict[str, tuple[str, str]] = {}
    for row in facts.today_of("walks"):
        for title in filter(None, facts.checklists.get(row["id"], "").split("; ")):
            last[title] = max(last.get(title, ("", "")), (row["date_local"], row["report"]))
    rows = [(f"Last signed walk: {title}", day, f"report {number}") for title, (day, number) in sorted(last.items())]
    rows += [(f"Examination: {row['rule']}", row["held_on"], row["examiner"]) for row in facts.today_of("examinations")]
    parts = part_names(facts)
    rows += [
        (
            f"To be looked at again: {parts.get(row['part_id'], '')}",
            row["look_on"] + _passed(facts, row["look_on"]),
            row["reason"],
        )
        for row in facts.today_of("relooks")
        if row["done_at"] is None and row["ended_at"] is None
    ]
    rows += [
        (f"Gauge {row['name']} calibrated", row["calibrated_on"] or NOT_RECORDED, f"next {row['calibration_due']}"
         + _passed(facts, row["calibration_due"]) if row["calibration_due"] else "next day not recorded")
        for row in facts.of("gauges") if row["retired_on"] is None
    ]  # fmt: skip
    return Section("Dates", (Column("What", 45), Column("Day", 15), Column("Who, or why")), tuple(rows))


def _blind(facts: Facts) -> Section:
    return Section(
        "What nobody has touched", (Column("What is known", 26), Column("Parts")), tuple(facts.blind),
        empty="Every part was handled since then.",
        says=f"Looks on signed walks since {facts.period.first or 'the log began'}.",
    )  # fmt: skip
