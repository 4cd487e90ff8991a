"""Every schema step in order, and the guards that keep the record append-only.

A step is never edited once released; a new need is a new step. Keys are UUIDv7 in 16 bytes unless said otherwise;
times are UTC text in ISO 8601 with milliseconds; dates are YYYY-MM-DD; `json` columns hold JSON text.
"""

from sqlite_utils import Database, Migrations
from sqlite_utils.utils import sqlite3

from inspect_app.domain.deficiency_move import state_pairs
from inspect_app.domain.errors import Conflict
from inspect_app.store.db import APPLICATION_ID, write_transaction
from inspect_app.store.point_clock import rebuild_point_clock
from inspect_app.store.said import guard_said, rebuild_said
from inspect_app.store.schema_calendar import CALENDAR_SCHEMA
from inspect_app.store.schema_event_withdrawal import EVENT_WITHDRAWAL_SCHEMA
from inspect_app.store.schema_first import FIRST_SCHEMA
from inspect_app.store.schema_hand_over import HAND_OVER_SCHEMA
from inspect_app.store.schema_learning import LEARNING_SCHEMA
from inspect_app.store.schema_relook_scope import RELOOK_SCOPE_SCHEMA
from inspect_app.store.schema_search import SEARCH_SCHEMA

migrations = Migrations("inspect_app")

# Tables whose rows are written once. Guards are re-made after every migration, since a table rebuild drops triggers.
INSERT_ONLY = (
    "journal",
    "entry",
    "checklist_revision",
    "checklist_review",
    "part_change",
    "countersign",
    "decision",
    "seal",
    "sealed_entry",
    "tag_step",
    "tag_release",
    "tag_withdrawal",
    "tag_check",
    "deficiency_event",
    "deficiency_finding",
    "deficiency_cost",
    "attachment",
    "document",
    "photo_use",
    "original",
    "recording",
    "recording_use",
    "signed_value",
    "governing_choice",
    "rule_choice",
    "examination",
    "tag_place",
    "withdrawal_ask",
    "event_approach",
    "event_withdrawal_ask",
    "event_withdrawal",
    "relook_scope",
    "relook_part",
    "house_answer",
    "hand_over_pack",
    "guest_visit",
    "second_look_draw",
    "second_look",
    "label_reading",
    "old_page",
    "old_page_withdrawal",
    "set_sound",
)


@migrations()
def m0001_first(db: Database) -> None:
    """The tables of the first release."""
    for statement in FIRST_SCHEMA:
        db.execute(statement)


@migrations()
def m0002_device_told(db: Database) -> None:
    """The highest number that a device says it has given out, whether it was sent or not."""
    db.execute("ALTER TABLE device ADD COLUMN told_seq INTEGER NOT NULL DEFAULT 0")


@migrations()
def m0003_recording(db: Database) -> None:
    """Voice notes, and which entries name them, whether their bytes are here or not."""
    db.execute(
        "CREATE TABLE recording (id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), "
        "device BLOB NOT NULL REFERENCES device(id), sha256 BLOB NOT NULL, mime TEXT NOT NULL, bytes INTEGER NOT NULL, "
        "received_at TEXT NOT NULL) STRICT"
    )
    db.execute("CREATE INDEX recording_by_device ON recording(device, received_at)")
    db.execute(
        "CREATE TABLE recording_use (recording BLOB NOT NULL, entry BLOB NOT NULL REFERENCES entry(id), "
        "PRIMARY KEY (recording, entry)) STRICT"
    )
    db.execute("CREATE INDEX recording_use_by_entry ON recording_use(entry)")


@migrations()
def m0004_house_criteria(db: Database) -> None:
    """Figures a house signed in from its own copy of a document, and the rule set it chose to govern a criterion."""
    db.execute(
        "CREATE TABLE signed_value (id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), rule TEXT NOT NULL, "
        "figures TEXT NOT NULL, unit TEXT NOT NULL, op TEXT NOT NULL, edition TEXT NOT NULL, clause TEXT NOT NULL, "
        "name TEXT NOT NULL, credential TEXT NOT NULL, looked_up_on TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL, "
        "withdrawn INTEGER NOT NULL, reason TEXT NOT NULL) STRICT"
    )
    db.execute("CREATE INDEX signed_value_by_house ON signed_value(house, at)")
    db.execute(
        "CREATE TABLE governing_choice (id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), "
        "criterion TEXT NOT NULL, source TEXT NOT NULL, document TEXT NOT NULL, strictness TEXT NOT NULL, "
        "name TEXT NOT NULL, credential TEXT NOT NULL, reason TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL) STRICT"
    )
    db.execute("CREATE INDEX governing_choice_by_house ON governing_choice(house, at)")


