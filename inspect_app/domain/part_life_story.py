"""A part's life as one story, newest first: looks with what they found, and whatever else happened, life by life."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, tzinfo
from enum import StrEnum
from typing import NamedTuple

from inspect_app.domain.part import Life
from inspect_app.domain.stretch import tag_key
from inspect_app.domain.units import with_unit
from inspect_app.domain.walk import Finding, Look, LookResult, Measure, is_counted


class StoryKind(StrEnum):
    """What the story can be narrowed to; one look may be several of them."""

    LOOK = "look"
    FINDING = "finding"
    WEAR = "wear"
    MEASURE = "measure"
    PHOTO = "photo"
    VOICE = "voice"
    DEFICIENCY = "deficiency"
    STOP = "stop"
    EVENT = "event"
    LIMIT = "limit"
    LIFE = "life"
    CHANGE = "change"


KIND_TITLES: Mapping[StoryKind, str] = {
    StoryKind.LOOK: "Looks",
    StoryKind.FINDING: "Findings",
    StoryKind.WEAR: "Wear ratings",
    StoryKind.MEASURE: "Measures",
    StoryKind.PHOTO: "Photos",
    StoryKind.VOICE: "Voice notes",
    StoryKind.DEFICIENCY: "Deficiencies and repairs",
    StoryKind.STOP: "Stops and releases",
    StoryKind.EVENT: "Events",
    StoryKind.LIMIT: "Restrictions, accepted conditions, looks asked for",
    StoryKind.LIFE: "Replacements",
    StoryKind.CHANGE: "Changes of what is recorded",
}


class StoryLine(NamedTuple):
    """One thing that a look found or measured, with the action grade of a finding."""

    text: str
    grade: str = ""


class LookPlace(NamedTuple):
    """In which walk a look was made, whether that is signed, under which report, and at which life if it says.

    `unseen` are those of its photos that there is nothing to show of: still on the phone, or damaged.
    """

    walk: str = ""
    title: str = ""
    signed: bool = False
    report: str = ""
    life: str | None = None
    unseen: frozenset[str] = frozenset()


NOWHERE = LookPlace()


@dataclass(frozen=True, slots=True)
class StoryItem:
    """One thing in the story. `gone` is struck through: replaced or withdrawn; `replaced_by` are entries.

    `leads` is (noun, id) of what it is about; `part` and `tag` name the part, for the story of a set.
    """

    at: datetime
    kinds: frozenset[StoryKind]
    head: str
    text: str = ""
    who: str = ""
    part: str = ""
    tag: str = ""
    life: str | None = None
    entry: str = ""
    lines: tuple[StoryLine, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    grade: str = ""
    photos: tuple[str, ...] = ()
    recordings: tuple[str, ...] = ()
    place: LookPlace = NOWHERE
    marks: tuple[str, ...] = ()
    replaced_by: tuple[str, ...] = ()
    gone: bool = False
    leads: tuple[str, str] = ("", "")
    result: str = ""
    handled: bool = False
    wear: int | None = None


class Chapter(NamedTuple):
    """What hung in the place for a while, with its story; `life` is None for what cannot be told apart."""

    life: Life | None
    title: str
    items: tuple[StoryItem, ...]


def look_item(look: Look, place: LookPlace, tag: str = "", zone: tzinfo = UTC) -> StoryItem:
    """A look as it stands in the story; days are those of `zone`."""
    gone = bool(look.replaced_by) or look.result is LookResult.WITHDRAWN
    ways = ", ".join(sorted(way.value.replace("_", " ") for way in look.ways))
    wear = max((one.wear for one in look.findings if one.wear is not None), default=None)
    signs = tuple(("Countersigned", f"{one.by_name}, {one.at.astimezone(zone).date()}") for one in look.countersigns)
    return StoryItem(
        at=look.at,
        kinds=_kinds(look, wear),
        head=look.result.value.replace("_", " ").capitalize() + (f", {ways}" if ways else ""),
        text=" ".join(filter(None, (look.reason, look.note))),
        who=look.by_name,
        part=look.part,
        tag=tag,
        life=place.life,
        entry=look.entry,
        lines=(*(_finding_line(one) for one in look.findings), *(_measure_line(one) for one in look.measures)),
        facts=signs,
        photos=tuple(photo for photo in look.photos if photo not in place.unseen),
        recordings=look.recordings,
        place=place,
        marks=_marks(look, place),
        replaced_by=look.replaced_by,
        gone=gone,
        result=look.result.value,
        handled="handled" in {way.value for way in look.ways},
        wear=wear,
    )


def _kinds(look: Look, wear: int | None) -> frozenset[StoryKind]:
    has = {
        StoryKind.LOOK: True,
        StoryKind.FINDING: bool(look.findings),
        StoryKind.WEAR: wear is not None,
        StoryKind.MEASURE: bool(look.measures),
        StoryKind.PHOTO: bool(look.photos),
        StoryKind.VOICE: bool(look.recordings),
    }
    return frozenset(kind for kind, there in has.items() if there)


def _marks(look: Look, place: LookPlace) -> tuple[str, ...]:
    marks = []
    if look.replaced_by:
        marks.append("replaced by a later entry")
    if look.result is LookResult.WITHDRAWN:
        marks.append("takes back an earlier entry")
    if not place.signed:
        marks.append("not signed yet")
    if not is_counted(look):
        marks.append("not countersigned: does not count")
    if look.late:
        marks.append("came in after the walk was closed")
    if place.unseen:
        marks.append("a photo has not arrived yet, or is damaged")
    return tuple(marks)


def _finding_line(found: Finding) -> StoryLine:
    wear = f"wear {found.wear} of 0 to 4" if found.wear is not None else ""
    answer = "" if found.answer == "new" else found.answer.replace("_", " ")
    words = (answer, found.note or found.defect.replace("_", " ") or found.point_text, wear)
    return StoryLine("; ".join(filter(None, words)), found.grade.value)


def _measure_line(measure: Measure) -> StoryLine:
    name = measure.quantity.replace("_", " ").capitalize()
    where = f", {measure.station}" if measure.station else ""
    return StoryLine(f"{name} {with_unit(measure.value, measure.unit)}{where}")


def life_items(lives: Iterable[Life], zone: tzinfo, part: str, tag: str = "") -> list[StoryItem]:
    """When each life began and ended, at noon of its day, since only the day is recorded."""
    found = []
    for life in lives:
        lot = f"Lot or serial number {life.lot}." if life.lot else ""
        for day, head in ((life.installed_on, "Put in its place"), (life.retired_on, "Taken out for good")):
            if day is not None:
                at = datetime(day.year, day.month, day.day, 12, tzinfo=zone)
                found.append(StoryItem(at, frozenset({StoryKind.LIFE}), head, lot, "", part, tag, life.id))
    return found


def chapters_of(items: Iterable[StoryItem], lives: Sequence[Life], zone: tzinfo) -> tuple[Chapter, ...]:
    """The story life by life, the present one first, and newest first within each.

    What does not name its life belongs to the one that hung there on its day; where no life covers the day, it stands
    in a chapter of its own at the end, if the part has several.
    """
    known = {life.id for life in lives}
    by_life: dict[str | None, list[StoryItem]] = {life.id: [] for life in lives}
    for item in items:
        at = item.life if item.life in known else _life_on(lives, item.at.astimezone(zone).date())
        by_life.setdefault(at, []).append(replace(item, life=at))
    found = [Chapter(life, _life_title(life), newest_first(by_life[life.id])) for life in lives]
    if None in by_life:
        found.append(Chapter(None, "Before what is recorded of any of them", newest_first(by_life[None])))
    return tuple(found)


def newest_first(items: Iterable[StoryItem]) -> tuple[StoryItem, ...]:
    """In order of time, the latest first; entries of one moment in the order in which they were made, turned round."""
    return tuple(sorted(items, key=lambda one: (one.at, one.entry), reverse=True))


def _life_on(lives: Sequence[Life], day: date) -> str | None:
    if len(lives) == 1:
        return lives[0].id
    for life in lives:
        if (life.installed_on is None or life.installed_on <= day) and (
            life.retired_on is None or day <= life.retired_on
        ):
            return life.id
    return None


def _life_title(life: Life) -> str:
    since = life.installed_on.isoformat() if life.installed_on else "the beginning of this record"
    lot = f", lot {life.lot}" if life.lot else ""
    if life.retired_on is None:
        return f"What hangs there now, since {since}{lot}"
    return f"What hung there from {since} to {life.retired_on.isoformat()}{lot}"


def years_of(items: Iterable[StoryItem], zone: tzinfo) -> tuple[int, ...]:
    """The years in which anything happened, newest first."""
    return tuple(sorted({item.at.astimezone(zone).year for item in items}, reverse=True))


def only(items: Iterable[StoryItem], kind: StoryKind | None, year: int | None, zone: tzinfo) -> list[StoryItem]:
    """Those of a kind and of a year; None leaves that open."""
    return [
        item
        for item in items
        if (kind is None or kind in item.kinds) and (year is None or item.at.astimezone(zone).year == year)
    ]


class StoryPhoto(NamedTuple):
    """One photo with the part and the entry that it belongs to, newest first in a list of them.

    `tag` names the part in the story of a set and is empty in that of one part.
    """

    id: str
    entry: str
    at: datetime
    who: str
    walk: str
    title: str
    gone: bool
    part: str = ""
    tag: str = ""


def photos_of(items: Iterable[StoryItem]) -> tuple[StoryPhoto, ...]:
    """All photos in a story, newest first."""
    return tuple(
        StoryPhoto(
            photo, item.entry, item.at, item.who, item.place.walk, item.place.title, item.gone, item.part, item.tag
        )
        for item in newest_first(items)
        for photo in item.photos
    )


def by_part(photos: Iterable[StoryPhoto]) -> list[tuple[str, tuple[StoryPhoto, ...]]]:
    """Photos under the tag of their part, tags in the order in which people count; the order in each is kept."""
    groups: dict[str, list[StoryPhoto]] = {}
    for photo in photos:
        groups.setdefault(photo.tag, []).append(photo)
    return [(tag, tuple(groups[tag])) for tag in sorted(groups, key=tag_key)]


def pair_of(photos: Sequence[StoryPhoto], older: str, newer: str) -> tuple[StoryPhoto, StoryPhoto] | None:
    """Two photos to compare, the older one first. `older` and `newer` are ids of those that somebody chose, or empty.

    Without two chosen ones, a photo (that one, or the newest) with the last of an earlier walk at the same part; where
    no part has photos of two walks, with the last of the same walk. None where no part has two.
    """
    known = {photo.id: photo for photo in photos}
    then, now = known.get(older), known.get(newer)
    if then is not None and now is not None and then.id != now.id:
        return (then, now) if then.at <= now.at else (now, then)
    of_part: dict[str, list[StoryPhoto]] = {}
    for photo in photos:
        of_part.setdefault(photo.part, []).append(photo)
    named = now or then
    tried = [(_beside(one, of_part[one.part]), one) for one in ([named] if named else photos)]
    pairs = [sorted((other, one), key=lambda photo: photo.at) for other, one in tried if other is not None]
    first = next((pair for pair in pairs if pair[0].walk != pair[1].walk), pairs[0] if pairs else None)
    return (first[0], first[1]) if first else None


def _beside(photo: StoryPhoto, own: Sequence[StoryPhoto]) -> StoryPhoto | None:
    """What a photo is best compared with among those of its part: the last of an earlier walk, else the last before."""
    others = [one for one in own if one.id != photo.id]
    before = [one for one in others if one.at <= photo.at]
    return next((one for one in before if one.walk != photo.walk), next(iter(before or others), None))
