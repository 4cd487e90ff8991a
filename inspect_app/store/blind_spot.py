"""What is recorded of each part of a house, for blind spots: last looks, by hand or not, and not reached."""

from collections.abc import Sequence
from datetime import date, datetime, tzinfo

from sqlite_utils import Database

from inspect_app.domain.blind_spot import PartRecord
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.walk import COUNTING, DecisionKind
from inspect_app.store.house import get_house
from inspect_app.store.point_clock import zone_of

_HOW = ", ".join(repr(how.value) for how in sorted(COUNTING))


def counts_sql(look: str) -> str:
    """A condition: the look needs no countersign, or has one that counts (domain/walk.py, `is_counted`)."""
    return (
        f"({look}.needs_countersign = 0 OR EXISTS "
        f"(SELECT 1 FROM countersign c WHERE c.entry = {look}.entry AND c.how IN ({_HOW})))"
    )


# A look `l` that stands: no addition, not withdrawn, and not replaced by one that counts (`standing_looks`).
STANDS = (
    "l.adds_to IS NULL AND l.result <> 'withdrawn' AND NOT EXISTS (SELECT 1 FROM look_replaced r JOIN look b "
    f"ON b.entry = r.by_entry WHERE r.entry = l.entry AND ({counts_sql('b')} OR NOT {counts_sql('l')}))"
)
# The look is at what hangs there now, `v`: it names that life, or none and cannot be of an earlier one (`life_at`).
PRESENT = (
    "(l.life = v.id OR (l.life IS NULL AND CASE WHEN v.installed_on IS NULL "
    "THEN l.part NOT IN (SELECT part FROM part_life WHERE retired_on IS NOT NULL) "
    "ELSE substr(l.at, 1, 10) >= v.installed_on END))"
)
# By look of what hangs there now: whether it counts, its time (a clock that ran ahead must not put it after its seal).
_LOOKS = (
    f"SELECT l.part, l.result, l.reason, l.at, l.ways LIKE '%\"handled\"%' AS hand, "
    f"q.n IS NOT NULL AND {counts_sql('l')} AS counted, min(l.at, coalesce(s.at, l.at)) AS time "
    "FROM look l JOIN part_life v ON v.part = l.part AND v.retired_on IS NULL "
    "LEFT JOIN sealed_entry q ON q.walk = l.walk AND q.entry = l.entry "
    "LEFT JOIN seal s ON s.walk = q.walk AND s.n = q.n "
    f"WHERE l.house = ? AND {STANDS} AND {PRESENT} AND {{aside}}"
)
_LOOKED = "result IN ('no_finding', 'finding')"


def set_aside_entries(db: Database, house: str) -> set[bytes]:
    """The looks of a house that a decision at review has set aside and none has brought back."""
    rows = db.execute(
        "SELECT d.entry, d.choice FROM decision d JOIN walk w ON w.id = d.walk WHERE w.house = ? AND d.kind = ? "
        "AND d.entry IS NOT NULL ORDER BY d.at, d.id",
        (to_key(house), DecisionKind.SET_ASIDE.value),
    )
    return {entry for entry, choice in dict(rows.fetchall()).items() if choice != from_key(entry)}


def not_aside_sql(db: Database, house: str) -> str:
    """A condition that leaves out the looks set aside; hex digits only, so that nothing needs quoting."""
    gone = sorted(set_aside_entries(db, house))
    return f"l.entry NOT IN ({', '.join(f'x{key.hex()!r}' for key in gone)})" if gone else "1"


def list_part_records(db: Database, house: str) -> dict[str, PartRecord]:
    """By part, what is recorded of what hangs there now; every present part has a row. Raises NotFound."""
    zone = zone_of(get_house(db, house).tz)
    rows = db.execute(
        f"WITH t AS MATERIALIZED ({_LOOKS.format(aside=not_aside_sql(db, house))}) "
        f"SELECT part, max(CASE WHEN counted AND {_LOOKED} THEN time END), "
        f"max(CASE WHEN counted AND {_LOOKED} AND hand THEN time END), "
        "max(CASE WHEN counted AND result = 'not_reached' THEN time || ' ' || reason END), "
        "max(CASE WHEN counted AND result = 'not_applicable' THEN time END), "
        f"max(CASE WHEN NOT counted AND {_LOOKED} THEN at END) FROM t GROUP BY part",
        (to_key(house),),
    )
    found = {row[0]: row[1:] for row in rows.fetchall()}
    parts = db.execute("SELECT id FROM part WHERE house = ? AND retired_on IS NULL ORDER BY rowid", (to_key(house),))
    return {from_key(key): _record(from_key(key), found.get(key, (None,) * 5), zone) for (key,) in parts.fetchall()}


def _record(part: str, said: Sequence[str | None], zone: tzinfo) -> PartRecord:
    looked, handled, missed, none, waiting = said
    at, _, reason = (missed or "").partition(" ")
    return PartRecord(
        part, _day(looked, zone), _day(handled, zone), _day(at, zone), reason, _day(none, zone), _day(waiting, zone)
    )


def _day(at: str | None, zone: tzinfo) -> date | None:
    return datetime.fromisoformat(at).astimezone(zone).date() if at else None
