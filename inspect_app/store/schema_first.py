"""The tables of the first release, as SQL. Released: never edited, only added to by later steps in migrations.py."""

PEOPLE = (
    """CREATE TABLE house (
        id BLOB PRIMARY KEY, name TEXT NOT NULL, tz TEXT NOT NULL, units TEXT NOT NULL CHECK (units IN ('imperial','metric')),
        datum TEXT NOT NULL, demo INTEGER NOT NULL DEFAULT 0, line_names TEXT NOT NULL DEFAULT '{}',
        settings TEXT NOT NULL DEFAULT '{}', created_at TEXT NOT NULL) STRICT""",
    """CREATE TABLE person (
        id BLOB PRIMARY KEY, name TEXT NOT NULL, credential TEXT NOT NULL DEFAULT '', salt BLOB NOT NULL) STRICT""",
    """CREATE TABLE account (
        id BLOB PRIMARY KEY, person BLOB NOT NULL UNIQUE REFERENCES person(id), username TEXT NOT NULL UNIQUE COLLATE NOCASE,
        hash TEXT NOT NULL, created_at TEXT NOT NULL, disabled_at TEXT) STRICT""",
    """CREATE TABLE membership (
        house BLOB NOT NULL REFERENCES house(id), person BLOB NOT NULL REFERENCES person(id), role TEXT NOT NULL,
        since TEXT NOT NULL, ended_at TEXT, PRIMARY KEY (house, person, role)) STRICT""",
    """CREATE TABLE session (
        token_hash BLOB PRIMARY KEY, account BLOB NOT NULL REFERENCES account(id), created_at TEXT NOT NULL,
        last_seen TEXT NOT NULL, expires_at TEXT NOT NULL, ended_at TEXT, label TEXT NOT NULL DEFAULT '') STRICT""",
    """CREATE TABLE kept_post (
        id BLOB PRIMARY KEY, token_hash BLOB NOT NULL UNIQUE, account BLOB REFERENCES account(id), path TEXT NOT NULL, form TEXT NOT NULL,
        created_at TEXT NOT NULL) STRICT""",
    """CREATE TABLE throttle (
        key TEXT PRIMARY KEY, failures INTEGER NOT NULL, blocked_until TEXT NOT NULL) STRICT""",
    """CREATE TABLE one_time_code (
        hash BLOB PRIMARY KEY, purpose TEXT NOT NULL, house BLOB REFERENCES house(id), person BLOB REFERENCES person(id),
        expires_at TEXT NOT NULL, used_at TEXT) STRICT""",
)

INVENTORY = (
    """CREATE TABLE area (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), kind TEXT NOT NULL, name TEXT NOT NULL,
        z_mm INTEGER NOT NULL DEFAULT 0, retired_on TEXT) STRICT""",
    """CREATE TABLE line_set (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), number TEXT NOT NULL, sort_key INTEGER NOT NULL,
        kind TEXT NOT NULL, y_mm INTEGER NOT NULL, head_side TEXT NOT NULL, axis TEXT NOT NULL DEFAULT 'across',
        lines INTEGER NOT NULL DEFAULT 0, label TEXT NOT NULL DEFAULT '', retired_on TEXT,
        UNIQUE (house, number)) STRICT""",
    """CREATE TABLE part (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), area BLOB NOT NULL REFERENCES area(id),
        kind TEXT NOT NULL, tag TEXT NOT NULL, line_set BLOB REFERENCES line_set(id), line INTEGER,
        well BLOB REFERENCES part(id), x_mm INTEGER, y_mm INTEGER, z_mm INTEGER, retired_on TEXT,
        UNIQUE (house, tag)) STRICT""",
    "CREATE INDEX part_by_set ON part(line_set)",
    """CREATE TABLE part_life (
        id BLOB PRIMARY KEY, part BLOB NOT NULL REFERENCES part(id), installed_on TEXT, retired_on TEXT,
        lot TEXT NOT NULL DEFAULT '', attributes TEXT NOT NULL DEFAULT '{}', baseline_from TEXT) STRICT""",
    "CREATE UNIQUE INDEX one_present_life ON part_life(part) WHERE retired_on IS NULL",
    """CREATE TABLE part_change (
        id BLOB PRIMARY KEY, part BLOB NOT NULL REFERENCES part(id), life BLOB, at TEXT NOT NULL, by BLOB,
        what TEXT NOT NULL, old TEXT NOT NULL, new TEXT NOT NULL, reason TEXT NOT NULL DEFAULT '') STRICT""",
    "CREATE INDEX part_change_by_part ON part_change(part)",
    """CREATE TABLE station (
        id BLOB PRIMARY KEY, part BLOB NOT NULL REFERENCES part(id), name TEXT NOT NULL) STRICT""",
    """CREATE TABLE gauge (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), name TEXT NOT NULL,
        resolution TEXT NOT NULL DEFAULT '', unit TEXT NOT NULL DEFAULT '', calibrated_on TEXT) STRICT""",
    """CREATE TABLE part_state (
        part BLOB PRIMARY KEY REFERENCES part(id), house BLOB NOT NULL, entry BLOB, result TEXT NOT NULL,
        ways TEXT NOT NULL, at TEXT NOT NULL, worst_grade TEXT NOT NULL DEFAULT '', open_findings INTEGER NOT NULL DEFAULT 0) STRICT""",
    "CREATE INDEX part_state_by_house ON part_state(house)",
)

