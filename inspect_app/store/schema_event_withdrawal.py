"""The tables of events that were recorded by mistake; a released step is never edited."""

EVENT_WITHDRAWAL_SCHEMA = (
    """CREATE TABLE event_withdrawal_ask (
        event BLOB PRIMARY KEY REFERENCES event(id), by BLOB NOT NULL REFERENCES person(id), at TEXT NOT NULL,
        reason TEXT NOT NULL CHECK (trim(reason) <> '')) STRICT""",
    # both people named, never one person twice, and only after it was asked for
    """CREATE TABLE event_withdrawal (
        event BLOB PRIMARY KEY REFERENCES event_withdrawal_ask(event), by BLOB NOT NULL REFERENCES person(id),
        second BLOB NOT NULL REFERENCES person(id), at TEXT NOT NULL, reason TEXT NOT NULL,
        CHECK (by <> second)) STRICT""",
)
