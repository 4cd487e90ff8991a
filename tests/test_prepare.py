"""The set-up script: what it finds missing, what it installs, and that a ready folder costs nothing."""

import ast
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parent.parent
TOOLS = ("sh", "dirname", "find", "head", "cat", "rm", "mkdir", "cp", "touch", "test")  # all the script may rely on
# command -> package, as the script itself lists them for the tests
_LISTED = re.compile(r"^ +has_command (\S+) \|\| need (\S+)", re.MULTILINE)
TEST_TOOLS = dict(_LISTED.findall((ROOT / ".ci" / "prepare").read_text()))
# What a test may call beside these: it comes with Python, make and the packages above.
POPPLER = {"pdftotext", "pdffonts", "pdfimages", "pdfdetach", "pdftoppm", "pdfinfo"}
AT_HAND = {"make", "sha256sum", "umount", "/bin/sh", ".venv/bin/python"}
LOCKS = ("requirements.lock", "requirements-test.lock")

# A Python whose libraries, venv and pip are set by files in $STATE, so that no test needs root or the network.
FAKE_PYTHON = """#!/bin/sh
case "$1 $2" in
*ensurepip*) exec test -e "$STATE/has-venv" ;;
*CDLL*) exec test -e "$STATE/has-libraries" ;;
"-c import sys, pip"*) case "$0" in *.venv/*) test ! -e "$STATE/broken-venv" || exit 1 ;; esac ;;
"-c import flask"*) exit 0 ;;
"-m venv") echo venv >> "$STATE/log"; mkdir -p "$3/bin"; cp "$0" "$3/bin/python"; rm -f "$STATE/broken-venv"; exit 0 ;;
"-m pip") shift; echo "$@" >> "$STATE/log"; exec test ! -e "$STATE/pip-fails" ;;
esac
exec "$REAL_PYTHON" "$@"
"""
FAKE_APT = """#!/bin/sh
echo "apt-get $*" >> "$STATE/log"
case "$1" in install) touch "$STATE/has-venv" "$STATE/has-libraries" ;; esac
"""


class Run(NamedTuple):
    status: int
    said: str
    did: list[str]


class Bench:
    """A copy of the script in a folder of its own, among stand-ins for Python, apt-get and id."""

    def __init__(self, folder: Path) -> None:
        self.tree, self.state, self.bin = folder / "tree", folder / "state", folder / "bin"
        for made in (self.tree / ".ci", self.state, self.bin):
            made.mkdir(parents=True)
        shutil.copy(ROOT / ".ci" / "prepare", self.tree / ".ci" / "prepare")
        for lock in LOCKS:
            (self.tree / lock).write_text(f"# {lock}\n")
        self.program("python3", FAKE_PYTHON)
        self.program("apt-get", FAKE_APT)
        for tool in TOOLS:
            (self.bin / tool).symlink_to(shutil.which(tool) or f"/usr/bin/{tool}")
        for command in TEST_TOOLS:
            self.program(command, "#!/bin/sh\n")
        self.user(1000)

    def program(self, name: str, text: str) -> None:
        path = self.bin / name
        path.write_text(text)
        path.chmod(0o755)

    def user(self, uid: int) -> None:
        self.program("id", f"#!/bin/sh\necho {uid}\n")

    def has(self, *facts: str) -> None:
        for fact in facts:
            (self.state / fact).touch()

    def run(self, purpose: str = "run", **env: str) -> Run:
        log = self.state / "log"
        log.write_text("")
        done = subprocess.run(
            ["/bin/sh", ".ci/prepare", purpose],
            cwd=self.tree,
            env={
                "PATH": str(self.bin),
                "STATE": str(self.state),
                "REAL_PYTHON": sys.executable,
                "HOME": str(self.state),
            }
            | env,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert done.stdout == ""
        return Run(done.returncode, done.stderr, log.read_text().splitlines())


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path)


def test_a_user_without_root_is_told_the_one_line_to_run(bench: Bench) -> None:
    run = bench.run()
    assert run.status == 2
    line = run.said.splitlines()[-1]
    assert line.startswith("  sudo apt-get install --no-install-recommends python3-venv libpango-1.0-0 ")
    assert run.did == []
    assert not (bench.tree / ".venv").exists()


def test_root_gets_the_missing_packages_and_then_the_locked_ones(bench: Bench) -> None:
    bench.user(0)
    run = bench.run()
    assert run.status == 0
    assert run.did[0].startswith("apt-get update")
    assert "python3-venv" in run.did[1]
    assert "--no-install-recommends" in run.did[1]
    assert run.did[2] == "venv"
    assert "--require-hashes -r requirements.lock" in run.did[3]


