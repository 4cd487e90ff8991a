"""The fixed wording of a report: what keys of the walk data read as, dates, and the plain statement of its limits."""

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, date, datetime, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

DEMO_LINE = "Demonstration, invented house"
DRAFT_LINE = "DRAFT, not signed"
NONE_RECORDED = "none recorded"

GRADES = {"stop_use": "stop use", "restrict": "restrict", "repair_by": "repair by date", "watch": "watch"}
GRADE_ORDER = tuple(GRADES)
GRADE_MEANS = {
    "stop_use": "Not to be used until a person entitled to do so has released it.",
    "restrict": "Only to be used within a limit that the house sets and makes known.",
    "repair_by": "To be repaired by a date that the house sets.",
    "watch": "To be looked at again.",
}
RESULTS = {
    "no_finding": "no finding",
    "finding": "finding",
    "not_reached": "not reached",
    "not_applicable": "not applicable",
    "not_looked_at": "not looked at",
}
ANSWERS = {
    "new": "new",
    "still_there": "still there",
    "worse": "worse",
    "not_seen_now": "not seen now (this settles nothing)",
    "not_looked_at": "not looked at on this walk",
}
SET_KINDS = {
    "single_purchase": "single purchase",
    "double_purchase": "double purchase",
    "motorised": "motorised",
    "rope": "rope",
    "dead_hung": "dead hung",
}
STEPS = {
    "told_rail": "The rail was told",
    "lock_and_tag_on": "Lock and tag put on",
    "area_cleared": "Area cleared",
    "isolator_locked": "Isolator locked",
    "could_not": "Could not be done",
}
TAG_STATES = {"standing": "standing", "released": "released", "withdrawn": "withdrawn"}
VERDICT_STATES = {"inside": "inside", "outside": "OUTSIDE", "cannot_tell": "cannot tell", "none": "no criterion"}
COUNTERSIGNS = {
    "beside_them": "stood beside them",
    "looked_again": "looked again",
    "did_not_see": "did not see (does not count)",
}
VANTAGES = {"bridge": "loading bridge", "access": "access ways"}
STATES = {"static": "at rest"}
# How the first word of a basis is printed; other keys stand as they are.
CITED_AS: tuple[tuple[str, str | Callable[[re.Match[str]], str]], ...] = (
    (r"(\d+)cfr(?=\d)", r"\1 CFR "),
    (r"wac-(?=\d)", "WAC "),
    (r"tm-(?=5-3810)", "US Army TM "),
    (r"wrtb-users-manual(?= |$)", "Wire Rope Users Manual,"),
    (r"rigging-math-primer(?= |$)", "Rigging Math (Made Simple), D. L. Hall,"),
    (r"clip-trade-table(?= |$)", "Trade table of U-bolt wire rope clips,"),
    (r"fleet-angle-handbook-page(?= |$)", "Wire rope handbook page, fleet angle,"),
    (r"hook-trade-note(?= |$)", "Trade note on hooks,"),
    (r"eu-machinery-directive(?= |$)", "Directive 2006/42/EC"),
    (r"ibc-2006-410(?= |$)", "International Building Code 2006,"),
    (r"iso(?=14122-)", "EN ISO "),
    (r"faa-ac(?=43\.13-1b)", "FAA AC "),
    (r"cal-title8-(?=\d)", "California Title 8, section "),
    (r"(asme|ansi)-(\S+)", lambda found: f"{found[1]} {found[2]}".upper()),
    (r"(iso|din|nfpa)(?=\d)", lambda found: found[1].upper() + " "),
    (r"(mil-std-882e|mil-f-18372)(?= |$)", lambda found: found[1].upper()),
)
PHOTO_HERE = "stored"
PHOTO_STATES = {
    "missing": "This photo had not reached the record when the report was made.",
    "undecoded": "This photo is kept as it came; no picture had been made from it when the report was made.",
    "damaged": "This photo is kept as it came, but it cannot be read whole.",
}

