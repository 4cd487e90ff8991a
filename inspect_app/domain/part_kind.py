"""The kinds of parts in words: their title and the letters that begin their tag."""

from collections.abc import Mapping
from typing import NamedTuple

from inspect_app.domain.part import PartKind


class KindWords(NamedTuple):
    """`one` and `many` as printed; `prefix` begins the tag (HB 12); `note` says what the part takes in."""

    one: str
    many: str
    prefix: str
    note: str = ""


KIND_WORDS: Mapping[PartKind, KindWords] = {
    PartKind.HEAD_BEAM: KindWords("head beam", "head beams", "HM", "head steel on one side, for a section of sets"),
    PartKind.HEAD_BLOCK: KindWords("head block", "head blocks", "HB"),
    PartKind.LOFT_BLOCK: KindWords("loft block", "loft blocks", "LB"),
    PartKind.MULE_BLOCK: KindWords("mule block", "mule blocks", "MB", "diverts a line on its way"),
    PartKind.LOFT_BEAM: KindWords("loft-block beam", "loft-block beams", "LM", "well channels, hangers, steel in view"),
    PartKind.LIFT_LINE: KindWords("lift line", "lift lines", "LL"),
    PartKind.TERMINATION_ARBOR: KindWords("line end at the arbor", "line ends at the arbor", "TA"),
    PartKind.TERMINATION_BATTEN: KindWords("line end at the batten", "line ends at the batten", "TB"),
    PartKind.TRIM: KindWords("trim", "trims", "TR", "chain, turnbuckle or adjusting bolt of one line"),
    PartKind.BATTEN: KindWords("batten", "battens", "BT"),
    PartKind.ARBOR: KindWords("arbor", "arbors", "AR"),
    PartKind.COUNTERWEIGHTS: KindWords("counterweights", "counterweights", "CW", "the stack and the pipe weight"),
    PartKind.SPREADERS: KindWords("spreader plates and collars", "spreader plates and collars", "SP"),
    PartKind.GUIDE: KindWords("guide and shoes", "guides and shoes", "GU"),
    PartKind.STOP: KindWords("stops of the arbor", "stops of the arbor", "ST", "top and bottom stop with bumpers"),
    PartKind.HAND_LINE: KindWords("hand line", "hand lines", "HL"),
    PartKind.ROPE_LOCK: KindWords("rope lock and ring", "rope locks and rings", "RL"),
    PartKind.TENSION_BLOCK: KindWords("tension block", "tension blocks", "FB", "the floor block of the hand line"),
    PartKind.SET_TRAVEL: KindWords("whole set in travel", "whole sets in travel", "TV"),
    PartKind.DOUBLE_PURCHASE: KindWords("double-purchase gear", "double-purchase gear", "DP"),
    PartKind.LOCKING_RAIL: KindWords("locking rail", "locking rails", "LR", "rail and labels of a section of sets"),
    PartKind.LOADING_BRIDGE: KindWords("loading bridge", "loading bridges", "BR"),
    PartKind.GRID_DECK: KindWords("bay of the grid deck", "bays of the grid deck", "GD"),
    PartKind.WELL: KindWords("well or opening", "wells and openings", "W"),
    PartKind.GUARDRAIL: KindWords("guardrail", "guardrails", "GR"),
    PartKind.LADDER: KindWords("ladder or stair", "ladders and stairs", "LD"),
    PartKind.HATCH: KindWords("hatch or gate", "hatches and gates", "HT"),
    PartKind.LIGHTING: KindWords("light, power and comms", "light, power and comms", "LT"),
    PartKind.SIGN: KindWords("signs and papers", "signs and papers", "SG"),
    PartKind.TEMPORARY_POINT: KindWords("temporary point", "temporary points", "TP"),
    PartKind.ANCHOR_POINT: KindWords("anchor point", "anchor points", "AP", "fall-protection anchor or lifeline"),
    PartKind.BUILDING_INTERFACE: KindWords("building interface", "building interfaces", "BI", "pipes, ducts, roof"),
    PartKind.HOIST: KindWords("hoist", "hoists", "HO", "motor and gearbox"),
    PartKind.DRUM: KindWords("drum or line shaft", "drums and line shafts", "DR"),
    PartKind.BRAKE: KindWords("brake", "brakes", "BK"),
    PartKind.LIMIT_SWITCH: KindWords("limits and stops of the hoist", "limits and stops of the hoists", "LS"),
    PartKind.CONTROL: KindWords("control and isolator", "controls and isolators", "CT"),
    PartKind.ROPE_SET: KindWords(
        "ropes of a rope set", "ropes of rope sets", "RS", "hand-hauled ropes, bag, trim clamp"
    ),
    PartKind.PIN_RAIL: KindWords("pin rail and pins", "pin rails and pins", "PR"),
    PartKind.FIRE_SAFETY_CURTAIN: KindWords("fire safety curtain", "fire safety curtains", "FC"),
    PartKind.SMOKE_VENT: KindWords("smoke vent", "smoke vents", "SV"),
    PartKind.CABLE: KindWords("cable and cable pick", "cables and cable picks", "CB"),
    PartKind.HANGER: KindWords("hanger", "hangers", "HG", "chain, clip or rod of a dead-hung pipe"),
}

KIND_TITLES: Mapping[PartKind, str] = {kind: words.one for kind, words in KIND_WORDS.items()}


def kind_title(kind: PartKind) -> str:
    """A kind of part as printed, as `loft block`."""
    return KIND_WORDS[kind].one


def tag_for(kind: PartKind, number: str = "", line: int | None = None) -> str:
    """The tag of a part: `HB 12`, `LB 12-3`; a number may itself hold a section, as `2-1`."""
    words = [KIND_WORDS[kind].prefix]
    if number:
        words.append(number if line is None else f"{number}-{line}")
    return " ".join(words)
