"""Batches: parts of one kind from one lot or installed on one day, and which of them are to be looked at.

That sisters of a faulty part are suspect is common practice, no source. A fault in one says nothing about the others
but that somebody has to look.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from inspect_app.domain.blind_spot import BlindKind, BlindSpot, PartRecord, blind_spot
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.stretch import tag_key


@dataclass(frozen=True, slots=True)
class Batch:
    """Parts of one `kind`, tied by a lot or, where no lot is recorded, by the day they were installed."""

    kind: PartKind
    lot: str
    installed_on: date | None
    parts: tuple[Part, ...]


_LOOKED = frozenset({BlindKind.HANDLED, BlindKind.NOT_HANDLED})


@dataclass(frozen=True, slots=True)
class Sister:
    """One part of a batch as the list shows it; `spot` says what is recorded of it since the fault."""

    part: Part
    spot: BlindSpot
    open_grade: str
    to_look_at: bool


def batch_of(part: Part, parts: Iterable[Part], lives: Mapping[str, Life]) -> Batch | None:
    """The batch of a part by its present life: by lot, else by install date; None when neither is recorded.

    `lives` are present lives by part. The part itself is in its batch.
    """
    life = lives.get(part.id)
    if life is None or not (life.lot.strip() or life.installed_on):
        return None
    lot = _lot(life)
    same = [
        one
        for one in parts
        if one.kind is part.kind and one.id in lives and _tied(lives[one.id], lot, life.installed_on)
    ]
    return Batch(part.kind, life.lot.strip(), None if lot else life.installed_on, tuple(same))


def _tied(life: Life, lot: str, installed_on: date | None) -> bool:
    return _lot(life) == lot if lot else not _lot(life) and life.installed_on == installed_on


def _lot(life: Life) -> str:
    return " ".join(life.lot.casefold().split())


def batches_of(parts: Iterable[Part], lives: Mapping[str, Life]) -> list[Batch]:
    """Every batch of at least two parts, by kind, then lots, then install dates."""
    groups: dict[tuple[PartKind, str, date | None], list[Part]] = {}
    for part in parts:
        life = lives.get(part.id)
        if life is not None and (life.lot.strip() or life.installed_on):
            lot = _lot(life)
            groups.setdefault((part.kind, lot, None if lot else life.installed_on), []).append(part)
    found = [
        Batch(kind, lives[own[0].id].lot.strip() if lot else "", day, tuple(own))
        for (kind, lot, day), own in groups.items()
        if len(own) > 1
    ]
    return sorted(found, key=lambda one: (one.kind.value, not one.lot, one.lot, one.installed_on or date.min))


def sisters_of(
    batch: Batch, records: Mapping[str, PartRecord], open_grades: Mapping[str, str], since: date | None
) -> list[Sister]:
    """The parts of a batch, those to be looked at first: not looked at since the fault was found, oldest look on top.

    `since` is the day of the fault, None when there is none. A look on that day itself may have been before it: it does
    not count, but for the part that has the fault. *Not reached* and *not applicable* are no looks.
    """
    after = since + timedelta(days=1) if since is not None else None
    rows, looked = [], {}
    for part in batch.parts:
        record, grade = records.get(part.id, PartRecord(part.id)), open_grades.get(part.id, "")
        spot = blind_spot(record, after)
        looked[part.id] = record.looked or date.min
        rows.append(Sister(part, spot, grade, since is not None and not grade and spot.kind not in _LOOKED))
    return sorted(rows, key=lambda one: (not one.to_look_at, looked[one.part.id], tag_key(one.part.tag)))
