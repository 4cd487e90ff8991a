"""What has come from a device and what has not: gaps in its sequence and the digest of a set of ids."""

import hashlib
from collections.abc import Iterable, Sequence

_MOST_RUNS = 6


def sequence_gaps(seen: Iterable[int], last: int | None = None, first: int = 1) -> tuple[tuple[int, int], ...]:
    """The runs of numbers missing from `seen`, both ends included, from `first` up to `last` or the highest seen.

    >>> sequence_gaps([1, 2, 5, 9], last=10)
    ((3, 4), (6, 8), (10, 10))
    """
    here = sorted({number for number in seen if number >= first})
    end = max([last or 0, *here[-1:]], default=0)
    gaps, expected = [], first
    for number in [*(n for n in here if n <= end), end + 1]:
        if number > expected:
            gaps.append((expected, number - 1))
        expected = number + 1
    return tuple(gaps)


def gap_words(gaps: Sequence[tuple[int, int]]) -> str:
    """What is missing, for people: at most six runs are named.

    >>> gap_words([(3, 3), (41, 57)])
    'entries 3 and 41 to 57 never came'
    """
    if not gaps:
        return ""
    runs = [str(first) if first == last else f"{first} to {last}" for first, last in gaps[:_MOST_RUNS]]
    if len(gaps) > _MOST_RUNS:
        runs.append(f"{sum(last - first + 1 for first, last in gaps[_MOST_RUNS:])} more")
    text = " and ".join(filter(None, (", ".join(runs[:-1]), runs[-1])))
    single = len(gaps) == 1 and gaps[0][0] == gaps[0][1]
    return f"{'entry' if single else 'entries'} {text} never came"


def ids_digest(ids: Iterable[str]) -> str:
    """SHA-256 in hex over the ids in lower case, each once, sorted, joined by a line feed (none at the end)."""
    return hashlib.sha256("\n".join(sorted({one.lower() for one in ids})).encode()).hexdigest()
