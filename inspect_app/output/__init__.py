"""Domain objects in, bytes or text out; no database."""
