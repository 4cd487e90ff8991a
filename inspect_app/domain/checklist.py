"""Checklists: points asked of parts, in passes and stops, as frozen values with their JSON form."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from inspect_app.domain.part import PartKind
from inspect_app.domain.source import MARK_WORDS


class Vantage(StrEnum):
    """Where one stands to look."""

    DECK = "deck"
    RAIL = "rail"
    BRIDGE = "bridge"
    GRID = "grid"
    BATTEN = "batten"
    MACHINE = "machine"
    ACCESS = "access"


class Method(StrEnum):
    """What one does."""

    LOOK = "look"
    FEEL = "feel"
    LISTEN = "listen"
    MEASURE = "measure"
    OPERATE = "operate"


TAP_METHODS = frozenset({Method.LOOK, Method.FEEL, Method.LISTEN})  # what one tap may answer


class State(StrEnum):
    """The state the thing is in while one looks."""

    STATIC = "static"
    MOVING = "moving"
    LOADED = "loaded"
    ISOLATED = "isolated"


class Way(StrEnum):
    """A way of looking. Handled includes seen close, seen close includes seen from afar; heard stands apart."""

    HANDLED = "handled"
    SEEN_CLOSE = "seen_close"
    SEEN_FROM_AFAR = "seen_from_afar"
    HEARD = "heard"


WAY_MET_BY: Mapping[Way, frozenset[Way]] = {
    Way.HANDLED: frozenset({Way.HANDLED}),
    Way.SEEN_CLOSE: frozenset({Way.HANDLED, Way.SEEN_CLOSE}),
    Way.SEEN_FROM_AFAR: frozenset({Way.HANDLED, Way.SEEN_CLOSE, Way.SEEN_FROM_AFAR}),
    Way.HEARD: frozenset({Way.HEARD}),
}


class Competence(StrEnum):
    """The least competence a point needs."""

    TRAINED = "trained"
    COMPETENT = "competent"
    QUALIFIED = "qualified"


COMPETENCE_RANK: Mapping[Competence, int] = {
    Competence.TRAINED: 0,
    Competence.COMPETENT: 1,
    Competence.QUALIFIED: 2,
}


class Grade(StrEnum):
    """Action grades of a finding, mildest first."""

    WATCH = "watch"
    REPAIR_BY = "repair_by"
    RESTRICT = "restrict"
    STOP_USE = "stop_use"


GRADE_RANK: Mapping[Grade, int] = {grade: rank for rank, grade in enumerate(Grade)}
GRADE_TITLES: Mapping[Grade, str] = {
    Grade.WATCH: "watch",
    Grade.REPAIR_BY: "repair by date",
    Grade.RESTRICT: "restrict",
    Grade.STOP_USE: "stop use",
}


@dataclass(frozen=True, slots=True)
class Basis:
    """What a point rests on: a source key with its clause, or *common practice, no source*.

    `mark` may say *from memory*: the text then asks for it to be confirmed.
    """

    source: str = ""
    clause: str = ""
    mark: str = ""

    @property
    def text(self) -> str:
        """The basis in words."""
        if not self.source:
            return "common practice, no source"
        mark = MARK_WORDS["memory"] if self.mark == "from memory" else self.mark
        return " ".join(filter(None, (self.source, self.clause, f"({mark})" if mark else "")))


@dataclass(frozen=True, slots=True)
class Defect:
    """A usual defect of a point."""

    id: str
    says: str


# Figures that older lists, kept or a house's own, leave to the part's plate or to no limit: what judges them since.
JUDGED_SINCE: Mapping[tuple[str, str], str] = {
    ("imbalance", "part-plate"): "lock-imbalance",
    ("spreader_spacing", "part-plate"): "spreader-spacing",
    ("stored_mass", "part-plate"): "bridge-stored-mass",
    ("slot_width", "house-baseline"): "deck-slot-recorded",
}


def judged_by(quantity: str, criterion: str) -> str:
    """The criterion that judges a figure now, of the one that a checklist names for it."""
    return JUDGED_SINCE.get((quantity, criterion), criterion)


@dataclass(frozen=True, slots=True)
class MeasureSpec:
    """A figure a point asks for. `criterion` is a key of shared/criteria.yaml, or empty."""

    quantity: str
    units: tuple[str, ...]
    instrument: str
    station: str
    criterion: str = ""


@dataclass(frozen=True, slots=True)
class Point:
    """One thing to look at, feel, listen to, measure or operate."""

    id: str
    ask: str
    parts: tuple[PartKind, ...]
    vantage: Vantage
    method: Method
    state: State
    way: Way
    competence: Competence
    how: str
    good: str
    defects: tuple[Defect, ...]
    stop_use: tuple[str, ...]
    photo: str
    grade: Grade
    basis: Basis
    measures: tuple[MeasureSpec, ...] = ()
    needs_paper: str = ""

    @property
    def in_pass(self) -> str:
        """The pass this point belongs to: one vantage in one state, as `grid/static`."""
        return f"{self.vantage}/{self.state}"


@dataclass(frozen=True, slots=True)
class Stop:
    """What one hand reaches at one place: one tap there writes one entry per part."""

    id: str
    title: str
    vantage: Vantage
    order: str  # well, set or place
    parts: tuple[PartKind, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """Points that belong together, with what each wear rating means on their part."""

    title: str
    component: str
    wear: Mapping[int, str]
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Review:
    """Who reviewed a checklist and when, as the file or the house records it."""

    by: str = ""
    credential: str = ""
    on: str = ""


@dataclass(frozen=True, slots=True)
class Checklist:
    """A checklist at one exact revision (`revision`: SHA-256 in hex of all the text it was read from)."""

    id: str
    title: str
    purpose: str
    interval: str  # ISO 8601 duration, or none
    when: str
    coverage: float
    competence: Competence
    basis: Basis
    notice: str
    stops: tuple[Stop, ...]
    sections: tuple[Section, ...]
    revision: str = ""
    reviewed: Review = field(default_factory=Review)
    house_own: bool = False
    _by_kind: dict[PartKind, tuple[Point, ...]] = field(default_factory=dict, init=False, repr=False, compare=False)

    def points(self) -> Iterator[Point]:
        """All points in order."""
        for section in self.sections:
            yield from section.points

    def points_for(self, kind: PartKind) -> tuple[Point, ...]:
        """The points asked of one kind of part."""
        found = self._by_kind.get(kind)
        if found is None:
            found = self._by_kind[kind] = tuple(point for point in self.points() if kind in point.parts)
        return found

    def wear_for(self, point_id: str) -> Mapping[int, str]:
        """The described wear scale that belongs to a point, or an empty mapping."""
        for section in self.sections:
            if any(point.id == point_id for point in section.points):
                return section.wear
        return {}


def checklist_to_json(checklist: Checklist) -> dict[str, Any]:
    """The checklist as JSON data, the form in which a revision is kept and sent to phones."""
    return {
        "id": checklist.id,
        "revision": checklist.revision,
        "title": checklist.title,
        "purpose": checklist.purpose,
        "interval": checklist.interval,
        "when": checklist.when,
        "coverage": checklist.coverage,
        "competence": checklist.competence.value,
        "basis": _basis_to_json(checklist.basis),
        "notice": checklist.notice,
        "reviewed": {
            "by": checklist.reviewed.by,
            "credential": checklist.reviewed.credential,
            "on": checklist.reviewed.on,
        },
        "house_own": checklist.house_own,
        "stops": [
            {
                "id": s.id,
                "title": s.title,
                "vantage": s.vantage.value,
                "order": s.order,
                "parts": list(s.parts),
            }
            for s in checklist.stops
        ],
        "sections": [
            {
                "title": section.title,
                "component": section.component,
                "wear": {str(rating): text for rating, text in section.wear.items()},
                "points": [_point_to_json(point) for point in section.points],
            }
            for section in checklist.sections
        ],
    }


def _basis_to_json(basis: Basis) -> dict[str, str]:
    return {"source": basis.source, "clause": basis.clause, "mark": basis.mark, "text": basis.text}


def _point_to_json(point: Point) -> dict[str, Any]:
    return {
        "id": point.id,
        "ask": point.ask,
        "parts": list(point.parts),
        "vantage": point.vantage.value,
        "method": point.method.value,
        "state": point.state.value,
        "way": point.way.value,
        "competence": point.competence.value,
        "how": point.how,
        "good": point.good,
        "defects": [{"id": d.id, "says": d.says} for d in point.defects],
        "stop_use": list(point.stop_use),
        "measures": [
            {
                "quantity": m.quantity,
                "units": list(m.units),
                "instrument": m.instrument,
                "station": m.station,
                "criterion": m.criterion,
            }
            for m in point.measures
        ],
        "photo": point.photo,
        "grade": point.grade.value,
        "basis": _basis_to_json(point.basis),
        "needs_paper": point.needs_paper,
    }


def checklist_from_json(data: Mapping[str, Any]) -> Checklist:
    """The inverse of checklist_to_json, for a revision that was kept. Raises KeyError or ValueError on other data."""
    return Checklist(
        id=data["id"],
        revision=data["revision"],
        title=data["title"],
        purpose=data["purpose"],
        interval=data["interval"],
        when=data["when"],
        coverage=float(data["coverage"]),
        competence=Competence(data["competence"]),
        basis=_basis_from_json(data["basis"]),
        notice=data["notice"],
        reviewed=Review(**data["reviewed"]),
        house_own=bool(data["house_own"]),
        stops=tuple(
            Stop(s["id"], s["title"], Vantage(s["vantage"]), s["order"], tuple(PartKind(k) for k in s["parts"]))
            for s in data["stops"]
        ),
        sections=tuple(
            Section(
                s["title"],
                s["component"],
                {int(rating): text for rating, text in s["wear"].items()},
                tuple(_point_from_json(p) for p in s["points"]),
            )
            for s in data["sections"]
        ),
    )


def _basis_from_json(data: Mapping[str, str]) -> Basis:
    return Basis(data["source"], data["clause"], data["mark"])


def _point_from_json(data: Mapping[str, Any]) -> Point:
    return Point(
        id=data["id"],
        ask=data["ask"],
        parts=tuple(PartKind(kind) for kind in data["parts"]),
        vantage=Vantage(data["vantage"]),
        method=Method(data["method"]),
        state=State(data["state"]),
        way=Way(data["way"]),
        competence=Competence(data["competence"]),
        how=data["how"],
        good=data["good"],
        defects=tuple(Defect(d["id"], d["says"]) for d in data["defects"]),
        stop_use=tuple(data["stop_use"]),
        photo=data["photo"],
        grade=Grade(data["grade"]),
        basis=_basis_from_json(data["basis"]),
        measures=tuple(
            MeasureSpec(
                m["quantity"],
                tuple(m["units"]),
                m["instrument"],
                m["station"],
                judged_by(m["quantity"], m["criterion"]),
            )
            for m in data["measures"]
        ),
        needs_paper=data["needs_paper"],
    )
