"""Lists of part tags written short: runs of numbers, and lines of sets, so that each part can still be told."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import NamedTuple

_NUMBER = re.compile(r"[A-Za-z0-9./-]+", re.ASCII)
_ENDS_IN_NUMBER = re.compile(r"(.*?)(0|[1-9][0-9]{0,8})", re.ASCII)


class Place(NamedTuple):
    """The line set and lift line that a part belongs to."""

    line_set: str
    line: int


class _Block(NamedTuple):
    """All these lines of all these sets."""

    lines: tuple[int, ...]
    sets: tuple[str, ...]


def natural(tag: str) -> tuple[tuple[int, int, str], ...]:
    """A key that sorts LB 2-1 before LB 10-1."""
    return tuple(
        (0, int(piece), "") if piece.isdigit() else (1, 0, piece) for piece in re.findall(r"[0-9]+|[^0-9]+", tag)
    )


def runs_of(tags: Iterable[str], places: Mapping[str, Place] | None = None) -> str:
    """The tags written short and exactly: `HB 1 to 12, 12A; LB line 4 of sets 1 to 24; LM 3-1, 3-2`.

    A run holds whole numbers that follow one another and are all in the list, nothing else: 12A is never within a run.
    `places` says which tags are a line of a set (`LB 12-4`), so that only these are told as lines; a tag that is not of
    the form *letters, space, number* stands as it is.
    """
    plain, numbers, lines = _sorted_out(tags, places or {})
    told = {prefix: _numbers(prefix, rests) for prefix, rests in numbers.items()}
    for prefix, by_set in lines.items():
        told[prefix] = "; ".join(filter(None, (told.get(prefix, ""), _lines(prefix, by_set))))
    return "; ".join([*plain, *(told[prefix] for prefix in sorted(told))])


def _sorted_out(
    tags: Iterable[str], places: Mapping[str, Place]
) -> tuple[list[str], dict[str, list[str]], dict[str, dict[str, set[int]]]]:
    plain: list[str] = []
    numbers: dict[str, list[str]] = defaultdict(list)
    lines: dict[str, dict[str, set[int]]] = defaultdict(lambda: defaultdict(set))
    for tag in sorted(set(tags), key=natural):
        prefix, _, rest = tag.partition(" ")
        place = places.get(tag)
        if not (prefix.isalpha() and _NUMBER.fullmatch(rest)):
            plain.append(tag)
        elif place and rest == f"{place.line_set}-{place.line}":
            lines[prefix][place.line_set].add(place.line)
        else:
            numbers[prefix].append(rest)
    return plain, numbers, lines


def _numbers(prefix: str, rests: Iterable[str]) -> str:
    return f"{prefix} {', '.join(_joined(rests))}"


def _joined(rests: Iterable[str]) -> list[str]:
    """`1 to 12`, `12A`: three and more numbers that follow one another after the same letters become one run."""
    runs: list[list[str]] = []
    for rest in rests:
        if runs and _follows(runs[-1][-1], rest):
            runs[-1].append(rest)
        else:
            runs.append([rest])
    said: list[str] = []
    for run in runs:
        said += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else run
    return said


def _follows(one: str, other: str) -> bool:
    first, second = _ENDS_IN_NUMBER.fullmatch(one), _ENDS_IN_NUMBER.fullmatch(other)
    if not first or not second or first[1] != second[1]:
        return False
    return int(second[2]) == int(first[2]) + 1


def _lines(prefix: str, by_set: Mapping[str, set[int]]) -> str:
    """The shortest of three: tag by tag, line by line, set by set."""
    whole = [f"{number}-{line}" for number, found in by_set.items() for line in sorted(found)]
    told = (f"{prefix} " + "; ".join(map(_block, blocks)) for blocks in (_by_line(by_set), _by_set(by_set)))
    return min((_numbers(prefix, whole), *told), key=len)


def _by_set(by_set: Mapping[str, set[int]]) -> list[_Block]:
    alike: dict[tuple[int, ...], list[str]] = defaultdict(list)
    for number, found in by_set.items():
        alike[tuple(sorted(found))].append(number)
    return [_Block(found, tuple(sets)) for found, sets in alike.items()]


def _by_line(by_set: Mapping[str, set[int]]) -> list[_Block]:
    sets_of: dict[int, list[str]] = defaultdict(list)
    for number, found in by_set.items():
        for line in found:
            sets_of[line].append(number)
    alike: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for line in sorted(sets_of):
        alike[tuple(sets_of[line])].append(line)
    return [_Block(tuple(found), sets) for sets, found in alike.items()]


def _block(block: _Block) -> str:
    lines = ", ".join(_joined(map(str, block.lines)))
    sets = ", ".join(_joined(block.sets))
    return f"line{'s' * (len(block.lines) > 1)} {lines} of set{'s' * (len(block.sets) > 1)} {sets}"
