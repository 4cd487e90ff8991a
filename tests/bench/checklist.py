"""Reading the shipped checklists."""

from pathlib import Path

import yaml

from inspect_app.config import settings_for
from inspect_app.store.checklist import load_checklists
from tests.bench.measure import Line, in_turn


def load(folder: Path) -> Line:
    settings = settings_for(folder)
    files = sorted(settings.checklists.rglob("*.yaml")) + sorted(settings.shared.glob("*.yaml"))
    checklists, problems = load_checklists(settings)
    if problems:
        raise RuntimeError(str(problems[0]))

    def parse_only() -> None:
        for file in files:
            yaml.load(file.read_bytes(), yaml.CSafeLoader)

    ours, plain = in_turn(lambda: load_checklists(settings), parse_only, rounds=5)
    points = sum(1 for checklist in checklists.values() for _ in checklist.points())
    return Line(
        "checklists: read and check",
        f"read {len(files)} files into {len(checklists)} checklists with {points} points, checked by every rule",
        "the C loader of PyYAML on the same files, nothing checked",
        "one reading of all files",
        ours,
        plain,
    )