RECORD = (
    """CREATE TABLE checklist_revision (
        sha256 BLOB PRIMARY KEY, checklist TEXT NOT NULL, sources TEXT NOT NULL, parsed TEXT NOT NULL, first_used TEXT NOT NULL) STRICT""",
    """CREATE TABLE checklist_review (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), sha256 BLOB NOT NULL, checklist TEXT NOT NULL,
        reviewer TEXT NOT NULL, credential TEXT NOT NULL, reviewed_on TEXT NOT NULL, remark TEXT NOT NULL DEFAULT '',
        by BLOB NOT NULL, at TEXT NOT NULL) STRICT""",
    """CREATE TABLE device (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), person BLOB NOT NULL REFERENCES person(id),
        name TEXT NOT NULL, kind TEXT NOT NULL DEFAULT 'phone', token_hash BLOB NOT NULL UNIQUE, last_seq INTEGER NOT NULL DEFAULT 0,
        paired_at TEXT NOT NULL, last_seen TEXT, revoked_at TEXT) STRICT""",
    """CREATE TABLE walk (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), title TEXT NOT NULL, date_local TEXT NOT NULL,
        state TEXT NOT NULL CHECK (state IN ('open','closing','sealed')), scope TEXT NOT NULL, opened_by BLOB NOT NULL,
        opened_at TEXT NOT NULL, opening BLOB, sealed_at TEXT) STRICT""",
    "CREATE INDEX walk_by_house ON walk(house, date_local)",
    """CREATE TABLE entry (
        arrival INTEGER PRIMARY KEY AUTOINCREMENT, id BLOB NOT NULL UNIQUE, house BLOB NOT NULL REFERENCES house(id), walk BLOB,
        kind TEXT NOT NULL, device BLOB NOT NULL REFERENCES device(id), seq INTEGER NOT NULL, part BLOB, by BLOB NOT NULL, recorded_at TEXT NOT NULL,
        received_at TEXT NOT NULL, skew_ms INTEGER NOT NULL, late INTEGER NOT NULL DEFAULT 0, flags TEXT NOT NULL DEFAULT '{}',
        raw BLOB NOT NULL, sha256 BLOB NOT NULL) STRICT""",
    "CREATE INDEX entry_by_walk ON entry(walk, arrival)",
    "CREATE INDEX entry_by_part ON entry(part, arrival)",
    "CREATE INDEX entry_by_device ON entry(device, seq)",
    """CREATE TABLE look (
        entry BLOB PRIMARY KEY REFERENCES entry(id), house BLOB NOT NULL, walk BLOB, part BLOB NOT NULL, life BLOB, pass TEXT NOT NULL,
        checklist TEXT NOT NULL, revision BLOB, points TEXT NOT NULL, result TEXT NOT NULL, ways TEXT NOT NULL, reason TEXT NOT NULL DEFAULT '',
        note TEXT NOT NULL DEFAULT '', tap BLOB, by BLOB NOT NULL, with_people TEXT NOT NULL DEFAULT '[]', called_by BLOB,
        at TEXT NOT NULL, adds_to BLOB, needs_countersign INTEGER NOT NULL DEFAULT 0) STRICT""",
    "CREATE INDEX look_by_walk ON look(walk)",
    "CREATE INDEX look_by_part ON look(part)",
    """CREATE TABLE look_replaced (
        entry BLOB NOT NULL, by_entry BLOB NOT NULL, PRIMARY KEY (entry, by_entry)) STRICT""",
    """CREATE TABLE finding (
        id BLOB PRIMARY KEY, entry BLOB NOT NULL REFERENCES entry(id), n INTEGER NOT NULL, house BLOB NOT NULL, part BLOB NOT NULL,
        point TEXT NOT NULL, point_text TEXT NOT NULL, defect TEXT NOT NULL DEFAULT '', answer TEXT NOT NULL, of BLOB,
        grade TEXT NOT NULL, proposed_grade TEXT NOT NULL DEFAULT '', grade_reason TEXT NOT NULL DEFAULT '', wear INTEGER, note TEXT NOT NULL DEFAULT '',
        UNIQUE (entry, n)) STRICT""",
    "CREATE INDEX finding_by_part ON finding(part)",
    "CREATE INDEX finding_by_root ON finding(of)",
    """CREATE TABLE measure (
        entry BLOB NOT NULL REFERENCES entry(id), n INTEGER NOT NULL, house BLOB NOT NULL, part BLOB NOT NULL, life BLOB, point TEXT NOT NULL,
        quantity TEXT NOT NULL, value TEXT NOT NULL, unit TEXT NOT NULL, typed TEXT NOT NULL, readings TEXT NOT NULL DEFAULT '[]',
        station TEXT NOT NULL DEFAULT '', gauge TEXT NOT NULL DEFAULT '', resolution TEXT NOT NULL DEFAULT '',
        load_state TEXT NOT NULL DEFAULT '', hint TEXT NOT NULL DEFAULT 'none', PRIMARY KEY (entry, n)) STRICT""",
    "CREATE INDEX measure_by_part ON measure(part, quantity)",
    """CREATE TABLE held (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), device BLOB NOT NULL, raw BLOB NOT NULL, sha256 BLOB NOT NULL, why TEXT NOT NULL,
        entry BLOB, walk BLOB, kind TEXT NOT NULL DEFAULT '', seq INTEGER,
        received_at TEXT NOT NULL, resolved_at TEXT, resolved_by BLOB, resolved_as TEXT, UNIQUE (device, sha256)) STRICT""",
    "CREATE INDEX held_open ON held(house) WHERE resolved_at IS NULL",
    """CREATE TABLE photo (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), device BLOB, sha256 BLOB NOT NULL, mime TEXT NOT NULL, bytes INTEGER NOT NULL,
        width INTEGER, height INTEGER, taken_at TEXT, received_at TEXT NOT NULL, state TEXT NOT NULL, caption TEXT NOT NULL DEFAULT '') STRICT""",
    "CREATE INDEX photo_by_house ON photo(house)",
    """CREATE TABLE photo_use (
        photo BLOB NOT NULL, entry BLOB NOT NULL REFERENCES entry(id), PRIMARY KEY (photo, entry)) STRICT""",
    """CREATE TABLE countersign (
        entry BLOB NOT NULL REFERENCES entry(id), by BLOB NOT NULL, at TEXT NOT NULL, how TEXT NOT NULL,
        PRIMARY KEY (entry, by)) STRICT""",
    """CREATE TABLE decision (
        id BLOB PRIMARY KEY, walk BLOB NOT NULL, part BLOB, entry BLOB, finding BLOB, kind TEXT NOT NULL, choice TEXT NOT NULL,
        reason TEXT NOT NULL DEFAULT '', by BLOB NOT NULL, at TEXT NOT NULL) STRICT""",
    """CREATE TABLE seal (
        walk BLOB NOT NULL REFERENCES walk(id), n INTEGER NOT NULL, house BLOB NOT NULL, number TEXT NOT NULL, root_sha256 BLOB NOT NULL, journal_head BLOB NOT NULL,
        person BLOB NOT NULL, name TEXT NOT NULL, role TEXT NOT NULL, credential TEXT NOT NULL, statement TEXT NOT NULL, drawn TEXT NOT NULL DEFAULT '',
        gaps_reason TEXT NOT NULL DEFAULT '', complete INTEGER NOT NULL, data BLOB NOT NULL, at TEXT NOT NULL,
        PRIMARY KEY (walk, n), UNIQUE (house, number, n)) STRICT""",
    "CREATE INDEX decision_by_walk ON decision(walk)",
    """CREATE TABLE sealed_entry (
        walk BLOB NOT NULL, n INTEGER NOT NULL, entry BLOB NOT NULL, sha256 BLOB NOT NULL, photos TEXT NOT NULL DEFAULT '[]',
        PRIMARY KEY (walk, entry), FOREIGN KEY (walk, n) REFERENCES seal(walk, n)) STRICT""",
)

