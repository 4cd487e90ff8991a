"""Walk data of an invented house for report tests: realistic, tiny, empty, nothing reached and hostile; photos are drawn."""

# ruff: noqa: E501  long rows of made-up data
import hashlib
import io
import json
import random
from collections import Counter
from functools import cache
from typing import Any

import rfc8785
from PIL import Image, ImageChops, ImageDraw

LINE_NAMES = ("short-short", "short-mid", "mid", "mid-long", "long", "long-long")
LINE_X = (-7200, -4400, -1500, 1500, 4400, 7200)
LABELS = {
    1: "House border", 2: "House curtain", 4: "Teaser", 6: "Electric 1", 11: "Legs 1", 14: "Border 2", 17: "Electric 2",
    22: "Legs 2", 25: "Border 3", 28: "Electric 3", 33: "Legs 3", 36: "Scrim", 38: "Cyc lights", 40: "Cyclorama",
}  # fmt: skip
KIND_TITLES = {
    "head_block": "Head block", "loft_block": "Loft block", "lift_line": "Lift line", "termination_batten": "Termination at batten",
    "trim": "Trim", "batten": "Batten", "arbor": "Arbor", "counterweights": "Counterweights", "termination_arbor": "Terminations at arbor",
    "guide": "Guide", "hand_line": "Hand line", "rope_lock": "Rope lock", "tension_block": "Tension block", "set_travel": "Travel of the set",
    "hoist": "Hoist", "brake": "Brake", "limit_switch": "Limit switch", "well": "Loft well", "grid_deck": "Grid deck bay",
    "guardrail": "Guardrail", "ladder": "Ladder", "hatch": "Hatch", "lighting": "Work lighting", "sign": "Sign",
    "locking_rail": "Locking rail", "loading_bridge": "Loading bridge", "fire_safety_curtain": "Fire safety curtain",
}  # fmt: skip
DEMO = "Demonstration, invented house"
FINDING_TEXTS = (
    ("loft_block", "lb-groove", "Look along the groove for wear to one side, sharp edges and rope prints", "watch", 2,
     "Groove shows polish to the upstage side; no edge can be felt."),
    ("loft_block", "lb-bolts", "Are both hanger bolts tight, with washers, and is the thread through the nut?", "repair_by", 3,
     "Downstage bolt turns by hand, about half a turn. Thread shows through the nut by less than one pitch."),
    ("lift_line", "ll-wires", "Look for broken wires over the length that runs over the block", "restrict", 3,
     "Broken wires found within one lay, about two metres above the trim. Set run empty only until decided."),
    ("hand_line", "hl-surface", "Run the line past a gloved hand at the rail and look at the surface", "repair_by", 3,
     "Glazed and flattened where it passes the lock; strands still even."),
    ("rope_lock", "rl-jaw", "Does the lock hold the set still and does the ring go on by itself?", "watch", 1,
     "Ring has to be pushed on; spring weak. Lock holds."),
    ("batten", "bt-cap", "End caps on, splice bolts in place, no kink?", "watch", 1, "End cap missing stage left."),
    ("head_block", "hb-shaft", "Does the shaft stay still in its side plates?", "repair_by", 2,
     "Keeper plate of the shaft is loose on one bolt; shaft has not moved against the paint line."),
)  # fmt: skip


@cache
def _noise(size: tuple[int, int]) -> Image.Image:
    grain = Image.frombytes("L", (300, 225), random.Random(5).randbytes(300 * 225))
    return grain.resize(size, Image.Resampling.BILINEAR).convert("RGB")


