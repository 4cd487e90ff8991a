"""A part drawing as a value: its shapes, and the places on it that wear, each with the points that look at it."""

from typing import NamedTuple

from inspect_app.output.part_pen import Point


class Place(NamedTuple):
    """Where to look: the spot itself, where its letter stands, what it is called, and the checklist points on it."""

    spot: Point
    letter_at: Point
    title: str
    points: tuple[str, ...]


class Drawing(NamedTuple):
    """`view` says in words what is drawn and from where; letters follow the order of the places."""

    view: str
    shapes: tuple[str, ...]
    places: tuple[Place, ...]