@pytest.mark.parametrize(("command", "package"), TEST_TOOLS.items())
def test_a_test_set_up_looks_for_the_test_tools_too(bench: Bench, command: str, package: str) -> None:
    bench.has("has-venv", "has-libraries")
    (bench.bin / command).unlink()
    assert bench.run("run").status == 0
    run = bench.run("test")
    assert run.status == 2
    assert package in run.said.splitlines()[-1].split()


def test_a_second_run_does_and_says_nothing(bench: Bench) -> None:
    bench.has("has-venv", "has-libraries")
    first = bench.run()
    assert first.status == 0
    assert "requirements.lock (once)" in first.said
    assert bench.run() == Run(0, "", [])


def test_a_folder_ready_for_the_tests_is_ready_to_run(bench: Bench) -> None:
    bench.has("has-venv", "has-libraries")
    assert bench.run("test").status == 0
    assert bench.run("run") == Run(0, "", [])


def test_a_folder_ready_to_run_is_not_yet_ready_for_the_tests(bench: Bench) -> None:
    bench.has("has-venv", "has-libraries")
    bench.run("run")
    assert "requirements-test.lock" in bench.run("test").did[-1]


def test_a_changed_lock_is_installed_into_the_same_environment(bench: Bench) -> None:
    bench.has("has-venv", "has-libraries")
    bench.run()
    (bench.tree / "requirements.lock").write_text("# changed\n")
    run = bench.run()
    assert len(run.did) == 1
    assert "--require-hashes" in run.did[0]


def test_an_environment_that_no_longer_works_is_made_anew(bench: Bench) -> None:
    bench.has("has-venv", "has-libraries")
    bench.run()
    bench.has("broken-venv")
    assert bench.run().did[0] == "venv"
    assert bench.run() == Run(0, "", [])


def test_a_failed_installation_is_told_and_tried_again_next_time(bench: Bench) -> None:
    bench.has("has-venv", "has-libraries", "pip-fails")
    run = bench.run()
    assert run.status == 1
    assert "Run this again" in run.said
    (bench.state / "pip-fails").unlink()
    assert bench.run().status == 0


def test_an_unusable_python_is_named_with_the_way_out(bench: Bench) -> None:
    run = bench.run(PYTHON="/no/such/python3")
    assert run.status == 2
    assert "'/no/such/python3' is not" in run.said
    assert "PYTHON=" in run.said


def test_a_wrong_purpose_is_wrong_usage(bench: Bench) -> None:
    assert bench.run("everything") == Run(2, "Usage: .ci/prepare run|test\n", [])


def link_or_copy(source: str, target: str) -> None:
    try:
        os.link(source, target, follow_symlinks=False)
    except OSError:  # another file system
        shutil.copy2(source, target, follow_symlinks=False)


def test_the_environment_works_after_the_folder_was_moved(tmp_path: Path) -> None:
    assert sys.prefix != sys.base_prefix, "run the tests from the project's environment: make test"
    moved = tmp_path / "moved"
    (moved / ".ci").mkdir(parents=True)
    shutil.copy(ROOT / ".ci" / "prepare", moved / ".ci" / "prepare")
    for lock in LOCKS:
        shutil.copy(ROOT / lock, moved / lock)
    shutil.copytree(sys.prefix, moved / ".venv", symlinks=True, copy_function=link_or_copy)
    offline = {"PATH": os.environ["PATH"], "HOME": str(tmp_path), "PIP_NO_INDEX": "1", "PIP_CONFIG_FILE": os.devnull}
    done = subprocess.run(
        ["/bin/sh", ".ci/prepare", "run"], cwd=moved, env=offline, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    where = subprocess.run(
        [".venv/bin/python", "-c", "import sys, flask; print(sys.prefix); print(flask.__file__)"],
        cwd=moved,
        env=offline,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()
    assert where[0] == str(moved / ".venv")
    assert where[1].startswith(str(moved))


def called_programs() -> set[str]:
    """Programs that the tests start by name: the first word of a list given to subprocess, or of run() in output/."""
    found = set()
    for path in (ROOT / "tests").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            first, function = node.args[0], ast.unparse(node.func)
            if function.startswith("subprocess.") and isinstance(first, ast.List):
                first = first.elts[0]
            elif function != "run" or path.parent.name != "output":
                continue
            if isinstance(first, ast.Constant) and re.fullmatch(r"[a-z0-9/_.-]+", str(first.value)):
                found.add(str(first.value))
    return found


def test_the_set_up_brings_every_program_that_the_tests_call() -> None:
    called = called_programs()
    assert len(TEST_TOOLS) >= 3
    assert {"pdftotext", "make"} <= called
    assert called <= set(TEST_TOOLS) | POPPLER | AT_HAND
