"""The field API (/api/v1): the pack, entries, and what has arrived. JSON both ways, bearer token, no cookies.

GET  /api/v1/health                 -> {"now", "app", "schema": [oldest, newest that is understood]};
                                    ?schema=<what the phone writes> -> also "words": "" or what to do, in words
GET  /api/v1/houses/<id>/pack       -> the pack (output/pack.py) with an ETag; If-None-Match -> 304;
                                    ?since=<ETag> -> only what has changed (output/pack_delta.py)
POST /api/v1/entries                {"entries": [entry, ... at most 500], "sent_at"?, "last_seq"?} (domain/entry.py);
                                    last_seq: the highest number the device has given out, sent or not, so that the
                                    office knows of entries that never come
                                    -> 200 {"verdicts": [{"id", "verdict": "stored|duplicate|held", "reason"}],
                                            "now", "skew_ms", "schema": [1, 1]}, one verdict for each entry, in order
GET  /api/v1/walks/<id>/looks       -> {"walk": {"id", "title", "date_local", "state", "scope"} or null,
                                        "looks": [{"entry", "part", "pass", "checklist", "points", "result", "ways",
                                                   "reason", "tap", "by", "at", "grade", "device", "replaces",
                                                   "replaced", "adds_to", "needs_countersign", "findings", "photos"}],
                                        "stops": [{"entry", "line_set", "area", "part", "why", "by", "at", "state",
                                                   "steps": [{"step", "who", "note", "at"}]}]}
GET  /api/v1/walks/<id>/tally       -> {"count", "ids_sha256", "gaps": {device: [[first, last]]}, "photos_missing",
                                                   "recordings_missing",
                                        "devices": {device: {"name", "count", "last_seq", "ids_sha256"}}}
POST /api/v1/devices: web/pairing.py
PUT  /api/v1/photos/<id>, GET /api/v1/photos/<id>/thumb, POST /api/v1/photos/missing: web/field_photo.py

Errors: {"error", "message"} with 400 (unreadable), 401 (not paired), 403, 404, 413, 415, 429, 503 or 507 (not saved).
A count or digest leaves closings out, since a closing states them. Gaps are in the numbers of the device over all it
ever recorded, whichever walk they belonged to.
"""

from datetime import UTC, datetime

from flask import Blueprint, Response, g, jsonify, make_response, request
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import RequestEntityTooLarge

from inspect_app import __version__, clock
from inspect_app.actions.ingest import MOST_ENTRIES, ingest_entries
from inspect_app.actions.pack import prepare_pack
from inspect_app.domain.entry import SCHEMA_MAX, SCHEMA_MIN
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.domain.look_again import LookAgain
from inspect_app.domain.sequence import ids_digest, sequence_gaps
from inspect_app.domain.strict_json import decode_text, read_batch
from inspect_app.domain.tag_out import TagOut
from inspect_app.domain.walk import Look
from inspect_app.store.checklist import load_shelf
from inspect_app.store.entry import list_sequence_numbers, list_tallies
from inspect_app.store.entry_context import find_walk_state
from inspect_app.store.house import get_house
from inspect_app.store.measure_history import list_look_again
from inspect_app.store.photo import list_photos_missing_of_walk
from inspect_app.store.recording import list_recordings_missing_of_walk
from inspect_app.store.tag_out import list_tag_outs
from inspect_app.store.walk import get_walk, list_closings
from inspect_app.store.walk_look import list_looks_of_walk
from inspect_app.web import field_limit
from inspect_app.web.access import permission
from inspect_app.web.compression import answer_with
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.errors import answer
from inspect_app.web.house_cache import HouseCache
from inspect_app.web.security import MEGABYTE

blueprint = Blueprint("field", __name__)
_look_again: HouseCache[dict[str, tuple[LookAgain, ...]]] = HouseCache()


def read_body() -> str:
    """The text of a JSON request of at most 1 MB. Raises BadValue when it is not UTF-8."""
    return decode_text(read_bytes(MEGABYTE))


def read_bytes(most: int) -> bytes:
    """The body of a request; a longer one is refused. One byte more is read, since a chunked body states no length."""
    request.max_content_length = most + 1
    content = request.get_data(cache=False)
    if len(content) > most:
        raise RequestEntityTooLarge
    return content


