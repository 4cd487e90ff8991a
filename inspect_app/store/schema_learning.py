"""The tables of second looks, label audits, old pages and sounds of sets; a released step is never edited."""

LEARNING_SCHEMA = (
    # the draw after a walk was signed: `seed` and the entries that could be drawn, so that anyone can draw again
    """CREATE TABLE second_look_draw (
        walk BLOB PRIMARY KEY REFERENCES walk(id), house BLOB NOT NULL REFERENCES house(id), seed BLOB NOT NULL,
        percent TEXT NOT NULL, candidates TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL) STRICT""",
    """CREATE TABLE second_look (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), walk BLOB NOT NULL REFERENCES walk(id),
        entry BLOB NOT NULL UNIQUE REFERENCES entry(id), part BLOB NOT NULL REFERENCES part(id), pass TEXT NOT NULL,
        points TEXT NOT NULL, people TEXT NOT NULL, at TEXT NOT NULL) STRICT""",
    "CREATE INDEX second_look_by_house ON second_look(house, part)",
    # what the second person found, point by point; made anew from the seals of the walk that answered
    """CREATE TABLE second_look_answer (
        second_look BLOB NOT NULL REFERENCES second_look(id), point TEXT NOT NULL, agrees INTEGER NOT NULL,
        entry BLOB NOT NULL, walk BLOB NOT NULL, at TEXT NOT NULL, PRIMARY KEY (second_look, point)) STRICT""",
    "CREATE INDEX second_look_answer_by_walk ON second_look_answer(walk)",
    """CREATE TABLE label_reading (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), line_set BLOB NOT NULL REFERENCES line_set(id),
        place TEXT NOT NULL, state TEXT NOT NULL CHECK (state IN ('read', 'missing', 'unreadable', 'not_reached')),
        label TEXT NOT NULL, read_on TEXT NOT NULL, by BLOB NOT NULL, at TEXT NOT NULL) STRICT""",
    "CREATE INDEX label_reading_by_set ON label_reading(house, line_set, place)",
    """CREATE TABLE old_page (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), line_set BLOB REFERENCES line_set(id),
        year INTEGER NOT NULL, says TEXT NOT NULL, name TEXT NOT NULL, mime TEXT NOT NULL, bytes INTEGER NOT NULL,
        sha256 BLOB NOT NULL, by BLOB NOT NULL, received_at TEXT NOT NULL) STRICT""",
    "CREATE INDEX old_page_by_house ON old_page(house, line_set, year)",
    """CREATE TABLE old_page_withdrawal (
        old_page BLOB PRIMARY KEY REFERENCES old_page(id), reason TEXT NOT NULL, by BLOB NOT NULL,
        at TEXT NOT NULL) STRICT""",
    """CREATE TABLE set_sound (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), line_set BLOB NOT NULL REFERENCES line_set(id),
        place TEXT NOT NULL, recorded_on TEXT NOT NULL, note TEXT NOT NULL, mime TEXT NOT NULL, bytes INTEGER NOT NULL,
        sha256 BLOB NOT NULL, tenths INTEGER, by BLOB NOT NULL, received_at TEXT NOT NULL) STRICT""",
    "CREATE INDEX set_sound_by_set ON set_sound(house, line_set, place, recorded_on)",
)
