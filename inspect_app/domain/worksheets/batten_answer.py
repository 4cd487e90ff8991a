"""What the batten worksheet says: outcomes, working, tables and the picture, from what was worked out."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import floor, log10
from typing import Any

from inspect_app.domain.balance import against_posted
from inspect_app.domain.batten_load import BENDS_FAR, FACTOR_WORDS, BattenLoad, BeamPicture, Case, Factor, letters
from inspect_app.domain.beam_model import Solution
from inspect_app.domain.figures import Figure, Figures, PipeSection
from inspect_app.domain.head_load import HeadLoad
from inspect_app.domain.units import STANDARD_GRAVITY
from inspect_app.domain.worksheet import Answer, Outcome, Reference, Step, Table
from inspect_app.domain.worksheets.words import force_words, length_words, mass_words, moment_words, rounded, table_of

FACTOR_FIGURES = 3
Noted = tuple[Factor, tuple[str, str]]  # a factor, the rope and line end it is of, and what its document is written for


def batten_answer(
    values: Mapping[str, Any], reference: Reference, load: BattenLoad, head: HeadLoad | None,
    factors: Sequence[Noted], factor_notes: Sequence[str], section: PipeSection | None, hangs_n: Fraction,
) -> Answer:  # fmt: skip
    """The answer, with pictures of level lines and of the worst case. `hangs_n` is all that hangs on them, exactly."""
    units = reference.units
    worst = load.worst
    case = next(case for case in load.cases if case.words == worst.worst_case)
    tips = "; the pipe tips, and what is left carries all of the load" if case.solution is None else ""
    asked = reference.figures if factors else Figures(())
    outcomes = [
        Outcome("All that hangs on the lines", force_words(load.total_n, units), words="pipe and loads"),
        Outcome("Most tension", force_words(worst.worst_n, units), words=f"{worst.name}, {worst.worst_case}{tips}"),
        *_slack_when_level(load),
        *_posted(values.get("capacity"), hangs_n, units),
        *_head_outcomes(head, units),
        *factor_outcomes(factors),
        *(asked_factor(figure) for use in ("lift line", "wire rope") for figure in asked.design_factors(use)),
    ]
    level = load.cases[0]
    cites = [] if section is None or section.inertia is None else [section.inertia.citation]
    if section is not None and "own" not in values:
        cites += [figure.citation for figure in section.mass_per_length[:1]]
    if section is not None:
        cites.append(reference.figures.material("steel", "elastic_modulus")[0].citation)
    cites += [text for factor, _ in factors for cited in factor.citations for text in cited.splitlines()]
    left_out = "Head block and head beam are left out: neither single nor double purchase was chosen."
    without = () if load.hung.loft_degrees is None else (left_out,)
    head_notes = head.assumptions if head else without
    shape = (
        () if section else ("The shape of the pipe is not drawn: its stiffness is not known; tensions do not need it.",)
    )
    drawn = [level] if case.solution is None or case is level else [level, case]
    return Answer(
        tuple(outcomes),
        _steps(load, head, factors, units),
        (_loads_table(load, units), _lines_table(load, units), _cases_table(load, units)),
        (*load.assumptions, *head_notes, *factor_notes, *shape),
        _CAUTIONS,
        tuple(cites),
        tuple(BeamPicture(load, one, units) for one in drawn),
    )


def _slack_when_level(load: BattenLoad) -> list[Outcome]:
    """Lines that the loads lift the pipe off while all lines hang level."""
    solution = load.cases[0].solution
    names = [load.hung.names[index] for index in solution.slack] if solution is not None else []
    words = "the loads lift the pipe there: it carries none of them, and the lines that stay tight carry all"
    return [Outcome("Slack with all lines level", name, words=words) for name in names]


FACTOR_CAUTION = (
    f"A design factor here reads: {FACTOR_WORDS}. Local codes and a qualified person decide which factor is needed."
)
_CAUTIONS = (
    FACTOR_CAUTION,
    "What a batten, its splices, clamps and trims may carry is not worked out here: the posted capacity comes first.",
)


def _posted(capacity_kg: Fraction | None, hangs_n: Fraction, units: str) -> list[Outcome]:
    if capacity_kg is None:
        return []
    found = against_posted("batten", hangs_n / STANDARD_GRAVITY, capacity_kg)
    words = f"{found.words}; set against pipe and loads together"
    return [Outcome("Against the capacity posted", mass_words(capacity_kg, units), words=words,
                    citation="the plate of the batten or the set", tone=found.result.value)]  # fmt: skip


def _head_outcomes(head: HeadLoad | None, units: str) -> list[Outcome]:
    if head is None:
        return []
    parts = [
        "lift lines over the head block",
        *(["dead ends"] if head.dead_end_n and head.dead_ends_on_beam else []),
        *(["hand line"] if head.hand_line_n else []),
    ]
    made = [
        Outcome("Lift lines on the head block", force_words(head.block.pull_n, units), words="all lines level"),
        Outcome("Down on the head beam from this set", force_words(head.beam_down_n, units), words=" and ".join(parts)),
        Outcome("Level pull on the head beam", force_words(head.beam_level_n, units), words="towards the loft blocks"),
        Outcome("The loaded arbor", force_words(head.arbor_n, units), words="in balance"),
    ]
    if head.dead_end_n:
        where = "on the head beam" if head.dead_ends_on_beam else "on other steel, which carries them besides"
        made.append(Outcome("Dead ends, together", force_words(head.dead_end_n, units), words=where))
    if head.turning_nmm:
        words = "level pull × distance of the shaft from the steel"
        made.append(Outcome("What turns the head beam", moment_words(head.turning_nmm, units), words=words))
    return made


def factor_outcomes(factors: Sequence[Noted], *, of_batten: bool = True) -> list[Outcome]:
    """Each factor, or once why there is none; of a batten with the line and the case that it is the least of."""
    held = list(dict.fromkeys(text for factor, _ in factors if factor.value is None for text in factor.withheld))
    if held:
        cited = dict.fromkeys(text for factor, _ in factors for text in "\n".join(factor.citations).splitlines())
        words = "; ".join(held)
        return [Outcome("Least design factor", "", words=words, citation="\n".join(cited), tone="withheld")]
    return [
        Outcome(
            f"Least design factor, {rope}",
            f"{floored_factor(factor.value)} : 1",
            words=f"{factor.words}{f' ({factor.line}, {factor.case})' if of_batten else ''}. Strength as of: {scope}",
            citation="\n".join(factor.citations),
        )
        for factor, (rope, scope) in factors
        if factor.value is not None
    ]


def floored_factor(factor: float) -> str:
    """A factor to three figures, cut: shown rounded up it could seem to reach what somebody asks for."""
    size = Fraction(factor) * (1 + Fraction(1, 10**9))  # what is a whole figure but for the last binary place stays one
    places = max(FACTOR_FIGURES - 1 - floor(log10(factor)), 0)
    return rounded(Fraction(floor(size * 10**places), 10**places), FACTOR_FIGURES)


def asked_factor(figure: Figure) -> Outcome:
    """A design factor that a document asks for: shown beside the ones worked out, and compared with none of them."""
    return Outcome(f"Asked for by a document: {figure.title}", rounded(figure.value), words=figure.applies_to,
                   citation=figure.citation)  # fmt: skip


def _steps(load: BattenLoad, head: HeadLoad | None, factors: Sequence[Noted], units: str) -> tuple[Step, ...]:
    steps = [
        Step(
            "the pipe on its lines is solved by the stiffness method; reactions add up to the load",
            " + ".join(force_words(line.level_n - load.hung.rope_n, units) for line in load.lines),
            force_words(load.total_n, units),
        ),
        Step(
            "tension = share of pipe and load + the line's own weight over the drop",
            f"{force_words(load.worst.worst_n - load.hung.rope_n, units)} + {force_words(load.hung.rope_n, units)}",
            force_words(load.worst.worst_n, units),
        ),
    ]
    if load.worst.loft_block is not None:
        block = load.worst.loft_block
        formula = f"2 × {force_words(block.tension_n, units)} × sin({rounded(block.wrap_degrees)}° / 2)"
        steps.append(Step("pull on a loft block = 2 T sin(wrap / 2)", formula, force_words(block.pull_n, units)))
    if head is not None:
        formula = f"2 × {force_words(head.lines_n, units)} × sin({rounded(head.block.wrap_degrees)}° / 2)"
        steps.append(
            Step("pull on the head block = 2 ΣT sin(wrap / 2)", formula, force_words(head.block.pull_n, units))
        )
    for factor, _ in factors:
        if factor.value is not None:
            shares = "".join(f" × {rounded(share.share)}" for share in factor.shares)
            formula = (
                f"{force_words(factor.strength.newtons, units)}{shares} / {force_words(load.worst.worst_n, units)}"
            )
            steps.append(
                Step("factor = breaking strength × shares / most tension", formula, floored_factor(factor.value))
            )
    return tuple(steps)


def _loads_table(load: BattenLoad, units: str) -> Table:
    """The loads by the letters of the picture."""
    rows = []
    for letter, piece in zip(letters(load.hung.pieces), load.hung.pieces, strict=True):
        where = length_words(Fraction(piece.at_mm), units)
        if piece.to_mm is not None:
            where = f"{where} to {length_words(Fraction(piece.to_mm), units)}"
        rows.append((letter, piece.name, force_words(piece.newtons, units), where))
    return table_of("Loads, by the letters of the picture", ("Letter", "Load", "Weight", "From the left end"), rows)


def _lines_table(load: BattenLoad, units: str) -> Table:
    rows = []
    for line in load.lines:
        block = force_words(line.loft_block.pull_n, units) if line.loft_block else "no loft block"
        rows.append((line.name, length_words(Fraction(line.at_mm), units), force_words(line.level_n, units),
                     force_words(line.worst_n, units), line.worst_case, block))  # fmt: skip
    headings = (
        "Lift line",
        "From the left end",
        "All lines level",
        "Worst",
        "Worst with",
        "Pull on its loft block, worst",
    )
    notes = [
        f"At a wrap of {rounded(block.wrap_degrees)} degrees the parts of that pull are "
        f"{rounded(block.plumb_n / block.tension_n, 3)} × the tension plumb down and "
        f"{rounded(block.level_n / block.tension_n, 3)} × the tension level, towards the head block."
        for block in (load.worst.loft_block,)
        if block is not None and block.tension_n > 0
    ]
    return replace(table_of("Tension in each lift line", headings, rows), notes=tuple(notes))


def _cases_table(load: BattenLoad, units: str) -> Table:
    rows = []
    for case in load.cases:
        if case.solution is None:
            all_of_it = force_words(load.total_n + load.hung.rope_n, units)
            names = " or ".join(load.hung.names[index] for index in case.carries_all)
            rows.append((case.words, f"{all_of_it} in {names}: the pipe tips, what is left carries all", "", "", ""))
            continue
        most = max(case.solution.reactions_n)
        name = load.hung.names[case.solution.reactions_n.index(most)]
        sagging, hogging = case.solution.sagging.value, abs(case.solution.hogging.value)
        rows.append(
            (
                _with_slack(load, case, case.solution),
                f"{force_words(most + load.hung.rope_n, units)} in {name}",
                moment_words(sagging, units),
                moment_words(hogging, units),
                _sag(load, case.solution, units),
            )
        )
    headings = ("Lines", "Most tension", "Largest sagging moment", "Largest hogging moment", "Largest sag")
    return table_of("Level, and each line slack in turn", headings, rows)


def _with_slack(load: BattenLoad, case: Case, solution: Solution) -> str:
    """The case with the lines that go slack of themselves in it."""
    names = [load.hung.names[index] for index in solution.slack]
    others = [name for name in names if case.words != f"{name} slack"]
    return f"{case.words}; of itself also slack: {', '.join(others)}" if others else case.words


def _sag(load: BattenLoad, solution: Solution, units: str) -> str:
    if not load.hung.stiffness_known:
        return "not known"
    return BENDS_FAR if load.hung.bends_far(solution) else length_words(solution.sag.value, units)
