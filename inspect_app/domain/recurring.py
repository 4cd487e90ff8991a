"""What keeps coming back: faults found again after they were settled, and one defect on many sister parts. No score."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.repair_figures import chain_back

LEAST_SISTERS = 2


class ComesBack(NamedTuple):
    """One fault of one part from its first number to its last, and how often it was found again after being settled."""

    last: Deficiency
    chain: tuple[Deficiency, ...]  # newest first
    settled: int

    @property
    def first(self) -> Deficiency:
        """The deficiency with which it began."""
        return self.chain[-1]


def coming_back(rows: Sequence[Deficiency]) -> list[ComesBack]:
    """Faults that were found again after they had been settled, most often first, then those that are open."""
    live = [row for row in rows if row.state is not DeficiencyState.SAME]
    by_id = {row.id: row for row in live}
    earlier = {row.again_of_id for row in live if row.again_of_id}
    found = []
    for row in live:
        if row.id in earlier or row.again_of_id not in by_id:
            continue
        chain = chain_back(row, by_id)
        settled = sum(one.state is DeficiencyState.SETTLED for one in chain[1:])
        if settled:
            found.append(ComesBack(row, chain, settled))
    return sorted(found, key=lambda one: (-one.settled, not one.last.open, -one.last.number))


class Sisters(NamedTuple):
    """One defect at one point, found on several parts of a kind."""

    kind: str
    says: str
    rows: tuple[Deficiency, ...]

    @property
    def parts(self) -> int:
        """On how many parts."""
        return len({row.part for row in self.rows})

    @property
    def open(self) -> int:
        """How many of these deficiencies are open."""
        return sum(row.open for row in self.rows)


def on_sisters(
    rows: Iterable[Deficiency], seen: Iterable[tuple[str, str, str]], says: Mapping[tuple[str, str], str]
) -> list[Sisters]:
    """The defects that were found on several parts of one kind, on the most parts first.

    `seen` are (deficiency, point, usual defect); `says` gives the words of a defect by point and key.
    """
    by_id = {row.id: row for row in rows if row.state is not DeficiencyState.SAME}
    groups: dict[tuple[str, str, str], dict[str, Deficiency]] = defaultdict(dict)
    for deficiency, point, defect in seen:
        row = by_id.get(deficiency)
        if row is not None and defect and row.state is not DeficiencyState.NO_FAULT:
            groups[row.part_kind, point, defect][row.id] = row
    found = [
        Sisters(kind, says.get((point, defect), defect), tuple(sorted(group.values(), key=lambda row: row.number)))
        for (kind, point, defect), group in groups.items()
    ]
    return sorted((one for one in found if one.parts >= LEAST_SISTERS), key=lambda one: (-one.parts, -one.open))