LIMITS = (
    "This log records observations; it certifies nothing. Local codes, the authority having jurisdiction, the maker's "
    "instructions and a qualified person's judgement come first.",
    "A value outside a published limit reads according to what the criterion guards. Load path, brake, limit or lock: "
    "“outside the cited criterion: take out of use and have a qualified person decide”. Edge, access or opening: "
    "“outside the cited criterion: keep people clear of it or use the house's accepted measure, and have a qualified "
    "person decide”. Label or paper: “outside: put right by the date”.",
    "A value inside a limit reads “inside the cited criterion, this measure only”. It says nothing about any other "
    "place, time or property. The remaining strength of a worn rope is nowhere estimated.",
    "No finding means that nothing was found in the ways of looking that are named, at that time. Not reached, not "
    "looked at and not applicable are three other things and are counted apart.",
    "The number of remarks says nothing about the state of a house: a well-kept house collects as many small remarks "
    "as a neglected one. Nothing in this report is a score.",
)
SHORT_STATEMENT = LIMITS[0]
CRITERIA_NOTE = (
    "Figures are quoted from the sources named. The mark in brackets says how each was checked: text read in the "
    "source or a verbatim copy; from a secondary source that quotes it; from memory, to be confirmed before anybody "
    "relies on it; recorded by the house from a plate or paper; or entered by the person named, from their own copy. "
    "A source that applies by analogy was written for something else. The edition in force at the venue is for a "
    "qualified person to settle."
)


def zone(name: str) -> tzinfo:
    """The time zone of the house, or UTC when its name is not known here."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return UTC


def day(text: str) -> str:
    """`2026-03-04` as `4 March 2026`; other text as it stands, nothing as *not recorded*."""
    try:
        value = date.fromisoformat(text)
    except ValueError:
        return text or "not recorded"
    return f"{value.day} {value:%B %Y}"


def moment(text: str, where: tzinfo) -> str:
    """A time in ISO 8601 as `4 March 2026, 14:22` in the house's zone; without an offset, as other text, unchanged."""
    try:
        value = datetime.fromisoformat(text)
    except ValueError:
        return text or "not recorded"
    local = value.astimezone(where) if value.tzinfo else value
    return f"{local.day} {local:%B %Y, %H:%M}"


def clock(text: str, where: tzinfo) -> str:
    """Only the time of day of a UTC time, as `14:22:05`."""
    try:
        value = datetime.fromisoformat(text)
    except ValueError:
        return text or "not recorded"
    return f"{value.astimezone(where) if value.tzinfo else value:%H:%M:%S}"


def reads(words: Mapping[str, str], key: object) -> str:
    """What a key reads as; an unknown key is shown as it stands, never dropped."""
    text = str(key or "")
    return words.get(text, text.replace("_", " "))


def passes(keys: Iterable[str]) -> str:
    """`grid/static`, `deck/static`, `deck/moving` as `grid, at rest; deck, at rest and moving`."""
    states: dict[str, list[str]] = {}
    for key in keys:
        vantage, _, state = key.partition("/")
        states.setdefault(reads(VANTAGES, vantage), []).append(reads(STATES, state))
    return "; ".join(", ".join(filter(None, (where, listed(list(filter(None, how)))))) for where, how in states.items())


def cited(basis: str) -> str:
    """A basis with its source named as the trade cites it: `29cfr1926.1413 (a)` as `29 CFR 1926.1413 (a)`."""
    for pattern, name in CITED_AS:
        found, changed = re.subn(r"\A" + pattern, name, basis)
        if changed:
            return found
    return basis


def shortened(text: str, most: int = 100) -> str:
    """Text cut at a word, with an ellipsis, when it is longer than `most` characters."""
    if len(text) <= most:
        return text
    return text[:most].rsplit(" ", 1)[0].rstrip(" ,;:.(") + "…"


def listed(names: list[str], most: int = 6) -> str:
    """`a, b and c`; of more than `most` only the first ones and *and others*."""
    if len(names) > most:
        return ", ".join(names[:most]) + " and others"
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""
