"""Everything that touches SQLite or the data folder."""
