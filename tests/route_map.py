"""Every rule of the application with every method, as tests that walk the whole route map see it."""

from typing import NamedTuple

from flask import Flask
from werkzeug.routing import Rule

from inspect_app.web.access import permission_of

# What lives only in the memory of the server, so that no builder can make it: 404 is right for everyone.
IN_MEMORY = frozenset({"job_id"})

# Objects named by the phone that makes them: under a foreign id nothing is read or replaced, but it is no 404.
NAMED_BY_THE_PHONE = frozenset({"field_photo.put", "field_original.put", "field_recording.put"})
# Reading that leaves a row in the journal on purpose.
READ_ON_RECORD = frozenset({"photo.original"})


class Route(NamedTuple):
    """One rule with one method."""

    rule: Rule
    method: str
    permission: str

    @property
    def name(self) -> str:
        return f"{self.method} {self.rule.rule}"

    @property
    def changes(self) -> bool:
        return self.method not in ("GET", "HEAD", "OPTIONS")

    @property
    def on_record(self) -> bool:
        return self.rule.endpoint in READ_ON_RECORD

    @property
    def named_by_phone(self) -> bool:
        return self.rule.endpoint in NAMED_BY_THE_PHONE

    @property
    def is_api(self) -> bool:
        return self.rule.rule.startswith("/api/")


def routes_of(app: Flask) -> list[Route]:
    """Every rule × method of the application."""
    return [
        Route(rule, method, permission_of(app, rule.endpoint))
        for rule in sorted(app.url_map.iter_rules(), key=lambda rule: rule.rule)
        for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"})
    ]
