"""The desk form of one stop of the walk, built from a checklist's points, and the looks that a filled form says."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from flask_wtf import FlaskForm
from wtforms import DateField, Field, RadioField, SelectField, StringField, TextAreaField, TimeField
from wtforms.validators import InputRequired, Length, Optional

from inspect_app.domain.checklist import GRADE_TITLES, Checklist, Point, Way
from inspect_app.domain.deficiency import Answer, Deficiency
from inspect_app.domain.errors import BadValue
from inspect_app.domain.fitting import is_asked_singly
from inspect_app.domain.part import Part
from inspect_app.domain.typed_figure import INCHES_IN, decimal_figure
from inspect_app.domain.units import house_first
from inspect_app.web.form import CheckboxesField, choices_of

WAY_TITLES = {
    Way.HANDLED: "handled",
    Way.SEEN_CLOSE: "seen close",
    Way.SEEN_FROM_AFAR: "seen from afar",
    Way.HEARD: "heard",
}
OUTCOMES = (("looked", "It was looked at"), ("not_reached", "Not reached"), ("not_applicable", "Not applicable"))
ANSWERS = (("", "not looked at"), ("ok", "no finding"), ("finding", "finding"))
AGAIN = (
    ("", "nothing said"),
    (Answer.STILL_THERE.value, "still there"),
    (Answer.WORSE.value, "worse"),
    (Answer.NOT_SEEN_NOW.value, "not seen now"),
)
GRADES = (("", "as the checklist proposes"), *((grade.value, title) for grade, title in GRADE_TITLES.items()))
WEAR = (("", "no rating"), *((str(n), str(n)) for n in range(5)))
MORE = "Apart by spaces, fractions by semicolons. Where two at right angles are asked, the figure is their mean."


@dataclass(frozen=True, slots=True)
class Known:
    """An open deficiency of a part: the finding to answer, with the point it was found on."""

    deficiency: Deficiency
    finding: str
    point: str
    point_text: str


@dataclass(frozen=True, slots=True)
class PartOnForm:
    """One part of the stop: its points in this pass and its open deficiencies."""

    part: Part
    title: str
    life: str | None
    points: tuple[Point, ...]
    known: tuple[Known, ...] = field(default=())


def form_for(parts: Sequence[PartOnForm], people: Sequence[tuple[str, str]], system: str) -> type[FlaskForm]:
    """A form class for the parts of one stop; field names are made of the places of part, point and figure.

    `system` is the house's, imperial or metric: its unit is offered first for each figure.
    """
    fields: dict[str, Any] = {
        "by": SelectField("Who looked", [InputRequired("Say who looked.")], choices=choices_of(people)),
        "on": DateField("On", [InputRequired("Write the date as YYYY-MM-DD.")]),
        "clock": TimeField("At", [InputRequired("Write the time as HH:MM.")], description="By the clock of the house."),
        "outcome": RadioField("This place", choices=choices_of(OUTCOMES), default="looked"),
        "reason": StringField("Reason", [Length(max=200)], description="When it was not reached or does not apply."),
        "ways": CheckboxesField(
            "How it was looked at", choices=choices_of((way.value, WAY_TITLES[way]) for way in Way)
        ),
    }
    for n, row in enumerate(parts):
        for i, point in enumerate(row.points):
            fields |= _point_fields(f"p{n}-{i}", point, system)
        for k, known in enumerate(row.known):
            fields[f"p{n}-d{k}"] = RadioField(
                f"Deficiency {known.deficiency.number}: {known.deficiency.what}", choices=choices_of(AGAIN), default=""
            )
            fields[f"p{n}-d{k}-grade"] = SelectField("Grade now", choices=choices_of(GRADES), default="")
    return type("DeskForm", (FlaskForm,), fields)


def _point_fields(name: str, point: Point, system: str) -> dict[str, Field]:
    defects = [("", "none of these"), *((defect.id, defect.says) for defect in point.defects)]
    fields: dict[str, Field] = {
        name: RadioField(point.ask, choices=choices_of(ANSWERS), default=""),
        f"{name}-defect": SelectField("What is wrong", choices=choices_of(defects), default=""),
        f"{name}-grade": SelectField("Action grade", choices=choices_of(GRADES), default=""),
        f"{name}-wear": SelectField("Wear rating", choices=choices_of(WEAR), default=""),
        f"{name}-note": TextAreaField("Note", [Length(max=1000)], render_kw={"rows": 2}),
    }
    for k, spec in enumerate(point.measures):
        words = (
            f"{spec.quantity.replace('_', ' ')}, {spec.station}" if spec.station else spec.quantity.replace("_", " ")
        )
        units = house_first(spec.units, system)
        keys = "text" if units[0] in INCHES_IN else "decimal"  # a number pad has no stroke for 41 1/2
        fields[f"{name}-m{k}"] = StringField(words.capitalize(), [Length(max=30)], render_kw={"inputmode": keys})
        fields[f"{name}-m{k}-unit"] = SelectField("Unit", choices=choices_of((unit, unit) for unit in units))
        fields[f"{name}-m{k}-gauge"] = StringField("Gauge", [Optional(), Length(max=80)])
        if units != ("count",):
            fields[f"{name}-m{k}-more"] = StringField(
                "Further readings", [Optional(), Length(max=120)], description=MORE
            )
    return fields


def moment_of(on: date, clock: time, tz: str) -> datetime:
    """A date and time by the clock of the house as a moment."""
    try:
        zone = ZoneInfo(tz)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        zone = ZoneInfo("UTC")
    return datetime.combine(on, clock, zone)


def looks_of(
    form: FlaskForm, parts: Sequence[PartOnForm], checklist: Checklist, in_pass: str, tap: str
) -> list[dict[str, Any]]:
    """The looks that a filled form says; what is missing or unreadable is put beside its field, and [] returned."""
    if form["outcome"].data != "looked":
        return _not_looked(form, parts, checklist, in_pass, tap)
    looks: list[dict[str, Any]] = []
    for n, row in enumerate(parts):
        looks += _looks_at(form, n, row, checklist, in_pass, tap)
    if form.errors:
        return []
    if not looks:
        form.form_errors = [*form.form_errors, "Nothing is answered yet: mark a point, or say why nobody looked."]
    elif not form["ways"].data:
        _wrong(form["ways"], "Say how it was looked at: choose at least one.")
        return []
    return looks


def _wrong(where: Field, words: str) -> None:
    where.errors = [*where.errors, words]


def _base(form: FlaskForm, row: PartOnForm, checklist: Checklist, in_pass: str, tap: str) -> dict[str, Any]:
    return {
        "tap": tap,
        "part": row.part.id,
        "life": row.life,
        "tag_seen": row.part.tag,
        "checklist": checklist.id,
        "revision": checklist.revision,
        "pass": in_pass,
        "points": [],
        "ways": list(form["ways"].data or []),
    }


def _not_looked(
    form: FlaskForm, parts: Sequence[PartOnForm], checklist: Checklist, in_pass: str, tap: str
) -> list[dict[str, Any]]:
    reason = (form["reason"].data or "").strip()
    if not reason:
        _wrong(form["reason"], "Say why; the reason is printed in the report.")
        return []
    return [
        {**_base(form, row, checklist, in_pass, tap), "ways": [], "result": form["outcome"].data, "reason": reason}
        for row in parts
    ]


def _looks_at(
    form: FlaskForm, n: int, row: PartOnForm, checklist: Checklist, in_pass: str, tap: str
) -> list[dict[str, Any]]:
    """One look for the points without a finding that a tap may answer, one for each asked singly, one a finding."""
    base = _base(form, row, checklist, in_pass, tap)
    together: list[str] = []
    looks: list[dict[str, Any]] = []
    for i, point in enumerate(row.points):
        name = f"p{n}-{i}"
        measures = _measures(form, name, point)
        said = form[name].data
        if said == "finding":
            found = _finding(form, name, point)
            looks.append({**base, "result": "finding", "points": [point.id], "findings": [found], "measures": measures})
        elif said == "ok" or measures:
            if measures or is_asked_singly(point):
                looks.append({**base, "result": "no_finding", "points": [point.id], "measures": measures})
            else:
                together.append(point.id)
    if together:
        looks.insert(0, {**base, "result": "no_finding", "points": together})
    return looks + _again(form, n, row, base)


def _finding(form: FlaskForm, name: str, point: Point) -> dict[str, Any]:
    wear = form[f"{name}-wear"].data
    return {
        "point": point.id,
        "point_text": point.ask,
        "defect": form[f"{name}-defect"].data or None,
        "answer": "new",
        "of": None,
        "grade": form[f"{name}-grade"].data or point.grade.value,
        "wear": int(wear) if wear else None,
        "note": (form[f"{name}-note"].data or "").strip(),
    }


def _measures(form: FlaskForm, name: str, point: Point) -> list[dict[str, Any]]:
    found = []
    for k, spec in enumerate(point.measures):
        typed = (form[f"{name}-m{k}"].data or "").strip()
        if not typed:
            continue
        try:
            value = decimal_figure(typed, form[f"{name}-m{k}-unit"].data or "")
        except BadValue as error:
            _wrong(form[f"{name}-m{k}"], error.message)
            continue
        found.append(
            {
                "point": point.id,
                "quantity": spec.quantity,
                "value": value,
                "readings": [value, *_further(form, f"{name}-m{k}")],
                "unit": form[f"{name}-m{k}-unit"].data,
                "typed": typed,
                "station": spec.station,
                "gauge": (form[f"{name}-m{k}-gauge"].data or "").strip() or None,
            }
        )
    return found


def _further(form: FlaskForm, name: str) -> list[str]:
    """Further readings in the figure's unit; one that cannot be read is put beside its field."""
    if f"{name}-more" not in form:
        return []
    text = form[f"{name}-more"].data or ""
    try:
        rows = text.split(";") if ";" in text else text.split()
        return [decimal_figure(row.strip(), form[f"{name}-unit"].data or "") for row in rows if row.strip()]
    except BadValue as error:
        _wrong(form[f"{name}-more"], error.message)
        return []


def _again(form: FlaskForm, n: int, row: PartOnForm, base: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Answers to open deficiencies. *Still there* and *not seen now* keep the grade; *worse* may raise it."""
    looks = []
    for k, known in enumerate(row.known):
        answer = form[f"p{n}-d{k}"].data
        if answer:
            grade = form[f"p{n}-d{k}-grade"].data if answer == Answer.WORSE.value else ""
            finding = {
                "point": known.point,
                "point_text": known.point_text,
                "answer": answer,
                "of": known.finding,
                "grade": grade or known.deficiency.grade.value,
                "note": "",
            }
            points = [known.point] if known.point else []
            looks.append({**base, "result": "finding", "points": points, "findings": [finding]})
    return looks