@cache
def draw_photo(title: str, n: int, size: tuple[int, int] = (1200, 900)) -> bytes:
    """A drawn JPEG, plainly marked as a demonstration picture: a sheave in its plates, with an arrow."""
    rng = random.Random(n)
    shade = 60 + rng.randrange(60)
    image = Image.new("RGB", size, (shade, shade, shade + 8))
    draw = ImageDraw.Draw(image)
    width, height = size
    for x in range(0, width, 90):
        draw.rectangle((x, 0, x + 58, height), fill=(shade + 18, shade + 16, shade + 14))
    cx, cy, r = width // 2 + rng.randrange(-80, 80), height // 2, 250
    draw.rectangle((cx - 300, cy - 330, cx + 300, cy + 330), fill=(92, 98, 104), outline=(30, 30, 30), width=6)
    draw.ellipse((cx - r, cy - r, cx + r, cy + r), fill=(150, 146, 138), outline=(40, 40, 40), width=10)
    draw.ellipse((cx - r + 40, cy - r + 40, cx + r - 40, cy + r - 40), outline=(80, 78, 72), width=6)
    draw.ellipse((cx - 40, cy - 40, cx + 40, cy + 40), fill=(50, 50, 50))
    draw.line((cx - r, cy, cx - r, height), fill=(25, 25, 25), width=14)
    ax, ay = cx + rng.randrange(-150, 150), cy - 180
    draw.line((ax + 220, ay - 160, ax + 20, ay - 12), fill=(250, 220, 60), width=14)
    draw.polygon(((ax, ay), (ax + 62, ay - 14), (ax + 30, ay - 62)), fill=(250, 220, 60))
    image = Image.blend(image, ImageChops.offset(_noise(size), rng.randrange(width), rng.randrange(height)), 0.1)
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, height - 84, width, height), fill=(255, 255, 255))
    draw.text((24, height - 70), f"{DEMO}: drawn picture", fill=(0, 0, 0), font_size=34)
    draw.text((24, 20), title, fill=(255, 255, 255), font_size=44)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=82)
    return out.getvalue()


def uid(n: int) -> str:
    """A fixed UUIDv7-looking id."""
    return f"0195a000-0000-7000-8000-{n:012x}"


def _parts(sets: int, lines: int) -> list[dict[str, Any]]:
    parts: list[dict[str, Any]] = []

    def add(tag: str, kind: str, area: str, **more: Any) -> None:
        base: dict[str, Any] = {
            "tag": tag, "kind": kind, "kind_title": KIND_TITLES[kind], "line_set": None, "line": None, "line_name": "",
            "well": None, "area": area, "x_mm": None, "y_mm": None, "z_mm": None, "result": "no_finding", "grade": "",
            "ways": ["seen_close"], "asked": 3, "answered": 3,
        }  # fmt: skip
        parts.append({**base, **more})

    for i in range(1, sets + 1):
        y = 457 + (i - 1) * 203
        motor = i in (6, 17, 28)
        on = {"line_set": str(i), "y_mm": y}
        add(f"HB {i}", "head_block", "Grid", x_mm=-9100, z_mm=19800, **on)
        for line in range(1, lines + 1):
            at = {"line": line, "line_name": LINE_NAMES[line - 1], **on}
            add(f"LB {i}-{line}", "loft_block", "Grid", well=f"W {line}", x_mm=LINE_X[line - 1], z_mm=19500, **at)
            add(f"LL {i}-{line}", "lift_line", "Grid", **at)
            add(f"TB {i}-{line}", "termination_batten", "Deck and rail", **at)
        kinds = (
            [("HO", "hoist"), ("BR", "brake"), ("LS", "limit_switch")]
            if motor
            else [("AR", "arbor"), ("CW", "counterweights"), ("TA", "termination_arbor"), ("GU", "guide"),
                  ("HL", "hand_line"), ("RL", "rope_lock"), ("TN", "tension_block")]
        )  # fmt: skip
        for short, kind in [("BT", "batten"), *kinds, ("ST", "set_travel")]:
            add(f"{short} {i}", kind, "Deck and rail", **on)
    for line in range(1, lines + 1):
        add(f"W {line}", "well", "Grid", x_mm=LINE_X[line - 1], ways=["seen_close"])
    for bay in range(1, 2 * lines + 1):
        add(f"GD {bay}", "grid_deck", "Grid", ways=["handled"])
    for tag, kind, area in (
        ("GR 1", "guardrail", "Grid"), ("GR 2", "guardrail", "Loading bridge"), ("GR 3", "guardrail", "Gallery, stage left"),
        ("LD 1", "ladder", "Access"), ("LD 2", "ladder", "Access"), ("HT 1", "hatch", "Access"), ("LT 1", "lighting", "Grid"),
        ("SG 1", "sign", "Access"), ("LR 1", "locking_rail", "Deck and rail"), ("BG 1", "loading_bridge", "Loading bridge"),
        ("FC 1", "fire_safety_curtain", "Deck and rail"),
    ):  # fmt: skip
        add(tag, kind, area)
    return parts


