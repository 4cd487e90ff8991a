"""Reading shared/*.yaml: the shipped files are whole, and mistakes are placed."""

import shutil
from pathlib import Path

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.errors import NotFound
from inspect_app.store.reference import WORKED_WITH, load_figures, load_reference, reference_at, reference_digest

CRITERIA = """
rope-broken-wires-lay rope-broken-wires-strand rope-broken-wires-end rope-diameter rope-outer-wire-wear groove-radius
tread-ratio fleet-angle clip-count clip-turnback clip-spacing clip-torque turnbuckle-threads deck-slot-width
hole-least-dimension guardrail-height guardrail-opening toeboard-height toeboard-gap ladder-rung-spacing
ladder-clear-width ladder-rail-above-landing spreader-spacing lock-imbalance curtain-closing-time
house-baseline part-plate
""".split()  # noqa: SIM905


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("sources.yaml", "criteria.yaml", "trade.yaml", "figures.yaml"):
        shutil.copy(shared_dir() / name, tmp_path / name)
    return tmp_path


def change(path: Path, old: str, new: str) -> int:
    """Replace the first `old` and return the line it stood on."""
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))
    return text[: text.index(old)].count("\n") + 1


def test_the_shipped_files_have_no_problem_and_every_criterion() -> None:
    reference = reference_at(shared_dir())
    assert reference.problems == ()
    assert set(CRITERIA) <= set(reference.criteria)
    assert reference.risk is not None
    assert reference.words.glossary
    assert load_figures(shared_dir()) == (reference.figures, ())


@pytest.mark.parametrize(
    ("name", "old", "new", "said"),
    [
        ("criteria.yaml", "op: at_least", "op: above", "“above” is not allowed"),
        ("criteria.yaml", "source: 29cfr1910.184", "source: 29cfr1910.999", "not a key of sources.yaml"),
        ("criteria.yaml", "consequence: edge", "consequence: bad", "“bad” is not allowed"),
        ("criteria.yaml", "{at: 1/2 in, count: 3", "{at: half in, count: 3", "cannot be read as a length"),
        ("sources.yaml", "authority: law", "authority: hearsay", "“hearsay” is not allowed"),
        ("trade.yaml", "3: Medium, 4: Low}", "3: Middling, 4: Low}", "is missing or unknown"),
        ("trade.yaml", "[short, long]", "[short, short]", "needs 2 different names"),
        ("figures.yaml", "{at: 1/4 in, value: 7000}", "{at: 1/4 in, value: seven}", "“seven” is not a number"),
        ("figures.yaml", "kind: bending_life", "kind: life", "“life” is not allowed"),
        ("trade.yaml", "schema: 1", "schema: 9", "`schema` must be 1"),
    ],
)
def test_a_mistake_is_reported_with_file_and_line(folder: Path, name: str, old: str, new: str, said: str) -> None:
    line = change(folder / name, old, new)
    problems = [problem for problem in load_reference(folder).problems if said in problem.message]
    assert problems
    assert problems[0].file == str(folder / name)
    assert problems[0].line == line


@pytest.mark.parametrize("text", ["a: [", "a: 1\na: 2\n", "\tx: 1", "- a\n- b\n", "", "a: &x 1\nb: *x\n"])
def test_a_file_that_is_no_plain_mapping_is_reported_and_the_others_kept(folder: Path, text: str) -> None:
    (folder / "trade.yaml").write_text(text)
    reference = load_reference(folder)
    assert {problem.file for problem in reference.problems} == {str(folder / "trade.yaml")}
    assert reference.risk is None
    assert reference.criteria == reference_at(shared_dir()).criteria


def test_a_missing_file_is_named(folder: Path) -> None:
    (folder / "criteria.yaml").unlink()
    with pytest.raises(NotFound, match=r"criteria\.yaml cannot be read"):
        load_reference(folder)


def test_reference_data_are_told_apart_by_what_is_in_their_files(tmp_path: Path) -> None:
    def digest_of(changed: str = "") -> str:
        place = tmp_path / (changed or "as-shipped")
        place.mkdir()
        for name in WORKED_WITH:
            shutil.copy(shared_dir() / name, place / name)
        if changed:
            (place / changed).write_text((place / changed).read_text() + "# one line more\n")
        return reference_digest(place)

    digests = [digest_of(), *map(digest_of, WORKED_WITH)]
    assert digests[0] == reference_digest(shared_dir())
    assert len(set(digests)) == len(digests)
    assert all(len(digest) == 12 and set(digest) <= set("0123456789abcdef") for digest in digests)
