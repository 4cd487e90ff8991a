"""What an inspector adds to a signature: the credential as typed, remarks, and conditions on use. None is verified."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.role import Role

NOT_VERIFIED = "As typed at signing. This program verifies none of it: ask the body named for its own register."
MOST_CONDITIONS = 40
LONGEST = {"body": 160, "number": 80, "expires": 80, "remarks": 8000}
_TITLES = {"body": "body", "number": "number", "expires": "expiry", "remarks": "remarks"}
LONGEST_CONDITION = 600


@dataclass(frozen=True, slots=True)
class ConditionOnUse:
    """A condition under which a set or an area may be used, until a day or until a qualified person lifts it.

    One of `line_set` and `area` is an id; `scope` says it in words.
    """

    what: str
    until: str
    line_set: str = ""
    area: str = ""
    scope: str = ""


@dataclass(frozen=True, slots=True)
class Inspection:
    """Texts are as typed, '' where nothing was: the body that gave the credential, its number, its expiry."""

    body: str = ""
    number: str = ""
    expires: str = ""
    remarks: str = ""
    conditions: tuple[ConditionOnUse, ...] = ()

    @property
    def said(self) -> bool:
        """Whether anything was added."""
        return bool(self.body or self.number or self.expires or self.remarks or self.conditions)

    def to_json(self) -> dict[str, Any]:
        """As it is kept and sealed."""
        return {
            "body": self.body,
            "number": self.number,
            "expires": self.expires,
            "remarks": self.remarks,
            "conditions": [
                {"what": one.what, "until": one.until, "line_set": one.line_set, "area": one.area, "scope": one.scope}
                for one in self.conditions
            ],
        }


NO_INSPECTION = Inspection()


def inspection_from(data: Mapping[str, Any]) -> Inspection:
    """The value that `to_json` wrote; what is missing stays empty."""
    return Inspection(
        **{name: str(data.get(name) or "") for name in LONGEST},
        conditions=tuple(
            ConditionOnUse(**{name: str(row.get(name) or "") for name in ConditionOnUse.__slots__})
            for row in data.get("conditions") or ()
        ),
    )


def check_inspection(inspection: Inspection, role: Role, today: date) -> None:
    """Raise BadValue, on the field it belongs to, for what cannot be signed. `today` is the day in the house.

    Only an inspector's signature carries any of it.
    """
    if inspection.said and role is not Role.INSPECTOR:
        raise BadValue("Credential, remarks and conditions belong to a qualified inspector's signature.", "role")
    for name, longest in LONGEST.items():
        if len(getattr(inspection, name)) > longest:
            raise BadValue(f"The {_TITLES[name]} may have {longest} characters.", name)
    if len(inspection.conditions) > MOST_CONDITIONS:
        raise BadValue(f"One signature takes {MOST_CONDITIONS} conditions. Join some of them.", "conditions")
    for n, one in enumerate(inspection.conditions, 1):
        _check_condition(one, n, today)


def _check_condition(one: ConditionOnUse, n: int, today: date) -> None:
    if not one.what.strip() or len(one.what) > LONGEST_CONDITION:
        raise BadValue(f"Condition {n}: say what it is, in up to {LONGEST_CONDITION} characters.", "conditions")
    if not (one.line_set or one.area):
        raise BadValue(f"Condition {n}: choose the line set or area that it is for.", "conditions")
    try:
        until = date.fromisoformat(one.until)
    except ValueError:
        raise BadValue(f"Condition {n}: name the last day on which it holds, as YYYY-MM-DD.", "conditions") from None
    if until < today:
        raise BadValue(f"Condition {n}: its last day must not be past.", "conditions")