def _counts(parts: list[dict[str, Any]]) -> dict[str, int]:
    results = Counter(p["result"] for p in parts)
    looked = [p for p in parts if p["result"] in ("no_finding", "finding")]
    ways = Counter(way for p in looked for way in p["ways"])
    return {
        "in_scope": len(parts), "looked_at": len(looked), "not_reached": results["not_reached"],
        "not_applicable": results["not_applicable"], "not_looked_at": results["not_looked_at"], "handled": ways["handled"],
        "seen_close": ways["seen_close"], "seen_from_afar": ways["seen_from_afar"], "heard": ways["heard"],
    }  # fmt: skip


def _coverage(parts: list[dict[str, Any]], checklists: list[dict[str, Any]]) -> dict[str, Any]:
    kinds = list(dict.fromkeys(p["kind"] for p in parts))
    areas = list(dict.fromkeys(p["area"] for p in parts))
    asked, answered = sum(p["asked"] for p in parts), sum(p["answered"] for p in parts)
    share = f"{answered / asked:.2f}" if asked else "0.00"
    return {
        "parts": _counts(parts),
        "by_kind": [
            {"kind": k, "kind_title": KIND_TITLES[k], **_counts([p for p in parts if p["kind"] == k])} for k in kinds
        ],
        "by_area": [{"area": a, **_counts([p for p in parts if p["area"] == a])} for a in areas],
        "by_checklist": [
            {"id": c["id"], "title": c["title"], "asked": asked, "answered": answered, "share": share,
             "threshold": "0.95", "complete": float(share) >= 0.95} for c in checklists
        ],
        "points_not_answered": [
            {"point": "rl-hold", "ask": "Does the lock hold the set with the posted imbalance?", "kind_title": "Rope lock",
             "parts": 37},
            {"point": "lb-turn", "ask": "Does the sheave turn freely while the set runs slowly? Listen from the bridge.",
             "kind_title": "Loft block", "parts": 240},
        ],
    }  # fmt: skip


def _measures() -> list[dict[str, Any]]:
    verdict = {
        "inside": {"state": "inside", "words": "inside the cited criterion, this measure only", "limit": "0.75", "op": "at most",
                   "unit": "in", "source": "Invented criterion for tests", "clause": "4.2", "mark": "read", "by_analogy": False},
        "outside": {"state": "outside", "words": "outside the cited criterion: take out of use and have a qualified person decide",
                    "limit": "11.3", "op": "at least", "unit": "mm", "source": "Invented criterion for tests", "clause": "7.1 b",
                    "mark": "from memory", "by_analogy": True},
        "cannot_tell": {"state": "cannot_tell", "words": "cannot tell: the limit lies within the resolution of the gauge",
                        "limit": "0.125", "op": "at least", "unit": "in", "source": "Invented criterion for tests",
                        "clause": "Table 3", "mark": "read", "by_analogy": False},
        "none": {"state": "none", "words": "no criterion on file for this figure", "limit": "", "op": "", "unit": "",
                 "source": "", "clause": "", "mark": "", "by_analogy": False},
    }  # fmt: skip
    rows: list[dict[str, Any]] = []
    for n in range(1, 31):
        state = "outside" if n == 12 else ("cannot_tell" if n % 11 == 0 else ("none" if n % 7 == 0 else "inside"))
        kind = "ll-diameter" if n == 12 else "gd-gap"
        rows.append(
            {"part": f"LL {n}-3" if n == 12 else f"GD {1 + n % 12}", "point": kind,
             "quantity": "rope diameter" if n == 12 else "slat gap", "value": "11.2" if n == 12 else f"0.{680 + n}",
             "unit": "mm" if n == 12 else "in", "typed": "11.2" if n == 12 else f"0.{680 + n}",
             "station": "2 m above trim" if n == 12 else f"bay {1 + n % 12}, middle", "gauge": "Calliper C-2",
             "resolution": "0.1" if n == 12 else "0.001", "verdicts": [verdict[state]]}
        )  # fmt: skip
    return rows


