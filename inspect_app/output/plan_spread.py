"""Keeps marks apart: a mark that would cover another gives way along its row, and a leader goes to its true place."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

_CELL_MM = 4.0
_STEPS = 40


@dataclass(slots=True)
class Room:
    """The boxes that are taken, found by cells of a few millimetres."""

    _cells: dict[tuple[int, int], list[tuple[float, float, float, float]]] = field(default_factory=dict)

    def is_free(self, x: float, y: float, half_x: float, half_y: float) -> bool:
        """Whether a box about x, y overlaps none that is taken."""
        box = (x - half_x, y - half_y, x + half_x, y + half_y)
        return not any(_overlap(box, other) for cell in _cells_of(box) for other in self._cells.get(cell, ()))

    def take(self, x: float, y: float, half_x: float, half_y: float) -> None:
        """Take the box about x, y."""
        box = (x - half_x, y - half_y, x + half_x, y + half_y)
        for cell in _cells_of(box):
            self._cells.setdefault(cell, []).append(box)

    def place(self, x: float, y: float, half_x: float, half_y: float) -> tuple[float, float]:
        """The nearest free place on the row of x, y, which is taken; further up or down only where the row is full."""
        step = half_x * 0.55
        for down in (0, 1, -1, 2, -2, 3, -3):
            for n in range(_STEPS):
                for sign in (1, -1) if n else (1,):
                    at = (x + sign * n * step, y + down * half_y * 2.1)
                    if self.is_free(*at, half_x, half_y):
                        self.take(*at, half_x, half_y)
                        return at
        self.take(x, y, half_x, half_y)
        return x, y


def _cells_of(box: tuple[float, float, float, float]) -> Iterable[tuple[int, int]]:
    left, top, right, bottom = (int(side // _CELL_MM) for side in box)
    return ((i, j) for i in range(left, right + 1) for j in range(top, bottom + 1))


def _overlap(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] - 1e-9 and b[0] < a[2] - 1e-9 and a[1] < b[3] - 1e-9 and b[1] < a[3] - 1e-9


def rows_apart(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places near those wanted, in the same order of size, at least `gap` apart where there is room from low to high.

    Where there is not, they are spread evenly over it.
    """
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    gap = min(gap, (high - low) / max(len(wanted) - 1, 1))
    at: list[float] = []
    for i in order:
        at.append(max(wanted[i], at[-1] + gap) if at else max(wanted[i], low))
    for k in reversed(range(len(at))):
        at[k] = min(at[k], high - (len(at) - 1 - k) * gap)
    found = [0.0] * len(wanted)
    for k, i in enumerate(order):
        found[i] = at[k]
    return found
