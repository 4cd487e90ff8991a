"""The tables of hand-over packs, read-only links and the inspector's own words; a released step is never edited."""

HAND_OVER_SCHEMA = (
    # what an inspector adds to a signature, as JSON: body, number, expires, remarks, conditions (domain/inspection.py)
    "ALTER TABLE seal ADD COLUMN inspection TEXT NOT NULL DEFAULT '{}'",
    # a condition on use comes from a signed walk and is lifted by a qualified person, who is named as typed
    "ALTER TABLE restriction ADD COLUMN walk BLOB",
    "ALTER TABLE restriction ADD COLUMN lifted_name TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE restriction ADD COLUMN lifted_credential TEXT NOT NULL DEFAULT ''",
    # answers to what an inspector asks in advance and no other table knows; the newest row of each question counts
    """CREATE TABLE house_answer (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), question TEXT NOT NULL, answer TEXT NOT NULL,
        by BLOB NOT NULL, at TEXT NOT NULL) STRICT""",
    "CREATE INDEX house_answer_by_house ON house_answer(house, question, at)",
    # first and last are the days of the period, '' for an open end
    """CREATE TABLE hand_over_pack (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), number TEXT NOT NULL, first TEXT NOT NULL,
        last TEXT NOT NULL, paper TEXT NOT NULL, with_costs INTEGER NOT NULL, pdf_file TEXT NOT NULL,
        pdf_sha256 BLOB NOT NULL, data_sha256 BLOB NOT NULL, zip_file TEXT NOT NULL, zip_sha256 BLOB NOT NULL,
        zip_bytes INTEGER NOT NULL, by BLOB NOT NULL, made_at TEXT NOT NULL, UNIQUE (house, number)) STRICT""",
    # only the SHA-256 of the secret in the address is kept; of a visit, only that of its cookie
    """CREATE TABLE guest_link (
        id BLOB PRIMARY KEY, house BLOB NOT NULL REFERENCES house(id), guest TEXT NOT NULL, purpose TEXT NOT NULL,
        with_costs INTEGER NOT NULL, token_hash BLOB NOT NULL UNIQUE, by BLOB NOT NULL REFERENCES person(id),
        made_at TEXT NOT NULL, expires_at TEXT NOT NULL, ended_at TEXT, ended_by BLOB) STRICT""",
    "CREATE INDEX guest_link_by_house ON guest_link(house, made_at)",
    """CREATE TABLE guest_visit (
        id BLOB PRIMARY KEY, link BLOB NOT NULL REFERENCES guest_link(id), token_hash BLOB NOT NULL UNIQUE,
        begun_at TEXT NOT NULL, ends_at TEXT NOT NULL) STRICT""",
    "CREATE INDEX guest_visit_by_link ON guest_visit(link, begun_at)",
)
