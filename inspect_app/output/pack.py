"""The pack: everything a phone needs to walk a house, as one JSON object with an ETag.

{"schema": 1, "made_at", "last_seq" (highest number this device is known to have given out),
 "house": {"id", "name", "units", "datum", "tz", "demo", "keep_originals"}, "me": {"id", "name", "roles", "competence"},
 "people": [{"id", "name"}], "areas": [{"id", "kind", "name"}],
 "line_sets": [{"id", "number", "label", "kind", "head_side", "lines", "stopped"}],
 "parts": {id: {"tag", "kind", "kind_title", "area", "line_set", "line", "line_name", "life", "well", "attributes",
    "open": [{"finding", "point", "what", "grade", "at"}], "last": {"result", "at", "ways"} or null,
    "photos": [ids of its last photos, newest first; small pictures at /api/v1/photos/<id>/thumb],
    "stopped", "accepted": text or ""}},
 "places": {"stopped": [parts of no set that are out of use, themselves or by their area],
    "limits": {id of an area or of a part of no set: [a limit on its use, in words]}},
 "checklists": [checklist (domain/checklist.py) with "screens": {stop id: {"well": [Screen], "set": [Screen]}}],
    Screen = {"key", "title", "rows": [{"key", "label", "parts": [id]}]}
 "older_checklists": the same for revisions that open walks use and that are no longer the ones in use,
 "limits", "bounds", "not_judged", "counted_over": output/pack_limits.py,
 "governing": {criterion key: the chosen document with who chose it and why},
 "gauges": [{"name", "kind_title", "steps": {unit: smallest step as decimal text}, "calibration_due": date or ""}],
 "stations": {part id: [names of its measuring places]},
 "look_again": {part id: [{"quantity", "words"}]}, what repeated measures ask for: before which day, or why now,
 "second_looks": {part id: [{"pass", "points"}]}, those that wait for somebody like the one whose pack this is,
 "walks": [{"id", "title", "date_local", "state", "checklists": [{"id", "revision"}], "line_sets", "areas",
    "opened_at"}]}

Asked with ?since=<ETag>, only what has changed is sent: output/pack_delta.py.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, NamedTuple

from inspect_app.domain.checklist import Checklist, checklist_to_json
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.fitting import competence_of
from inspect_app.domain.gauge import Gauge, Station, class_title, resolution_in
from inspect_app.domain.house import Inventory
from inspect_app.domain.line_names import line_name
from inspect_app.domain.look_again import LookAgain
from inspect_app.domain.part import Part
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.person import Person
from inspect_app.domain.report_words import cited
from inspect_app.domain.role import Role
from inspect_app.domain.second_look import SecondLook
from inspect_app.domain.stretch import ORDERS, Screen, screens
from inspect_app.domain.tag_out import TagOut
from inspect_app.domain.units import UNITS
from inspect_app.domain.walk_record import Accepted, Walk
from inspect_app.output.pack_delta import delta_of, etag_of
from inspect_app.output.pack_limits import shown_limits

Json = dict[str, Any]


class OpenOnPart(NamedTuple):
    """An open deficiency of a part, as the phone offers it for an answer."""

    finding: str
    point: str
    what: str
    grade: str
    at: str


class LastLook(NamedTuple):
    """The last look at a part that stands and counts."""

    result: str
    at: str
    ways: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PackSource:
    """What a pack is made from. `older` are revisions that open walks use beside the checklists in use now."""

    made_at: datetime
    inventory: Inventory
    person: Person
    roles: frozenset[Role]
    people: tuple[Person, ...]
    last_seq: int
    checklists: tuple[Checklist, ...]
    older: tuple[Checklist, ...]
    criteria: Mapping[str, Criterion]
    open: Mapping[str, tuple[OpenOnPart, ...]]
    last: Mapping[str, LastLook]
    photos: Mapping[str, tuple[str, ...]]
    accepted: tuple[Accepted, ...]
    tag_outs: tuple[TagOut, ...]
    walks: tuple[Walk, ...]
    gauges: tuple[Gauge, ...] = ()
    stations: tuple[Station, ...] = ()
    limits: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # limits on use in words, by set, part or area
    barred: frozenset[str] = frozenset()  # line sets that are out of use, for whatever reason
    keep_off: frozenset[str] = frozenset()  # line sets that nobody may approach yet after an event
    second_looks: tuple[SecondLook, ...] = ()
    look_again: Mapping[str, tuple[LookAgain, ...]] = field(default_factory=dict)  # by part


class Pack(NamedTuple):
    """The pack: `head` turns on the time and the device, `sections` hold the rest as JSON text by name."""

    head: Mapping[str, Any]
    sections: Mapping[str, str]

    @property
    def body(self) -> bytes:
        """The whole pack as the bytes to send."""
        rest = ",".join(f"{json.dumps(name)}:{text}" for name, text in self.sections.items())
        return f"{json.dumps(self.head, separators=(',', ':'))[:-1]},{rest}}}".encode()

    @property
    def etag(self) -> str:
        """Its ETag, which does not turn on the time at which it was made."""
        return etag_of(self.sections)

    def delta(self, since: str) -> bytes | None:
        """What has changed since the pack with that ETag; None when the whole must be sent."""
        return delta_of(self.head, self.sections, since)


def make_pack(source: PackSource) -> Pack:
    """Put the pack together."""
    head = {"schema": 1, "made_at": source.made_at.isoformat(timespec="milliseconds"), "last_seq": source.last_seq}
    content = _content(source)
    texts = {name: json.dumps(one, ensure_ascii=False, separators=(",", ":")) for name, one in content.items()}
    return Pack(head, texts)


def _content(source: PackSource) -> Json:
    house = source.inventory.house
    parts = [part for part in source.inventory.parts if part.retired_on is None]
    shown = shown_limits(parts, source.inventory, (*source.checklists, *source.older), source.criteria)
    return {
        "house": {
            "id": house.id,
            "name": house.name,
            "units": house.units,
            "datum": house.datum,
            "tz": house.tz,
            "demo": house.demo,
            "keep_originals": house.keep_originals,
        },
        "me": {
            "id": source.person.id,
            "name": source.person.name,
            "roles": sorted(source.roles),
            "competence": competence_of(source.roles).value,
        },
        "people": [{"id": person.id, "name": person.name} for person in source.people],
        "areas": [{"id": area.id, "kind": area.kind.value, "name": area.name} for area in source.inventory.areas],
        "line_sets": _line_sets(source),
        "parts": _parts(source, parts),
        "places": _places(source, parts),
        "checklists": [_checklist(one, source.inventory) for one in source.checklists],
        "older_checklists": [_checklist(one, source.inventory) for one in source.older],
        "limits": shown.limits,
        "bounds": shown.bounds,
        "not_judged": shown.not_judged,
        "counted_over": {"spans": shown.spans, "of": shown.span_of},
        "governing": {key: one.governing.words for key, one in source.criteria.items() if one.governing is not None},
        "gauges": [_gauge(one) for one in source.gauges],
        "stations": _stations(source.stations),
        "look_again": {
            part: [{"quantity": one.quantity, "words": one.words} for one in some]
            for part, some in source.look_again.items()
        },
        "second_looks": _second_looks(source),
        "walks": [_walk(walk) for walk in source.walks],
    }


def _line_sets(source: PackSource) -> list[Json]:
    return [
        {
            "id": one.id,
            "number": one.number,
            "label": one.label,
            "kind": one.kind.value,
            "head_side": one.head_side.value,
            "lines": one.lines,
            "stopped": one.id in source.barred,
            "limits": list(source.limits.get(one.id, ())),
            "keep_off": one.id in source.keep_off,
        }
        for one in sorted(source.inventory.line_sets, key=lambda one: (one.sort_key, one.number))
        if one.retired_on is None
    ]


def _stopped(source: PackSource, parts: Iterable[Part]) -> list[str]:
    """The parts that are out of use by a stop on themselves or on their area; sets say it of theirs."""
    stopped = {tag_out.part for tag_out in source.tag_outs if not tag_out.line_set}
    areas = {tag_out.area for tag_out in source.tag_outs if tag_out.area}
    return [part.id for part in parts if part.id in stopped or part.area in areas]


def _places(source: PackSource, parts: Sequence[Part]) -> Json:
    loose = {part.id: part.line_set is None for part in parts}
    sets = {one.id for one in source.inventory.line_sets}
    return {
        "stopped": [part for part in _stopped(source, parts) if loose[part]],
        "limits": {place: list(words) for place, words in source.limits.items() if place not in sets},
    }


def _parts(source: PackSource, parts: Sequence[Part]) -> Json:
    house = source.inventory.house
    counts = {one.id: one.lines for one in source.inventory.line_sets}
    accepted: dict[str, list[str]] = {}
    for one in source.accepted:
        accepted.setdefault(one.part, []).append(f"{one.what} (accepted by {one.accepted_by} until {one.review_by})")
    stopped = set(_stopped(source, parts))

    def shown(part: Part) -> Json:
        life, last = source.inventory.lives.get(part.id), source.last.get(part.id)
        return {
            "tag": part.tag,
            "kind": part.kind.value,
            "kind_title": kind_title(part.kind),
            "area": part.area,
            "line_set": part.line_set,
            "line": part.line,
            "line_name": line_name(house, counts.get(part.line_set or "", 0), part.line),
            "life": life.id if life else None,
            "well": part.well,
            "attributes": dict(life.attributes) if life else {},
            "open": [one._asdict() for one in source.open.get(part.id, ())],
            "last": last._asdict() if last else None,
            "photos": list(source.photos.get(part.id, ())),
            "stopped": part.id in stopped,
            "accepted": "; ".join(accepted.get(part.id, ())),
        }

    return {part.id: shown(part) for part in parts}


def _checklist(checklist: Checklist, inventory: Inventory) -> Json:
    shown = {
        stop.id: {order: [_screen(one) for one in screens(checklist, stop, inventory, order)] for order in ORDERS}
        for stop in checklist.stops
    }
    whole = {**checklist_to_json(checklist), "screens": shown}
    for section in whole["sections"]:
        for point in section["points"]:
            point["basis"]["text"] = cited(point["basis"]["text"])  # as every page names the document
    # A browser writes 1.0 as 1; what it writes of a section must have the digest that the ETag names.
    return {**whole, "coverage": _as_browsers_write(checklist.coverage)}


def _as_browsers_write(number: float) -> float | int:
    return int(number) if number == int(number) else number


def _screen(screen: Screen) -> Json:
    rows = [{"key": row.key, "label": row.label, "parts": list(row.part_ids)} for row in screen.rows]
    return {"key": screen.key, "title": screen.title, "rows": rows}


def _gauge(gauge: Gauge) -> Json:
    return {
        "name": gauge.name,
        "kind_title": class_title(gauge.kind),
        "steps": {unit: step for unit in UNITS if (step := resolution_in(gauge, unit))},
        "calibration_due": gauge.calibration_due.isoformat() if gauge.calibration_due else "",
    }


def _stations(stations: Iterable[Station]) -> Json:
    found: Json = {}
    for station in stations:
        found.setdefault(station.part, []).append(station.name)
    return found


def _second_looks(source: PackSource) -> Json:
    """By part; without those that this person made the first look of, and without what was found then."""
    found: Json = {}
    for one in source.second_looks:
        if source.person.id not in one.people:
            found.setdefault(one.part, []).append({"pass": one.in_pass, "points": list(one.points)})
    return found


def _walk(walk: Walk) -> Json:
    scope = walk.scope
    return {
        "id": walk.id,
        "title": walk.title,
        "date_local": walk.date_local,
        "state": walk.state.value,
        "checklists": [{"id": key, "revision": revision} for key, revision in scope.checklists],
        "line_sets": None if scope.line_sets is None else sorted(scope.line_sets),
        "areas": None if scope.areas is None else sorted(scope.areas),
        "opened_at": walk.opened_at.isoformat(timespec="milliseconds"),
    }
