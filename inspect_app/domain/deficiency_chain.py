"""Which findings on a part are one fault: an answer belongs to what it answers, a correction to what it corrects."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.deficiency import FINDS_AGAIN, Answer


class Said(NamedTuple):
    """A finding on a part as it was told; `of` names the finding it answers. Times are UTC text that sorts.

    `true_at` is `at` with a clock that was wrong set right; '' where it was not.
    """

    id: str
    entry: str
    point: str
    of: str | None
    answer: Answer
    grade: Grade
    at: str
    received_at: str
    true_at: str = ""
    defect: str = ""


class Cut(NamedTuple):
    """A closed deficiency: what was found after `at` is found again, under a new number."""

    members: frozenset[str]
    at: str


class Regraded(NamedTuple):
    """The grade that a person decided for a finding at review, and when."""

    finding: str
    grade: Grade
    at: str


class Chain(NamedTuple):
    """The findings that are one fault; `speaker` is the one whose words it carries.

    `related` are also those that hang together with it but lie before or after a closing.
    """

    members: frozenset[str]
    speaker: str
    grade: Grade
    found_at: str
    related: frozenset[str] = frozenset()


def corrections(said: Iterable[Said], replaced: Mapping[str, Iterable[str]]) -> list[tuple[Said, Said]]:
    """Pairs (old, new) of findings at one point, where the look of the new one replaces the look of the old one.

    `replaced` gives, for an entry, the entries that it replaces.
    """
    by_entry: dict[str, list[Said]] = {}
    for one in said:
        by_entry.setdefault(one.entry, []).append(one)
    return [
        (old, new)
        for entry, news in by_entry.items()
        for gone in replaced.get(entry, ())
        for new in news
        for old in by_entry.get(gone, ())
        if gone != entry and old.point == new.point
    ]


def chain_of(
    finding: str,
    said: Sequence[Said],
    replaced: Mapping[str, Iterable[str]],
    decided: Sequence[Regraded] = (),
    joined: Sequence[tuple[str, str]] = (),
    cuts: Sequence[Cut] = (),
) -> Chain | None:
    """The fault that a finding belongs to, from all that was told of the part, in whatever order it came.

    None when nothing is found in it: *not seen now* alone makes no deficiency. Words and grade are those of what
    stands: a correction speaks for what it corrects, *worse* raises, and what a person decided holds until something
    that arrives later raises it. Found at the time of what was there first.

    `joined` are pairs of findings that a person said are one fault. What was recorded after the fault was settled or
    dismissed (`cuts`) is a fault of its own, whenever it arrives.
    """
    pairs = corrections(said, replaced)
    related = _connected(finding, said, pairs, joined)
    members = _same_time(finding, said, related, [cut.at for cut in cuts if cut.members & related])
    inside = [one for one in said if one.id in members]
    corrected = {old.id for old, _ in pairs}
    correcting = {new.id for _, new in pairs}
    found = [one for one in inside if one.answer in FINDS_AGAIN]
    if not found:
        return None
    roots = [one for one in found if one.of is None] or found
    standing = [one for one in roots if one.id not in corrected] or roots
    first = [one for one in roots if one.id not in correcting] or roots
    raising = [one for one in found if one.answer is Answer.WORSE and one.id not in corrected]
    return Chain(
        members=frozenset(one.id for one in inside),
        speaker=min(standing, key=lambda one: (one.at, one.id)).id,
        grade=_grade(members, [*standing, *raising], decided),
        found_at=min(one.at for one in first),
        related=frozenset(related),
    )


def _same_time(finding: str, said: Sequence[Said], related: set[str], ends: Sequence[str]) -> set[str]:
    """Those of the related findings that lie between the same two closings as this one."""

    def stretch(one: Said) -> int:
        return sum((one.true_at or one.at) > end for end in ends)

    by_id = {one.id: one for one in said}
    if not ends or finding not in by_id:
        return related
    here = stretch(by_id[finding])
    return {one for one in related if one not in by_id or stretch(by_id[one]) == here}


def _connected(
    finding: str, said: Sequence[Said], pairs: Iterable[tuple[Said, Said]], together: Sequence[tuple[str, str]]
) -> set[str]:
    """The ids that hang together with a finding; what an answer names counts also before it has arrived.

    A correction that answers another fault than the answer it corrects moves to that one: it joins no two faults.
    """
    near: dict[str, set[str]] = {}
    joined = [(one.id, one.of) for one in said if one.of]
    joined += [(old.id, new.id) for old, new in pairs if not old.of or not new.of or old.of == new.of]
    joined += together
    for a, b in joined:
        near.setdefault(a, set()).add(b)
        near.setdefault(b, set()).add(a)
    seen, waiting = {finding}, [finding]
    while waiting:
        fresh = near.get(waiting.pop(), set()) - seen
        seen |= fresh
        waiting += fresh
    return seen


def _grade(members: set[str], speaking: Sequence[Said], decided: Sequence[Regraded]) -> Grade:
    last = max((one for one in decided if one.finding in members), key=lambda one: one.at, default=None)
    grades = [one.grade for one in speaking if last is None or one.received_at > last.at]
    return max([*grades, *([last.grade] if last else [])], key=GRADE_RANK.__getitem__)
