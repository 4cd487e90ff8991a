"""Which points of which parts each sealed walk looked at: a projection of the seals, from which due dates are read."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from functools import cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlite_utils import Database

from inspect_app.domain.checklist import Competence, Way
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part import Life
from inspect_app.domain.point_clock import PointLook, Sealed, WalkFacts, life_at, point_looks
from inspect_app.domain.role import ROLE_TITLES
from inspect_app.domain.seal import SIGNING
from inspect_app.domain.walk import Look
from inspect_app.store.checklist import get_revision
from inspect_app.store.house import get_house, to_day
from inspect_app.store.part import list_parts
from inspect_app.store.relook import update_relooks
from inspect_app.store.seal import list_sealed_entries, list_seals
from inspect_app.store.walk import get_walk
from inspect_app.store.walk_look import list_decisions, list_looks_of_walk

_SIGNED_AS = {ROLE_TITLES[role]: competence for role, competence in SIGNING.items()}


def zone_of(tz: str) -> ZoneInfo:
    """The time zone of a house; UTC where its name is not known here."""
    try:
        return ZoneInfo(tz)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return ZoneInfo("UTC")


def update_point_clock(db: Database, house: str, walk: str) -> None:
    """Write what one walk looked at as its newest seal stands, and which re-looks it answered."""
    db.execute("DELETE FROM point_clock WHERE walk = ?", (to_key(walk),))
    facts = _walk_facts(db, house, walk)
    if facts is None:
        return
    newest: dict[tuple[object, ...], PointLook] = {}
    for look in point_looks(facts):
        key = (look.part, look.life, look.point, look.in_pass, look.ways, look.competence, look.signer, look.figure)
        if key not in newest or look.at > newest[key].at:
            newest[key] = look
    db.conn.executemany(
        "INSERT INTO point_clock(house, walk, part, life, point, pass, ways, competence, signer, figure, at) "
        "VALUES (?,?,?,?,?,?,?,?,?,?,?)",
        _rows(house, walk, newest.values()),
    )
    update_relooks(db, house, walk, facts)


def _rows(house: str, walk: str, looks: Iterable[PointLook]) -> Iterator[tuple[object, ...]]:
    """The rows of a walk's looks; a part, its life, the ways and the moment come again for each of its points."""
    key = cache(to_key)
    ways = cache(lambda some: " ".join(sorted(some)))
    stamp = cache(lambda at: at.isoformat(timespec="milliseconds"))
    for look in looks:
        yield (
            key(house),
            key(walk),
            key(look.part),
            key(look.life),
            look.point,
            look.in_pass,
            ways(look.ways),
            look.competence.value,
            look.signer.value,
            int(look.figure),
            stamp(look.at),
        )


def rebuild_point_clock(db: Database) -> None:
    """Make the projection again from all seals of all houses."""
    db.execute("DELETE FROM point_clock")
    rows = db.execute("SELECT DISTINCT s.house, s.walk FROM seal s JOIN walk w ON w.id = s.walk ORDER BY w.sealed_at")
    for house, walk in rows.fetchall():
        update_point_clock(db, from_key(house), from_key(walk))


def list_point_looks(db: Database, house: str) -> dict[str, list[PointLook]]:
    """By part, the newest look of each kind at each point of its present life."""
    zero = "SELECT id, part FROM part_life WHERE retired_on IS NULL AND part IN (SELECT id FROM part WHERE house = ?)"
    present = dict(db.execute(zero, (to_key(house),)).fetchall())
    rows = db.execute(
        "SELECT life, point, pass, ways, competence, signer, figure, max(at) FROM point_clock WHERE house = ? "
        "GROUP BY house, life, point, pass, ways, competence, signer, figure",
        (to_key(house),),
    )
    found: dict[str, list[PointLook]] = defaultdict(list)
    names = {life: (from_key(part), from_key(life)) for life, part in present.items()}
    for life, point, in_pass, ways, competence, signer, figure, at in rows.fetchall():
        if life in names:
            part, living = names[life]
            found[part].append(
                PointLook(
                    *(part, living, point, in_pass, _ways(ways), Competence(competence), Competence(signer)),
                    *(bool(figure), datetime.fromisoformat(at)),
                )
            )
    return found


@cache
def _ways(text: str) -> frozenset[Way]:
    return frozenset(Way(way) for way in text.split())


def _walk_facts(db: Database, house: str, walk: str) -> WalkFacts | None:
    found, seals = get_walk(db, house, walk), list_seals(db, house, walk)
    if found is None or not seals:
        return None
    sealed_at = seals[-1].at
    sealed = {n.n: Sealed(n.at, _SIGNED_AS.get(n.role, Competence.COMPETENT)) for n in seals}
    covered = {entry: sealed[n] for entry, n in list_sealed_entries(db, walk).items()}
    looks = [_as_sealed(look, sealed_at) for look in list_looks_of_walk(db, house, walk) if look.entry in covered]
    checklists = [kept for _, revision in found.scope.checklists if (kept := get_revision(db, revision))]
    return WalkFacts(
        parts=list_parts(db, house, retired=True),
        checklists=checklists,
        looks=looks,
        decisions=[one for one in list_decisions(db, walk) if one.at <= sealed_at],
        lives=_lives(db, house, looks, walk),
        seals=covered,
        competence=_noted_competence(db, walk),
    )


def _as_sealed(look: Look, sealed_at: datetime) -> Look:
    """The look with the countersigns that the newest seal covers."""
    if all(sign.at <= sealed_at for sign in look.countersigns):
        return look
    return replace(look, countersigns=tuple(sign for sign in look.countersigns if sign.at <= sealed_at))


def _lives(db: Database, house: str, looks: list[Look], walk: str) -> dict[str, str]:
    """By entry, the life that was looked at: the one it names, else the one that hung there on its day."""
    named = dict(db.execute("SELECT entry, life FROM look WHERE walk = ?", (to_key(walk),)).fetchall())
    of_part: dict[str, list[Life]] = defaultdict(list)
    rows = db.execute(
        "SELECT l.id, l.part, l.installed_on, l.retired_on FROM part_life l "
        "WHERE l.part IN (SELECT part FROM look WHERE walk = ?)",
        (to_key(walk),),
    )
    for key, part, start, end in rows.fetchall():
        of_part[from_key(part)].append(Life(from_key(key), from_key(part), to_day(start), to_day(end)))
    zone, found = zone_of(get_house(db, house).tz), {}
    for look in looks:
        life = named.get(to_key(look.entry))
        known = from_key(life) if life else life_at(of_part[look.part], look.at.astimezone(zone).date())
        if known is not None:
            found[look.entry] = known
    return found


def _noted_competence(db: Database, walk: str) -> dict[str, Competence]:
    rows = db.execute(
        "SELECT id, json_extract(flags, '$.competence') FROM entry WHERE walk = ? AND kind = 'look'", (to_key(walk),)
    )
    return {from_key(entry): Competence(noted) for entry, noted in rows.fetchall() if noted in set(Competence)}
