"""What of a set that is to be looked at again still waits, in words."""

from dataclasses import replace
from datetime import UTC, date, datetime

from inspect_app.domain.checklist import Way
from inspect_app.domain.relook import Answered, Relook

AT = datetime(2026, 3, 4, tzinfo=UTC)
SET = Relook(
    "r", "h", "p0", date(2026, 4, 1), "released", Way.SEEN_CLOSE, AT, line_set="s", scope="Set 37",
    parts={f"p{n}": f"LB 37-{n}" for n in range(6)},
)  # fmt: skip


def answered(*parts: str) -> Relook:
    return replace(SET, answers={part: Answered("e", "w", AT) for part in parts})


def test_the_parts_of_a_set_that_still_wait_are_named_when_they_are_few() -> None:
    assert SET.waits == ""  # nothing was looked at yet: the set as a whole waits
    assert answered("p0").waits == "5 of 6 parts still wait. "
    assert answered("p0", "p1", "p2", "p4").waits == "Still waits: LB 37-3, LB 37-5. "
    assert answered(*SET.parts).waits == ""
    assert replace(SET, line_set=None, answers={"p0": Answered("e", "w", AT)}).waits == ""