def unreadable(error: BadValue) -> Response:
    """The answer to a request that cannot be read at all: nothing of it was kept, so the sender still has it."""
    message = f"The request cannot be read: {error.message}. Nothing was kept; it is still on your side."
    return answer(400, "unreadable", "This could not be read", message)


@blueprint.get("/api/v1/health")
@permission("public")
def health() -> Response:
    """The server's time and the range of entry schemas it understands."""
    said: dict[str, object] = {"now": _text(clock.now()), "app": __version__, "schema": [SCHEMA_MIN, SCHEMA_MAX]}
    if "schema" in request.args:
        said["words"] = _age_words(request.args.get("schema", type=int))
    return jsonify(said)


def _age_words(schema: int | None) -> str:
    """What a phone must do whose walk page writes entries of another age; nothing of it is lost either way."""
    if schema is None or schema < SCHEMA_MIN:
        return (
            "This walk page is older than the office understands. Open it while connected, so that it updates itself. "
            "What is recorded on this phone stays on it; what is sent meanwhile is held in the office for a person."
        )
    if schema > SCHEMA_MAX:
        return (
            "This walk page is newer than the program in the office. Ask for the office to be updated. "
            "What is recorded on this phone stays on it; what is sent meanwhile is held in the office for a person."
        )
    return ""


@blueprint.get("/api/v1/houses/<house_id>/pack")
@permission("device")
def pack(house_id: str) -> ResponseReturnValue:
    """Everything the phone needs to walk the house."""
    at = clock.now()
    if refused := field_limit.take("pack", g.device.id, at):
        return refused
    db, settings, house = get_db(), get_settings(), get_house(get_db(), house_id)
    again = _look_again.get(db, settings, house, at, lambda: list_look_again(db, house_id))
    made = prepare_pack(db, settings, at=at, device=g.device, roles=g.roles, look_again=again)
    body = made.delta(request.args.get("since", "")) or made.body
    response = make_response(body)
    response.mimetype = "application/json"
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["Vary"] = "Authorization"
    return answer_with(response, made.etag, weak=True, lasting=False)


@blueprint.post("/api/v1/entries")
@permission("device")
def entries() -> ResponseReturnValue:
    """Take in a batch: one verdict for each entry, whatever its state."""
    at = clock.now()
    if refused := field_limit.take("entries", g.device.id, at):
        return refused
    try:
        batch = read_batch(read_body(), "entries")
    except BadValue as error:
        return unreadable(error)
    if len(batch.items) > MOST_ENTRIES:
        message = f"A batch holds at most {MOST_ENTRIES} entries. Nothing was kept; send fewer at once."
        return answer(413, "too_large", "Too large", message)
    skew = _skew_ms(batch.members.get("sent_at"), at)
    verdicts = ingest_entries(
        get_db(),
        at=at,
        device=g.device,
        items=batch.items,
        skew_ms=skew,
        shelf=load_shelf(get_settings()),
        told_seq=_whole(batch.members.get("last_seq")),
    )
    said = [{"id": one.id, "verdict": one.verdict, "reason": one.reason} for one in verdicts]
    return jsonify(verdicts=said, now=_text(at), skew_ms=skew, schema=[SCHEMA_MIN, SCHEMA_MAX])


@blueprint.get("/api/v1/walks/<walk_id>/looks")
@permission("device")
def looks(walk_id: str) -> ResponseReturnValue:
    """Everything recorded on a walk so far, so that a page opened again shows it."""
    if refused := field_limit.take("read", g.device.id, clock.now()):
        return refused
    db, house = get_db(), g.device.house
    _refuse_other_house(walk_id)
    walk = get_walk(db, house, walk_id)
    recorded = list_looks_of_walk(db, house, walk_id)
    replaces: dict[str, list[str]] = {}
    for look in recorded:
        for newer in look.replaced_by:
            replaces.setdefault(newer, []).append(look.entry)
    entries_here = {one for tally in list_tallies(db, house, walk_id) for one in tally.ids}
    stops = [tag_out for tag_out in list_tag_outs(db, house) if tag_out.from_entry in entries_here]
    scope = walk.scope if walk else None
    return jsonify(
        walk=walk
        and {
            "id": walk.id,
            "title": walk.title,
            "date_local": walk.date_local,
            "state": walk.state.value,
            "scope": scope
            and {
                "checklists": [{"id": key, "revision": revision} for key, revision in scope.checklists],
                "line_sets": None if scope.line_sets is None else sorted(scope.line_sets),
                "areas": None if scope.areas is None else sorted(scope.areas),
            },
        },
        looks=[_look(look, replaces.get(look.entry, [])) for look in recorded],
        stops=[_stop(tag_out) for tag_out in stops],
    )


