"""What has no look that counts, and why: parts of one kind, with one reason, written short and none left out."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

from inspect_app.domain.report_record import WalkData, rows, text
from inspect_app.domain.report_words import RESULTS, passes, reads
from inspect_app.domain.tag_runs import Place, natural, runs_of

LOOKED = frozenset({"no_finding", "finding"})
Row = Mapping[str, Any]


class Gap(NamedTuple):
    """Parts of one kind with one reason. `runs` writes `tags` short; `passes` says from where, in which state."""

    kind: str
    tags: tuple[str, ...]
    runs: str
    reason: str
    passes: str
    who: str


def places_of_parts(parts: Iterable[Row]) -> dict[str, Place]:
    """The line of a set that a part is, by tag; other parts are left out."""
    return {
        text(part, "tag"): Place(text(part, "line_set"), part["line"])
        for part in parts
        if text(part, "line_set") and isinstance(part.get("line"), int)
    }


def gaps_of(listed: Iterable[Row], parts: list[Row], who: Callable[[Row], str], why: str = "reason") -> tuple[Gap, ...]:
    """Rows of parts brought together by reason and kind, whatever the pass, in the order in which the reasons come.

    Parts stay apart where not the same passes or not the same people are recorded for them.
    """
    kinds, places = {text(part, "tag"): text(part, "kind_title") for part in parts}, places_of_parts(parts)
    seen: dict[str, dict[str, dict[str, tuple[dict[str, None], dict[str, None]]]]] = {}
    for row in listed:
        tag, reason = text(row, "part"), text(row, why, "reason not recorded")
        of_kind = seen.setdefault(reason, {}).setdefault(text(row, "kind_title", kinds.get(tag, "")), {})
        during, names = of_kind.setdefault(tag, ({}, {}))
        during[text(row, "pass")] = None
        names[who(row)] = None
    return tuple(
        Gap(kind, tags, runs_of(tags, places), reason, during, names)
        for reason, by_kind in seen.items()
        for kind, by_tag in by_kind.items()
        for (during, names), tags in _alike(by_tag).items()
    )


def _alike(
    by_tag: Mapping[str, tuple[dict[str, None], dict[str, None]]],
) -> dict[tuple[str, str], tuple[str, ...]]:
    groups: dict[tuple[str, str], list[str]] = defaultdict(list)
    for tag, (during, names) in by_tag.items():
        groups[passes(filter(None, during)), ", ".join(sorted(filter(None, names)))].append(tag)
    return {key: tuple(sorted(tags, key=natural)) for key, tags in groups.items()}


def not_reached_of(data: WalkData, parts: list[Row]) -> tuple[Gap, ...]:
    """The list of the walk data, and every part with that result that the list forgets."""
    given = rows(data, "not_reached")
    named = {text(row, "part") for row in given}
    lost: list[Row] = [
        {"part": text(p, "tag"), "kind_title": text(p, "kind_title")}
        for p in parts
        if text(p, "result") == "not_reached" and text(p, "tag") not in named
    ]
    return gaps_of([*given, *lost], parts, lambda row: text(row, "by", "name not recorded"))


def without_look_of(parts: list[Row]) -> tuple[Gap, ...]:
    """Parts without any entry on this walk, and those with a result that is not known."""
    left: list[Row] = [
        {"part": text(p, "tag"), "reason": "no entry on this walk"}
        for p in parts
        if p.get("result") == "not_looked_at" or text(p, "result") not in RESULTS
    ]
    return gaps_of(left, parts, lambda row: "")


def never_of(parts: list[Row]) -> tuple[Gap, ...]:
    """Parts without a look on this walk or any before it, as far as the walk data say so."""
    left = [
        {"part": text(p, "tag"), "reason": reads(RESULTS, p.get("result"))}
        for p in parts
        if p.get("never_before") is True and text(p, "result") not in LOOKED
    ]
    return gaps_of(left, parts, lambda row: "")


def not_applicable_of(data: WalkData, parts: list[Row]) -> tuple[Gap, ...]:
    """Parts said not to be asked, with who said so and who confirmed it."""
    return gaps_of(rows(data, "not_applicable"), parts, _confirmed)


def not_counted_of(data: WalkData, parts: list[Row]) -> tuple[Gap, ...]:
    """Parts with entries that do not count, with why."""
    return gaps_of(rows(data, "not_counted"), parts, lambda row: text(row, "by"), "why")


def _confirmed(row: Row) -> str:
    by = text(row, "confirmed_by")
    return f"{text(row, 'by')}; " + (f"confirmed by {by}" if by else "not confirmed")
