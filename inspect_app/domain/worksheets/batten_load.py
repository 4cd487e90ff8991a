"""Batten load to lift lines: tension in each line, level and with each line slack, the blocks and the head beam.

`batten_sheet` makes the worksheet for a what-if, or for a set of the house with its line names and what withholds the
design factor there.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import partial
from typing import Any

from inspect_app.domain.batten_load import (
    COMBINE_WORDS,
    MOST_DROP_MM,
    BattenLoad,
    Combine,
    Hung,
    Piece,
    Share,
    Strength,
    batten_load,
    least_factors,
)
from inspect_app.domain.beam_model import FARTHEST_MM, Beam
from inspect_app.domain.errors import BadValue
from inspect_app.domain.figures import Figure, PipeSection
from inspect_app.domain.fleet import tread_ratio
from inspect_app.domain.force import weight_n
from inspect_app.domain.head_load import LINES_WRAP, MOST_OFFSET_MM, HeadLoad, Mounting, head_load
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.line_set import MOST_LINES
from inspect_app.domain.part_attributes import ROPE_CONSTRUCTION, ROPE_CORE, TERMINATION
from inspect_app.domain.resultant import HALF_TURN, Measured
from inspect_app.domain.worksheet import Answer, Ask, Input, Load, Reference, Worksheet
from inspect_app.domain.worksheet_input import given_otherwise, otherwise_words
from inspect_app.domain.worksheets.balance import ROPE_MASS
from inspect_app.domain.worksheets.batten_answer import Noted, batten_answer
from inspect_app.domain.worksheets.words import rounded

OTHER = "other"
_LONG = ("ft", "m")
_ON_BEAM = "head beam"
_FARTHEST, _HALF_TURN = Fraction(FARTHEST_MM), Fraction(HALF_TURN)
_ANY_RIGIDITY = 2.6e10  # N·mm²; reactions of a uniform pipe on level lines do not turn on it, the shape would
PIPES = (
    ("1", "1 in schedule 40"), ("1 1/4", "1 1/4 in schedule 40"), ("1 1/2", "1 1/2 in schedule 40"),
    ("2", "2 in schedule 40"), ("2 1/2", "2 1/2 in schedule 40"), (OTHER, "another section, the same throughout"),
)  # fmt: skip
GRADES = (
    ("carbon", "carbon steel"), ("stainless", "stainless steel"), ("improved plow steel", "improved plow steel"),
    ("extra improved plow steel", "extra improved plow steel"), ("1770", "1770 N/mm²"), ("1960", "1960 N/mm²"),
)  # fmt: skip
_BATTEN, _LINES, _HEAD, _ROPE = "Batten and loads", "Lines and loft blocks", "Head block", "For the design factor"
INPUTS = (
    Input("length", "Length of the batten", Ask.LENGTH, group=_BATTEN, bare=_LONG, most=_FARTHEST),
    Input(
        "lines", "Lift lines, from the left end of the batten", Ask.LENGTHS, group=_BATTEN, zero=True, most=_FARTHEST,
        hint="One place on each line, or parted by a comma and a space: 3 ft, 13 ft, 23 ft. Left as in the picture.",
    ),
    Input("pipe", "Pipe", Ask.CHOICE, group=_BATTEN, choices=PIPES),
    Input(
        "own", "Pipe weight with what stays on it", Ask.MASS, group=_BATTEN, required=False,
        hint="Pipe, clamps, cable: weighed. Empty: the pipe alone by its table.",
    ),
    Input(
        "loads", "Loads", Ask.LOADS, group=_BATTEN, required=False,
        hint="One on a line: 120 lb at 6 ft; 40 kg from 0 to 6 m (spread); 3 lb/ft from 0 to 40 ft; "
        "Border: 60 lb from 4 ft to 36 ft. Places from the left end.",
    ),
    Input(
        "capacity", "Capacity posted for the batten or the set", Ask.MASS, group=_BATTEN, required=False,
        hint="From its plate.",
    ),
    Input(
        "drop", "Line from loft block to batten at its lowest", Ask.LENGTH, group=_LINES, required=False, zero=True,
        bare=_LONG, most=Fraction(MOST_DROP_MM),
    ),
    replace(ROPE_MASS, group=_LINES),
    Input(
        "wrap", "Wrap of the line on a loft block", Ask.ANGLE, group=_LINES, default="90",
        hint="90 degrees: level, then plumb.", most=_HALF_TURN,
    ),
    Input(
        "kind", "Kind of set", Ask.CHOICE, group=_HEAD, required=False,
        choices=((LineSetKind.SINGLE.value, "single purchase"), (LineSetKind.DOUBLE.value, "double purchase")),
    ),
    Input(
        "mounting", "Head block", Ask.CHOICE, group=_HEAD, required=False,
        choices=((Mounting.UPRIGHT.value, "upright, on the steel"), (Mounting.UNDERHUNG.value, "underhung, below it")),
    ),
    Input(
        "head_wrap", "Wrap of the lines on the head block", Ask.ANGLE, group=_HEAD, default="90", required=False,
        hint="90 degrees: level, then plumb.", most=_HALF_TURN,
    ),
    Input("hand_line", "Pull on the hand line", Ask.FORCE, group=_HEAD, required=False, zero=True),
    Input(
        "dead_ends", "Dead ends of a double purchase", Ask.CHOICE, group=_HEAD, default=_ON_BEAM, required=False,
        choices=((_ON_BEAM, "on the head beam"), ("elsewhere", "on other steel")),
    ),
    Input(
        "shaft", "Shaft of the head block above or below the steel", Ask.LENGTH, group=_HEAD, required=False,
        most=Fraction(MOST_OFFSET_MM), hint="For what turns the head beam.",
    ),
    Input("rope_diameter_mm", "Nominal rope diameter", Ask.LENGTH, group=_ROPE, required=False),
    Input(
        "rope_construction", "Construction", Ask.CHOICE, group=_ROPE, choices=ROPE_CONSTRUCTION.choices, required=False
    ),
    Input("rope_core", "Core of the rope", Ask.CHOICE, group=_ROPE, choices=ROPE_CORE.choices, required=False),
    Input("grade", "Grade of the rope", Ask.CHOICE, group=_ROPE, choices=GRADES, required=False),
    Input("termination", "Kind of line end", Ask.CHOICE, group=_ROPE, choices=TERMINATION.choices, required=False),
    Input(
        "tread", "Smallest tread diameter that a lift line turns on", Ask.LENGTH, group=_ROPE, required=False,
        hint="Of the loft blocks, mule blocks and the head block.",
    ),
    Input(
        "combine", "Line end and bend together", Ask.CHOICE, group=_ROPE, default=Combine.PRODUCT.value, required=False,
        choices=((Combine.PRODUCT.value, "multiplied (lesser figure)"), (Combine.WEAKEST.value, "the weaker only")),
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class OfSet:
    """What the house knows of a set: names of its lines from the batten's left end, why no factor may be given.

    `recorded` is what its record gives, as typed in a form; `left_end` which end of the batten is the left one;
    `dead_hung` says that its lines turn on no block.
    """

    names: tuple[str, ...] = ()
    withheld: tuple[str, ...] = ()
    recorded: Mapping[str, str] = field(default_factory=dict)
    left_end: str = ""
    dead_hung: bool = False


def _run(of: OfSet, values: Mapping[str, Any], reference: Reference) -> Answer:
    places = _places(values, of)
    pipes = reference.figures.pipes(values["pipe"]) if values["pipe"] != OTHER else ()
    section = next(iter(pipes), None)
    if values["pipe"] != OTHER and (section is None or section.inertia is None):
        raise BadValue("No document in the data gives this pipe. Choose another section and give its weight.", "pipe")
    hung = _hung(values, reference, of, places, section)
    try:
        load = batten_load(hung)
    except BadValue as error:
        field = {"supports_mm": "lines", "degrees": "wrap", "right_end_mm": "length"}.get(error.field or "", "loads")
        raise BadValue(error.message, field) from None
    head = _head(values, load)
    others = given_otherwise(INPUTS, values, of.recorded, reference.units)
    factors, factor_notes = factors_for(values, reference, of, load, others)
    hangs_n = sum((one.newtons for one in values.get("loads", ())), _own_n(values, section))
    answer = batten_answer(values, reference, load, head, factors, factor_notes, section, hangs_n)
    said = [*otherwise_words(others)]
    if of.left_end:
        said.append(f"Places are from the {of.left_end} end of the batten, left in the picture.")
    said += _pipe_notes(pipes)
    _, rope = _rope_weight(values, reference)
    if rope is not None:
        said.append(f"The lines weigh {rope.shown} by a table, the heaviest of those that fit: {rope.citation}")
    citations = (*answer.citations, rope.citation) if rope is not None else answer.citations
    return replace(answer, assumptions=(*answer.assumptions, *said), citations=citations)


def _pipe_notes(pipes: Sequence[PipeSection]) -> list[str]:
    """What documents say of the section besides, and what the other sections of the data would change."""
    used = next(iter(pipes), None)
    if used is None or used.inertia is None:
        return []
    notes = [f"{used.inertia.title}: {used.inertia.note}"] if used.inertia.note else []
    for other in pipes[1:]:
        if other.inertia is not None:
            times = rounded(used.inertia.in_unit("mm4") / other.inertia.in_unit("mm4"), 3)
            notes.append(
                f"{other.inertia.citation} gives an inertia of {other.inertia.shown}: by it every sag would be {times} "
                "times as large; tensions stay as they are."
            )
    return notes


def _places(values: Mapping[str, Any], of: OfSet) -> tuple[float, ...]:
    places = [float(place) for place in values["lines"]]
    if len(places) > MOST_LINES:
        raise BadValue(f"A set has 1 to {MOST_LINES} lift lines, not {len(places)}.", "lines")
    if sorted(places) != places:
        raise BadValue("Give the lines from left to right.", "lines")
    if places[-1] > values["length"]:
        raise BadValue("A line is given beyond the right end of the batten.", "lines")
    if of.names and len(of.names) != len(places):
        raise BadValue(f"This set has {len(of.names)} lift lines; give a place for each.", "lines")
    return tuple(places)


def _hung(
    values: Mapping[str, Any], reference: Reference, of: OfSet, places: Sequence[float], section: PipeSection | None
) -> Hung:
    length = float(values["length"])
    rigidity = _ANY_RIGIDITY
    if section is not None and section.inertia is not None:
        modulus = reference.figures.material("steel", "elastic_modulus")[0]
        rigidity = float(modulus.in_unit("N_per_mm2") * section.inertia.in_unit("mm4"))
    pieces = [Piece("pipe weight", float(_own_n(values, section)), 0.0, length)]
    for number, one in enumerate(values.get("loads", ()), 1):
        pieces.append(_piece(one, number, length))
    per_mm, _ = _rope_weight(values, reference)
    names = of.names or tuple(f"line {number} from the left" for number in range(1, len(places) + 1))
    wrap = float(values["wrap"]) if "wrap" in values else None
    try:
        beam = Beam(tuple(places), 0.0, length, rigidity)
        return Hung(
            beam, tuple(pieces), names, float(values.get("drop", 0)), per_mm, wrap, Measured.WRAP,
            stiffness_known=section is not None,
        )  # fmt: skip
    except BadValue as error:
        field = {"supports_mm": "lines", "drop_mm": "drop", "line_n_per_mm": "rope_mass", "right_end_mm": "length"}
        raise BadValue(error.message, field.get(error.field or "", "loads")) from None


def _rope_weight(values: Mapping[str, Any], reference: Reference) -> tuple[float, Figure | None]:
    """N per mm of one line and the figure it was taken from: as typed, else the heaviest published or signed in."""
    if "rope_mass" in values:
        return float(weight_n(values["rope_mass"])) / 1000, None
    if not {"drop", "rope_diameter_mm", "rope_construction"} <= set(values):
        return 0.0, None
    found = reference.figures.rope_mass(
        values["rope_construction"], values["rope_diameter_mm"], values.get("rope_core")
    )
    if not found:
        return 0.0, None
    most = max(found, key=lambda figure: figure.in_unit("kg_per_m"))
    return float(weight_n(most.in_unit("kg_per_m"))) / 1000, most


def _own_n(values: Mapping[str, Any], section: PipeSection | None) -> Fraction:
    if "own" in values:
        return weight_n(values["own"])
    if section is None or not section.mass_per_length:
        raise BadValue("The data do not have the weight of this pipe. Weigh it, and give its weight.", "own")
    return weight_n(section.mass_per_length[0].in_unit("kg_per_m") * values["length"] / 1000)


def _piece(one: Load, number: int, length: float) -> Piece:
    name = one.name or f"load {number}"
    if float(one.to_mm or one.at_mm) > length:
        raise BadValue(f"Line {number}: the load lies beyond the right end of the batten.", "loads")
    return Piece(name, float(one.newtons), float(one.at_mm), None if one.to_mm is None else float(one.to_mm))


def _head(values: Mapping[str, Any], load: BattenLoad) -> HeadLoad | None:
    if "kind" not in values:
        return None
    mounting = Mounting(values["mounting"]) if "mounting" in values else None
    tensions = [line.level_n for line in load.lines]
    pull = float(values.get("hand_line", 0))
    try:
        return head_load(
            LineSetKind(values["kind"]), tensions, degrees=float(values.get("head_wrap", LINES_WRAP)),
            hand_line_pull_n=pull, mounting=mounting, offset_mm=float(values.get("shaft", 0)),
            dead_ends_on_beam=values.get("dead_ends", _ON_BEAM) == _ON_BEAM,
        )  # fmt: skip
    except BadValue as error:
        raise BadValue(error.message, {"degrees": "head_wrap"}.get(error.field or "", "hand_line")) from None


def factors_for(
    values: Mapping[str, Any], reference: Reference, of: OfSet, load: BattenLoad, others: Mapping[str, str]
) -> tuple[tuple[Noted, ...], tuple[str, ...]]:
    """One factor for each published strength and each efficiency of the line end, least first; or why there is none."""
    reasons = [*of.withheld]
    if changed := [others[key] for key in _OF_THE_ROPE if key in others]:
        reasons.append(
            f"not the rope on record for this set: {', '.join(changed)}. Put the record right, or ask the workbench "
            "about a rope that hangs nowhere"
        )
    missing = [name for key, name in _NEEDED if key not in values]
    if missing:
        also = f" It would be withheld besides: {'; '.join(reasons)}." if reasons else ""
        return (), (f"No design factor: not given: {', '.join(missing)}.{also}",)
    strengths = reference.figures.rope_strength(
        values["rope_construction"], values["grade"], values["rope_diameter_mm"], values.get("rope_core")
    )
    if not strengths:
        return (), ("No design factor: no document in the data gives a breaking strength for this rope.",)
    ends = reference.figures.termination_efficiency(values["termination"], values["rope_diameter_mm"])
    if not ends:
        words = dict(TERMINATION.choices)[values["termination"]]
        reasons.append(f"no published efficiency of this line end ({words}) is in the data or signed in by the house")
    bends, bend_notes = _bend(values, reference)
    combine = Combine(values.get("combine", Combine.PRODUCT))
    made: list[Noted] = []
    for end in _ends_by_share(ends) or (None,):
        shares = [share for share in (end, *map(_share, bends)) if share is not None]
        for figure in strengths:
            strength = Strength(float(figure.in_unit("N")), figure.citation)
            (factor,) = least_factors(load, [strength], shares, combine, reasons)
            at = f", line end at {rounded(Fraction(str(end.share)) * 100)} %" if end is not None else ""
            made.append((factor, (f"{figure.title.removeprefix(_STRENGTH)}{at}", figure.applies_to)))
    made.sort(key=lambda one: one[0].value or 0.0)
    notes = [f"{figure.title}: {figure.note}" for figure in (*strengths, *ends) if figure.note]
    notes += [COMBINE_WORDS[combine], *bend_notes] if bends else bend_notes
    if of == OfSet():
        notes.append(_NO_SET)
    return tuple(made), tuple(notes)


_STRENGTH = "Breaking strength, "
_NO_SET = (
    "These figures are of no set: a stop, a limit on use or a measure outside is not known here. What hangs in the "
    "house is asked about from the page of its set, where such things withhold the factor."
)
_OF_BLOCKS = frozenset({"wrap", "kind", "mounting", "head_wrap", "hand_line", "dead_ends", "shaft", "tread", "combine"})
_OF_THE_ROPE = ("rope_diameter_mm", "rope_construction", "rope_core", "termination", "tread")
_NEEDED = (
    ("rope_diameter_mm", "rope diameter"),
    ("rope_construction", "construction"),
    ("grade", "grade of the rope"),
    ("termination", "kind of line end"),
)


def _bend(values: Mapping[str, Any], reference: Reference) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    if "wrap" not in values:
        return (), ()  # the lines turn on no block
    if "tread" not in values:
        return (), ("What the bend over a block takes of the strength is left out: no tread is given.",)
    try:
        ratio = tread_ratio(values["tread"], values["rope_diameter_mm"])
    except BadValue as error:
        raise BadValue(error.message, "tread") from None
    bends = reference.figures.sheave_efficiency(ratio)[:1]
    return bends, tuple(figure.note for figure in bends if figure.note)


def _share(figure: Figure) -> Share:
    return Share(figure.title, float(figure.value) / 100, figure.citation)


def _ends_by_share(ends: Sequence[Figure]) -> tuple[Share, ...]:
    """The efficiencies of a line end: documents that name the same one together."""
    by_value: dict[Fraction, list[Figure]] = {}
    for figure in ends:
        by_value.setdefault(figure.value, []).append(figure)
    return tuple(
        replace(_share(same[0]), citation="\n".join(one.citation for one in same)) for same in by_value.values()
    )


def batten_sheet(of: OfSet = OfSet()) -> Worksheet:
    """The worksheet for a what-if, or for a set of the house; of a dead-hung one nothing is asked about blocks."""
    return Worksheet(
        "batten-load",
        "Batten load to lift lines",
        "What does each hanger carry from this batten?"
        if of.dead_hung
        else "What does each lift line, block and the head beam carry from this batten?",
        tuple(one for one in INPUTS if not of.dead_hung or one.key not in _OF_BLOCKS),
        partial(_run, of),
        (
            "continuous beam on its lines, stiffness method: all lines level, then each line slack in turn",
            "tension = share of pipe and load + the line's own weight",
            "pull on a block = 2 T sin(wrap / 2)",
            "factor = breaking strength × share left by the line end × share left by the bend / most tension",
        ),
    )


SHEETS = (batten_sheet(),)
