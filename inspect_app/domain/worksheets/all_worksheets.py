"""All worksheets in the order of the shelf."""

from collections.abc import Mapping

from inspect_app.domain.worksheet import Worksheet
from inspect_app.domain.worksheets import block, conversion, opening, risk, rope, termination

# (heading on the shelf, worksheets)
GROUPS: tuple[tuple[str, tuple[Worksheet, ...]], ...] = (
    ("Rope and line ends", (*rope.SHEETS, *termination.SHEETS)),
    ("Blocks", block.SHEETS),
    ("Deck, edges and ladders", opening.SHEETS),
    ("Order of work, units", (*risk.SHEETS, *conversion.SHEETS)),
)
WORKSHEETS: Mapping[str, Worksheet] = {sheet.key: sheet for _, sheets in GROUPS for sheet in sheets}
