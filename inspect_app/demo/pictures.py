"""Photos for the demonstration house, drawn by the program; one seed gives one picture, and each says what it is."""

import random
from collections.abc import Callable, Mapping
from datetime import datetime

from inspect_app.demo.canvas import Board
from inspect_app.demo.scenes_aloft import ALOFT
from inspect_app.demo.scenes_below import BELOW

Scene = Callable[[Board, str, float], None]
SCENES: Mapping[str, Scene] = {**ALOFT, **BELOW}


def draw_picture(scene: str, tag: str, amount: float, seed: int, taken_at: datetime, close: bool = False) -> bytes:
    """A JPEG of a scene. `amount` from 0 (as new) to 1 (far gone) says how much of its fault shows.

    `tag` is on the label; `taken_at` is the local time for the EXIF data. Raises KeyError on an unknown scene.
    """
    board = Board(random.Random(f"{seed} {scene} {tag} {close}"))  # noqa: S311 - a picture, not a secret
    SCENES[scene](board, tag, amount)
    return board.to_jpeg(taken_at, tag or scene.replace("_", " "), close)
