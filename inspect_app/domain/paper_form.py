"""The paper form: a blank checklist in walking order, a page for each well or set, with room to write in gloves."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, NamedTuple

from inspect_app.domain.checklist import Checklist, Method, Point, State
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import Inventory, LineSet
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.second_look import Wanted
from inspect_app.domain.stretch import Row, tag_key
from inspect_app.domain.walk import Scope
from inspect_app.domain.walk_order import STATE_WORDS, Place, Stretch, points_of, stretches

ROWS_ON_A_PAGE = 13  # rows of 15 mm: a pencil held in a glove (common practice, no source) on Letter or A4 upright
MOST_PAGES = 400  # a longer form is printed in parts
METHOD_WORDS = {
    Method.LOOK: "look",
    Method.FEEL: "feel",
    Method.LISTEN: "listen",
    Method.MEASURE: "measure",
    Method.OPERATE: "operate",
}


class AskedPoint(NamedTuple):
    """A point under its letter; the letter is what is written beside a place."""

    letter: str
    ask: str
    kinds: str
    how: str
    figures: str
    stop_use: tuple[str, ...]


class FormRow(NamedTuple):
    """One place: its number in the stretch, counted from 1, its label, the tags of its parts, and whose second look
    waits here."""

    n: int
    label: str
    tags: str
    second: str = ""


class FormPage(NamedTuple):
    """One sheet: a well, a run of its places, or several sets or areas. `place` is its first row."""

    title: str
    rows: tuple[FormRow, ...]
    place: Place


class _Screen(NamedTuple):
    title: str
    rows: tuple[Row, ...]
    first: int  # number of its first row in the stretch


class _Marks(NamedTuple):
    """What is printed beside a place, by part: its tag, and the second look that waits."""

    tags: dict[str, str]
    second: dict[str, str]


@dataclass(frozen=True, slots=True)
class FormStretch:
    """One stop of the walk in one state with what is asked there."""

    checklist: str
    revision: str
    stop: str
    vantage: str
    state: str
    points: tuple[AskedPoint, ...]
    pages: tuple[FormPage, ...]


def paper_form(
    checklists: Iterable[Checklist], inventory: Inventory, scope: Scope, second_looks: Iterable[Wanted] = ()
) -> tuple[FormStretch, ...]:
    """The form of a scope, in the very order of the desk form; a place where a second look waits says so.

    Raises BadValue when nothing in the scope is asked about, or when the form would be longer than MOST_PAGES sheets.
    """
    waiting = list(second_looks)
    found = tuple(_form_stretch(stretch, inventory, waiting) for stretch in stretches(checklists, inventory, scope))
    sheets = sum(1 + len(one.pages) for one in found)
    if not found:
        raise BadValue(
            "Nothing in this scope is asked about by this checklist. Choose other sets, areas or checklists."
        )
    if sheets > MOST_PAGES:
        raise BadValue(
            f"This form would have {sheets} sheets. Choose fewer sets, areas or checklists: {MOST_PAGES} at most."
        )
    return found


def letter_of(n: int) -> str:
    """The name of the nth thing, counted from 0: A to Z, then AA, AB.

    >>> letter_of(0), letter_of(25), letter_of(26)
    ('A', 'Z', 'AA')
    """
    return (letter_of(n // 26 - 1) if n >= 26 else "") + chr(ord("A") + n % 26)


def _form_stretch(stretch: Stretch, inventory: Inventory, second_looks: Sequence[Wanted]) -> FormStretch:
    parts = {part.id: part for part in inventory.parts}
    here = {parts[key].kind for _, row in stretch.rows for key in row.part_ids}
    sets = {one.number for one in inventory.line_sets}
    asked = points_of(stretch, inventory)
    points = tuple(_asked(letter_of(n), point, here) for n, point in enumerate(asked))
    marks = _Marks({key: part.tag for key, part in parts.items()}, _seconds(stretch, asked, second_looks))
    return FormStretch(
        stretch.checklist.title,
        stretch.checklist.revision,
        stretch.stop.title,
        stretch.stop.vantage.value,
        STATE_WORDS[stretch.state],
        points,
        tuple(_pages(_with_words(stretch, sets), marks)),
    )


def _seconds(stretch: Stretch, asked: Iterable[Point], second_looks: Iterable[Wanted]) -> dict[str, str]:
    here, points = f"{stretch.stop.vantage.value}/{stretch.state.value}", {point.id for point in asked}
    return {
        row.second.part: f"{row.tag}, not by {row.first_by}" if row.first_by else row.tag
        for row in second_looks
        if row.second.in_pass == here and points & set(row.second.points)
    }


def _with_words(stretch: Stretch, sets: set[str]) -> Stretch:
    """Along a well the phone shows bare set numbers; on paper they say what they are."""
    rows = [
        (title, row._replace(label=f"Set {row.label}") if row.label in sets else row) for title, row in stretch.rows
    ]
    return stretch._replace(rows=tuple(rows))


def _asked(letter: str, point: Point, here: set[Any]) -> AskedPoint:
    kinds = ", ".join(dict.fromkeys(kind_title(kind) for kind in point.parts if kind in here))
    figures = "; ".join(
        f"{spec.quantity.replace('_', ' ')} in {' or '.join(spec.units)}, with {spec.instrument}"
        + (f", {spec.station}" if spec.station else "")
        for spec in point.measures
    )
    return AskedPoint(letter, point.ask, kinds, METHOD_WORDS[point.method], figures, point.stop_use)


def _pages(stretch: Stretch, marks: _Marks) -> Iterator[FormPage]:
    """A well begins a sheet of its own; sets and areas share one as long as they fit on it whole."""
    waiting: list[_Screen] = []
    for screen in _screens(stretch):
        alone = stretch.stop.order == "well" or len(screen.rows) > ROWS_ON_A_PAGE
        if waiting and (alone or sum(len(one.rows) for one in waiting) + len(screen.rows) > ROWS_ON_A_PAGE):
            yield _sheet(stretch, waiting, marks)
            waiting = []
        if alone:
            yield from _run(stretch, screen, marks)
        else:
            waiting.append(screen)
    if waiting:
        yield _sheet(stretch, waiting, marks)


def _screens(stretch: Stretch) -> Iterator[_Screen]:
    first = 1
    for title, group in groupby(stretch.rows, key=lambda one: one[0]):
        rows = tuple(row for _, row in group)
        yield _Screen(title, rows, first)
        first += len(rows)


def _run(stretch: Stretch, screen: _Screen, marks: _Marks) -> Iterator[FormPage]:
    starts = range(0, len(screen.rows), ROWS_ON_A_PAGE)
    for n, at in enumerate(starts, start=1):
        piece = _Screen(screen.title, screen.rows[at : at + ROWS_ON_A_PAGE], screen.first + at)
        page = _sheet(stretch, [piece], marks)
        yield page._replace(title=f"{page.title}, sheet {n} of {len(starts)}") if len(starts) > 1 else page


def _sheet(stretch: Stretch, screens: Sequence[_Screen], marks: _Marks) -> FormPage:
    shared = len(screens) > 1
    title = f"{_short(screens[0].title)} to {_short(screens[-1].title)}" if shared else screens[0].title
    rows = [
        FormRow(
            one.first + n,
            _label(one.title, row.label) if shared else row.label,
            _tags(row, marks.tags),
            "; ".join(marks.second[key] for key in row.part_ids if key in marks.second),
        )
        for one in screens
        for n, row in enumerate(one.rows)
    ]
    first = screens[0].rows[0].key
    return FormPage(title, tuple(rows), Place(stretch.checklist.id, stretch.stop.id, stretch.state.value, first))


def _short(title: str) -> str:
    return title.partition(":")[0]


def _label(title: str, label: str) -> str:
    """The label of a place on a sheet that several sets or areas share."""
    return title if label == _short(title) else f"{_short(title)}: {label}"


def _tags(row: Row, tags: dict[str, str]) -> str:
    shown = [tags[key] for key in row.part_ids]
    return "" if shown == [row.label] else ", ".join(shown)


def choose_sets(text: str, line_sets: Sequence[LineSet]) -> frozenset[str] | None:
    """The ids of the sets that a text such as `1-12, 14A, LX2` names, a range in the house's order; None when empty.

    Raises BadValue naming the piece that is no set of the house.
    """
    order = sorted(line_sets, key=lambda one: (one.sort_key, tag_key(one.number), one.id))
    at = {one.number.casefold(): n for n, one in enumerate(order)}
    chosen: set[str] = set()
    for piece in filter(None, (one.strip() for one in text.replace(";", ",").split(","))):
        first, last = _ends(piece.casefold(), at)
        if first not in at or last not in at or at[first] > at[last]:
            raise BadValue(
                f"“{piece}” names no set or run of sets of this house. Write numbers such as 1-12, 14A.", "sets"
            )
        chosen.update(one.id for one in order[at[first] : at[last] + 1])
    return frozenset(chosen) or None


def _ends(piece: str, known: dict[str, int]) -> tuple[str, str]:
    """Both ends of a run; a number that itself holds a hyphen counts first."""
    if piece in known:
        return piece, piece
    for n, sign in enumerate(piece):
        if sign in "-–" and piece[:n].strip() in known:
            return piece[:n].strip(), piece[n + 1 :].strip()
    return piece, piece


def place_from(args: dict[str, str]) -> Place:
    """The place that an address names. Raises BadValue when it names none."""
    try:
        place = Place(args["checklist"], args["stop"], State(args["state"]).value, args["place"])
    except (KeyError, ValueError):
        raise BadValue("This address names no place of a form. Scan the code on the sheet again.") from None
    return place
