"""What a house has said about the published criteria: figures it entered itself, and which rule set governs."""

from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class SignedValue:
    """Figures of one row, looked up by a qualified person of the house in their own copy of the document.

    `figures` are as typed, one for each place of the row's limit; `op` is how the clause compares. `on` is the day they
    looked it up, `by` whose account entered it. A withdrawal is a row of its own with `withdrawn` and a reason.
    """

    id: str
    rule: str
    figures: tuple[str, ...]
    unit: str
    op: str
    edition: str
    clause: str
    name: str
    credential: str
    on: str
    by: str
    at: str
    withdrawn: bool = False
    reason: str = ""

    @property
    def words(self) -> str:
        """The mark of every verdict by this row."""
        return f"entered by {self.name}, {self.credential}, {self.on} from {self.edition}"


# Places whose own rules stand in criteria.yaml; the law of a state stands beside that of its country.
PLACES = {
    "": "not said: US rules are shown for edges and access",
    "US": "United States",
    "US-CA": "United States, California",
    "US-MI": "United States, Michigan",
    "US-WA": "United States, Washington",
    "EU": "European Union",
    "GB": "United Kingdom",
    "NO": "Norway",
    "other": "elsewhere: only rules that are shown everywhere",
}


class Strictness(StrEnum):
    """How a rule set stands to the others of its criterion, over the parts of a house."""

    STRICTEST = "strictest"
    LESS_STRICT = "less_strict"
    NOT_COMPARABLE = "not_comparable"


STRICTNESS_WORDS = {
    Strictness.STRICTEST: "no other rule set shown is stricter for the parts of this house",
    Strictness.LESS_STRICT: "another rule set shown is stricter for parts of this house",
    Strictness.NOT_COMPARABLE: "it cannot be compared with every other rule set shown",
}


@dataclass(frozen=True, slots=True)
class GoverningChoice:
    """Which document governs one criterion in a house; an empty `source` takes an earlier choice back."""

    id: str
    criterion: str
    source: str
    document: str
    strictness: str
    name: str
    credential: str
    reason: str
    by: str
    at: str

    @property
    def words(self) -> str:
        """The document with who chose it and why, as printed with each verdict."""
        who = ", ".join(filter(None, (self.name or self.by, self.credential, self.at[:10])))
        return f"{self.document} (chosen by {who}{f', because {self.reason}' if self.reason else ''})"
