"""Reading checklists from files (shipped, then the house's own over them) and keeping the revisions that walks used."""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from pathlib import Path

from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.checklist import Checklist, Review, checklist_from_json, checklist_to_json
from inspect_app.domain.checklist_reader import Component, read_checklist, read_component
from inspect_app.domain.ids import to_key
from inspect_app.domain.point_reader import Known
from inspect_app.domain.source_tree import Problem
from inspect_app.store.yaml_tree import read_yaml


@dataclass(frozen=True, slots=True)
class Shelf:
    """All checklists that can be used now, by id; the text each was read from; and what is wrong with the rest."""

    checklists: Mapping[str, Checklist]
    sources: Mapping[str, Mapping[str, str]]  # checklist id -> file name -> exact text
    problems: tuple[Problem, ...]


def load_shelf(settings: Settings) -> Shelf:
    """Read the shipped checklists and the data folder's own, which replace a shipped file of the same name.

    A file with a mistake is left out and reported; it is never replaced by an older text behind the house's back.
    The files are read again only when one of them has changed.
    """
    own = settings.data / "checklists"
    folders = (settings.checklists, *((own,) if any(own.glob("**/*.yaml")) else ()))
    return _read_shelf(folders, settings.shared, _stamp([*folders, settings.shared]))


def _stamp(folders: Sequence[Path]) -> tuple[tuple[str, int, int], ...]:
    """Name, time and size of every file that a shelf is read from."""
    paths = [path for folder in folders for path in sorted(folder.glob("**/*.yaml"))]
    return tuple((str(path), stat.st_mtime_ns, stat.st_size) for path in paths for stat in [path.stat()])


@lru_cache(maxsize=8)
def _read_shelf(folders: tuple[Path, ...], shared: Path, _: tuple[tuple[str, int, int], ...]) -> Shelf:
    """The first folder holds the shipped ones, any other the house's own."""
    known, problems = _read_known(shared)
    components, texts, wrong = _read_components(list(folders), known)
    problems += wrong
    checklists: dict[str, Checklist] = {}
    sources: dict[str, Mapping[str, str]] = {}
    for path in _files(list(folders), ""):
        checklist, used, wrong = _read_one(path, components, texts, known)
        problems += wrong
        if checklist is not None:
            checklists[checklist.id] = replace(checklist, house_own=path.parent in folders[1:])
            sources[checklist.id] = used
    problems += _points_of_two_meanings(checklists)
    return Shelf(checklists, sources, tuple(problems))


def load_checklists(settings: Settings) -> tuple[dict[str, Checklist], list[Problem]]:
    """The usable checklists by id, and the problems of the others."""
    shelf = load_shelf(settings)
    return dict(shelf.checklists), list(shelf.problems)


def read_checklist_file(path: Path, settings: Settings) -> tuple[Checklist | None, list[Problem]]:
    """One checklist file by itself, with the components that stand beside the shipped and the house's own ones."""
    known, problems = _read_known(settings.shared)
    folders = [settings.checklists, settings.data / "checklists", path.parent]
    components, texts, wrong = _read_components(folders, known)
    problems += [problem for problem in wrong if Path(problem.file).parent.parent == path.parent]
    if path.parent.name == "points":
        _, mistakes = _read_component_file(path, known)
        return None, problems + mistakes
    checklist, _, mistakes = _read_one(path, components, texts, known)
    return checklist, problems + mistakes


def _files(folders: list[Path], below: str) -> Iterator[Path]:
    by_name: dict[str, Path] = {}
    for folder in folders:
        for path in sorted((folder / below).glob("*.yaml")):
            by_name[path.name] = path
    yield from (by_name[name] for name in sorted(by_name))


def _read_known(shared: Path) -> tuple[Known, list[Problem]]:
    """The keys of the reference data, read straight from its files."""
    keys: dict[str, frozenset[str]] = {}
    problems: list[Problem] = []
    for name in ("criteria", "sources"):
        path = shared / f"{name}.yaml"
        node, wrong = read_yaml(path.read_bytes(), str(path)) if path.is_file() else (None, [])
        problems += wrong
        table = getattr(node, "items", {}).get(name)
        keys[name] = frozenset(table[1].items) if table else frozenset()
    return Known(keys["criteria"], keys["sources"]), problems


def _read_component_file(path: Path, known: Known) -> tuple[Component | None, list[Problem]]:
    stat = path.stat()
    component, problems = _component_at(path, known, stat.st_mtime_ns, stat.st_size)
    return component, list(problems)


@lru_cache(maxsize=128)
def _component_at(path: Path, known: Known, *_: int) -> tuple[Component | None, tuple[Problem, ...]]:
    """A component read once for each state of its file: a changed checklist of the house leaves 41 of them as read."""
    node, problems = read_yaml(path.read_bytes(), str(path))
    if node is None:
        return None, tuple(problems)
    component, problems = read_component(node, str(path), path.stem, known)
    return component, tuple(problems)


