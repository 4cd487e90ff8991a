"""The tables of intervals, blackouts, re-looks, calendar addresses and the digest; a released step is never edited."""

CALENDAR_SCHEMA = (
    # what each sealed walk looked at, point by point; can be made again from the seals (store/point_clock.py)
    """CREATE TABLE point_clock (
        house BLOB NOT NULL, walk BLOB NOT NULL REFERENCES walk(id), part BLOB NOT NULL, life BLOB NOT NULL,
        point TEXT NOT NULL, pass TEXT NOT NULL, ways TEXT NOT NULL, competence TEXT NOT NULL, signer TEXT NOT NULL,
        figure INTEGER NOT NULL, at TEXT NOT NULL) STRICT""",
    """CREATE INDEX point_clock_newest ON point_clock(
        house, life, point, pass, ways, competence, signer, figure, at)""",
    "CREATE INDEX point_clock_by_walk ON point_clock(walk)",
    # what is to be made again once all steps are done
    "CREATE TABLE to_rebuild (what TEXT PRIMARY KEY) STRICT",
    "INSERT INTO to_rebuild(what) VALUES ('point_clock')",
    # `what` is set:<key> or rule:<id> of shared/intervals.yaml; the newest row of each counts
    """CREATE TABLE rule_choice (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), what TEXT NOT NULL, applies INTEGER NOT NULL,
        reason TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL) STRICT""",
    "CREATE INDEX rule_choice_by_house ON rule_choice(house, at)",
    """CREATE TABLE examination (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), rule TEXT NOT NULL, held_on TEXT NOT NULL,
        examiner TEXT NOT NULL, paper TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL) STRICT""",
    "CREATE INDEX examination_by_house ON examination(house, rule)",
    # line_sets and areas are JSON lists of ids, or null; both null is the whole house
    """CREATE TABLE interval_scope (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), checklist TEXT NOT NULL, name TEXT NOT NULL,
        line_sets TEXT, areas TEXT, interval TEXT NOT NULL, early_days INTEGER, late_days INTEGER,
        reason TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL, ended_at TEXT) STRICT""",
    "CREATE INDEX interval_scope_in_use ON interval_scope(house) WHERE ended_at IS NULL",
    """CREATE TABLE blackout (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), first TEXT NOT NULL, last TEXT NOT NULL,
        why TEXT NOT NULL, source TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL, ended_at TEXT) STRICT""",
    "CREATE INDEX blackout_in_use ON blackout(house, last) WHERE ended_at IS NULL",
    """CREATE TABLE relook (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), part BLOB NOT NULL REFERENCES part(id),
        look_on TEXT NOT NULL, reason TEXT NOT NULL, way TEXT NOT NULL, deficiency BLOB, tag_out BLOB,
        by BLOB NOT NULL, at TEXT NOT NULL, done_entry BLOB, done_walk BLOB, done_at TEXT,
        ended_at TEXT, end_reason TEXT NOT NULL DEFAULT '') STRICT""",
    "CREATE INDEX relook_by_house ON relook(house, part)",
    # an address that gives the calendar of one house to whoever has it; only the SHA-256 of its secret is kept
    """CREATE TABLE calendar_link (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), person BLOB NOT NULL REFERENCES person(id),
        label TEXT NOT NULL, token_hash BLOB NOT NULL UNIQUE, made_at TEXT NOT NULL, last_used TEXT,
        ended_at TEXT) STRICT""",
    "CREATE INDEX calendar_link_by_house ON calendar_link(house)",
    # what the calendar said last, so that an entry keeps its identity and changes only when it has changed
    """CREATE TABLE calendar_entry (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), key TEXT NOT NULL, anchor TEXT NOT NULL,
        day TEXT NOT NULL, summary TEXT NOT NULL, words TEXT NOT NULL, sequence INTEGER NOT NULL, stamp TEXT NOT NULL,
        made_at TEXT NOT NULL, gone INTEGER NOT NULL DEFAULT 0) STRICT""",
    "CREATE UNIQUE INDEX calendar_entry_open ON calendar_entry(house, key) WHERE NOT gone",
    """CREATE TABLE digest_choice (
        house BLOB NOT NULL REFERENCES house(id), person BLOB NOT NULL REFERENCES person(id), address TEXT NOT NULL,
        at TEXT NOT NULL, ended_at TEXT, PRIMARY KEY (house, person)) STRICT""",
    """CREATE TABLE outbox (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), person BLOB NOT NULL, day TEXT NOT NULL,
        message_id TEXT NOT NULL UNIQUE, address TEXT NOT NULL, subject TEXT NOT NULL, body TEXT NOT NULL,
        queued_at TEXT NOT NULL, state TEXT NOT NULL CHECK (state IN ('waiting','in_doubt','sent','refused','dropped')),
        tries INTEGER NOT NULL DEFAULT 0, last_error TEXT NOT NULL DEFAULT '', last_try TEXT, sent_at TEXT,
        UNIQUE (house, person, day)) STRICT""",
    "CREATE INDEX outbox_waiting ON outbox(house) WHERE state IN ('waiting','in_doubt')",
)
