"""Verbs that change things: load, decide in the domain, write and journal in one transaction."""