@migrations()
def m0005_original(db: Database) -> None:
    """The camera's own bytes of photos, for houses that keep them; the id is that of the photo."""
    db.execute(
        "CREATE TABLE original (id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), "
        "device BLOB NOT NULL REFERENCES device(id), sha256 BLOB NOT NULL, mime TEXT NOT NULL, bytes INTEGER NOT NULL, "
        "received_at TEXT NOT NULL) STRICT"
    )
    db.execute("CREATE INDEX original_by_device ON original(device, received_at)")


@migrations()
def m0006_gauge(db: Database) -> None:
    """What is known of each gauge of a house, and measuring places that are given up."""
    for column in ("kind TEXT NOT NULL DEFAULT 'other'", "serial TEXT NOT NULL DEFAULT ''", "calibration_due TEXT"):
        db.execute(f"ALTER TABLE gauge ADD COLUMN {column}")
    for table in ("gauge", "station"):
        db.execute(f"ALTER TABLE {table} ADD COLUMN retired_on TEXT")
    db.execute("CREATE INDEX gauge_by_house ON gauge(house)")
    db.execute("CREATE INDEX station_by_part ON station(part)")


@migrations()
def m0007_tag_release(db: Database) -> None:
    """What a release was asked, how a stopped thing was left, and a withdrawal that waits for its second person."""
    db.execute("ALTER TABLE tag_release ADD COLUMN answers TEXT NOT NULL DEFAULT '{}'")
    db.execute("ALTER TABLE tag_out ADD COLUMN event BLOB")
    db.execute("CREATE INDEX tag_out_by_event ON tag_out(event) WHERE event IS NOT NULL")
    db.execute(
        "CREATE TABLE tag_place (id BLOB PRIMARY KEY, tag_out BLOB NOT NULL REFERENCES tag_out(id), "
        "height TEXT NOT NULL, load TEXT NOT NULL, tags_at TEXT NOT NULL, lockout_point TEXT NOT NULL, "
        "by BLOB NOT NULL, at TEXT NOT NULL) STRICT"
    )
    db.execute("CREATE INDEX tag_place_by_tag_out ON tag_place(tag_out)")
    db.execute(
        "CREATE TABLE withdrawal_ask (tag_out BLOB PRIMARY KEY REFERENCES tag_out(id), by BLOB NOT NULL, "
        "at TEXT NOT NULL, reason TEXT NOT NULL) STRICT"
    )


@migrations()
def m0008_deficiency_life(db: Database) -> None:
    """Who sees to a deficiency until when, who put it right, what it costs, files, and what it is again."""
    for column in (
        *("responsible BLOB", "repairer BLOB", "again_of BLOB", "same_as BLOB", "made_by BLOB"),
        *(f"{name} TEXT NOT NULL DEFAULT ''" for name in ("contractor", "order_number", "put_off_until")),
        *(f"{name} TEXT NOT NULL DEFAULT ''" for name in ("put_right_by", "done_on", "decided_grade", "graded_at")),
        *(f"{name} INTEGER NOT NULL DEFAULT 0" for name in ("own_check", "recurring")),
    ):
        db.execute(f"ALTER TABLE deficiency ADD COLUMN {column}")
    for column in ("deficiency BLOB", "ended_why TEXT NOT NULL DEFAULT ''"):
        db.execute(f"ALTER TABLE accepted_condition ADD COLUMN {column}")
    db.execute(
        "CREATE TABLE deficiency_cost (id BLOB PRIMARY KEY, deficiency BLOB NOT NULL REFERENCES deficiency(id), "
        "kind TEXT NOT NULL, amount TEXT NOT NULL, currency TEXT NOT NULL, what TEXT NOT NULL, by BLOB NOT NULL, "
        "at TEXT NOT NULL) STRICT"
    )
    db.execute(
        "CREATE TABLE attachment (id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), "
        "deficiency BLOB NOT NULL REFERENCES deficiency(id), name TEXT NOT NULL, shows TEXT NOT NULL, "
        "note TEXT NOT NULL, mime TEXT NOT NULL, bytes INTEGER NOT NULL, sha256 BLOB NOT NULL, by BLOB NOT NULL, "
        "received_at TEXT NOT NULL) STRICT"
    )
    for index in (
        *("deficiency_by_part ON deficiency(part)", "deficiency_event_by_deficiency ON deficiency_event(deficiency)"),
        *("deficiency_by_finding ON deficiency_finding(finding)", "cost_by_deficiency ON deficiency_cost(deficiency)"),
        "attachment_by_deficiency ON attachment(deficiency)",
    ):
        db.execute(f"CREATE INDEX {index}")


