"""JSON from phones, read strictly, with the exact source text of each entry of a batch kept beside its value."""

import json
import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from inspect_app.domain.errors import BadValue

MAX_DEPTH = 20
MAX_WHOLE = 2**63  # what an INTEGER column holds
_SPACE = re.compile(r"[ \t\n\r]*")
_LONE = re.compile("[\ud800-\udfff]")


class WireItem(NamedTuple):
    """One element of a list as it stood in the request. `problem` says why `data` could not be read, or is empty."""

    text: str
    data: object
    problem: str


class Batch(NamedTuple):
    """A request's object: its own members, and the elements of the one list that is kept text by text."""

    members: Mapping[str, object]
    items: tuple[WireItem, ...]


def decode_text(raw: bytes) -> str:
    """UTF-8 without a byte-order mark. Raises BadValue."""
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise BadValue(f"The text is not UTF-8 (byte {error.start}).") from None


def read_strict(text: str) -> object:
    """The value of a JSON text.

    Raises BadValue on anything a database or another reader would take for something else: NaN and Infinity, a key
    twice in one object, half of a surrogate pair, whole numbers beyond 64 bits, nesting deeper than 20.
    """
    try:
        value: object = _STRICT.decode(text)
    except RecursionError:
        raise BadValue(f"nested deeper than {MAX_DEPTH} levels") from None
    except json.JSONDecodeError as error:
        raise BadValue(f"not JSON: {error.msg} at character {error.pos + 1}") from None
    _check_depth_and_text(value)
    return value


def read_batch(text: str, list_name: str) -> Batch:
    """An object whose member `list_name` is a list: each element is read by itself, so that a bad one spoils no other.

    Raises BadValue when the text around the elements cannot be read, or when the list is missing or no list.
    """
    try:
        return _scan_object(text, list_name)
    except RecursionError:
        raise BadValue(f"nested deeper than {MAX_DEPTH} levels") from None
    except json.JSONDecodeError as error:
        raise BadValue(f"not JSON at character {error.pos + 1}; was it cut short?") from None


def _scan_object(text: str, list_name: str) -> Batch:
    at = _expect(text, _skip(text, 0), "{")
    members: dict[str, object] = {}
    items: tuple[WireItem, ...] | None = None
    while not text.startswith("}", at := _skip(text, at)):
        if members or items is not None:
            at = _skip(text, _expect(text, at, ","))
        name, at = _scan_name(text, at)
        if name in members or (name == list_name and items is not None):
            raise BadValue(f"“{name}” stands there twice")
        if name == list_name:
            items, at = _scan_list(text, at)
        else:
            _, end = _LENIENT.raw_decode(text, at)
            members[name] = read_strict(text[at:end])
            at = end
    if _skip(text, at + 1) != len(text):
        raise BadValue("there is more text after the end of the object")
    if items is None:
        raise BadValue(f"“{list_name}” is missing; it must be a list")
    return Batch(members, items)


def _scan_name(text: str, at: int) -> tuple[str, int]:
    _expect(text, at, '"')
    name, end = _LENIENT.raw_decode(text, at)
    return str(name), _skip(text, _expect(text, _skip(text, end), ":"))


def _scan_list(text: str, at: int) -> tuple[tuple[WireItem, ...], int]:
    at = _skip(text, _expect(text, at, "["))
    items: list[WireItem] = []
    while not text.startswith("]", at):
        if items:
            at = _skip(text, _expect(text, at, ","))
        _, end = _LENIENT.raw_decode(text, at)
        items.append(read_item(text[at:end]))
        at = _skip(text, end)
    return tuple(items), at + 1


def read_item(text: str) -> WireItem:
    """One element by itself, with its text as it stands."""
    try:
        return WireItem(text, read_strict(text), "")
    except BadValue as error:
        return WireItem(text, None, error.message)


def _skip(text: str, at: int) -> int:
    found = _SPACE.match(text, at)
    return found.end() if found else at


def _expect(text: str, at: int, sign: str) -> int:
    if not text.startswith(sign, at):
        raise json.JSONDecodeError(f"{sign} expected", text, at)
    return at + 1


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise BadValue(f"“{_LONE.sub('?', twice)[:60]}” stands there twice")
    return found


def _whole(digits: str) -> int:
    if len(digits) > 20 or not -MAX_WHOLE <= (value := int(digits)) < MAX_WHOLE:
        raise BadValue("a whole number is too large")
    return value


def _no_constant(name: str) -> object:
    raise BadValue(f"{name} is not a number that can be kept")


_STRICT = json.JSONDecoder(object_pairs_hook=_pairs, parse_int=_whole, parse_constant=_no_constant, strict=True)
_LENIENT = json.JSONDecoder(parse_int=len, strict=False)  # only to find where a value ends


def _check_depth_and_text(value: object) -> None:
    stack = [(value, 1)]
    while stack:
        here, depth = stack.pop()
        if depth > MAX_DEPTH:
            raise BadValue(f"nested deeper than {MAX_DEPTH} levels")
        if isinstance(here, str):
            if _LONE.search(here):
                raise BadValue("a text holds half of a surrogate pair")
        elif isinstance(here, dict):
            stack += [(name, depth + 1) for name in here] + [(inner, depth + 1) for inner in here.values()]
        elif isinstance(here, list):
            stack += [(inner, depth + 1) for inner in here]
        elif isinstance(here, float) and here in (float("inf"), float("-inf")):
            raise BadValue("a number is too large")
