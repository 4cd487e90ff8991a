"""YAML text to nodes with their places, by PyYAML's composer; no tags, anchors, aliases or duplicate keys."""

from typing import Any

import yaml

from inspect_app.domain.source_tree import Listing, Node, Problem, Table, Text

MOST_BYTES = 256_000
MOST_NODES = 5_000
MOST_DEPTH = 20
_Loader: type = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # the C loader is 4 times faster; both refuse objects


class _Refused(Exception):
    def __init__(self, mark: Any, message: str) -> None:
        super().__init__(message)
        self.mark = mark
        self.message = message


def read_yaml(raw: bytes, file: str) -> tuple[Node | None, list[Problem]]:
    """The nodes of one YAML document, or problems that name file, line and column."""
    if len(raw) > MOST_BYTES:
        return None, [Problem(file, 0, 0, f"the file has {len(raw)} bytes; at most {MOST_BYTES} are read")]
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        return None, [Problem(file, line, 1, "the file is not UTF-8 text; save it as UTF-8")]
    try:
        return _convert(text), []
    except _Refused as error:
        line, column = (error.mark.line + 1, error.mark.column + 1) if error.mark else (1, 1)
        return None, [Problem(file, line, column, error.message)]
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        return None, [Problem(file, line, column, f"not valid YAML: {error.problem or 'cannot be read'}")]
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        return None, [
            Problem(file, 1, 1, f"not valid YAML: {type(error).__name__}: {str(error).splitlines()[0][:120]}")
        ]


def _convert(text: str) -> Node:
    _refuse_aliases(text)
    loader = _Loader(text)
    try:
        root = loader.get_single_node()
    finally:
        loader.dispose()
    if root is None:
        raise _Refused(None, "the file is empty")
    return _Converter().node(root, 0)


def _refuse_aliases(text: str) -> None:
    for count, event in enumerate(yaml.parse(text, Loader=_Loader)):
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            raise _Refused(event.start_mark, "anchors (&) and aliases (*) are not allowed; write the text out")
        if getattr(event, "tag", None) not in (None, "!"):
            raise _Refused(event.start_mark, "tags (!) are not allowed; write plain text")
        if count > 4 * MOST_NODES:
            raise _Refused(event.start_mark, f"the file has more than {MOST_NODES} values")


class _Converter:
    def __init__(self) -> None:
        self.count = 0

    def node(self, node: yaml.Node, depth: int) -> Node:
        self.count += 1
        line, column = node.start_mark.line + 1, node.start_mark.column + 1
        if self.count > MOST_NODES:
            raise _Refused(node.start_mark, f"the file has more than {MOST_NODES} values")
        if depth > MOST_DEPTH:
            raise _Refused(node.start_mark, f"nested deeper than {MOST_DEPTH} levels")
        if isinstance(node, yaml.ScalarNode):
            return Text(node.value, line, column)
        if isinstance(node, yaml.SequenceNode):
            return Listing(tuple(self.node(item, depth + 1) for item in node.value), line, column)
        return self.table(node, depth, line, column)

    def table(self, node: yaml.Node, depth: int, line: int, column: int) -> Table:
        items: dict[str, tuple[Text, Node]] = {}
        for key, value in node.value:
            if not isinstance(key, yaml.ScalarNode):
                raise _Refused(key.start_mark, "a key must be plain text")
            if key.value in items:
                raise _Refused(key.start_mark, f"key `{key.value}` is written twice")
            mark = Text(key.value, key.start_mark.line + 1, key.start_mark.column + 1)
            items[key.value] = (mark, self.node(value, depth + 1))
        return Table(items, line, column)