def _spread(parts: list[dict[str, Any]]) -> None:
    """Leave gaps as people do: a well not reached, sets not looked at, hand-on shares far from all."""
    rng = random.Random(7)
    for part in parts:
        number = int(part["line_set"] or 0)
        if part["kind"] in ("loft_block", "lift_line") and part["line"] == 5 and number:
            part.update(result="not_reached", ways=[], answered=0)
        elif number in (39, 40) and part["area"] == "Deck and rail":
            part.update(result="not_looked_at", ways=[], answered=0)
        elif part["kind"] == "rope_lock" and number in (3, 9):
            part.update(result="not_applicable", ways=[], answered=0)
        elif part["kind"] in ("termination_batten",):
            part["ways"] = ["seen_from_afar"]
        elif part["kind"] in ("hand_line", "rope_lock", "head_block"):
            part["ways"] = ["handled", "heard"] if rng.random() < 0.5 else ["handled"]


def _findings(parts: list[dict[str, Any]], photos: int, findings: int) -> tuple[list[Any], list[Any], dict[str, bytes]]:
    by_tag = {p["tag"]: p for p in parts}
    rng = random.Random(11)
    made: list[dict[str, Any]] = []
    rows: list[dict[str, Any]] = []
    blobs: dict[str, bytes] = {}
    per = max(1, photos // max(1, findings))
    short = {
        "loft_block": "LB",
        "lift_line": "LL",
        "hand_line": "HL",
        "rope_lock": "RL",
        "batten": "BT",
        "head_block": "HB",
    }
    for n in range(findings):
        kind, point, ask, grade, wear, note = FINDING_TEXTS[n % len(FINDING_TEXTS)]
        number = 12 if n == 0 else 1 + (n * 7) % 38
        if n == 0:
            kind, point, ask, grade, wear = (
                "lift_line",
                "ll-diameter",
                "Measure the rope diameter at the worst place",
                "stop_use",
                4,
            )
            note = "Necked over a hand's length where it leaves the block; diameter below that of its sisters. Set lowered, tagged."
        tag = f"{short[kind]} {number}" + (
            f"-{(1, 2, 3, 4, 6)[n % 5] if n else 3}" if kind in ("loft_block", "lift_line") else ""
        )
        part = by_tag.get(tag)
        if part is None or part["result"] != "no_finding":
            continue
        part.update(result="finding", grade=grade)
        ids = []
        for k in range(per if n else per + 1):
            if len(blobs) >= photos:
                break
            photo = uid(90000 + n * 10 + k)
            blobs[photo] = draw_photo(f"{tag}, picture {k + 1}", n * 10 + k)
            ids.append(photo)
            made.append({"id": photo, "sha256": hashlib.sha256(blobs[photo]).hexdigest(), "mime": "image/jpeg",
                         "taken_at": "2026-03-04T20:14:00.000Z", "parts": [tag], "state": "stored"})  # fmt: skip
        rows.append(
            {"id": uid(70000 + n), "part": tag, "line_set": str(number), "point": point, "point_text": ask,
             "defect": "", "answer": "new" if n % 4 else "still_there", "grade": grade, "proposed_grade": grade,
             "grade_reason": "", "wear": wear,
             "wear_text": "clear wear: plan the repair and measure again" if wear == 3 else "marks that can be seen and felt",
             "note": note, "photos": ids, "by": rng.choice(["Ines Halloran", "Tomas Reed"]), "at": f"2026-03-04T{19 + n // 30}:{(n * 2) % 60:02d}:30.000Z",
             "basis": "common practice, no source", "stop_words": "", "deficiency": 40 + n if n % 3 == 0 else None, "counted": True}
        )  # fmt: skip
    while rows and len(blobs) < photos:  # pictures of parts without a finding
        n = len(blobs)
        tag, photo = f"HB {1 + n % 38}", uid(95000 + n)
        blobs[photo] = draw_photo(f"{tag}, overview", 500 + n)
        made.append({"id": photo, "sha256": hashlib.sha256(blobs[photo]).hexdigest(), "mime": "image/jpeg",
                     "taken_at": "2026-03-04T20:14:00.000Z", "parts": [tag], "state": "stored"})  # fmt: skip
    return rows, made, blobs


def walk_data(
    sets: int = 40, lines: int = 6, findings: int = 27, photos: int = 60, kind: str = "signed"
) -> tuple[dict[str, Any], dict[str, bytes]]:
    """A whole walk of an invented house, with its drawn photos by id."""
    parts = _parts(sets, lines)
    _spread(parts)
    found, shots, blobs = _findings(parts, photos, findings)
    checklists = [
        {"id": "grid-quarterly", "title": "Quarterly grid and gallery walk", "revision": hashlib.sha256(b"q").hexdigest(),
         "interval": "P3M", "when": "every quarter", "coverage": "0.95", "competence": "competent",
         "notice": "Written from common practice. A qualified person must review this checklist before use.",
         "reviewed": {"by": "", "credential": "", "on": ""}},
        {"id": "rail-monthly", "title": "Monthly rail and deck walk", "revision": hashlib.sha256(b"r").hexdigest(),
         "interval": "P1M", "when": "every month", "coverage": "0.95", "competence": "trained",
         "notice": "Written from common practice. A qualified person must review this checklist before use.",
         "reviewed": {"by": "M. Okafor", "credential": "rigging inspector, card 0000 (invented)", "on": "2025-11-02"}},
    ]  # fmt: skip
    reached = [p for p in parts if p["result"] == "not_reached"]
    data: dict[str, Any] = {
        "schema": "inspect-app/walk-data/1",
        "report": {"number": "2026-004", "revision": 1, "kind": kind},
        "house": {"id": uid(1), "name": "Larkmoor Playhouse", "tz": "America/Chicago", "units": "imperial", "datum": "plaster line", "demo": True},
        "walk": {"id": uid(2), "title": "Spring quarter walk", "date_local": "2026-03-04", "opened_at": "2026-03-04T18:02:00.000Z",
                 "closed_at": "2026-03-04T22:40:00.000Z", "signed_at": "2026-03-05T15:10:00.000Z" if kind != "draft" else "",
                 "people": {"aloft": ["Ines Halloran", "Tomas Reed"], "deck": "Joan Pell", "radio": "channel 4", "rescue": "Fire brigade by 911; house rescue kit at the grid door", "down_at": "17:00"},
                 "recorders": [{"name": "Ines Halloran", "vantages": ["grid", "access"], "looks": 701}, {"name": "Tomas Reed", "vantages": ["bridge", "rail"], "looks": 512}],
                 "hangs": [{"set": str(i), "what": what} for i, what in sorted(LABELS.items()) if i <= sets],
                 "closing": [{"device": "Rail phone", "people_down": [{"name": "Ines Halloran", "at": "16:31"}, {"name": "Tomas Reed", "at": "16:33"}], "tools_counted": True, "sets_locked": True, "locks_left": "padlock 7 on set 12", "note": ""}],
                 "devices": [{"name": "Rail phone", "entries": 512, "last_seq": 512, "closing_count": 512, "gaps": []}, {"name": "Grid phone", "entries": 701, "last_seq": 718, "closing_count": 718, "gaps": [[41, 57]]}]},
        "checklists": checklists,
        "areas": [{"id": uid(10 + i), "kind": "grid", "name": name, "z_mm": z} for i, (name, z) in enumerate((("Grid", 19500), ("Deck and rail", 0), ("Loading bridge", 15000), ("Access", 0), ("Gallery, stage left", 8000)))],
        "line_sets": [{"id": uid(100 + i), "number": str(i), "label": LABELS.get(i, ""), "kind": "motorised" if i in (6, 17, 28) else ("double_purchase" if i in (38, 39) else "single_purchase"),
                       "y_mm": 457 + (i - 1) * 203, "head_side": "stage_right", "lines": lines, "in_scope": True, "stopped": i == 12} for i in range(1, sets + 1)],
        "parts": parts,
        "findings": found,
        "measures": _measures(),
        "not_reached": [{"part": p["tag"], "line_set": p["line_set"], "kind_title": p["kind_title"], "pass": "grid/static", "reason": "scenery stacked over the well", "by": "Ines Halloran", "at": "2026-03-04T20:40:00.000Z"} for p in reached],
        "not_applicable": [{"part": p["tag"], "reason": "set is tied off, no lock fitted", "by": "Tomas Reed", "confirmed_by": "Ines Halloran"} for p in parts if p["result"] == "not_applicable"],
        "coverage": _coverage(parts, checklists),
        "tag_outs": [
            {"scope": "Line set 12", "why": "Lift line 12-3 necked where it leaves the block", "raised_by": "Tomas Reed", "raised_at": "2026-03-04T19:02:00.000Z", "responsible": "Ines Halloran",
             "steps": [{"step": "told_rail", "who": "Joan Pell", "by": "Tomas Reed", "at": "2026-03-04T19:03:00.000Z", "note": "by radio, read back"},
                       {"step": "lock_and_tag_on", "who": "Joan Pell", "by": "Joan Pell", "at": "2026-03-04T19:09:00.000Z", "note": "padlock 7, tag on rail and batten"}],
             "state": "standing", "from_this_walk": True},
            {"scope": "Line set 21", "why": "Raised on the wrong set", "raised_by": "Tomas Reed", "raised_at": "2026-03-04T18:58:00.000Z", "responsible": "", "steps": [], "state": "withdrawn", "from_this_walk": True},
        ] if sets >= 21 else [],
        "deficiencies": [
            {"number": 31, "part": "HL 8", "line_set": "8", "what": "Hand line glazed at the lock", "grade": "repair_by", "state": "in hand", "found_at": "2025-09-10T17:00:00.000Z", "this_walk": "worse", "due_on": "2026-04-01", "who": "Harbour Rigging", "again_of": 12, "recurring": True},
            {"number": 33, "part": "LB 20-2", "line_set": "20", "what": "Hanger bolt without washer", "grade": "watch", "state": "found", "found_at": "2025-12-03T17:00:00.000Z", "this_walk": "still_there"},
            {"number": 34, "part": "LB 9-5", "line_set": "9", "what": "Groove worn to one side", "grade": "watch", "state": "found", "found_at": "2024-03-12T17:00:00.000Z", "this_walk": "not_looked_at"},
            {"number": 36, "part": "GR 2", "line_set": None, "what": "Mid rail loose at one post", "grade": "restrict", "state": "work done", "found_at": "2025-12-03T17:00:00.000Z", "this_walk": "not_seen_now"},
        ],
        "accepted": [{"part": "W 1", "what": "Well open without toe board upstage of set 30", "accepted_by": "R. Abara", "role": "Facility manager", "reason": "Blocks leave no room; chain and sign in place", "paper": "Letter of 3 May 2025", "review_by": "2026-05-03"}],
        "siblings": [{"line_set": "12", "quantity": "rope diameter, line 3", "value": "11.2", "unit": "mm", "median": "11.9", "siblings": 5, "words": "the smallest of the six lines; its sisters lie between 11.8 and 12.0 mm"}],
        "pace": [{"device": "Grid phone", "from": "2026-03-04T20:05:10.000Z", "to": "2026-03-04T20:05:19.000Z", "entries": 7, "seconds": 9, "words": "7 entries without a finding within 9 seconds"}],
        "differing": [{"part": "LB 15-2", "looks": [{"by": "Ines Halloran", "result": "no_finding", "grade": "", "at": "2026-03-04T19:22:00.000Z"}, {"by": "Tomas Reed", "result": "finding", "grade": "watch", "at": "2026-03-04T20:22:00.000Z"}], "decided": ""}],
        "not_counted": [{"part": f"LB {n}-6", "by": "Sam Idris (helper)", "why": "no countersign yet"} for n in range(30, 36)],
        "signatures": [] if kind == "draft" else [{"n": 1, "name": "Ines Halloran", "role": "Technical director", "credential": "Technical director of the house; rigging course 2023 (invented)",
                        "statement": "I walked or had walked what this report says, in the ways it says, and nothing more.", "drawn": "M 10 60 C 30 10 40 90 60 50 S 90 20 110 55 S 140 80 190 30", "at": "2026-03-05T15:10:00.000Z", "gaps_reason": "Grid phone fell; numbers 41 to 57 lost with it. The stretch was walked again."}],
        "countersigns": [{"by": "Ines Halloran", "how": "beside them", "entries": 84}],
        "photos": shots,
        "entries": [{"id": uid(500000 + i), "sha256": hashlib.sha256(str(i).encode()).hexdigest()} for i in range(1213)],
        "root_sha256": hashlib.sha256(b"root").hexdigest(),
        "journal_head": hashlib.sha256(b"head").hexdigest() if kind != "draft" else "",
    }  # fmt: skip
    return data, blobs


def tiny() -> tuple[dict[str, Any], dict[str, bytes]]:
    """One line set of one line, no findings, no photos."""
    data, _ = walk_data(sets=1, lines=1, findings=0, photos=0)
    for key in (
        "measures",
        "tag_outs",
        "deficiencies",
        "accepted",
        "siblings",
        "pace",
        "differing",
        "not_counted",
        "countersigns",
    ):
        data[key] = []
    data["coverage"]["points_not_answered"] = []
    data["not_reached"] = []
    data["line_sets"][0]["stopped"] = False
    return data, {}


def draft() -> tuple[dict[str, Any], dict[str, bytes]]:
    """A walk of a small house that nobody has signed."""
    return walk_data(sets=12, lines=4, findings=4, photos=4, kind="draft")


def empty() -> tuple[dict[str, Any], dict[str, bytes]]:
    """A walk that was opened and closed with nothing in scope."""
    data, blobs = tiny()
    data.update(parts=[], line_sets=[], not_applicable=[], entries=[], checklists=[])
    data["coverage"] = _coverage([], [])
    data["coverage"]["points_not_answered"] = []
    data["walk"].update(
        closing=[], devices=[], hangs=[], people={"aloft": [], "deck": "", "radio": "", "rescue": "", "down_at": ""}
    )
    return data, blobs


def nothing_reached() -> tuple[dict[str, Any], dict[str, bytes]]:
    """Every part in scope was not reached."""
    data, blobs = walk_data(sets=14, findings=0, photos=0)
    for part in data["parts"]:
        part.update(result="not_reached", grade="", ways=[], answered=0)
    data["not_reached"] = [
        {"part": p["tag"], "line_set": p["line_set"], "kind_title": p["kind_title"], "pass": "grid/static", "reason": "house locked for a load-in",
         "by": "Ines Halloran", "at": "2026-03-04T18:20:00.000Z"} for p in data["parts"]
    ]  # fmt: skip
    data["not_applicable"] = []
    data["measures"] = []
    data["coverage"] = _coverage(data["parts"], data["checklists"])
    return data, blobs


def many_rules() -> tuple[dict[str, Any], dict[str, bytes]]:
    """A figure of one finding under twelve rules that say four different things of it, more rows to answer than fit a page."""
    data, blobs = walk_data(sets=3, lines=1, findings=0, photos=0)
    states = ("inside", "none", "outside", "cannot_tell")
    words = ("inside the cited criterion, this measure only", "not judged: the lay is not recorded for this part",
             "outside the cited criterion: take out of use and have a qualified person decide", "cannot tell with this gauge")  # fmt: skip
    verdicts = [
        {"state": states[n % 4], "words": words[n % 4], "limit": "" if n % 4 == 1 else f"6.{n:02d}", "unit": "mm",
         "op": "" if n % 4 == 1 else "outside when less than", "source": f"Invented rule {n}", "clause": f"clause {n}",
         "mark": ("read", "secondary", "memory")[n % 3], "by_analogy": n % 2 == 0} for n in range(12)
    ]  # fmt: skip
    data["measures"] = [
        {"part": "LL 3-1", "point": "ll-diameter", "quantity": "rope_diameter", "value": "0.2375", "unit": "in",
         "typed": "0.2375", "station": "over the loft block", "gauge": "caliper C-1", "resolution": "0.0005", "verdicts": verdicts}
    ]  # fmt: skip
    data["findings"] = [
        {"id": uid(70000 + n), "part": f"LL {n}-1", "line_set": str(n), "point": "ll-diameter", "point_text": "Diameter", "defect": "Worn",
         "answer": "new", "grade": "restrict", "proposed_grade": "restrict", "grade_reason": "", "wear": 3, "wear_text": "", "note": "",
         "photos": [], "by": "Tomas Reed", "at": "2026-03-04T19:00:00.000Z", "basis": "29cfr1926.1413 (a)(2)", "stop_words": "",
         "deficiency": n, "counted": True} for n in range(1, 24)
    ]  # fmt: skip
    return data, blobs


HOSTILE = (
    "<script>alert(1)</script><img src='http://example.invalid/x.png'><link rel=attachment href='file:///etc/passwd'>",
    "W" * 400,
    "emoji \U0001f525\U0001f9d1\u200d\U0001f527 and 中文字 and שלום and \u202egnp.evil\u202c",
    "{{ 7 * 7 }} </style><style>*{display:none} @import url(http://example.invalid/a.css)",
)


def hostile() -> tuple[dict[str, Any], dict[str, bytes]]:
    """Texts that try to leave their place in every free field."""
    data, blobs = walk_data(sets=2, lines=2, findings=0, photos=0)
    data["house"]["name"] = HOSTILE[2] + " " + "Long house name " * 12
    data["walk"]["title"] = HOSTILE[0]
    data["walk"]["people"].update(deck=HOSTILE[1], radio=HOSTILE[3])
    data["findings"] = [
        {"id": uid(70000 + n), "part": "LB 1-1", "line_set": "1", "point": "lb-groove", "point_text": text, "defect": text,
         "answer": "new", "grade": "watch", "proposed_grade": "watch", "grade_reason": text, "wear": 2, "wear_text": text,
         "note": text, "photos": [], "by": text[:60], "at": "2026-03-04T19:00:00.000Z", "basis": text, "stop_words": "",
         "deficiency": None, "counted": True} for n, text in enumerate(HOSTILE)
    ]  # fmt: skip
    data["tag_outs"] = [{"scope": HOSTILE[0], "why": HOSTILE[1], "raised_by": HOSTILE[2], "raised_at": "x", "responsible": "",
                         "steps": [{"step": "told_rail", "who": HOSTILE[3], "by": "", "at": "", "note": HOSTILE[0]}],
                         "state": "standing", "from_this_walk": True}]  # fmt: skip
    for line_set in data["line_sets"]:
        line_set["label"] = HOSTILE[0]
    data["not_reached"][0:0] = [
        {"part": "LB 1-1", "line_set": "1", "kind_title": HOSTILE[1], "reason": HOSTILE[1], "by": HOSTILE[2], "at": ""}
    ]
    return data, blobs


def inspected() -> tuple[dict[str, Any], dict[str, bytes]]:
    """A tiny walk that an inspector signed, with credential, remarks and two conditions on use."""
    data, blobs = tiny()
    data["signatures"][0].update(
        name="Odo Brandt", role="Qualified inspector", credential="Rigging inspector, 19 years",
        inspection={
            "body": "Invented Board of Riggers", "number": "IBR 0417", "expires": "end of 2027",
            "remarks": "The head beam was seen from the bridge only.\nAsk for the drawings of the 1998 work.",
            "conditions": [
                {"what": "No load above 90 kg until the head block shaft is replaced", "until": "2026-09-30",
                 "line_set": uid(900001), "area": "", "scope": "Line set 1"},
                {"what": "Two people on the deck whenever a hatch is open", "until": "2027-03-04",
                 "line_set": "", "area": uid(900002), "scope": "Grid"},
            ],
        },
    )  # fmt: skip
    return data, blobs


def sealed(data: dict[str, Any]) -> bytes:
    """The canonical bytes (RFC 8785) of walk data."""
    return rfc8785.dumps(json.loads(json.dumps(data)))
