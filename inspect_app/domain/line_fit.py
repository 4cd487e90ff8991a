"""Straight lines through points: Theil-Sen and least squares with its prediction interval, in exact fractions.

Only square roots are floats, and none stands between a measure and a date.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median
from typing import NamedTuple

from inspect_app.domain.errors import BadValue


class Point(NamedTuple):
    """A point: x (days, or any other number) and y."""

    x: Fraction
    y: Fraction


class Line(NamedTuple):
    """y = intercept + slope * x."""

    intercept: Fraction
    slope: Fraction

    def at(self, x: Fraction | int) -> Fraction:
        """y at x."""
        return self.intercept + self.slope * x

    def crosses(self, y: Fraction) -> Fraction | None:
        """x at which the line has the value y; None for a level line."""
        return (y - self.intercept) / self.slope if self.slope else None


@dataclass(frozen=True, slots=True)
class LeastSquares:
    """Ordinary least squares through `count` points. `variance` is the residual sum of squares over `freedom`."""

    line: Line
    count: int
    mean_x: Fraction
    sum_xx: Fraction  # sum of (x - mean_x)^2
    sum_yy: Fraction  # sum of (y - mean_y)^2
    residual_sum: Fraction
    freedom: int

    @property
    def variance(self) -> Fraction:
        """The residual variance."""
        return self.residual_sum / self.freedom

    @property
    def residual_sd(self) -> float:
        """The residual standard deviation."""
        return math.sqrt(self.variance)

    @property
    def slope_sd(self) -> float:
        """The standard deviation of the slope."""
        return math.sqrt(self.variance / self.sum_xx)

    @property
    def intercept_sd(self) -> float:
        """The standard deviation of the intercept."""
        return math.sqrt(self.variance * (Fraction(1, self.count) + self.mean_x**2 / self.sum_xx))

    @property
    def r_squared(self) -> float:
        """The share of the spread in y that the line explains; 1 where y does not vary at all."""
        return float(1 - self.residual_sum / self.sum_yy) if self.sum_yy else 1.0

    def prediction_variance(self, x: Fraction | int) -> Fraction:
        """The variance of one further y at x about the line: s^2 (1 + 1/n + (x - mean)^2 / Sxx)."""
        return self.variance * (1 + Fraction(1, self.count) + (x - self.mean_x) ** 2 / self.sum_xx)

    def half_interval(self, x: Fraction | int, t: Fraction) -> float:
        """Half the prediction interval at x for the quantile t of `freedom` degrees of freedom."""
        return float(t) * math.sqrt(self.prediction_variance(x))


def theil_sen(points: Sequence[Point]) -> Line:
    """The line whose slope is the median of the slopes of all pairs with different x, and whose intercept is the
    median of y - slope * x (Theil 1950, Sen 1968; the second of the two usual conventions for the intercept).

    Raises BadValue without two different x.
    """
    xs, x_parts = _whole([point.x for point in points])
    ys, y_parts = _whole([point.y for point in points])
    rows = sorted(zip(xs, ys, strict=True))
    rises = [(y2 - y1, x2 - x1) for n, (x1, y1) in enumerate(rows) for x2, y2 in rows[n + 1 :] if x1 != x2]
    if not rises:
        raise BadValue("A line needs points at two different places.", "points")
    slope = _median_ratio(rises) * Fraction(x_parts, y_parts)
    return Line(median(point.y - slope * point.x for point in points), slope)


def _whole(values: Sequence[Fraction]) -> tuple[list[int], int]:
    """The values as whole numbers of a part they all share, and how many of these make one."""
    parts = math.lcm(*(value.denominator for value in values))
    return [value.numerator * (parts // value.denominator) for value in values], parts


def _median_ratio(ratios: Sequence[tuple[int, int]]) -> Fraction:
    """The median of whole numbers over whole numbers above zero, exactly.

    Hundreds of pairs for each line of a house: they are put in order by their quotients as floats, which are rounded
    correctly and so never change places; only where these are equal is the order found in fractions.
    """
    try:
        order = sorted((over / under, over, under) for over, under in ratios)
    except OverflowError:
        return median(Fraction(over, under) for over, under in ratios)

    def place(n: int) -> Fraction:
        first = bisect_left(order, order[n][0], key=lambda row: row[0])
        last = bisect_right(order, order[n][0], key=lambda row: row[0])
        return sorted(Fraction(over, under) for _, over, under in order[first:last])[n - first]

    middle = len(order) // 2
    return place(middle) if len(order) % 2 else (place(middle - 1) + place(middle)) / 2


def least_squares(points: Sequence[Point], *, freedom: int | None = None) -> LeastSquares:
    """The line with the smallest sum of squared residuals. Raises BadValue without three points or two different x.

    `freedom`, the degrees of freedom, is two fewer than the points unless fewer are named: points that are no looks of
    their own must not make the interval narrower.
    """
    count = len(points)
    if count < 3:
        raise BadValue("Least squares with an interval needs three points or more.", "points")
    mean_x, mean_y = sum(p.x for p in points) / Fraction(count), sum(p.y for p in points) / Fraction(count)
    sum_xx = sum(((p.x - mean_x) ** 2 for p in points), Fraction(0))
    if not sum_xx:
        raise BadValue("A line needs points at two different places.", "points")
    sum_yy = sum(((p.y - mean_y) ** 2 for p in points), Fraction(0))
    sum_xy = sum(((p.x - mean_x) * (p.y - mean_y) for p in points), Fraction(0))
    slope = sum_xy / sum_xx
    line, left = Line(mean_y - slope * mean_x, slope), sum_yy - slope * sum_xy
    return LeastSquares(line, count, mean_x, sum_xx, sum_yy, left, freedom or count - 2)
