"""The register as a file for office programs, with no cell that one of them would run as a formula."""

import re
from collections.abc import Sequence

from inspect_app.output.schedule_file import write_csv, write_xlsx

_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_NUMBER = re.compile(r"-?\d+(\.\d+)?( [A-Z]{3})?\Z", re.ASCII)


def harmless(cell: str) -> str:
    """A cell that no office program takes for a formula: an apostrophe goes before one that might be taken for it."""
    if cell.lstrip(" \u00a0\ufeff").startswith(_STARTS) and not _NUMBER.match(cell):
        return "'" + cell
    return cell


def write_register(table: Sequence[Sequence[str]], form: str, title: str) -> bytes:
    """A table as `csv` or `xlsx`. Raises KeyError for another form."""
    clean = [[harmless(cell) for cell in row] for row in table]
    return {"csv": lambda: write_csv(clean), "xlsx": lambda: write_xlsx(clean, title)}[form]()
