"""Writes the map of the tree into DEVELOPERS.md from the first line of each module (`make map`)."""

import ast
import fnmatch
from pathlib import Path

ROOT = Path(__file__).parent.parent
GUIDE = ROOT / "DEVELOPERS.md"
BEGIN, END = "<!-- map: made by `make map` -->", "<!-- end of map -->"

TOP = {
    ".ci": "`prepare` sets up a machine, `run` is what every change must pass",
    ".editorconfig": "line ends and indentation for any editor",
    ".gitattributes": "line ends and binary files in git",
    ".gitignore": "what is never committed",
    "CHANGELOG.md": "what changed in each release, newest first",
    "DEVELOPERS.md": "this guide",
    "LICENSE": "the licence (MIT)",
    "Makefile": "the commands; `make help` lists them",
    "README.md": "what the program is for, and how its three readers use it",
    "checklists": "the shipped checklists and their points, as YAML; its README documents the schema",
    "inspect_app": "the program",
    "pyproject.toml": "metadata, dependencies, and the settings of pytest, ruff and mypy",
    "reports": "the demo's PDFs and the pictures for the README",
    "requirements-test.lock": "every package for developing, pinned with hashes",
    "requirements.lock": "every package for running, pinned with hashes",
    "shared": "published criteria and trade figures, each with its source; its README tells how they were checked",
    "tests": "the tests, laid out as the program is",
}
FOLDERS = {
    "inspect_app": "what starts the program: settings, clock, command line, server",
    "inspect_app/domain": "the model and the rules: standard library only, no files, no clock, no chance",
    "inspect_app/domain/worksheets": "the calculations of the workbench: what each asks, and its answer put together",
    "inspect_app/store": "the only code that knows SQLite, YAML and the data folder",
    "inspect_app/actions": "verbs that change something: one transaction each, with its row in the journal",
    "inspect_app/output": "domain values in, bytes out: report, plan, attachments, pictures",
    "inspect_app/output/templates": "the report as HTML and its print styles",
    "inspect_app/web": "pages and the field API: parse, call one action or read function, render",
    "inspect_app/web/templates": "one folder of templates per noun; `base.html` and `_macros.html` for all",
    "inspect_app/web/static": "style sheets and page scripts, served as they stand",
    "inspect_app/demo": "the invented house and its history, made through the same actions as a real one",
}


def first_line(path: Path) -> str:
    """What a file is for, in its own words: the first line of its docstring or opening comment."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".py":
        return (ast.get_docstring(ast.parse(text)) or "").split("\n")[0]
    return text.split("\n", 1)[0].strip("/*{#} -").strip()


def cell(text: str) -> str:
    """Text that stays as it is inside a Markdown table."""
    return text.replace("<", "&lt;").replace("|", "\\|")


def has_line_of_its_own(path: Path) -> bool:
    return path.suffix in {".py", ".js", ".css"}


def ignored(name: str) -> bool:
    """Whether .gitignore names a top-level thing of this name."""
    lines = (ROOT / ".gitignore").read_text().splitlines()
    return name == ".git" or any(fnmatch.fnmatch(name, line.strip("/")) for line in lines if line)


def top_level() -> set[str]:
    return {path.name for path in ROOT.iterdir() if not ignored(path.name)}


def folders() -> set[str]:
    """The folders of the package that need a heading: those with code of their own, and the templates."""
    found = {path.parent.relative_to(ROOT).as_posix() for path in (ROOT / "inspect_app").rglob("*.py")}
    return found | {"inspect_app/output/templates", "inspect_app/web/templates", "inspect_app/web/static"}


def files_under(folder: str) -> list[Path]:
    """The files listed below a heading, deepest folders included where those have no heading of their own."""
    base = ROOT / folder
    deep = folder.startswith(("inspect_app/web/", "inspect_app/output/"))
    paths = base.rglob("*") if deep else base.glob("*")
    return sorted(path for path in paths if path.is_file() and has_line_of_its_own(path))


def render() -> str:
    """The whole map as Markdown."""
    lines = ["| at the top | what it is |", "|---|---|"]
    lines += [f"| `{name}` | {what} |" for name, what in TOP.items()]
    for folder, what in FOLDERS.items():
        lines += ["", f"### {folder}/", "", f"{what[0].upper()}{what[1:]}.", ""]
        files = files_under(folder)
        if folder.endswith("web/templates"):
            lines += _template_rows(ROOT / folder)
            continue
        lines += ["| file | what it is for |", "|---|---|"]
        lines += [f"| `{path.relative_to(ROOT / folder).as_posix()}` | {cell(first_line(path))} |" for path in files]
    return "\n".join(lines)


def _template_rows(base: Path) -> list[str]:
    names: dict[str, list[str]] = {}
    for path in sorted(base.rglob("*.html")):
        names.setdefault(path.parent.relative_to(base).as_posix(), []).append(path.name)
    rows = [
        f"| {'(for all pages)' if folder == '.' else f'`{folder}/`'} | {', '.join(f'`{file}`' for file in files)} |"
        for folder, files in names.items()
    ]
    return ["| folder | templates |", "|---|---|", *rows]


def with_map(guide: str) -> str:
    """The guide's text with the map between its marks made anew."""
    head, _, rest = guide.partition(BEGIN)
    _, _, tail = rest.partition(END)
    return f"{head}{BEGIN}\n{render()}\n{END}{tail}"


if __name__ == "__main__":
    GUIDE.write_text(with_map(GUIDE.read_text(encoding="utf-8")), encoding="utf-8")
