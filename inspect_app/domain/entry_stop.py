"""Stops as far as they can be read: one acts on arrival, also in an entry that is late or held for another reason."""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Answer
from inspect_app.domain.entry import Entry, EntryFinding, LookEntry, StopEntry

_SCOPES = ("line_set", "area", "part")


class Stopped(NamedTuple):
    """What a stop names (`scope` is line_set, area or part) and why, as far as it was said."""

    scope: str
    id: str
    why: str


def fault_words(finding: EntryFinding, look: LookEntry, says: str = "") -> str:
    """What is wrong, in words: the usual defect that was picked (`says`), then what was typed; '' without either.

    A point's text says how a part ought to be, so it stands only behind words that turn it round. A phone keeps what is
    typed with the look; it is the finding's own where there is one finding.
    """
    typed = finding.note.strip() or (look.note.strip() if len(look.findings) == 1 else "")
    head = says.strip() or (finding.defect or "").replace("-", " ").strip()
    asked = finding.point_text.strip()
    return ": ".join(filter(None, (head, typed))) or (f"{NOT_SO}: {asked}" if asked else "")


NOT_SO = "Not as it ought to be"


def stops_of(entry: Entry, words: Callable[[EntryFinding, LookEntry], str] = fault_words) -> tuple[Stopped, ...]:
    """The stops that an entry raises: its own, or one on its part for its gravest finding of *stop use*.

    `words` says what is wrong at a finding.
    """
    if isinstance(entry, StopEntry):
        named = [(scope, getattr(entry, scope)) for scope in _SCOPES if getattr(entry, scope)]
        return tuple(Stopped(scope, key, entry.why) for scope, key in named if not entry.of)
    if isinstance(entry, LookEntry):
        whys = [words(finding, entry) for finding in _stopping(entry)]
        return (Stopped("part", entry.part, "; ".join(filter(None, whys))[:500]),) if whys else ()
    return ()


def _stopping(entry: LookEntry) -> list[EntryFinding]:
    """What stops; *not seen now* stops nothing anew, as it settles nothing."""
    return [f for f in entry.findings if f.grade is Grade.STOP_USE and f.answer is not Answer.NOT_SEEN_NOW]


def only_repeats(entry: Entry) -> bool:
    """Whether all that an entry stops is an answer to findings known before: a stop that stands needs no second one."""
    return isinstance(entry, LookEntry) and all(f.of for f in _stopping(entry))


def readable_stops(data: object) -> tuple[Stopped, ...]:
    """The same from JSON that could not be read as an entry, or not wholly: whatever names a thing to stop counts."""
    if not isinstance(data, Mapping):
        return ()
    if data.get("kind") == "stop" and not data.get("of"):
        return tuple(
            Stopped(scope, str(data[scope]), _text(data.get("why"))) for scope in _SCOPES if _is_text(data.get(scope))
        )
    if data.get("kind") == "event":  # what cannot be read wholly keeps at least its own place out of use
        return tuple(
            Stopped(scope, str(data[scope]), _text(data.get("what"))) for scope in _SCOPES if _is_text(data.get(scope))
        )
    findings = data.get("findings")
    rows = [row for row in findings if isinstance(row, Mapping)] if isinstance(findings, list) else []
    whys = [_read_why(row, data.get("note")) for row in rows if row.get("grade") == Grade.STOP_USE]
    if whys and _is_text(data.get("part")):
        return (Stopped("part", str(data["part"]), "; ".join(filter(None, whys))),)
    return ()


def _read_why(row: Mapping[object, object], note: object) -> str:
    asked = _text(row.get("point_text"))
    return _text(row.get("note")) or _text(note) or (f"{NOT_SO}: {asked}" if asked else "")


def _is_text(value: object) -> bool:
    return isinstance(value, str) and bool(value)


def _text(value: object) -> str:
    return value.strip()[:500] if isinstance(value, str) else ""
