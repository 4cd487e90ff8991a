"""The wheel works away from the checkout, and the lock files pin all that the package imports and nothing for tests."""

import ast
import os
import re
import subprocess
import sys
import tomllib
import zipfile
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from inspect_app import __version__

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "inspect_app"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
LOCKS = ("requirements.lock", "requirements-test.lock")
# Needed at run time though no module of ours imports them: sqlite-utils picks pysqlite3, zoneinfo reads tzdata.
USED_UNSEEN = {"pysqlite3", "tzdata"}
# A lock line: name==version, then its hashes on lines of their own.
PIN = re.compile(r"^([a-z0-9][a-z0-9._-]*)==(\S+)((?: \\\n    --hash=sha256:[0-9a-f]{64})+)$", re.MULTILINE)


def pins(lock: str) -> dict[str, str]:
    return {canonicalize_name(name): version for name, version, _ in PIN.findall((ROOT / lock).read_text())}


def imported_distributions() -> dict[str, set[str]]:
    """Distribution name -> the modules of ours that import it."""
    owners, found = packages_distributions(), {}
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for top in {name.split(".")[0] for name in names} - sys.stdlib_module_names - {"inspect_app"}:
                assert top in owners, f"{path.relative_to(ROOT)} imports {top}, which is not installed"
                found.setdefault(canonicalize_name(owners[top][0]), set()).add(str(path.relative_to(ROOT)))
    return found


def declared(extra: str = "") -> dict[str, Requirement]:
    lines = PROJECT["optional-dependencies"][extra] if extra else PROJECT["dependencies"]
    return {canonicalize_name(item.name): item for item in map(Requirement, lines)}


@pytest.mark.parametrize("lock", LOCKS)
def test_every_pin_has_hashes_and_no_line_names_a_place(lock: str) -> None:
    lines = (ROOT / lock).read_text().splitlines()
    heads = [line for line in lines if line and line[0] not in "# "]
    assert len(heads) == len(pins(lock)) > 20
    for line in lines:
        assert line == "" or re.match(r"[a-z0-9._-]+==\S+ \\$|    --hash=sha256:[0-9a-f]{64}( \\)?$|\s*#", line), line
        assert not re.search(r"://|find-links|index-url|@ ", line), line


def test_the_test_lock_holds_the_run_time_pins_unchanged() -> None:
    assert pins("requirements.lock").items() <= pins("requirements-test.lock").items()


def test_all_the_package_imports_is_pinned_for_run_time() -> None:
    missing = {name: files for name, files in imported_distributions().items() if name not in pins("requirements.lock")}
    assert missing == {}


def test_what_the_package_imports_is_declared_and_what_is_declared_is_used() -> None:
    assert set(declared()) == set(imported_distributions()) | USED_UNSEEN


@pytest.mark.parametrize(("extra", "lock"), [("", "requirements.lock"), ("test", "requirements-test.lock")])
def test_the_locks_keep_what_pyproject_asks_for(extra: str, lock: str) -> None:
    pinned = pins(lock)
    for name, requirement in declared(extra).items():
        assert requirement.specifier.contains(pinned[name]), f"{requirement} but {lock} has {pinned[name]}: make lock"


def test_no_test_tool_is_in_the_run_time_lock() -> None:
    assert set(declared("test")) & set(pins("requirements.lock")) == set()


def test_the_package_and_the_project_file_name_one_version() -> None:
    assert __version__ == PROJECT["version"]


# The wheel


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built without a network by the builder of the test environment."""
    out = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), str(ROOT)],
        env=os.environ | {"PIP_NO_INDEX": "1"},
        capture_output=True,
        check=True,
    )
    (made,) = out.glob("*.whl")
    return made


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel unpacked by pip, far from the checkout."""
    target = tmp_path_factory.mktemp("installed")
    subprocess.run(
        [sys.executable, "-m", "pip", "install", "--quiet", "--no-index", "--no-deps", "--target", target, wheel],
        capture_output=True,
        check=True,
    )
    return target


