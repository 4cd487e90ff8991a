"""What an incoming inspector asks in advance and no record of the log answers: the house types it once."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from inspect_app.domain.errors import BadValue
from inspect_app.domain.system_sheet import NOT_RECORDED, SheetRow

LONGEST_ANSWER = 2000


class Question(NamedTuple):
    """One question with the key that it is kept under."""

    key: str
    asks: str
    hint: str = ""


# The order of questionnaires that inspecting firms send before they come; common practice, no source.
QUESTIONS: Sequence[Question] = (
    Question("built", "When was the house built, and the fly system put in?"),
    Question("opening", "Proscenium opening: width and height"),
    Question("depth", "Depth of the stage to the rear wall"),
    Question("to_steel", "Floor to grid deck, and to the underside of the roof steel"),
    Question("last_service", "Last maintenance or inspection by others, and by whom"),
    Question("known", "Problems that the house knows of and the log does not"),
    Question("drawings", "Drawings, capacities and certificates: what there is and where"),
    Question("changes", "Modifications since it was put in"),
    Question("incidents", "Incidents before the log began"),
    Question("use", "How much it is used: shows, fit-ups, hires in a year"),
    Question("access", "Ways up, lifts and ladders available, anchors, headroom"),
    Question("hazards", "Asbestos, lead, dust, birds, live parts: what is known"),
    Question("lockout", "Who isolates motors and power, and how to reach them"),
    Question("rules", "Site rules, inductions, working at height permits"),
    Question("clear", "Hours when the stage can be kept clear"),
    Question("arrive", "Parking, way in, contact on the day"),
)
BY_KEY: Mapping[str, Question] = {question.key: question for question in QUESTIONS}


def check_answer(key: str, answer: str) -> str:
    """The answer as it is kept. Raises BadValue on an unknown question or an answer that is too long."""
    if key not in BY_KEY:
        raise BadValue("There is no such question.", key)
    clean = answer.strip()
    if len(clean) > LONGEST_ANSWER:
        raise BadValue(f"Write up to {LONGEST_ANSWER} characters.", key)
    return clean


def answered(sheet: Sequence[SheetRow], answers: Mapping[str, tuple[str, str, str]]) -> list[SheetRow]:
    """The system sheet with the house's own answers after it; *not recorded* where nothing is.

    `answers` are (answer, by, day) by key.
    """
    rows = list(sheet)
    for question in QUESTIONS:
        answer, by, day = answers.get(question.key, ("", "", ""))
        rows.append(SheetRow(question.asks, f"{answer} (as typed by {by}, {day})" if answer else NOT_RECORDED))
    return rows
