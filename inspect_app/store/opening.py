"""The row of a walk, as its openings and closings make it, whatever the order in which they arrive."""

import json

from sqlite_utils import Database

from inspect_app.domain.ids import to_key


def update_walk_from_entries(db: Database, walk: str) -> None:
    """Make or correct the row of a walk: the earliest opening makes it, any closing moves it on; a sealed one stays."""
    key = to_key(walk)
    opening = db.execute(
        "SELECT id, house, by, recorded_at, raw FROM entry WHERE walk = ? AND kind = 'opening' "
        "ORDER BY recorded_at, id LIMIT 1",
        (key,),
    ).fetchone()
    if opening is None:
        return
    entry, house, by, at, raw = opening
    body = json.loads(raw)
    scope = {name: body["scope"].get(name) for name in ("checklists", "line_sets", "areas")}
    closed = db.execute("SELECT 1 FROM entry WHERE walk = ? AND kind = 'closing' LIMIT 1", (key,)).fetchone()
    db.execute(
        "INSERT INTO walk(id, house, title, date_local, state, scope, opened_by, opened_at, opening) "
        "VALUES (?,?,?,?,?,?,?,?,?) ON CONFLICT(id) DO UPDATE SET title = excluded.title, "
        "date_local = excluded.date_local, scope = excluded.scope, opened_by = excluded.opened_by, "
        "opened_at = excluded.opened_at, opening = excluded.opening, "
        "state = CASE walk.state WHEN 'open' THEN excluded.state ELSE walk.state END WHERE walk.state <> 'sealed'",
        (
            key,
            house,
            body["title"],
            body["date_local"],
            "closing" if closed else "open",
            json.dumps(scope, ensure_ascii=False),
            by,
            at,
            entry,
        ),
    )