def run(installed: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run Python on the installed package with another working folder, an empty home and no word of the checkout."""
    home = installed.parent / "home"
    home.mkdir(exist_ok=True)
    env = {"PATH": os.environ["PATH"], "HOME": str(home), "PYTHONPATH": str(installed), "PYTHONWARNINGS": "error"}
    return subprocess.run(
        [sys.executable, *arguments], cwd=home, env=env, capture_output=True, text=True, timeout=120, check=False
    )


def shipped_files() -> set[str]:
    """What must be in the wheel, by its path there, read from the checkout."""
    files = {path.relative_to(ROOT).as_posix() for path in PACKAGE.rglob("*") if path.is_file()}
    for folder in ("checklists", "shared"):
        files |= {
            f"inspect_app/_data/{path.relative_to(ROOT).as_posix()}"
            for path in (ROOT / folder).rglob("*")
            if path.is_file()
        }
    return {name for name in files if "__pycache__" not in name and not name.endswith(".pyc")}


def test_the_wheel_holds_every_module_template_static_file_checklist_and_table(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        inside = {name for name in archive.namelist() if ".dist-info/" not in name}
    assert inside == shipped_files()
    assert {Path(name).suffix for name in inside} >= {".py", ".html", ".css", ".js", ".yaml", ".md"}


def test_the_wheel_declares_the_command_the_licence_and_python(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        info = next(name.split("/")[0] for name in archive.namelist() if ".dist-info/" in name)
        metadata = archive.read(f"{info}/METADATA").decode()
        entry_points = archive.read(f"{info}/entry_points.txt").decode()
        assert f"{info}/licenses/LICENSE" in archive.namelist()
    assert "[console_scripts]\ninspect-app = inspect_app.cli:main" in entry_points
    assert "Requires-Python: >=3.11" in metadata
    assert "License-Expression: MIT" in metadata


def test_the_installed_package_is_the_one_that_runs(installed: Path) -> None:
    done = run(installed, "-c", "import inspect_app; print(inspect_app.__file__)")
    assert done.stdout.strip() == str(installed / "inspect_app" / "__init__.py")


def test_the_console_script_of_the_installed_package_says_its_version(installed: Path) -> None:
    script = installed / "bin" / "inspect-app"
    assert script.is_file()
    done = run(installed, str(script), "--version")
    assert done.returncode == 0, done.stderr
    assert PROJECT["version"] in done.stdout


def test_the_installed_package_shows_its_help(installed: Path) -> None:
    done = run(installed, "-m", "inspect_app", "--help")
    assert done.returncode == 0, done.stderr
    assert "checklist" in done.stdout


def test_the_installed_package_lists_every_shipped_checklist(installed: Path) -> None:
    done = run(installed, "-m", "inspect_app", "checklist")
    assert done.returncode == 0, done.stderr
    shipped = {path.stem for path in (ROOT / "checklists").glob("*.yaml")}
    assert len(shipped) >= 7
    assert {line.split()[0] for line in done.stdout.splitlines() if line} == shipped


def test_the_installed_package_serves_pages_and_static_files(installed: Path) -> None:
    script = """
from pathlib import Path
from inspect_app.store.data_folder import open_data_folder
from inspect_app.web import create_app
opened = open_data_folder(Path("data"))
client = create_app(opened.settings).test_client()
page = client.get("/", follow_redirects=True)
style = client.get("/static/css/app.css")
print(page.status_code, style.status_code, len(style.data) > 1000, opened.settings.shared)
"""
    done = run(installed, "-c", script)
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == ["200", "200", "True", str(installed / "inspect_app" / "_data" / "shared")]


def test_the_installed_package_finds_the_typeface_of_its_reports(installed: Path) -> None:
    script = "from inspect_app.output.fonts import font_files; print(all(f.is_file() for f in font_files()))"
    done = run(installed, "-c", script)
    assert done.stdout.strip() == "True", done.stderr
