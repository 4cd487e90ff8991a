"""The sections of a hand-over pack in order: what is asked in advance, what stands today, and the period's history."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from itertools import pairwise

from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.deficiency import OPEN_STATES
from inspect_app.domain.gauge import GAUGE_CLASSES, LOAD_STATES
from inspect_app.domain.hand_over import Column, Facts, Row, Section, part_names, place_of
from inspect_app.domain.old_page import UNVERIFIED, WHAT_IT_MEANS
from inspect_app.domain.system_sheet import NOT_RECORDED
from inspect_app.domain.tag_runs import natural

NOT_SIGNED = ", not signed"
_SIGNED_SAYS = " What stands on no signed walk, or waits for a countersignature, says “not signed”."
_NOT_HEALTH = "How many there are says nothing about the state of a house, and what nobody looked at is not among them."


def sections_of(facts: Facts) -> list[Section]:
    """All sections; one that has nothing to say says so."""
    return [
        Section("What an inspector asks in advance", level=1, empty="", says="Answered from what is recorded."),
        _sheet(facts),
        _unknown(facts),
        _schedule(facts),
        Section("What stands today", level=1, empty="", says=f"On {facts.today}, by the house's clock."),
        _barred(facts),
        _restrictions(facts, "Restrictions, measures and conditions on use in force", standing=True),
        _known(facts),
        _accepted(facts, "Conditions that the house accepts for a time", standing=True),
        _dates(facts),
        _blind(facts),
        Section("History", level=1, empty="", says=f"Of the period: {facts.period.words}."),
        _walks(facts),
        _remarks(facts),
        _events(facts),
        _findings(facts),
        _deficiencies(facts),
        _tag_outs(facts),
        _restrictions(facts, "Restrictions, measures and conditions on use that ended", standing=False),
        _accepted(facts, "Accepted conditions that ended", standing=False),
        _replaced(facts),
        _changed(facts),
        _measures(facts),
        _old_pages(facts),
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


def _barred(facts: Facts) -> Section:
    rows = [(f"Set {number}", said) for number, word, said in facts.states if word == "bar"]
    return Section(
        "Out of use", (Column("What", 20), Column("Why")), (*rows, *facts.other_bars),
        empty="No stop stands in this log. That says nothing about what nobody has looked at.",
    )  # fmt: skip


def _restrictions(facts: Facts, title: str, standing: bool) -> Section:
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
    parts, again = part_names(facts), _again(facts)
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
            *(facts.day(row["found_at"]), _due(facts, row)),
            row["responsible"] or row["contractor"] or "nobody named",
        )
        for row in rows
    )
    return Section("Known problems: deficiencies that are open", heads, told, says=_NOT_HEALTH)


def _again(facts: Facts) -> Callable[[Row], str]:
    """Says of a deficiency that it was found again, '' where it was not."""
    numbers = {row["id"]: row["number"] for row in facts.today_of("deficiencies")}

    def words(row: Row) -> str:
        before = numbers.get(row["again_of"] or "")
        after = f"number {before}{' was settled' if row['recurring'] else ''}"
        return f" – found again after {after}" if before else ""

    return words


def _due(facts: Facts, row: Row) -> str:
    return facts.due.get(row["id"]) or row["due_on"] or "no day set"


def _passed(facts: Facts, day: str) -> str:
    return " (passed)" if day < facts.today else ""


def _accepted(facts: Facts, title: str, standing: bool) -> Section:
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


def _walks(facts: Facts) -> Section:
    rows = []
    signers: dict[str, list[str]] = defaultdict(list)
    for seal in facts.of("seals"):
        signers[seal["walk_id"]].append(f"{seal['name']}, {seal['role']}")
    for row in facts.of("walks"):
        counts = facts.counts.get(row["id"])
        looked, *coverage = (f"{counts[0]} of {counts[3]}", *map(str, counts[1:3])) if counts else ("", "", "")
        rows.append(
            (
                *(row["date_local"], row["report"] or "not signed", row["title"], facts.checklists.get(row["id"], "")),
                *("; ".join(dict.fromkeys(signers[row["id"]])), looked, *coverage),
            )
        )
    heads = (
        Column("Day", 10), Column("Report", 9), Column("Walk"), Column("Checklists", 21), Column("Signed by", 18),
        Column("Looked at", 9), Column("Not reached", 8), Column("Not looked at", 8),
    )  # fmt: skip
    return Section("Walks", heads, tuple(rows), says="Parts looked at, of those in scope; from signed data alone.")


def _remarks(facts: Facts) -> Section:
    rows = []
    for seal in facts.of("seals"):
        said = seal["inspection"]
        paper = ", ".join(filter(None, (said.get("body"), said.get("number"), said.get("expires"))))
        if said.get("remarks") or paper:
            who = f"{seal['name']}, {seal['credential']}" + (f" ({paper})" if paper else "")
            rows.append((facts.day(seal["at"]), seal["number"], who, said.get("remarks") or "no remarks"))
    heads = (Column("Signed", 11), Column("Report", 10), Column("Inspector, as typed", 28), Column("Remarks"))
    return Section(
        "Inspections by qualified inspectors", heads, tuple(rows),
        says="Credentials stand as typed at signing; nobody verified them here.", empty="No remarks are recorded.",
    )  # fmt: skip


def _events(facts: Facts) -> Section:
    name, said = place_of(facts), defaultdict(list)
    for row in facts.of("event_approaches"):
        said[row["event_id"]].append(f"{row['name']}, {row['credential']}: {row['who']} may approach; {row['how']}")
    gone = {
        row["event_id"]: f" Withdrawn by {row['by']} with {row['second']}, recorded by mistake: {row['reason']}"
        for row in facts.of("event_withdrawals")
    }
    rows = tuple(
        (
            *(facts.day(row["at"]), name(row), facts.say("event", row["kind"]), row["what"] + gone.get(row["id"], "")),
            *("; ".join(said[row["id"]]) or "nobody recorded", row["by"]),
        )
        for row in facts.of("events")
    )
    heads = (
        Column("Day", 11), Column("Where", 15), Column("Kind", 16), Column("What happened"),
        Column("Who said who may approach", 24), Column("Recorded by", 13),
    )  # fmt: skip
    return Section(
        "Incidents and events", heads, rows, empty="None recorded in this period. That is not: none happened."
    )


def _findings(facts: Facts) -> Section:
    parts = part_names(facts)
    numbers: dict[str, str] = {}
    by_id = {row["id"]: str(row["number"]) for row in facts.today_of("deficiencies")}
    for link in facts.of("deficiency_findings"):
        numbers[link["finding_id"]] = by_id.get(link["deficiency_id"], "")
    looks = {row["id"]: row for row in facts.of("finding_looks")}
    gone = {row["id"] for row in facts.of("finding_looks") if row["replaced"] or row["result"] == "withdrawn"}
    rows = [
        (
            *(facts.day(looks[row["look_id"]]["at"]), parts.get(row["part_id"], ""), facts.say("grade", row["grade"])),
            facts.say("answer", row["answer"]) + ("" if looks[row["look_id"]]["counts"] else NOT_SIGNED),
            row["note"] or row["defect"] or row["point_text"],
            *("" if row["wear"] is None else str(row["wear"]), numbers.get(row["id"], "")),
        )
        for row in facts.of("findings")
        if row["look_id"] not in gone
    ]
    heads = (
        Column("Day", 11), Column("Part", 14), Column("Grade", 14), Column("Answer", 13), Column("What was found"),
        Column("Wear", 6), Column("No.", 6),
    )  # fmt: skip
    rows.sort(key=lambda row: (row[0], natural(row[1])))
    says = (
        f"Looks that were replaced or taken back are left out here and stand in the files.{_SIGNED_SAYS} {_NOT_HEALTH}"
    )
    return Section("Findings", heads, tuple(rows), says=says)


def _deficiencies(facts: Facts) -> Section:
    parts, again, told = part_names(facts), _again(facts), defaultdict(list)
    for row in facts.of("deficiency_events"):
        if row["from_state"] != row["to_state"]:
            told[row["deficiency_id"]].append(f"{facts.say('state', row['to_state'])} {facts.day(row['at'])}")
    rows = tuple(
        (
            *(str(row["number"]), parts.get(row["part_id"], ""), row["what"] + again(row)),
            *(
                facts.say("grade", row["grade"]),
                facts.day(row["found_at"]),
                facts.say("state", row["state"]),
                _due(facts, row),
            ),
            "; ".join(told[row["id"]]) or "nothing since",
        )
        for row in facts.of("deficiencies")
    )
    heads = (
        Column("No.", 5), Column("Part", 9), Column("What"), Column("Grade", 11), Column("Found", 9),
        Column("Today", 9), Column("Due", 14), Column("Steps", 26),
    )  # fmt: skip
    return Section("Deficiencies of the period", heads, rows)


def _tag_outs(facts: Facts) -> Section:
    name = place_of(facts)
    ended = {
        row["tag_out_id"]: f"released {facts.day(row['at'])} by {row['by']}, {facts.say('role', row['role'])}: "
        f"{row['reason']}"
        for row in facts.of("tag_releases")
    } | {
        row["tag_out_id"]: f"wrong thing, taken back {facts.day(row['at'])} by {row['by']} and {row['second']}"
        for row in facts.of("tag_withdrawals")
    }
    rows = tuple(
        (name(row), facts.day(row["at"]), row["by"], row["why"], ended.get(row["id"], "stands"))
        for row in facts.of("tag_outs")
    )
    heads = (Column("What", 17), Column("Since", 11), Column("By", 15), Column("Why"), Column("How it ended", 32))
    return Section("Out of use in the period", heads, rows)


def _replaced(facts: Facts) -> Section:
    parts, before = part_names(facts), defaultdict(list)
    for row in facts.of("part_lives"):
        before[row["part_id"]].append(row)
    rows = []
    first, last = facts.period.first or "0000", facts.period.last or "9999"
    for part, lives in before.items():
        for old, new in pairwise(lives):
            day = new["installed_on"] or old["retired_on"] or ""
            if first <= (day or first) <= last:
                rows.append((day or NOT_RECORDED, parts.get(part, ""), _life(old), _life(new)))
        if lives[-1]["retired_on"] and first <= lives[-1]["retired_on"] <= last:
            rows.append((lives[-1]["retired_on"], parts.get(part, ""), _life(lives[-1]), "nothing: given up"))
    rows.sort(key=lambda row: (row[0], natural(row[1])))
    heads = (Column("Day", 12), Column("Part", 16), Column("Taken out"), Column("Put in"))
    return Section("Replacements", heads, tuple(rows), says="What hung at a place, one after the other.")


def _life(row: Row) -> str:
    lot = f", lot {row['lot']}" if row["lot"] else ""
    return f"in since {row['installed_on'] or 'a day not recorded'}{lot}"


def _changed(facts: Facts) -> Section:
    parts = part_names(facts)
    rows = tuple(
        (facts.day(row["at"]), parts.get(row["part_id"], ""), row["what"], row["old"], row["new"], row["reason"])
        for row in facts.of("part_changes")
    )
    heads = (
        Column("Day", 12), Column("Part", 14), Column("What", 18), Column("Before"), Column("After"), Column("Why", 18)
    )  # fmt: skip
    return Section("Changes to what is recorded", heads, rows)


def _measures(facts: Facts) -> Section:
    parts, gauges = part_names(facts), {row["name"]: GAUGE_CLASSES.get(row["kind"], "") for row in facts.of("gauges")}
    looks = {row["id"]: row for row in facts.of("measure_looks") if not row["replaced"]}
    series: dict[tuple[str, ...], list[tuple[str, int, str, str]]] = defaultdict(list)
    for row in facts.of("measures"):
        look = looks.get(row["look_id"])
        if look is not None and look["result"] != "withdrawn":  # only like is set beside like, as in a trend
            gauge, place = gauges.get(row["gauge"]) or row["gauge"], " ".join(row["station"].split())
            load = LOAD_STATES.get(row["load_state"])
            what = ", ".join(filter(None, (row["quantity"].replace("_", " "), gauge, load)))
            part, life = parts.get(row["part_id"], ""), row["life_id"] or ""
            key = (part, what, life, row["point"], row["unit"], place.casefold())
            said = f"{row['value']} {row['unit']}, {facts.day(look['at'])}" + ("" if look["counts"] else NOT_SIGNED)
            series[key].append((look["at"], row["n"], said, place))
    rows = [_series(key, sorted(taken)) for key, taken in series.items()]
    rows.sort(key=lambda row: (natural(row[0]), row[1:]))
    heads = (
        Column("Part", 16), Column("What", 24), Column("Place", 16), Column("First"), Column("Last"), Column("Times", 8)
    )  # fmt: skip
    says = "The first and last figure of each series, as measured; all are in measures.csv. None is judged here."
    return Section("Measures", heads, tuple(rows), says=says + _SIGNED_SAYS)


def _series(key: tuple[str, ...], taken: Sequence[tuple[str, int, str, str]]) -> tuple[str, ...]:
    (_, _, first, _), (_, _, last, place) = taken[0], taken[-1]
    return (*key[:2], place, first, last if len(taken) > 1 else "the same", str(len(taken)))


def _old_pages(facts: Facts) -> Section:
    name = place_of(facts)
    rows = [(str(row["year"]), name(row), row["says"]) for row in facts.of("old_pages") if not row["taken_back"]]
    heads = (Column("Year", 11), Column("For", 15), Column("What somebody read on it"))
    return Section(f"Pages of an old paper log, {UNVERIFIED}", heads, tuple(rows), says=WHAT_IT_MEANS)
