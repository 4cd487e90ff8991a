"""The direction of imports, the purity of the domain, and the size of modules and functions."""

import ast
import sys
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "inspect_app"
FILES = sorted(path for path in PACKAGE.rglob("*.py") if "_data" not in path.parts)
LAYERS = {"domain", "store", "output", "actions", "web"}
# layer -> the layers of this package it may import
ALLOWED = {
    "domain": {"domain"},
    "store": {"domain", "store"},
    "output": {"domain", "output"},
    "actions": {"domain", "store", "output", "actions"},
    "web": {"domain", "store", "output", "actions", "web"},
}
FOREIGN = {
    "domain": set(),
    "store": {"sqlite_utils", "yaml", "argon2"},
    "output": {
        "jinja2",
        "markupsafe",
        "weasyprint",
        "fontTools",
        "font_source_sans_pro",
        "openpyxl",
        "PIL",
        "pillow_heif",
        "rfc8785",
        "cryptography",
        "dateutil",
        "icalendar",
        "segno",
    },
    "actions": {"sqlite_utils", "argon2", "rfc8785", "pypdf"},
}
# What one module alone may use: the beam solves linear equations.
ALSO = {"domain/beam.py": {"numpy"}}
WRITING_NAMES = ("insert_", "add_", "set_", "end_", "delete_", "update_", "append_", "raise_", "note_")
IMPURE_MODULES = {"os", "pathlib", "random", "secrets", "time", "socket", "subprocess", "tempfile", "shutil", "sqlite3"}
SQL = ("SELECT ", "INSERT INTO ", "UPDATE ", "DELETE FROM ")


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text())


@cache
def nodes_of(path: Path) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(tree_of(path)))


@cache
def imports(path: Path) -> list[tuple[str, list[str]]]:
    found: list[tuple[str, list[str]]] = []
    for node in nodes_of(path):
        if isinstance(node, ast.Import):
            found += [(alias.name, []) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: use absolute imports"
            found.append((node.module or "", [alias.name for alias in node.names]))
    return found


@pytest.fixture(scope="module", autouse=True)
def _trees_are_let_go() -> Iterator[None]:
    """The trees of all files are many objects, which would slow down the tests that come after."""
    yield
    for kept in (tree_of, nodes_of, imports):
        kept.cache_clear()


def layer_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first if first in LAYERS else ""


def check(rule: Callable[[Path], Iterable[str]], layers: Iterable[str] = (*LAYERS, "")) -> None:
    """Hold a rule against each file of these layers; the failure lists every `file: fault`."""
    files = [path for path in FILES if layer_of(path) in layers]
    assert files, "there is no file that this rule holds for"
    found = [f"{path.relative_to(PACKAGE)}: {fault}" for path in files for fault in rule(path)]
    assert not found, "\n".join(found)


def outward(path: Path) -> Iterator[str]:
    layer = layer_of(path)
    for module, _ in imports(path):
        parts = module.split(".")
        if parts[0] == "inspect_app" and len(parts) > 1 and parts[1] in LAYERS and parts[1] not in ALLOWED[layer]:
            yield f"{layer} must not import {module}"
        if module in ("inspect_app.clock", "inspect_app.config") and layer == "domain":
            yield "the domain takes the time and the places as arguments"


def test_dependencies_point_inward() -> None:
    check(outward, LAYERS)


def foreign(path: Path) -> Iterator[str]:
    layer = layer_of(path)
    allowed = FOREIGN[layer] | ALSO.get(str(path.relative_to(PACKAGE)), set()) | {"inspect_app"}
    for module, _ in imports(path):
        top = module.split(".")[0]
        if top not in allowed and top not in sys.stdlib_module_names:
            yield f"{layer} must not import {module}"


def test_each_layer_uses_only_its_own_libraries() -> None:
    check(foreign, FOREIGN)


def impure(path: Path) -> Iterator[str]:
    for module, _ in imports(path):
        if module.split(".")[0] in IMPURE_MODULES:
            yield f"the domain must not import {module}"
    for node in nodes_of(path):
        if isinstance(node, ast.Call):
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            if name in {"open", "now", "utcnow", "today"}:
                yield f"line {node.lineno} calls {name}()"


def test_the_domain_reads_no_file_clock_or_chance() -> None:
    check(impure, {"domain"})


def writing(path: Path) -> Iterator[str]:
    for module, names in imports(path):
        writers = [name for name in names if name.startswith(WRITING_NAMES)]
        if module.startswith("inspect_app.store") and writers:
            yield f"imports {writers} from {module}: go through actions"


def test_pages_read_the_store_and_write_only_through_actions() -> None:
    check(writing, {"web"})


def sql(path: Path) -> Iterator[str]:
    for node in nodes_of(path):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.lstrip().startswith(SQL):
            yield f"line {node.lineno} holds SQL"


def test_sql_stands_only_in_the_store() -> None:
    check(sql, {*LAYERS, ""} - {"store"})


def unreadable(path: Path) -> Iterator[str]:
    if len(path.read_text().splitlines()) > 400:
        yield "split this module by topic"
    if not ast.get_docstring(tree_of(path)):
        yield "say in one line what the module is for"
    for node in nodes_of(path):
        if isinstance(node, ast.FunctionDef) and (length := (node.end_lineno or 0) - node.lineno + 1) > 60:
            yield f"{node.name} has {length} lines"
        if isinstance(node, ast.Assert):
            yield f"line {node.lineno}: raise an error instead of assert"


def test_modules_and_functions_stay_readable() -> None:
    check(unreadable)