@migrations()
def m0009_calendar(db: Database) -> None:
    """Intervals, blackouts, re-looks, calendar addresses, the digest, and which points each sealed walk looked at."""
    for statement in CALENDAR_SCHEMA:
        db.execute(statement)


@migrations()
def m0010_restriction(db: Database) -> None:
    """Limits on use and temporary measures, each with its last day."""
    db.execute(
        "CREATE TABLE restriction (id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), kind TEXT NOT NULL, "
        "line_set BLOB REFERENCES line_set(id), area BLOB REFERENCES area(id), part BLOB REFERENCES part(id), "
        "deficiency BLOB REFERENCES deficiency(id), what TEXT NOT NULL, load_limit TEXT NOT NULL, "
        "travel_limit TEXT NOT NULL, who TEXT NOT NULL, until TEXT NOT NULL, recheck_on TEXT, by BLOB NOT NULL, "
        "at TEXT NOT NULL, ended_at TEXT, ended_by BLOB, ended_reason TEXT NOT NULL DEFAULT '') STRICT"
    )
    db.execute("CREATE INDEX restriction_standing ON restriction(house) WHERE ended_at IS NULL")


@migrations()
def m0011_rail_card(db: Database) -> None:
    """Each issue of the card of a set, and which one hangs at the rail."""
    db.execute(
        "CREATE TABLE rail_card (id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), "
        "line_set BLOB NOT NULL REFERENCES line_set(id), revision INTEGER NOT NULL, digest BLOB NOT NULL, "
        "issued_at TEXT NOT NULL, issued_by BLOB NOT NULL, swapped_at TEXT, swapped_by BLOB, "
        "UNIQUE (line_set, revision)) STRICT"
    )
    db.execute("CREATE INDEX rail_card_by_house ON rail_card(house)")


@migrations()
def m0012_event(db: Database) -> None:
    """What happened to the house between walks, and who said that the place may be approached."""
    db.execute(
        "CREATE TABLE event (id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), kind TEXT NOT NULL, "
        "line_set BLOB REFERENCES line_set(id), area BLOB REFERENCES area(id), what TEXT NOT NULL, "
        "danger TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL, from_entry BLOB UNIQUE, walk BLOB) STRICT"
    )
    db.execute("CREATE INDEX event_by_house ON event(house, at)")
    db.execute(
        "CREATE TABLE event_approach (id BLOB PRIMARY KEY, event BLOB NOT NULL REFERENCES event(id), "
        "name TEXT NOT NULL, credential TEXT NOT NULL, who TEXT NOT NULL, how TEXT NOT NULL, by BLOB NOT NULL, "
        "at TEXT NOT NULL) STRICT"
    )
    db.execute("CREATE INDEX event_approach_by_event ON event_approach(event)")


@migrations()
def m0013_tag_check(db: Database) -> None:
    """The check by another person of what came back into use checked by its repairer only."""
    db.execute(
        "CREATE TABLE tag_check (tag_out BLOB PRIMARY KEY REFERENCES tag_out(id), "
        "by BLOB NOT NULL REFERENCES person(id), role TEXT NOT NULL, at TEXT NOT NULL, looked_at TEXT NOT NULL) STRICT"
    )


@migrations()
def m0014_event_withdrawal(db: Database) -> None:
    """Events recorded by mistake: asked by who recorded them, withdrawn by a second person."""
    for statement in EVENT_WITHDRAWAL_SCHEMA:
        db.execute(statement)


@migrations()
def m0015_search(db: Database) -> None:
    """Everything that was ever said, and the index of its words."""
    for statement in SEARCH_SCHEMA:
        db.execute(statement)


@migrations()
def m0016_hand_over(db: Database) -> None:
    """Hand-over packs, read-only links, and what an inspector adds to a signature."""
    for statement in HAND_OVER_SCHEMA:
        db.execute(statement)


@migrations()
def m0017_learning(db: Database) -> None:
    """Second looks, label audits, old pages of paper logs, and the sounds of sets."""
    for statement in LEARNING_SCHEMA:
        db.execute(statement)


@migrations()
def m0018_relook_scope(db: Database) -> None:
    """Re-looks at a whole set or area: its parts when it was asked, and which of them a signed walk has looked at."""
    for statement in RELOOK_SCOPE_SCHEMA:
        db.execute(statement)


@migrations()
def m0019_search_lot(db: Database) -> None:
    """Lots of parts are found by the search."""
    db.execute("INSERT OR IGNORE INTO to_rebuild(what) VALUES ('said')")


