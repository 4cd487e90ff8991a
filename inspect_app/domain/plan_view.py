"""Views of the plan: what a mark says of a part. A view is a function from a part's id to a mark, with its legend."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from inspect_app.domain.blind_spot import BLIND_ORDER, BLIND_TITLES, BlindKind, BlindSpot, years_before
from inspect_app.domain.checklist import GRADE_RANK, Grade, Way
from inspect_app.domain.plan import CONDITION_WORDS, Condition, condition_of, rank_of

WAY_WORDS: Mapping[Way, str] = {
    Way.HANDLED: "handled", Way.SEEN_CLOSE: "seen close", Way.SEEN_FROM_AFAR: "seen from afar", Way.HEARD: "heard",
}  # fmt: skip
AGE_BANDS = (1, 2, 5)  # years; common practice, no source: nothing is due by these, the calendar says what is
AGE_WORDS = ("within a year", "1 to 2 years ago", "2 to 5 years ago", "over 5 years ago")
# What each rating means for a part stands in the checklist's own words; here only the two ends are named.
WEAR_WORDS = ("rated 0, none seen", "rated 1", "rated 2", "rated 3", "rated 4, the most")
QUIET = 100  # from this rank on a mark is no finding and nothing to act on; drawn first, below the others


class Look(NamedTuple):
    """The last record of a part, and its last real look with the closest way of looking; None where there is none."""

    result: str = ""
    on: date | None = None
    looked_on: date | None = None
    way: Way | None = None


class PlanFacts(NamedTuple):
    """What is known of the parts of a house on a day, by part id; `stopped` are ids of sets out of use, with why.

    `grades` is the gravest open action grade with the numbers of its deficiencies, `wear` the gravest last rating.
    """

    day: date
    looks: Mapping[str, Look]
    grades: Mapping[str, tuple[Grade, tuple[int, ...]]]
    wear: Mapping[str, tuple[int, date]]
    stopped: Mapping[str, tuple[str, ...]]
    blind: Mapping[str, BlindSpot]


class Mark(NamedTuple):
    """What is drawn for a part: the code of its shape and filling, its words, and how grave it is (0: gravest)."""

    code: str
    words: str
    rank: int


@dataclass(frozen=True, slots=True)
class View:
    """One way to colour the plan. `says` is the sentence above the picture, `legend` the (code, words) of its marks."""

    key: str
    title: str
    says: str
    mark_of: Callable[[str], Mark]
    legend: tuple[tuple[str, str], ...]


def condition_view(facts: PlanFacts) -> View:
    """The gravest open grade of a part, else what its last record says."""

    def mark_of(part: str) -> Mark:
        look, graded = facts.looks.get(part, Look()), facts.grades.get(part)
        if graded:
            condition = condition_of("finding", graded[0].value)
            return Mark(condition.value, f"{CONDITION_WORDS[condition]}: {_numbers(graded[1])}", rank_of(condition))
        # a last look whose findings are all settled leaves nothing open
        result = "no_finding" if look.result == "finding" else look.result
        condition = condition_of(result)
        rank = rank_of(condition) + (QUIET if condition is not Condition.NOT_REACHED else 0)
        words = "looked at, nothing open" if look.result == "finding" else CONDITION_WORDS[condition]
        return Mark(condition.value, words + (f", {look.on}" if look.on else ""), rank)

    legend = tuple((one.value, CONDITION_WORDS[one]) for one in Condition)
    says = "The gravest open action grade of each part; where nothing is open, what its last look says."
    return View("condition", "Condition", says, mark_of, legend)


def action_view(facts: PlanFacts) -> View:
    """Only what somebody still has to act on."""

    def mark_of(part: str) -> Mark:
        graded = facts.grades.get(part)
        if graded is None:
            return Mark("no_action", "no open deficiency in this log", QUIET)
        grade, numbers = graded
        words = CONDITION_WORDS[condition_of("finding", grade.value)]
        return Mark(grade.value, f"{words}: {_numbers(numbers)}", len(Grade) - 1 - GRADE_RANK[grade])

    graded = sorted(Grade, key=GRADE_RANK.__getitem__, reverse=True)
    legend = tuple((one.value, CONDITION_WORDS[condition_of("finding", one.value)]) for one in graded)
    says = "The gravest action grade that is still open on each part, however many deficiencies there are."
    return View("action", "Open action", says, mark_of, (*legend, ("no_action", "no open deficiency in this log")))


def look_view(facts: PlanFacts) -> View:
    """How old the last look is, and in what way it was done."""

    def mark_of(part: str) -> Mark:
        look = facts.looks.get(part, Look())
        missed = f"; not reached on {look.on}" if look.result == "not_reached" else ""
        if look.looked_on is None:
            code = (
                "not_reached" if missed else "not_applicable" if look.result == "not_applicable" else "never_recorded"
            )
            words = {"not_reached": f"never looked at{missed}", "not_applicable": f"said not to apply, {look.on}"}
            return Mark(
                code, words.get(code, "never recorded"), {"never_recorded": 0, "not_reached": 1}.get(code, QUIET)
            )
        band, way = age_band(look.looked_on, facts.day), look.way or Way.SEEN_FROM_AFAR
        said = f"{WAY_WORDS[look.way]} on" if look.way else "way of looking not recorded, on"
        rank = 10 + 10 * (len(AGE_BANDS) - band) + tuple(reversed(Way)).index(way) + (0 if band else QUIET)
        return Mark(f"{way.value}-{band}", f"{said} {look.looked_on}{missed}", rank)

    legend = tuple((f"{way.value}-0", WAY_WORDS[way]) for way in Way)
    legend += tuple((f"{Way.SEEN_CLOSE.value}-{n}", words) for n, words in enumerate(AGE_WORDS))
    legend += (("never_recorded", "never recorded"), ("not_reached", "never looked at, not reached"))
    legend += (("not_applicable", "said not to apply"),)
    says = (
        "Shape: the closest way of the looks of its last day. Filling and colour: how long ago it was, full when new, "
        "empty when old. The bands of years are common practice, no source; what is due stands in the calendar."
    )
    return View("look", "Last look", says, mark_of, legend)


def wear_view(facts: PlanFacts) -> View:
    """The gravest of the wear ratings that stand at a part."""

    def mark_of(part: str) -> Mark:
        rated = facts.wear.get(part)
        if rated is None:
            return Mark("not_rated", "wear never rated", QUIET)
        return Mark(f"wear-{rated[0]}", f"wear {WEAR_WORDS[rated[0]]}, {rated[1]}", 4 - rated[0])

    legend = (*((f"wear-{n}", words) for n, words in enumerate(WEAR_WORDS)), ("not_rated", "never rated"))
    says = (
        "The gravest wear rating (0 to 4) that stands at what hangs in each place now: each person's last on a signed "
        "walk, without those from before a repair of the point."
    )
    return View("wear", "Wear", says, mark_of, legend)


def blind_view(facts: PlanFacts, years: int = 2) -> View:
    """What nobody has reached, or had a hand on, for some years."""
    since = years_before(facts.day, years)

    def mark_of(part: str) -> Mark:
        spot = facts.blind.get(part) or BlindSpot(part, BlindKind.NEVER_RECORDED, None, "never recorded")
        rank = BLIND_ORDER.index(spot.kind)
        if not spot.is_blind:  # in one line of the table, not in one for each day
            return Mark(_BLIND_CODES[spot.kind], BLIND_LEGEND.get(spot.kind, BLIND_TITLES[spot.kind]), rank + QUIET)
        return Mark(_BLIND_CODES[spot.kind], spot.words, rank)

    legend = tuple((_BLIND_CODES[k], BLIND_LEGEND.get(k, BLIND_TITLES[k])) for k in BLIND_ORDER)
    says = f"What nobody has reached, or had a hand on, since {since}. Only looks on signed walks count."
    return View("blind", "Blind spots", says, mark_of, legend)


_BLIND_CODES: Mapping[BlindKind, str] = {
    BlindKind.NEVER_RECORDED: "never_recorded", BlindKind.NOT_REACHED: "not_reached", BlindKind.NOT_SINCE: "not_since",
    BlindKind.NOT_APPLICABLE: "not_applicable", BlindKind.NOT_HANDLED: "not_handled", BlindKind.HANDLED: "no_finding",
}  # fmt: skip
BLIND_LEGEND = {
    BlindKind.NOT_SINCE: "not looked at since then", BlindKind.NOT_HANDLED: "seen since then, no hand on it",
    BlindKind.HANDLED: "handled since then",
}  # fmt: skip
# A view is added here: a function from the facts to a View; its codes are drawn in output/plan_marks.py.
VIEWS: Mapping[str, Callable[[PlanFacts], View]] = {
    "condition": condition_view, "action": action_view, "look": look_view, "wear": wear_view, "blind": blind_view,
}  # fmt: skip
VIEW_TITLES = {"condition": "condition", "action": "open action", "look": "last look", "wear": "wear",
               "blind": "blind spots"}  # fmt: skip


def age_band(looked_on: date, day: date) -> int:
    """0 within a year before `day`, then 1, 2 and 3 as AGE_WORDS."""
    return sum(looked_on < years_before(day, years) for years in AGE_BANDS)


def _numbers(numbers: tuple[int, ...]) -> str:
    """Which deficiencies: by number, so that each can be looked up."""
    return ("deficiency " if len(numbers) == 1 else "deficiencies ") + ", ".join(str(n) for n in numbers)
