"""The defects planted in the demonstration house, so that a walk can be compared with what was there.

Invented for practice; nothing here is a figure of the trade. Days count back from the day of the build.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from inspect_app.domain.checklist import Grade


class Today(StrEnum):
    """What the automatic walk of today makes of a planted defect: it has blind spots, as people have."""

    FOUND = "found"
    MISSED = "missed"  # it taps *no finding* there
    PASSED_BY = "passed_by"  # it never gets there, or that checklist is not walked today


@dataclass(frozen=True, slots=True)
class Planted:
    """One defect at one part.

    `points` are those under which a finding counts as having found it, the usual one first. `since` and `until`: it is
    there from so many days before today until so many (None: it still is). `noticed`: so many days before today the
    walks of the past first see it (None: they never did). `scene` and `amount` draw its picture.
    """

    key: str
    tag: str
    points: tuple[str, ...]
    defect: str
    what: str
    grade: Grade
    wear: int | None
    scene: str
    amount: float
    since: int
    until: int | None = None
    noticed: int | None = None
    today: Today = Today.PASSED_BY

    def there(self, days_ago: int) -> bool:
        """Whether it is there on a day so many days before today."""
        return days_ago <= self.since and (self.until is None or days_ago > self.until)

    @property
    def standing(self) -> bool:
        """Whether somebody who looks today can find it."""
        return self.until is None


UNREACHED_WELL = "W 6"
UNREACHED_SINCE = 790  # days; the duct was hung then, and nobody has stood beyond it since
UNREACHED_WHY = "No footing beyond the new duct; needs a platform or a lift from the deck"
ACCEPTED_WELL = "W HR"
STOPPED_SET = "31"
WRONG_STOP_SET, RIGHT_STOP_SET = "6", "7"
SHRINKING_ROPE = "LL 9-4"
WORN_BLOCK = "LB 14-3"
SISTER_SETS = ("8", "9", "10", "13", "14", "15", "17", "18")  # single purchase, roped in the same year
RECURRING_LABEL = "AR 12A"
KINKED_LINE = "LL 36-3"
AFTER_COLLISION = 867  # days before today: the inspection after the collision of sets 35 and 36

_STOP, _RESTRICT, _REPAIR, _WATCH = Grade.STOP_USE, Grade.RESTRICT, Grade.REPAIR_BY, Grade.WATCH

PLANTED: tuple[Planted, ...] = (
    Planted(
        "groove", WORN_BLOCK, ("loft-block-groove", "loft-block-groove-radius"), "one-sided",
        "Groove worn toward the upstage flank, filings on the beam below", _REPAIR, 3, "loft_block", 0.8,
        since=900, noticed=500, today=Today.FOUND,
    ),
    Planted(
        "rope-thin", SHRINKING_ROPE, ("lift-line-outer-wires", "lift-line-diameter"), "flats",
        "Flats on the crowns over the block; the line measures thinner each year", _RESTRICT, 3, "rope_caliper", 0.7,
        since=900, noticed=310, today=Today.FOUND,
    ),
    Planted(
        "rope-wires", "LL 22-5", ("lift-line-tangent", "lift-line-broken-wires", "lift-line-rag"), "crown-break",
        "Broken wires on the crowns where the line leaves the loft block", _RESTRICT, 3, "rope", 0.5,
        since=60, today=Today.FOUND,
    ),
    Planted(
        "collar", "SP 31", ("spreaders-collars", "spreaders-collars-from-rail"), "one-only",
        "Collar missing on the upstage rod of the loaded arbor", _STOP, 4, "arbor", 0.5,
        since=80, noticed=65, today=Today.PASSED_BY,
    ),
    Planted(
        "trim-link", "TR 8-2", ("trim-links",), "worn",
        "One link of the trim chain stretched and opening", _STOP, 4, "trim_chain", 0.8,
        since=50, today=Today.FOUND,
    ),
    Planted(
        "head-well", ACCEPTED_WELL, ("wells-head-well", "wells-accepted", "wells-cover"), "chain-low",
        "Head well open to the walkway for about 6 ft, a low chain in place of the rail",
        _RESTRICT, None, "open_well", 0.8,
        since=420, noticed=399, today=Today.FOUND,
    ),
    Planted(
        "label", RECURRING_LABEL, ("arbor-number",), "faded",
        "Number on the arbor cannot be read", _REPAIR, None, "label_fault", 0.9,
        since=75, noticed=65, today=Today.FOUND,
    ),
    Planted(
        "deck-clip", "GD 3-2", ("grid-deck-fixings",), "clip-missing",
        "Clip missing at the second bearer", _RESTRICT, 2, "grid_deck", 0.8,
        since=140, today=Today.FOUND,
    ),
    Planted(
        "rail-chain", "GR BR", ("guardrails-continuous", "guardrails-removable"), "chain",
        "Chain hung where a removable length of rail belongs", _RESTRICT, None, "guardrail", 0.8,
        since=30, today=Today.FOUND,
    ),
    Planted(
        "rung", "LD 2", ("access-rungs",), "bent",
        "Fourth rung from the top bent", _RESTRICT, 3, "ladder", 0.8,
        since=25, today=Today.FOUND,
    ),
    Planted(
        "hand-line", "HL 18", ("hand-line-surface", "hand-line-lock-place"), "fuzz",
        "Fuzzed over about 3 ft where it sits in the lock, old tape on it", _REPAIR, 2, "hand_line", 0.8,
        since=600, noticed=520, today=Today.FOUND,
    ),
    Planted(
        "stacks", "BR R", ("loading-bridge-stacks-low",), "above-kick-rail",
        "Two stacks of weights higher than the kick rail", _RESTRICT, None, "loading_bridge", 0.8,
        since=300, noticed=275, today=Today.FOUND,
    ),
    Planted(
        "index-light", "LR R2", ("locking-rail-light",), "out",
        "Two lamps of the index light out over sets 14 to 16", _REPAIR, None, "rope_lock", 0.1,
        since=15, today=Today.FOUND,
    ),
    Planted(
        "hatch-rim", "HT 1", ("access-rim-paint",), "worn",
        "Paint on the rim of the hatch worn away", _WATCH, None, "open_well", 0.9,
        since=400, noticed=308, today=Today.FOUND,
    ),
    Planted(
        "leak", "LM 5-3", ("loft-steel-leaks",), "streak",
        "Rust streak below the roof drain", _REPAIR, 1, "head_beam", 0.5,
        since=700, noticed=672, today=Today.FOUND,
    ),
    Planted(
        "batten-bend", "BT 27", ("batten-straight", "batten-by-eye-deck"), "bend",
        "Lasting bend at the fifth line", _REPAIR, 2, "batten_end", 0.8,
        since=200, today=Today.MISSED,
    ),
    Planted(
        "block-kicked", "LB 10-2", ("loft-block-witness-mark",), "shifted",
        "Block stands half an inch off its witness mark", _WATCH, 1, "loft_block", 0.1,
        since=160, today=Today.MISSED,
    ),
    Planted(
        "floor-block", "FB 30", ("tension-block-guide-bolts",), "missing",
        "One guide bolt missing", _REPAIR, None, "rope_lock", 0.5,
        since=100, today=Today.MISSED,
    ),
    Planted(
        "line-on-cheek", "LB 33-6", ("loft-block-line-path", "loft-block-cheeks"), "near-cheek",
        "Line has rubbed a slot into the cheek", _RESTRICT, 3, "loft_block", 0.9,
        since=500, today=Today.PASSED_BY,
    ),
    Planted(
        "slipped-end", "TB 35-1", ("line-end-batten-slip-witness",), "torn",
        "Paint witness torn, rope drawn a little through its sleeve", _STOP, 4, "line_end", 0.8,
        since=90, today=Today.PASSED_BY,
    ),
    Planted(
        "pick", "CB 23", ("cables-pick",), "frayed",
        "Pick rope of the cable frayed", _STOP, 4, "hand_line", 0.9,
        since=45, today=Today.PASSED_BY,
    ),
    Planted(
        "brake-oil", "BK 16", ("hoist-brake-clean", "hoist-leaks"), "oil",
        "Oil film under the brake", _STOP, 4, "hoist", 0.8,
        since=40, today=Today.PASSED_BY,
    ),
    Planted(
        "label-first", RECURRING_LABEL, ("arbor-number",), "faded",
        "Number on the arbor cannot be read", _REPAIR, None, "label_fault", 0.9,
        since=960, until=880, noticed=945,
    ),
    Planted(
        "label-again", RECURRING_LABEL, ("arbor-number",), "wrong",
        "Arbor bears the number 12", _REPAIR, None, "label_fault", 0.5,
        since=470, until=380, noticed=430,
    ),
    Planted(
        "rung-loose", "LD 1", ("access-rungs", "access-brackets"), "bent",
        "Rung loose at its weld", _RESTRICT, 3, "ladder", 0.7,
        since=870, until=820, noticed=854,
    ),
    Planted(
        "line-kinked", KINKED_LINE, ("after-event-lines",), "kink",
        "Kinked a foot above the clamp, where the batten was lifted in the collision", _STOP, None, "rope", 0.6,
        since=868, until=864, noticed=AFTER_COLLISION,
    ),
    Planted(
        "lock-creeps", "RL 7", ("rope-lock-holds", "rope-lock-shoes"), "creeps",
        "Closed lock creeps under the house's test pull", _STOP, 4, "rope_lock", 0.8,
        since=260, until=240, noticed=245,
    ),
)  # fmt: skip


def planted_by_key(key: str) -> Planted:
    """One row of the table. Raises KeyError."""
    return {planted.key: planted for planted in PLANTED}[key]


def standing() -> Iterator[Planted]:
    """What can be found today."""
    return (planted for planted in PLANTED if planted.standing)
