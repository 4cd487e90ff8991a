"""All worksheets in the order of the shelf."""

from collections.abc import Mapping

from inspect_app.domain.worksheet import Worksheet
from inspect_app.domain.worksheets import (
    balance,
    batten_load,
    block,
    conversion,
    fleet,
    opening,
    resultant,
    risk,
    counterweight,
    rope,
    rope_lay,
    termination,
    trend,
)

# (heading on the shelf, worksheets)
GROUPS: tuple[tuple[str, tuple[Worksheet, ...]], ...] = (
    ("Loads", (*batten_load.SHEETS, counterweight.SHEET, *balance.SHEETS, *resultant.SHEETS)),
    ("Rope and line ends", (*rope.SHEETS, *rope_lay.SHEETS, *termination.SHEETS)),
    ("Blocks", (*block.SHEETS, *fleet.SHEETS)),
    ("Wear", trend.SHEETS),
    ("Deck, edges and ladders", opening.SHEETS),
    ("Order of work, units", (*risk.SHEETS, *conversion.SHEETS)),
)
WORKSHEETS: Mapping[str, Worksheet] = {sheet.key: sheet for _, sheets in GROUPS for sheet in sheets}
