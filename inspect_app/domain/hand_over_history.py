"""The sections of a hand-over pack on the history of its period."""

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise

from inspect_app.domain.gauge import GAUGE_CLASSES, LOAD_STATES, plain
from inspect_app.domain.hand_over import Column, Facts, Row, Section, part_names, place_of
from inspect_app.domain.hand_over_today import NOT_HEALTH, accepted, due_of, found_again, restrictions
from inspect_app.domain.old_page import UNVERIFIED, WHAT_IT_MEANS
from inspect_app.domain.system_sheet import NOT_RECORDED
from inspect_app.domain.tag_runs import natural

NOT_SIGNED, READ_WRONG = ", not signed", ", the gauge read wrong"
_SIGNED_SAYS = " What stands on no signed walk, or waits for a countersignature, says “not signed”."


def history_sections(facts: Facts) -> list[Section]:
    """The chapter on what happened in the period."""
    return [
        Section("History", level=1, empty="", says=f"Of the period: {facts.period.words}."),
        _walks(facts),
        _remarks(facts),
        _events(facts),
        _findings(facts),
        _deficiencies(facts),
        _tag_outs(facts),
        restrictions(facts, "Restrictions, measures and conditions on use that ended", standing=False),
        accepted(facts, "Accepted conditions that ended", standing=False),
        _replaced(facts),
        _changed(facts),
        _measures(facts),
        _old_pages(facts),
    ]


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
        row["event_id"]: f"Withdrawn by {row['by']} with {row['second']}, recorded by mistake: {row['reason']}"
        for row in facts.of("event_withdrawals")
    }
    after = {event: f"Today: {words}." for event, words in facts.after.items()} | gone
    rows = tuple(
        (
            *(facts.day(row["at"]), name(row), facts.say("event", row["kind"])),
            f"{row['what'].rstrip('.')}. {after.get(row['id'], '')}".strip(),
            "; ".join(said[row["id"]]) or "nobody recorded",
            row["by"],
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
        f"Looks that were replaced or taken back are left out here and stand in the files.{_SIGNED_SAYS} {NOT_HEALTH}"
    )
    return Section("Findings", heads, tuple(rows), says=says)


def _deficiencies(facts: Facts) -> Section:
    parts, again, told = part_names(facts), found_again(facts), defaultdict(list)
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
                due_of(facts, row),
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
    doubts = _doubts(facts)
    series: dict[tuple[str, ...], list[tuple[str, int, str, str]]] = defaultdict(list)
    for row in facts.of("measures"):
        look = looks.get(row["look_id"])
        if look is not None and look["result"] != "withdrawn":  # only like is set beside like, as in a trend
            gauge, place = gauges.get(row["gauge"]) or row["gauge"], " ".join(row["station"].split())
            load = LOAD_STATES.get(row["load_state"])
            what = ", ".join(filter(None, (row["quantity"].replace("_", " "), gauge, load)))
            part, life = parts.get(row["part_id"], ""), row["life_id"] or ""
            key = (part, what, life, row["point"], row["unit"], place.casefold())
            day = facts.day(look["at"])
            wrong = any(first <= day <= last for first, last in doubts.get(plain(row["gauge"]), ()))
            said = f"{row['value']} {row['unit']}, {day}" + ("" if look["counts"] else NOT_SIGNED)
            said += READ_WRONG if wrong else ""
            series[key].append((look["at"], row["n"], said, place))
    rows = [_series(key, sorted(taken)) for key, taken in series.items()]
    rows.sort(key=lambda row: (natural(row[0]), row[1:]))
    heads = (
        Column("Part", 16), Column("What", 24), Column("Place", 16), Column("First"), Column("Last"), Column("Times", 8)
    )  # fmt: skip
    says = (
        "The first and last figure of each series, as measured; all are in measures.csv. What limits say of the newest "
        "stands under What stands today."
    )
    return Section("Measures", heads, tuple(rows), says=says + _SIGNED_SAYS)


def _doubts(facts: Facts) -> dict[str, list[tuple[str, str]]]:
    """By plain name of a gauge, the first and last days on which it read wrong."""
    names = {row.get("id"): plain(row["name"]) for row in facts.of("gauges")}
    found: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for row in facts.of("gauge_doubts"):
        if row["ended_at"] is None:
            found[names.get(row["gauge_id"], "")].append((row["first"], row["last"]))
    return found


def _series(key: tuple[str, ...], taken: Sequence[tuple[str, int, str, str]]) -> tuple[str, ...]:
    (_, _, first, _), (_, _, last, place) = taken[0], taken[-1]
    return (*key[:2], place, first, last if len(taken) > 1 else "the same", str(len(taken)))


def _old_pages(facts: Facts) -> Section:
    name = place_of(facts)
    rows = [(str(row["year"]), name(row), row["says"]) for row in facts.of("old_pages") if not row["taken_back"]]
    heads = (Column("Year", 11), Column("For", 15), Column("What somebody read on it"))
    return Section(f"Pages of an old paper log, {UNVERIFIED}", heads, tuple(rows), says=WHAT_IT_MEANS)