def _read_components(
    folders: list[Path], known: Known
) -> tuple[dict[str, Component], dict[str, tuple[str, str]], list[Problem]]:
    components: dict[str, Component] = {}
    texts: dict[str, tuple[str, str]] = {}
    problems: list[Problem] = []
    for path in _files(folders, "points"):
        component, wrong = _read_component_file(path, known)
        problems += wrong
        if component is not None:
            components[component.slug] = component
            texts[component.slug] = (f"points/{path.name}", path.read_text(encoding="utf-8-sig"))
    return components, texts, problems


def _read_one(
    path: Path, components: Mapping[str, Component], texts: Mapping[str, tuple[str, str]], known: Known
) -> tuple[Checklist | None, dict[str, str], list[Problem]]:
    raw = path.read_bytes()
    node, problems = read_yaml(raw, str(path))
    if node is None:
        return None, {}, problems
    checklist, problems = read_checklist(node, str(path), path.stem, components, known)
    if checklist is None:
        return None, {}, problems
    used = {path.name: raw.decode("utf-8-sig")}
    used.update(texts[section.component] for section in checklist.sections if section.component)
    return replace(checklist, revision=revision_of(used)), used, []


def revision_of(sources: Mapping[str, str]) -> str:
    """SHA-256 in hex over the names and texts of the files a checklist was read from."""
    return hashlib.sha256(json.dumps(sources, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def _points_of_two_meanings(checklists: Mapping[str, Checklist]) -> list[Problem]:
    """A point id stands for one question for ever; two checklists may share a point, never an id with another text."""
    seen: dict[str, tuple[str, str]] = {}
    problems = []
    for checklist in checklists.values():
        for point in checklist.points():
            ask, first = seen.setdefault(point.id, (point.ask, checklist.id))
            if ask != point.ask:
                message = f"point `{point.id}` asks something else in checklist `{first}`; give it an id of its own"
                problems.append(Problem(f"{checklist.id}.yaml", 0, 0, message))
    return problems


def freeze_revision(db: Database, checklist: Checklist, sources: Mapping[str, str], at: datetime) -> None:
    """Keep the exact text and form of a revision, once."""
    db.execute(
        "INSERT INTO checklist_revision(sha256, checklist, sources, parsed, first_used) VALUES (?,?,?,?,?) "
        "ON CONFLICT(sha256) DO NOTHING",
        (
            bytes.fromhex(checklist.revision),
            checklist.id,
            json.dumps(sources, ensure_ascii=False, sort_keys=True),
            json.dumps(checklist_to_json(checklist), ensure_ascii=False),
            at.isoformat(timespec="milliseconds"),
        ),
    )


def get_revision(db: Database, revision: str) -> Checklist | None:
    """A kept revision by its SHA-256 in hex."""
    try:
        key = bytes.fromhex(revision)
    except ValueError:
        return None
    row = db.execute("SELECT parsed FROM checklist_revision WHERE sha256 = ?", (key,)).fetchone()
    return _parsed(row[0]) if row else None


class NamedCriteria:
    """Which criterion a measure was asked for by, as the checklist named it when it was taken; each is read once."""

    def __init__(self, db: Database) -> None:
        self._db = db
        self._read: dict[str, dict[tuple[str, str], str]] = {}

    def key(self, revision: str, point: str, quantity: str) -> str:
        """The key of the criterion; '' for an unknown revision and for a figure that has none."""
        if revision not in self._read:
            checklist = get_revision(self._db, revision) if revision else None
            points = checklist.points() if checklist else ()
            self._read[revision] = {(one.id, spec.quantity): spec.criterion for one in points for spec in one.measures}
        return self._read[revision].get((point, quantity), "")


@lru_cache(maxsize=64)
def _parsed(text: str) -> Checklist:
    """A kept form read once in this process: a walk page, its check and its signature ask for the same few."""
    return checklist_from_json(json.loads(text))


def get_review(db: Database, house: str, revision: str) -> Review | None:
    """The newest review that a qualified person gave this exact revision in this house."""
    row = db.execute(
        "SELECT reviewer, credential, reviewed_on FROM checklist_review WHERE house = ? AND sha256 = ? "
        "ORDER BY at DESC LIMIT 1",
        (to_key(house), bytes.fromhex(revision)),
    ).fetchone()
    return Review(*row) if row else None


def insert_review(
    db: Database, review_id: str, house: str, checklist: Checklist, review: Review, remark: str, by: str, at: datetime
) -> None:
    """Record who reviewed a revision and when."""
    db.execute(
        "INSERT INTO checklist_review(id, house, sha256, checklist, reviewer, credential, reviewed_on, remark, by, at) "
        "VALUES (?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(review_id),
            to_key(house),
            bytes.fromhex(checklist.revision),
            checklist.id,
            review.by,
            review.credential,
            review.on,
            remark,
            to_key(by),
            at.isoformat(timespec="milliseconds"),
        ),
    )
