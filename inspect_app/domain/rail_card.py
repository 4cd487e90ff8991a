"""What stands against each set today, as a card at the rail and the sheet *not to be flown today* say it."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

OUT_OF_USE = "Out of use"
RESTRICTED = "Restricted"
NOTHING_KNOWN = "No stop and no restriction in this log"
CERTIFIES_NOTHING = (
    "This log records observations; it certifies nothing. Local codes, the maker's instructions and a qualified "
    "person's judgement come first."
)


@dataclass(frozen=True, slots=True)
class SetState:
    """One set on one day. Every text is fit to be printed; `posted` are (part, figure as posted) pairs.

    `bars` say why it is not to be flown: stops, limits that expired, deficiencies graded stop use. `limits` hold,
    `last_walk` is the day of the last look and `relook_on` the next day on which a part of it is to be looked at.
    `around` are limits on the areas where it hangs: they are printed, and make no set a restricted one. `weights` are
    (what, figure as recorded) pairs that its arbor is looked at by.
    """

    line_set: str
    number: str
    label: str
    kind: str
    bars: tuple[str, ...]
    limits: tuple[str, ...]
    posted: tuple[tuple[str, str], ...]
    last_walk: str
    relook_on: str
    around: tuple[str, ...] = ()
    weights: tuple[tuple[str, str], ...] = ()

    @property
    def word(self) -> str:
        """The state in words; it is never called anything better than *nothing known*."""
        if self.bars:
            return OUT_OF_USE
        return RESTRICTED if self.limits else NOTHING_KNOWN


@dataclass(frozen=True, slots=True)
class RailCard:
    """One issue of the card of a set: printed by whom, and hung at the rail by whom, if it was."""

    line_set: str
    revision: int
    digest: str
    issued_at: datetime
    issued_by_name: str
    swapped_at: datetime | None = None
    swapped_by_name: str = ""


@dataclass(frozen=True, slots=True)
class CardStanding:
    """A set's state beside the card that hangs at the rail and the one printed last."""

    state: SetState
    at_rail: RailCard | None
    newest: RailCard | None

    @property
    def out_of_date(self) -> bool:
        """Whether what hangs at the rail says something else than the log does."""
        return self.at_rail is None or self.at_rail.digest != card_digest(self.state)

    @property
    def waits_for_swap(self) -> bool:
        """Whether the right card is printed and only has to be hung."""
        return self.out_of_date and self.newest is not None and self.newest.digest == card_digest(self.state)


def card_digest(state: SetState) -> str:
    """SHA-256 of what makes a card wrong when it changes: all but the day of the last look."""
    said: list[object] = [state.number, state.label, state.kind, state.bars, state.limits, state.posted]
    said += [state.relook_on, *([state.around] if state.around else [])]
    said += [["weights", state.weights]] if state.weights else []
    return hashlib.sha256(json.dumps(said, ensure_ascii=False).encode()).hexdigest()


def standings_of(states: Sequence[SetState], cards: Sequence[RailCard]) -> list[CardStanding]:
    """Each set with its cards, in the order of the sets."""
    by_set: dict[str, list[RailCard]] = {}
    for card in sorted(cards, key=lambda one: one.revision):
        by_set.setdefault(card.line_set, []).append(card)
    found = []
    for state in states:
        own = by_set.get(state.line_set, [])
        hung = [card for card in own if card.swapped_at is not None]
        at_rail = max(hung, key=lambda one: (one.swapped_at or one.issued_at, one.revision)) if hung else None
        found.append(CardStanding(state, at_rail, own[-1] if own else None))
    return found