FOLLOW_UP = (
    """CREATE TABLE tag_out (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), line_set BLOB REFERENCES line_set(id), area BLOB REFERENCES area(id),
        part BLOB REFERENCES part(id), from_entry BLOB, why TEXT NOT NULL, raised_by BLOB NOT NULL, raised_at TEXT NOT NULL,
        responsible TEXT NOT NULL DEFAULT '', state TEXT NOT NULL CHECK (state IN ('standing','released','withdrawn'))) STRICT""",
    "CREATE INDEX tag_out_standing ON tag_out(house) WHERE state = 'standing'",
    """CREATE TABLE tag_step (
        id BLOB PRIMARY KEY, tag_out BLOB NOT NULL REFERENCES tag_out(id), step TEXT NOT NULL, who TEXT NOT NULL DEFAULT '',
        note TEXT NOT NULL DEFAULT '', by BLOB NOT NULL, at TEXT NOT NULL) STRICT""",
    """CREATE TABLE tag_release (
        tag_out BLOB PRIMARY KEY REFERENCES tag_out(id), by BLOB NOT NULL, role TEXT NOT NULL, at TEXT NOT NULL, reason TEXT NOT NULL,
        proof TEXT NOT NULL DEFAULT '') STRICT""",
    """CREATE TABLE tag_withdrawal (
        tag_out BLOB PRIMARY KEY REFERENCES tag_out(id), by BLOB NOT NULL, second BLOB NOT NULL, at TEXT NOT NULL, reason TEXT NOT NULL) STRICT""",
    """CREATE TABLE deficiency (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), number INTEGER NOT NULL, part BLOB NOT NULL REFERENCES part(id), what TEXT NOT NULL,
        grade TEXT NOT NULL, severity INTEGER, probability TEXT, state TEXT NOT NULL, found_at TEXT NOT NULL, due_on TEXT,
        UNIQUE (house, number)) STRICT""",
    "CREATE INDEX deficiency_open ON deficiency(house) WHERE state <> 'settled'",
    """CREATE TABLE deficiency_event (
        id BLOB PRIMARY KEY, deficiency BLOB NOT NULL REFERENCES deficiency(id), from_state TEXT NOT NULL, to_state TEXT NOT NULL, by BLOB NOT NULL,
        role TEXT NOT NULL, at TEXT NOT NULL, note TEXT NOT NULL DEFAULT '', proof TEXT NOT NULL DEFAULT '{}') STRICT""",
    """CREATE TABLE deficiency_finding (
        deficiency BLOB NOT NULL REFERENCES deficiency(id), finding BLOB NOT NULL, PRIMARY KEY (deficiency, finding)) STRICT""",
    """CREATE TABLE accepted_condition (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), part BLOB NOT NULL REFERENCES part(id), what TEXT NOT NULL, accepted_by TEXT NOT NULL,
        role TEXT NOT NULL, reason TEXT NOT NULL, paper TEXT NOT NULL DEFAULT '', review_by TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL, ended_at TEXT) STRICT""",
    """CREATE TABLE document (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), walk BLOB, seal_n INTEGER, number TEXT NOT NULL, revision INTEGER NOT NULL, paper TEXT NOT NULL,
        sha256 BLOB NOT NULL, data_sha256 BLOB NOT NULL, file TEXT NOT NULL, bytes INTEGER NOT NULL, made_at TEXT NOT NULL,
        UNIQUE (house, number, revision, paper)) STRICT""",
    """CREATE TABLE journal (
        n INTEGER PRIMARY KEY, at TEXT NOT NULL, actor TEXT NOT NULL, action TEXT NOT NULL, house TEXT NOT NULL, items TEXT NOT NULL,
        prev BLOB NOT NULL, hash BLOB NOT NULL) STRICT""",
)

FIRST_SCHEMA = PEOPLE + INVENTORY + RECORD + FOLLOW_UP
