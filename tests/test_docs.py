"""The guides tell the truth: map, commands, targets, links and pictures; and no file names a machine or a registry."""

import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from inspect_app import __version__
from inspect_app.cli import COMMANDS, main
from tests import tree_map

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()
GUIDE = (ROOT / "DEVELOPERS.md").read_text()
MAKEFILE = (ROOT / "Makefile").read_text()
MARKDOWN = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md", "checklists/README.md")] + [
    ROOT / "shared" / "README.md",
    ROOT / "reports" / "README.md",
]
TARGET = re.compile(r"^([a-z][a-z-]*):", re.MULTILINE)

# The map


def test_the_map_is_the_one_that_the_tree_gives() -> None:
    assert tree_map.with_map(GUIDE) == GUIDE, "run: make map"


def test_each_module_of_the_package_is_in_the_map_once() -> None:
    section = GUIDE.partition(tree_map.BEGIN)[2]
    listed, folder = [], ""
    for line in section.splitlines():
        if line.startswith("### "):
            folder = line.removeprefix("### ")
        elif (row := re.match(r"\| `([^`]+\.py)` \| (.+) \|$", line)) and folder:
            listed.append(folder + row[1])
    modules = [path.relative_to(ROOT).as_posix() for path in (ROOT / "inspect_app").rglob("*.py")]
    assert sorted(listed) == sorted(modules)


def test_each_thing_at_the_top_is_in_the_map_and_nothing_else() -> None:
    assert tree_map.top_level() == set(tree_map.TOP)


def test_each_folder_of_the_package_has_a_line() -> None:
    assert tree_map.folders() == set(tree_map.FOLDERS)


def test_each_script_and_style_sheet_opens_with_what_it_is_for() -> None:
    static = ROOT / "inspect_app" / "web" / "static"
    files = [*static.rglob("*.js"), *static.rglob("*.css")]
    assert len(files) > 5
    for path in files:
        assert path.read_text().startswith(("//", "/*")), path
        assert len(tree_map.first_line(path)) > 10, path


# Commands and targets


def all_commands() -> Iterator[tuple[str, click.Command]]:
    context = click.Context(main)
    for name in main.list_commands(context):
        command = main.get_command(context, name)
        assert command is not None, name
        yield name, command
        if isinstance(command, click.Group):
            for sub in command.list_commands(context):
                found = command.get_command(context, sub)
                assert found is not None
                yield f"{name} {sub}", found


def test_every_command_of_the_table_is_there() -> None:
    assert {name for name, _ in all_commands() if " " not in name} == set(COMMANDS)


def test_every_command_has_help_and_every_option_says_what_it_does() -> None:
    for name, command in all_commands():
        assert command.help, f"{name} has no help"
        for parameter in command.params:
            if isinstance(parameter, click.Option) and not isinstance(parameter.type, click.Choice):
                assert parameter.help, f"{name} {parameter.opts[0]} has no help"


def test_every_command_stands_in_the_guides() -> None:
    for name in COMMANDS:
        assert re.search(rf"`{name}`|inspect(-app|_app)[^`\n]* {name}\b", README + GUIDE), name


def test_no_guide_names_a_command_that_is_not_there() -> None:
    named = set(re.findall(r"inspect[-_]app(?: --data \S+)? ([a-z]+)\b", README + GUIDE))
    assert named <= set(COMMANDS)


def test_the_program_says_its_version_from_a_checkout() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "inspect_app", "--version"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert __version__ in done.stdout


def test_every_make_target_says_what_it_does() -> None:
    targets = TARGET.findall(MAKEFILE)
    assert {"help", "demo", "test", "bench", "lint", "format"} <= set(targets)
    for target in targets:
        assert re.search(rf"^{target}: ## \S", MAKEFILE, re.MULTILINE), f"{target} has no ## line"
    phony = re.search(r"^\.PHONY: (.+)$", MAKEFILE, re.MULTILINE)
    assert phony
    assert set(phony[1].split()) == set(targets)


