"""Reading nodes against what is expected: each mistake becomes a problem with its place, and reading goes on."""

import re
from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from typing import TypeVar

from inspect_app.domain.source_tree import Listing, Node, Problem, Table, Text

E = TypeVar("E", bound=StrEnum)
_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*\Z")


class NodeReader:
    """Collects problems of one file while its nodes are read."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []

    def wrong(self, node: Node, message: str) -> None:
        """Note a problem at a node."""
        self.problems.append(Problem(self.file, node.line, node.column, message))

    def table(self, node: Node, what: str, required: Iterable[str], optional: Iterable[str] = ()) -> dict[str, Node]:
        """The values of a mapping by key; unknown and missing keys are problems. Empty when it is no mapping."""
        if not isinstance(node, Table):
            self.wrong(node, f"{what} must be a mapping of `key: value` lines")
            return {}
        required, optional = tuple(required), tuple(optional)
        for key, (key_node, _) in node.items.items():
            if key not in required and key not in optional:
                allowed = ", ".join(sorted({*required, *optional}))
                self.wrong(key_node, f"unknown key `{key}` in {what}; allowed: {allowed}")
        for key in required:
            if key not in node.items:
                self.wrong(node, f"{what} lacks `{key}`")
        return {key: value for key, (_, value) in node.items.items() if key in required or key in optional}

    def listing(self, node: Node | None, what: str, *, least: int = 0) -> tuple[Node, ...]:
        """The items of a sequence."""
        if node is None:
            return ()
        if not isinstance(node, Listing):
            self.wrong(node, f"{what} must be a list")
            return ()
        if len(node.items) < least:
            self.wrong(node, f"{what} must have at least {least} item{'s' if least > 1 else ''}")
        return node.items

    def text(self, node: Node | None, what: str, *, most: int = 600, empty: bool = False) -> str:
        """A scalar as text with its white space folded."""
        if node is None:
            return ""
        if not isinstance(node, Text):
            self.wrong(node, f"{what} must be plain text")
            return ""
        value = " ".join(node.value.split())
        if not value and not empty:
            self.wrong(node, f"{what} is empty")
        if len(value) > most:
            self.wrong(node, f"{what} is {len(value)} characters long; at most {most} are allowed")
        return value

    def identifier(self, node: Node | None, what: str) -> str:
        """A stable id: lower-case words joined by hyphens."""
        value = self.text(node, what, most=80)
        if node is not None and value and not _ID.match(value):
            self.wrong(node, f"{what} `{value}` must be lower-case letters and digits in words joined by hyphens")
        return value

    def choice(self, node: Node | None, what: str, allowed: type[E]) -> E | None:
        """One of an enumeration's values."""
        if node is None:
            return None
        value = self.text(node, what)
        try:
            return allowed(value)
        except ValueError:
            if value:
                self.wrong(node, f"unknown {what} `{value}`; allowed: {', '.join(allowed)}")
            return None

    def word(self, node: Node | None, what: str, allowed: Iterable[str]) -> str:
        """One of a few words."""
        if node is None:
            return ""
        value, allowed = self.text(node, what), tuple(allowed)
        if value and value not in allowed:
            self.wrong(node, f"unknown {what} `{value}`; allowed: {', '.join(allowed)}")
        return value

    def share(self, node: Node | None, what: str) -> float:
        """A number above 0 and up to 1."""
        value = self.text(node, what)
        if node is None or not value:
            return 1.0
        if not re.fullmatch(r"(0?\.\d{1,4}|1(\.0{1,4})?|0\.\d{1,4})", value) or float(value) == 0:
            self.wrong(node, f"{what} `{value}` must be a number above 0 and up to 1, such as 0.95")
            return 1.0
        return float(value)

    def day(self, node: Node | None, what: str) -> str:
        """A date as YYYY-MM-DD, or empty."""
        value = self.text(node, what, empty=True)
        if node is not None and value:
            try:
                if date.fromisoformat(value).isoformat() == value:
                    return value
            except ValueError:
                pass
            self.wrong(node, f"{what} `{value}` must be a date written as YYYY-MM-DD")
        return value
