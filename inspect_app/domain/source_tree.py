"""A text file read into nodes that know their place, and problems that name file, line and column."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong, where, and what is allowed. Lines and columns count from 1; 0 means the file as a whole."""

    file: str
    line: int
    column: int
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        return f"{place}: {self.message}"


@dataclass(frozen=True, slots=True)
class Text:
    """A scalar: always text until a schema says otherwise."""

    value: str
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Listing:
    """A sequence of nodes."""

    items: tuple["Node", ...]
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Table:
    """A mapping. Keys keep their own node, so that a problem with a key names the key's place."""

    items: dict[str, tuple[Text, "Node"]]
    line: int
    column: int


Node = Text | Listing | Table
