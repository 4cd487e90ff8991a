"""The label audit: what was read at five places of each set, and where it disagrees with the schedule."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import NamedTuple

from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSet
from inspect_app.domain.part import PartKind

LONGEST = 40
CHECKLIST = "label-audit"


class LabelPlace(StrEnum):
    """Where a set carries its number."""

    RAIL = "rail"
    ARBOR = "arbor"
    HEAD_BLOCK = "head_block"
    LOFT_BLOCKS = "loft_blocks"
    BATTEN_END = "batten_end"


PLACE_WORDS: Mapping[LabelPlace, str] = {
    LabelPlace.RAIL: "rail",
    LabelPlace.ARBOR: "arbor",
    LabelPlace.HEAD_BLOCK: "head block",
    LabelPlace.LOFT_BLOCKS: "loft blocks",
    LabelPlace.BATTEN_END: "batten end",
}
# A set has a place when it has a part of this kind; a walk answers it by this point of checklists/label-audit.yaml.
PLACE_KINDS: Mapping[LabelPlace, PartKind] = {
    LabelPlace.RAIL: PartKind.ROPE_LOCK,
    LabelPlace.ARBOR: PartKind.ARBOR,
    LabelPlace.HEAD_BLOCK: PartKind.HEAD_BLOCK,
    LabelPlace.LOFT_BLOCKS: PartKind.LOFT_BLOCK,
    LabelPlace.BATTEN_END: PartKind.BATTEN,
}
PLACE_POINTS: Mapping[str, LabelPlace] = {
    "labels-rail": LabelPlace.RAIL,
    "labels-arbor": LabelPlace.ARBOR,
    "labels-head-block": LabelPlace.HEAD_BLOCK,
    "labels-loft-block": LabelPlace.LOFT_BLOCKS,
    "labels-batten-end": LabelPlace.BATTEN_END,
}


class ReadState(StrEnum):
    """What came of reading a label."""

    READ = "read"
    MISSING = "missing"
    UNREADABLE = "unreadable"
    NOT_REACHED = "not_reached"


STATE_WORDS: Mapping[ReadState, str] = {
    ReadState.READ: "read, as below",
    ReadState.MISSING: "no label",
    ReadState.UNREADABLE: "not to be read",
    ReadState.NOT_REACHED: "not reached",
}


class Reading(NamedTuple):
    """What somebody read at one place of one set on a day."""

    line_set: str
    place: LabelPlace
    state: ReadState
    label: str
    read_on: date
    by_name: str = ""


class WalkedLabel(NamedTuple):
    """What a signed walk says of the label of one part: sound, or what was found."""

    line_set: str
    place: LabelPlace
    part: str
    tag: str
    agrees: bool
    says: str
    on: date


class SeenLabel(NamedTuple):
    """A place of a set on the page: `word` is agrees, differs, missing, unreadable, not_reached, part or never.

    Of several labels at a place, `on` is the day of the newest that differs, or since which all were read and agree.
    """

    place: LabelPlace
    word: str
    says: str
    on: date | None
    by_name: str = ""


SEEN_WORDS: Mapping[str, str] = {
    "agrees": "agrees", "differs": "differs", "missing": "no label", "unreadable": "not to be read",
    "not_reached": "not reached", "part": "read in part", "never": "never read",
}  # fmt: skip
_AGAINST = frozenset({"differs", "missing", "unreadable"})


@dataclass(frozen=True, slots=True)
class AuditRow:
    """One set with what was read at each of its places."""

    line_set: LineSet
    seen: tuple[SeenLabel, ...]

    @property
    def all_agree(self) -> bool:
        """Whether every place was read and agrees."""
        return bool(self.seen) and all(one.word == "agrees" for one in self.seen)

    @property
    def against(self) -> tuple[SeenLabel, ...]:
        """Where the schedule is contradicted, or nothing can be read."""
        return tuple(one for one in self.seen if one.word in _AGAINST)


def same_number(number: str, label: str, place: LabelPlace) -> bool:
    """Whether a label as read is the set's number: capitals, blanks, leading zeros, and the words set and no. before it
    do not matter. A loft block may add its line: 12-3."""
    wanted, read = _plain(number), _plain(label)
    if wanted == read:
        return True
    return place is LabelPlace.LOFT_BLOCKS and bool(re.match(re.escape(wanted) + r"[-/. ]\w+\Z", read))


def _plain(text: str) -> str:
    bare = re.sub(r"^((LINE ?SET|SET|LINE|NO\.?|NR\.?|#)[ .]*)+", "", " ".join(text.upper().split()))
    return re.sub(r"(?<![0-9])0+(?=[0-9])", "", bare)


def check_reading(state: str, label: str, read_on: date, today: date) -> tuple[ReadState, str]:
    """The state and label as they are kept. Raises BadValue on the field `label`, `state` or `read_on`."""
    if state not in set(ReadState):
        raise BadValue("Say what came of reading the label.", "state")
    kept, words = ReadState(state), " ".join(label.split())
    if len(words) > LONGEST:
        raise BadValue(f"A label has at most {LONGEST} signs here.", "label")
    if kept is ReadState.READ and not words:
        raise BadValue("Write what stands on the label, or choose that there is none.", "label")
    if kept is not ReadState.READ and words:
        raise BadValue("A label that was not read has no words: clear them, or choose that it was read.", "label")
    if read_on > today:
        raise BadValue("This day has not come yet.", "read_on")
    return kept, words


def audit_rows(
    sets: Sequence[LineSet],
    parts: Mapping[str, Mapping[LabelPlace, int]],
    readings: Iterable[Reading],
    walked: Iterable[WalkedLabel],
) -> list[AuditRow]:
    """Each set with its places. `parts` counts, by set and place, the parts that carry a label there.

    At each place the newest day counts; on the same day what was typed in full counts before a walk's word.
    """
    typed: dict[tuple[str, LabelPlace], Reading] = {}
    for one in readings:
        key = (one.line_set, one.place)
        if key not in typed or one.read_on >= typed[key].read_on:
            typed[key] = one
    by_walk: dict[tuple[str, LabelPlace], list[WalkedLabel]] = {}
    for row in walked:
        by_walk.setdefault((row.line_set, row.place), []).append(row)
    return [
        AuditRow(
            line_set,
            tuple(
                _seen(line_set, place, parts[line_set.id][place], typed.get((line_set.id, place)),
                      by_walk.get((line_set.id, place), []))
                for place in LabelPlace if parts.get(line_set.id, {}).get(place)
            ),
        )
        for line_set in sets
    ]  # fmt: skip


def _seen(
    line_set: LineSet, place: LabelPlace, count: int, typed: Reading | None, walked: Sequence[WalkedLabel]
) -> SeenLabel:
    newest = max((row.on for row in walked), default=None)
    if typed is not None and (newest is None or typed.read_on >= newest):
        word = typed.state.value
        if typed.state is ReadState.READ:
            word = "agrees" if same_number(line_set.number, typed.label, place) else "differs"
        return SeenLabel(place, word, typed.label, typed.read_on, typed.by_name)
    if newest is None:
        return SeenLabel(place, "never", "", None)
    against = [row for row in walked if not row.agrees]
    if against:
        said = "; ".join(f"{row.tag}: {row.says}" for row in against)
        return SeenLabel(place, "differs", said, max(row.on for row in against))
    read = len({row.part for row in walked})
    if read < count:
        return SeenLabel(place, "part", f"{read} of {count} read", newest)
    return SeenLabel(place, "agrees", "", min(row.on for row in walked))
