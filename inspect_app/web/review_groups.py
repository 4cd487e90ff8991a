"""How the review page groups what it shows: what waits, gaps by reason, a helper's stretches, what findings lack."""

from collections.abc import Iterable
from typing import NamedTuple

from inspect_app.domain.part import Part
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.domain.review import WalkReview
from inspect_app.domain.stretch import tag_key
from inspect_app.domain.walk import Look, LookResult
from inspect_app.domain.walk_record import WalkRecord


class Waiting(NamedTuple):
    """One thing that waits: in words, the section of the page it stands in, and whether it keeps the signature back."""

    words: str
    section: str
    blocks: bool = False


class Gap(NamedTuple):
    """Parts of one kind not reached for one reason, by one person."""

    kind: str
    tags: tuple[str, ...]
    reason: str
    by_name: str


class Stretch(NamedTuple):
    """What one helper recorded in one pass, as far as it waits for a countersign."""

    by: str
    by_name: str
    in_pass: str
    entries: tuple[str, ...]
    lines: tuple[str, ...]
    unseen_by: str


def still_to_do(record: WalkRecord, review: WalkReview) -> tuple[Waiting, ...]:
    """What waits before the signature, what blocks it first."""
    photos = sum(not photo.here for photo in record.photos)
    recordings = sum(not one.here for one in record.recordings)
    gaps = sum(not device.whole for device in record.devices)
    lowered, differing = len(review.must_decide), len(review.undecided)
    rows = (
        (not record.closings, "Nobody has said yet that everybody is down", "closing", True),
        (lowered, "{} graded below the checklist's proposal without a reason|finding", "findings", True),
        (differing, "{} on which looks differ: the worse counts until somebody decides|part", "differing", False),
        (len(review.unconfirmed), "{} said not to apply, not confirmed|part", "not-applicable", False),
        (len(stretches_of(review)), "{} of a helper not countersigned: does not count|stretch", "helpers", False),
        (gaps, "{} whose count or closing is not complete|device", "devices", False),
        (photos, "{} that did not arrive|photo", "devices", False),
        (recordings, "{} that did not arrive|voice note", "voice", False),
    )  # fmt: skip
    return tuple(
        Waiting(_counted(words, int(number)), section, blocks) for number, words, section, blocks in rows if number
    )


def _counted(words: str, number: int) -> str:
    text, _, noun = words.partition("|")
    many = {"stretch": "stretches"}.get(noun, f"{noun}s")
    return text.format(f"{number} {noun if number == 1 else many}")


def _tags(parts: Iterable[Part]) -> tuple[str, ...]:
    return tuple(sorted({part.tag for part in parts}, key=tag_key))


def gaps_of(review: WalkReview) -> tuple[Gap, ...]:
    """The not-reached list by kind, reason and person."""
    groups: dict[tuple[str, str, str], list[Part]] = {}
    for look in review.not_reached:
        part = review.parts[look.part]
        groups.setdefault((KIND_WORDS[part.kind].many, look.reason, look.by_name), []).append(part)
    return tuple(Gap(kind, _tags(parts), reason, by) for (kind, reason, by), parts in groups.items())


def stretches_of(review: WalkReview) -> tuple[Stretch, ...]:
    """Helpers' entries that do not count, by person and pass."""
    groups: dict[tuple[str, str, str], list[Look]] = {}
    for look in review.uncounted:
        groups.setdefault((look.by, look.by_name, look.in_pass), []).append(look)
    return tuple(
        Stretch(
            by,
            name,
            in_pass,
            tuple(look.entry for look in looks),
            _lines(review, looks),
            ", ".join(sorted({sign.by_name for look in looks for sign in look.countersigns})),
        )
        for (by, name, in_pass), looks in groups.items()
    )


_WORDS = {
    LookResult.NO_FINDING: "no finding",
    LookResult.FINDING: "finding",
    LookResult.NOT_REACHED: "not reached",
    LookResult.NOT_APPLICABLE: "not applicable",
}


def _lines(review: WalkReview, looks: Iterable[Look]) -> tuple[str, ...]:
    groups: dict[LookResult, list[Part]] = {}
    for look in looks:
        groups.setdefault(look.result, []).append(review.parts[look.part])
    return tuple(f"{_WORDS[result]}: {', '.join(_tags(parts))}" for result, parts in groups.items())


def lacking_of(review: WalkReview) -> dict[str, tuple[str, ...]]:
    """Tags of parts by what a finding on them came without."""
    groups: dict[str, list[Part]] = {}
    for row in review.lacking:
        groups.setdefault(row.what, []).append(row.part)
    return {what: _tags(parts) for what, parts in groups.items()}
