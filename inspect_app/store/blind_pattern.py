"""What signed walks say, for patterns of not looking: who marked what sound when, points answered, parts at wells."""

from datetime import date, datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.blind_pattern import PartOnWalk, SoundRecord, WalkedScope
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.walk import WalkState
from inspect_app.store.blind_spot import STANDS, counts_sql, not_aside_sql
from inspect_app.store.checklist import get_revision
from inspect_app.store.house import get_house
from inspect_app.store.point_clock import zone_of
from inspect_app.store.walk import list_walks

# Looks that count on signed walks; whoever called from aloft is who looked.
_COUNTED = (
    "SELECT l.entry, l.part, l.walk, l.result, l.at, coalesce(l.called_by, l.by) AS who, "
    "coalesce(l.called_by, l.by) || substr(l.at, 1, 16) AS slot, coalesce(l.tap, l.entry) AS stop "
    "FROM look l JOIN sealed_entry q ON q.walk = l.walk AND q.entry = l.entry "
    f"WHERE l.house = ? AND {STANDS} AND {counts_sql('l')} AND {{aside}}"
)


class SoundRecords(NamedTuple):
    """Parts always marked sound by one person, and the most stops that any one minute holds."""

    rows: list[SoundRecord]
    fullest: int


def list_sound_records(db: Database, house: str) -> SoundRecords:
    """Every part with no finding ever whose looks are all of one person, with how full their minutes were."""
    zone = zone_of(get_house(db, house).tz)
    rows = db.execute(
        f"WITH t AS MATERIALIZED ({_COUNTED.format(aside=not_aside_sql(db, house))}), "
        "m AS MATERIALIZED (SELECT slot, count(DISTINCT stop) AS stops FROM t WHERE result = 'no_finding' "
        "GROUP BY slot) "
        "SELECT t.part, t.who, count(DISTINCT t.walk), min(m.stops), max(m.stops), min(t.at), max(t.at), "
        "(SELECT max(stops) FROM m) FROM t LEFT JOIN m ON m.slot = t.slot "
        "WHERE t.result IN ('no_finding', 'finding') GROUP BY t.part "
        "HAVING min(t.who) = max(t.who) AND min(t.result) = 'no_finding'",
        (to_key(house),),
    ).fetchall()
    names = dict(db.execute("SELECT id, name FROM person").fetchall())
    fullest = rows[0][7] if rows else 0

    def day(at: str) -> date:
        return datetime.fromisoformat(at).astimezone(zone).date()

    records = [
        SoundRecord(from_key(part), names.get(who, ""), walks, least, most, day(first), day(last))
        for part, who, walks, least, most, first, last, _ in rows
    ]
    return SoundRecords(records, fullest)


def answered_points(db: Database, house: str) -> dict[str, frozenset[str]]:
    """By part, the points that signed walks answered for what hangs there now."""
    rows = db.execute(
        "SELECT c.part, group_concat(DISTINCT c.point) FROM point_clock c JOIN part_life v ON v.id = c.life "
        "WHERE c.house = ? AND v.retired_on IS NULL GROUP BY c.part",
        (to_key(house),),
    )
    return {from_key(part): frozenset(points.split(",")) for part, points in rows.fetchall()}


def list_walked_scopes(db: Database, house: str) -> list[WalkedScope]:
    """The signed walks of a house, newest first, with what they set out to look at."""
    read = {}
    found = []
    for row in list_walks(db, house):
        if row.walk.state is WalkState.SEALED:
            for _, revision in row.walk.scope.checklists:
                if revision not in read:
                    read[revision] = get_revision(db, revision)
            lists = [checklist for _, key in row.walk.scope.checklists if (checklist := read[key]) is not None]
            found.append(
                WalkedScope(row.walk.id, date.fromisoformat(row.walk.date_local), row.walk.scope, tuple(lists))
            )
    return found


def list_parts_at_wells(db: Database, house: str) -> list[PartOnWalk]:
    """What each signed walk says of each part that stands at a well."""
    rows = db.execute(
        f"SELECT t.walk, t.part, max(t.result IN ('no_finding', 'finding')), max(t.result = 'not_reached') "
        f"FROM ({_COUNTED.format(aside=not_aside_sql(db, house))} AND l.part IN "
        "(SELECT id FROM part WHERE house = ? AND well IS NOT NULL)) t GROUP BY t.walk, t.part",
        (to_key(house), to_key(house)),
    )
    return [PartOnWalk(from_key(walk), from_key(part), bool(a), bool(b)) for walk, part, a, b in rows.fetchall()]


def first_installed(db: Database, house: str) -> dict[str, date]:
    """By part, the day on which the first thing was put there, where that is recorded."""
    rows = db.execute(
        "SELECT v.part, min(v.installed_on) FROM part_life v JOIN part p ON p.id = v.part WHERE p.house = ? "
        "GROUP BY v.part HAVING count(*) = count(v.installed_on)",
        (to_key(house),),
    )
    return {from_key(part): date.fromisoformat(on) for part, on in rows.fetchall()}
