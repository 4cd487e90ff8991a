"""The direction of imports, the purity of the domain, and the size of modules and functions."""

import ast
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


def imports(path: Path) -> list[tuple[str, list[str]]]:
    found = []
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found += [(alias.name, []) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: use absolute imports"
            found.append((node.module or "", [alias.name for alias in node.names]))
    return found


def layer_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first if first in LAYERS else ""


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_dependencies_point_inward(path: Path) -> None:
    layer = layer_of(path)
    if not layer:
        return
    for module, _ in imports(path):
        parts = module.split(".")
        if parts[0] == "inspect_app" and len(parts) > 1 and parts[1] in LAYERS:
            assert parts[1] in ALLOWED[layer], f"{layer} must not import {module}"
        if module in ("inspect_app.clock", "inspect_app.config"):
            assert layer != "domain", "the domain takes the time and the places as arguments"


@pytest.mark.parametrize(
    "path", [p for p in FILES if layer_of(p) in FOREIGN], ids=lambda p: str(p.relative_to(PACKAGE))
)
def test_each_layer_uses_only_its_own_libraries(path: Path) -> None:
    import sys

    layer = layer_of(path)
    for module, _ in imports(path):
        top = module.split(".")[0]
        if top == "inspect_app" or top in sys.stdlib_module_names:
            continue
        allowed = FOREIGN[layer] | ALSO.get(str(path.relative_to(PACKAGE)), set())
        assert top in allowed, f"{layer} must not import {module}"


@pytest.mark.parametrize("path", [p for p in FILES if layer_of(p) == "domain"], ids=lambda p: p.name)
def test_the_domain_reads_no_file_clock_or_chance(path: Path) -> None:
    for module, _ in imports(path):
        assert module.split(".")[0] not in IMPURE_MODULES, f"the domain must not import {module}"
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Call):
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            assert name not in {"open", "now", "utcnow", "today"}, f"{path.name}:{node.lineno} calls {name}()"


@pytest.mark.parametrize("path", [p for p in FILES if layer_of(p) == "web"], ids=lambda p: str(p.relative_to(PACKAGE)))
def test_pages_read_the_store_and_write_only_through_actions(path: Path) -> None:
    for module, names in imports(path):
        if module.startswith("inspect_app.store"):
            writers = [name for name in names if name.startswith(WRITING_NAMES)]
            assert not writers, f"{path.name} imports {writers} from {module}: go through actions"


@pytest.mark.parametrize(
    "path", [p for p in FILES if layer_of(p) != "store"], ids=lambda p: str(p.relative_to(PACKAGE))
)
def test_sql_stands_only_in_the_store(path: Path) -> None:
    text = path.read_text()
    for word in ("SELECT ", "INSERT INTO ", "UPDATE ", "DELETE FROM "):
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.lstrip().startswith(word):
                pytest.fail(f"{path.name}:{node.lineno} holds SQL")


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_modules_and_functions_stay_readable(path: Path) -> None:
    text = path.read_text()
    tree = ast.parse(text)
    assert len(text.splitlines()) <= 400, "split this module by topic"
    assert ast.get_docstring(tree), "say in one line what the module is for"
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            length = (node.end_lineno or 0) - node.lineno + 1
            assert length <= 60, f"{node.name} has {length} lines"
        assert not isinstance(node, ast.Assert), f"line {node.lineno}: raise an error instead of assert"