@migrations()
def m0020_gauge_doubt(db: Database) -> None:
    """Days on which a gauge was found to have read wrong; one that was recorded by mistake ends."""
    db.execute(
        "CREATE TABLE gauge_doubt (id BLOB PRIMARY KEY, gauge BLOB NOT NULL REFERENCES gauge(id), first TEXT NOT NULL, "
        "last TEXT NOT NULL, why TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL, ended_at TEXT) STRICT"
    )


def apply_migrations(db: Database) -> None:
    """Bring the database to the newest schema and put the guards in place.

    Raises Conflict when the file belongs to another program or to a newer release of this one.
    """
    _refuse_foreign(db)
    migrations.apply(db)
    with write_transaction(db):
        for table in INSERT_ONLY:
            _guard(db, table)
        _rebuild(db)
        _guard_deficiency_states(db)
        guard_said(db)
    broken = db.execute("PRAGMA foreign_key_check").fetchall()
    if broken:
        raise Conflict(f"The database has {len(broken)} rows that point at nothing. Restore the last backup.")


# Projections that a step may ask for in `to_rebuild`; they are made once every step is done, by today's code.
REBUILT = {"point_clock": rebuild_point_clock, "said": rebuild_said}


def _rebuild(db: Database) -> None:
    for (what,) in db.execute("SELECT what FROM to_rebuild").fetchall():
        REBUILT[what](db)
        db.execute("DELETE FROM to_rebuild WHERE what = ?", (what,))


def is_up_to_date(db: Database) -> bool:
    """Whether every step has been applied. Raises Conflict on a file that is not ours to open."""
    _refuse_foreign(db)
    return not migrations.pending(db)


def _refuse_foreign(db: Database) -> None:
    try:
        mark = db.execute("PRAGMA application_id").fetchone()[0]
        tables = set(db.table_names())
    except sqlite3.DatabaseError:
        raise Conflict(
            "This file is not a database or is damaged. It was left alone; restore the last backup."
        ) from None
    if tables and mark != APPLICATION_ID:
        raise Conflict("This database was made by another program. It was left alone.")
    if "_sqlite_migrations" in tables:
        known = {step.name for step in migrations.pending(Database(memory=True))}
        done = {row[0] for row in db.execute("SELECT name FROM _sqlite_migrations WHERE migration_set = 'inspect_app'")}
        if done - known:
            raise Conflict("This database was written by a newer release. Update this program, then start it again.")
    if not tables:
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")


def _guard(db: Database, table: str) -> None:
    for verb in ("UPDATE", "DELETE"):
        name = f"guard_{table}_{verb.lower()}"
        db.execute(f"DROP TRIGGER IF EXISTS {name}")
        db.execute(
            f"CREATE TRIGGER {name} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is written once: {verb.lower()} refused'); END"
        )


def _guard_deficiency_states(db: Database) -> None:
    """Refuse a state of a deficiency that no event leads to, and an event that no row of the table of moves has."""
    pairs = ", ".join(f"'{old}>{new}'" for old, new in sorted(state_pairs()))
    event = "SELECT 1 FROM deficiency_event e WHERE e.deficiency = NEW.id AND e.from_state = OLD.state"
    last = "e.rowid = (SELECT max(rowid) FROM deficiency_event WHERE deficiency = NEW.id)"
    guards = {
        "guard_deficiency_new": "BEFORE INSERT ON deficiency WHEN NEW.state <> 'found' "
        "BEGIN SELECT RAISE(ABORT, 'a deficiency begins as found'); END",
        "guard_deficiency_state": "BEFORE UPDATE OF state ON deficiency WHEN NEW.state <> OLD.state AND NOT EXISTS "
        f"({event} AND e.to_state = NEW.state AND {last}) "
        "BEGIN SELECT RAISE(ABORT, 'a state of a deficiency follows from an event'); END",
        "guard_deficiency_delete": "BEFORE DELETE ON deficiency "
        "BEGIN SELECT RAISE(ABORT, 'a deficiency is kept for good'); END",
        "guard_deficiency_move": "BEFORE INSERT ON deficiency_event WHEN "
        "NEW.from_state <> (SELECT state FROM deficiency WHERE id = NEW.deficiency) OR (NEW.from_state <> NEW.to_state "
        f"AND NEW.from_state || '>' || NEW.to_state NOT IN ({pairs})) "
        "BEGIN SELECT RAISE(ABORT, 'the table of moves has no such move'); END",
    }
    for name, body in guards.items():
        db.execute(f"DROP TRIGGER IF EXISTS {name}")
        db.execute(f"CREATE TRIGGER {name} {body}")
