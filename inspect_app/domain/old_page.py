"""Old pages: photographs or scans of a paper log, pinned to a set and a year. They are history, and *unverified*."""

from dataclasses import dataclass
from datetime import datetime

from inspect_app.domain.errors import BadValue

UNVERIFIED = "unverified"
WHAT_IT_MEANS = (
    "Unverified: kept as it was written, by people this log knows nothing of. It starts no clock, counts in no trend "
    "and closes nothing."
)
FIRST_YEAR = 1900
LONGEST_WORDS = 300


@dataclass(frozen=True, slots=True)
class OldPage:
    """One page. `line_set` is None for a page about the whole house; `says` is what somebody read on it."""

    id: str
    house: str
    line_set: str | None
    year: int
    says: str
    name: str
    mime: str
    bytes: int
    sha256: str
    received_at: datetime
    by_name: str = ""
    set_number: str = ""
    withdrawn: str = ""  # why it was taken back, or ''

    @property
    def picture(self) -> bool:
        """Whether it can be looked at on a page."""
        return self.mime.startswith("image/")


def read_year(text: str, this_year: int) -> int:
    """A year as typed. Raises BadValue on the field `year`."""
    typed = text.strip()
    if not (typed.isascii() and typed.isdigit() and len(typed) == 4):
        raise BadValue("Write the year with four digits, such as 2009. If it is not known, the nearest guess.", "year")
    if not FIRST_YEAR <= int(typed) <= this_year:
        raise BadValue(f"A year from {FIRST_YEAR} to {this_year}.", "year")
    return int(typed)
