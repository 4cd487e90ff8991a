"""Where a criterion stands on the page of criteria."""

from inspect_app.domain.criteria import Consequence, Criterion

GROUPS = (
    ("Rope", ("rope", "fibre", "splice")),
    ("Blocks and drums", ("groove", "tread", "fleet", "sheave")),
    ("Line ends and hardware", ("clip", "turnbuckle", "hardware", "hook", "sleeve", "fitting")),
    ("Fire safety curtain", ("curtain",)),
    ("Arbor, lock and loading bridge", ("spreader", "lock", "bridge")),
)


def group_of(criterion: Criterion) -> str:
    """The heading for a criterion: by its key, else edges and access, else fall protection."""
    for heading, starts in GROUPS:
        if criterion.key.startswith(starts):
            return heading
    return "Deck, edges and access" if criterion.consequence is Consequence.EDGE else "Anchors"
