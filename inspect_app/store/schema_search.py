"""The tables behind the search: every piece of text with where it was said, and the index of its words."""

# `kind` is what the page filters by; `source` is the key of the row in table `noun`; `leads` is the id that a link
# needs; `keys` are words that no one types, by which the index itself keeps houses, kinds and sets apart.
SEARCH_SCHEMA = (
    """CREATE TABLE said (
        id INTEGER PRIMARY KEY, noun TEXT NOT NULL, source BLOB NOT NULL, house BLOB NOT NULL REFERENCES house(id),
        kind TEXT NOT NULL, about TEXT NOT NULL, text TEXT NOT NULL, part BLOB, line_set BLOB, area BLOB, leads BLOB,
        at TEXT NOT NULL, by BLOB, keys TEXT NOT NULL GENERATED ALWAYS AS ('h' || lower(hex(house)) || ' k' || kind
        || CASE WHEN line_set IS NULL THEN '' ELSE ' s' || lower(hex(line_set)) END) VIRTUAL) STRICT""",
    "CREATE INDEX said_by_source ON said(noun, source)",
    "CREATE INDEX said_by_part ON said(part) WHERE part IS NOT NULL",
    "CREATE INDEX said_by_set ON said(line_set) WHERE line_set IS NOT NULL",
    "CREATE INDEX said_by_area ON said(area) WHERE area IS NOT NULL",
    "CREATE VIRTUAL TABLE said_words USING fts5(keys, about, text, content='said', content_rowid='id', "
    "tokenize='unicode61 remove_diacritics 2', prefix='2 3')",
    "INSERT INTO to_rebuild(what) VALUES ('said')",
)
