"""The tables of re-looks at a whole line set or area; a released step is never edited."""

RELOOK_SCOPE_SCHEMA = (
    """CREATE TABLE relook_scope (
        relook BLOB PRIMARY KEY REFERENCES relook(id), line_set BLOB REFERENCES line_set(id),
        area BLOB REFERENCES area(id), CHECK ((line_set IS NULL) <> (area IS NULL))) STRICT""",
    # the parts of the set or area on the day it was asked
    """CREATE TABLE relook_part (
        relook BLOB NOT NULL REFERENCES relook_scope(relook), part BLOB NOT NULL REFERENCES part(id),
        PRIMARY KEY (relook, part)) STRICT""",
    # made anew from the seals of the walk that answered
    """CREATE TABLE relook_answer (
        relook BLOB NOT NULL REFERENCES relook_scope(relook), part BLOB NOT NULL, walk BLOB NOT NULL,
        entry BLOB NOT NULL, at TEXT NOT NULL, PRIMARY KEY (relook, part, walk)) STRICT""",
    "CREATE INDEX relook_answer_by_walk ON relook_answer(walk)",
)
