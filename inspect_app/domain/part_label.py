"""What the QR label of a part says: the address of its page in the office, read back by its path alone.

`<origin>/houses/<house id>/parts/<part id>/`. A phone's own camera opens the page of the part; the walk page takes the
two ids out of it and goes to the part's row without following anything. The origin is not looked at when it is read:
a log that has moved to another address keeps its labels.
"""

import re
from typing import NamedTuple

from inspect_app.domain.errors import BadValue
from inspect_app.domain.ids import is_uuid7

_FORM = re.compile(r"https?://[^/?#\s@\\]+/houses/([0-9a-f-]{36})/parts/([0-9a-f-]{36})/?")


class PartLabel(NamedTuple):
    """Whose label it is: the ids of the house and of the part."""

    house: str
    part: str


def make_label(origin: str, label: PartLabel) -> str:
    """The text of a label. `origin` is the log's address without a path, such as `https://walk.theatre.example`.

    Raises BadValue when a phone could not read it back.
    """
    text = f"{origin.rstrip('/')}/houses/{label.house}/parts/{label.part}/"
    if read_label(text) != label:
        raise BadValue("A label needs the log's address and the ids of a house and a part.", "label")
    return text


def read_label(text: str) -> PartLabel | None:
    """The ids that a label names; None for any other text."""
    found = _FORM.fullmatch(text)
    if found is None or not all(is_uuid7(one) for one in found.groups()):
        return None
    return PartLabel(*found.groups())
