"""Before you climb: what an inspector new to the house asks first, as sentences that lead to the whole of it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from inspect_app.domain.blind_spot import BLIND_TITLES, BlindKind
from inspect_app.domain.changes import CHANGE_ORDER, CHANGE_TITLES, Change, ChangeKind

MOST_LINES = 3  # of one answer; the whole is one tap further
MOST_OF_A_KIND = 2
GRAVE = frozenset({ChangeKind.STOPPED, ChangeKind.WORSE, ChangeKind.NEW, ChangeKind.EVENT})


class Question(StrEnum):
    """The questions, in the order in which they are answered: what binds today comes first."""

    OUT_OF_USE = "out_of_use"
    HOUSE = "house"
    CHANGED = "changed"
    WEARS = "wears"
    BREAKS = "breaks"
    HAPPENED = "happened"
    PROMISED = "promised"
    UNTOUCHED = "untouched"
    REPORTS = "reports"
    ASK = "ask"


QUESTION_TITLES: Mapping[Question, str] = {
    Question.OUT_OF_USE: "What is out of use now",
    Question.HOUSE: "What this house is",
    Question.CHANGED: "What changed",
    Question.WEARS: "What wears",
    Question.BREAKS: "What keeps coming back",
    Question.HAPPENED: "What happened here",
    Question.PROMISED: "What was promised and not done",
    Question.UNTOUCHED: "What nobody has touched for years",
    Question.REPORTS: "What was inspected before",
    Question.ASK: "Whom to ask",
}


class Line(NamedTuple):
    """One sentence: what it is about, which leads to a page given as (noun, id), and what is said of it."""

    head: str
    text: str
    about: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one question: a first sentence, a few lines, and where all of it is, as (words, noun)."""

    question: Question
    lead: str
    lines: tuple[Line, ...] = ()
    more: int = 0
    full: tuple[tuple[str, str], ...] = ()

    @property
    def title(self) -> str:
        """The question as a heading."""
        return QUESTION_TITLES[self.question]


def answer(
    question: Question, lead: str, lines: Iterable[Line], *full: tuple[str, str], most: int = MOST_LINES
) -> Answer:
    """An answer with no more lines than fit; how many are left out is said."""
    every = list(lines)
    return Answer(question, lead, tuple(every[:most]), max(len(every) - most, 0), full)


def changed_lead(changes: Sequence[Change], since: str) -> str:
    """How many changes of each kind since when, gravest first."""
    if not changes:
        return f"Nothing is recorded as changed since {since}."
    counts = {kind: sum(one.kind is kind for one in changes) for kind in ChangeKind}
    said = ", ".join(f"{CHANGE_TITLES[kind]} {count}" for kind, count in counts.items() if count)
    return f"Since {since}: {said}."


def grave_changes(changes: Iterable[Change]) -> list[Line]:
    """The changes to read first, newest first: a few each of stopped, worse, new, and events."""
    lines = []
    for kind in sorted(GRAVE, key=CHANGE_ORDER.__getitem__):
        here = sorted((one for one in changes if one.kind is kind), key=lambda one: one.after_on, reverse=True)
        lines += [
            Line(f"{CHANGE_TITLES[kind].capitalize()}: {one.title}", f"{one.words} ({one.days})", one.about)
            for one in here[:MOST_OF_A_KIND]
        ]
    return lines


def untouched_lead(counts: Mapping[BlindKind, int], since: str) -> str:
    """How many parts are of each kind of blind spot."""
    total = sum(counts.values())
    blind = [
        kind for kind in (BlindKind.NEVER_RECORDED, BlindKind.NOT_REACHED, BlindKind.NOT_SINCE, BlindKind.NOT_HANDLED)
    ]
    said = ", ".join(f"{BLIND_TITLES[kind]} {counts[kind]}" for kind in blind if counts[kind])
    if not said:
        return f"Each of the {total} parts was handled since {since}, by signed walks."
    return f"Of {total} parts since {since}, by signed walks: {said}."