def test_make_help_lists_every_target() -> None:
    shown = subprocess.run(["make", "-s", "help"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert [line.split()[0] for line in shown.splitlines()] == TARGET.findall(MAKEFILE)


def test_every_make_target_in_a_guide_is_there() -> None:
    for path in MARKDOWN:
        for target in re.findall(r"(?:`|^)make ([a-z-]+)", path.read_text(), re.MULTILINE):
            assert target in TARGET.findall(MAKEFILE), f"{path.name}: make {target}"


# What the guides point at


@pytest.mark.parametrize("path", MARKDOWN, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_link_and_picture_leads_to_a_file(path: Path) -> None:
    for text, target in re.findall(r"\[([^\]]*)\]\(([^)]+)\)", path.read_text()):
        assert text.strip(), f"{target} has no words"
        if not target.startswith("http"):
            assert (path.parent / target.split("#")[0]).exists(), target


def test_every_path_that_the_guide_names_is_there() -> None:
    prose = GUIDE.partition(tree_map.BEGIN)[0]
    for name in re.findall(r"`([a-z_.]+/[a-z_/.<>*-]+|[A-Za-z_]+\.(?:md|py|toml|yaml))`", prose):
        if any(sign in name for sign in "<>*") or name == ".venv":
            continue
        places = [ROOT / name, ROOT / "inspect_app" / name, *(ROOT / "inspect_app").glob(f"*/{name}")]
        places += list((ROOT / "inspect_app" / "web" / "static" / "js").rglob(name))
        assert any(place.exists() for place in places), name


def test_the_names_of_code_in_the_recipes_are_there() -> None:
    prose = GUIDE.partition(tree_map.BEGIN)[0]
    source = "\n".join(path.read_text() for path in (ROOT / "inspect_app").rglob("*.py"))
    for name in set(re.findall(r"`([A-Z][A-Z_]{3,})`", prose)) - {"INSPECT_APP_DATA"}:
        assert re.search(rf"^{name}\b", source, re.MULTILINE), name


def test_the_changes_name_this_version() -> None:
    assert re.search(rf"^## {re.escape(__version__)}\b", (ROOT / "CHANGELOG.md").read_text(), re.MULTILINE)


def test_the_first_page_says_what_the_program_does_not_decide() -> None:
    section = README.partition("## What it does not decide")[2].partition("\n## ")[0]
    for words in ("certifies nothing", "authority having jurisdiction", "maker's instructions", "qualified person"):
        assert words in section


# What no file may say


def kept_files() -> list[Path]:
    """The text files of the tree, ignored ones left out."""
    found = []
    for name in sorted(tree_map.top_level()):
        top = ROOT / name
        paths = [top] if top.is_file() else [path for path in top.rglob("*") if path.is_file()]
        found += [path for path in paths if "__pycache__" not in path.parts and path.suffix not in {".pdf", ".png"}]
    return found


# Written in pieces, so that this file does not contain what it looks for.
FORBIDDEN = {
    "a path of one machine": re.compile(
        r"/ro" r"ot/|/ho" r"me/[a-z]|/wo" r"rk/|/op" r"t/|/tm" r"p/[a-z]", re.IGNORECASE
    ),
    "a package registry": re.compile(
        r"py" r"pi\.org|pythonho" r"sted|npm" r"js\.|deb\.deb" r"ian|snapshot\.deb" r"ian"
    ),
    "a search path for packages": re.compile(r"find-li" r"nks [/h]|index-u" r"rl [=h]|index-u" r"rl="),
}


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_file_names(what: str) -> None:
    hits = []
    for path in kept_files():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # test data in another encoding, or a picture
        hits += [f"{path.relative_to(ROOT)}: {hit[0]}" for hit in FORBIDDEN[what].finditer(text)]
    assert hits == []