@blueprint.get("/api/v1/walks/<walk_id>/tally")
@permission("device")
def tally(walk_id: str) -> ResponseReturnValue:
    """What has arrived for a walk and what has not."""
    if refused := field_limit.take("read", g.device.id, clock.now()):
        return refused
    db, house = get_db(), g.device.house
    _refuse_other_house(walk_id)
    tallies = list_tallies(db, house, walk_id)
    said = {closing.device: closing.last_seq or 0 for closing in list_closings(db, house, walk_id)}
    ids = [one for tally in tallies for one in tally.ids]
    return jsonify(
        count=len(ids),
        ids_sha256=ids_digest(ids),
        gaps={
            tally.device: sequence_gaps(list_sequence_numbers(db, tally.device), last=said.get(tally.device))
            for tally in tallies
        },
        photos_missing=list_photos_missing_of_walk(db, house, walk_id),
        recordings_missing=list_recordings_missing_of_walk(db, house, walk_id),
        devices={
            tally.device: {
                "name": tally.name,
                "count": len(tally.ids),
                "last_seq": tally.last_seq,
                "ids_sha256": ids_digest(tally.ids),
            }
            for tally in tallies
        },
    )


def _refuse_other_house(walk: str) -> None:
    """A walk of another house is as good as absent; one whose opening has not arrived is only empty."""
    found = find_walk_state(get_db(), walk)
    if found is not None and found[0] != g.device.house:
        raise NotFound("There is no such walk.")


def _look(look: Look, replaces: list[str]) -> dict[str, object]:
    return {
        "entry": look.entry,
        "part": look.part,
        "pass": look.in_pass,
        "checklist": look.checklist,
        "points": list(look.points),
        "result": look.result.value,
        "ways": sorted(look.ways),
        "reason": look.reason,
        "tap": look.tap,
        "by": look.by,
        "at": _text(look.at),
        "grade": look.grade.value if look.grade else "",
        "device": look.device,
        "replaces": replaces,
        "replaced": bool(look.replaced_by),
        "adds_to": look.adds_to,
        "needs_countersign": look.needs_countersign,
        "findings": [
            {"id": f.id, "point": f.point, "answer": f.answer, "of": f.of, "grade": f.grade.value, "wear": f.wear}
            for f in look.findings
        ],
        "photos": list(look.photos),
        "recordings": list(look.recordings),
    }


def _stop(tag_out: TagOut) -> dict[str, object]:
    return {
        "entry": tag_out.from_entry,
        "line_set": tag_out.line_set,
        "area": tag_out.area,
        "part": tag_out.part,
        "why": tag_out.why,
        "by": tag_out.raised_by,
        "at": _text(tag_out.raised_at),
        "state": tag_out.state.value,
        "steps": [
            {"step": step.step.value, "who": step.who, "note": step.note, "at": _text(step.at)}
            for step in tag_out.steps
        ],
    }


def _whole(number: object) -> int:
    """A whole number above 0 that a device told, or 0."""
    return number if isinstance(number, int) and not isinstance(number, bool) and number > 0 else 0


def _skew_ms(sent_at: object, at: datetime) -> int | None:
    """How far the device's clock was behind the server's when it sent; None when it did not say."""
    try:
        sent = datetime.fromisoformat(sent_at) if isinstance(sent_at, str) else None
        if sent is None or sent.tzinfo is None:
            return None
        return round((at - sent.astimezone(UTC)).total_seconds() * 1000)
    except (ValueError, OverflowError):
        return None


def _text(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")
