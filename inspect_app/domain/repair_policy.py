"""The house's days per action grade, the day a deficiency is due, and money as exact decimals."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from decimal import Decimal
from typing import Any

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency
from inspect_app.domain.errors import BadValue
from inspect_app.domain.source import KeyProblem

CURRENCY = "currency"  # key in the settings of a house: an ISO 4217 code
DAYS_PREFIX = "repair_days_"  # followed by the grade
MOST_DAYS = 3660
_AMOUNT = re.compile(r"-?\d{1,9}(\.\d{1,3})?\Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class RepairPolicy:
    """Days from the day of finding until a deficiency of each grade is due; `currency` is '' until the house names it.

    `own` are the grades for which the house has set its own figure; the others are as shipped.
    """

    days: Mapping[Grade, int]
    currency: str = ""
    own: frozenset[Grade] = frozenset()


def parse_repair_days(data: Mapping[str, Any]) -> tuple[dict[Grade, int], list[KeyProblem]]:
    """The shipped days per grade from `repair_days` of shared/trade.yaml (common practice, no source)."""
    block = data.get("repair_days")
    rows = block.get("days") if isinstance(block, Mapping) else None
    found: dict[Grade, int] = {}
    for grade in Grade:
        text = str(rows.get(grade.value, "")) if isinstance(rows, Mapping) else ""
        if text.isascii() and text.isdigit() and int(text) <= MOST_DAYS:
            found[grade] = int(text)
    missing = [grade.value for grade in Grade if grade not in found]
    return found, [KeyProblem(("repair_days",), f"needs days for {', '.join(missing)}.")] if missing else []


def policy_of(settings: Mapping[str, str], shipped: Mapping[Grade, int]) -> RepairPolicy:
    """The policy of a house: its own figures from its settings, the shipped ones where it has none."""
    own = {
        grade: int(text)
        for grade in Grade
        if (text := settings.get(DAYS_PREFIX + grade.value, "")).isascii() and text.isdigit()
    }
    return RepairPolicy({**shipped, **own}, settings.get(CURRENCY, ""), frozenset(own))


def policy_settings(days: Mapping[Grade, str], currency: str) -> dict[str, str]:
    """The settings to keep for a policy as typed. Raises BadValue on the field `<grade>` or `currency`.

    A graver grade never has more days than a milder one that has a figure.
    """
    kept, last = {}, 0
    for grade in (Grade.STOP_USE, Grade.RESTRICT, Grade.REPAIR_BY, Grade.WATCH):
        text = days.get(grade, "").strip()
        if not (text.isascii() and text.isdigit() and int(text) <= MOST_DAYS):
            raise BadValue(f"Write a whole number of days, 0 to {MOST_DAYS}.", grade.value)
        if int(text) < last:
            raise BadValue("A milder grade cannot have fewer days than a graver one.", grade.value)
        last = int(text)
        kept[DAYS_PREFIX + grade.value] = text
    code = currency.strip().upper()
    if code and not re.fullmatch(r"[A-Z]{3}", code, re.ASCII):
        raise BadValue("Write the currency as its three letters (ISO 4217), such as USD, GBP or EUR.", "currency")
    return {**kept, CURRENCY: code}


def default_due(policy: RepairPolicy, grade: Grade, found_at: datetime, zone: tzinfo) -> date:
    """The day that the house's days give, counted from the day of finding in the house's own time."""
    return found_at.astimezone(zone).date() + timedelta(days=policy.days[grade])


def due_of(row: Deficiency, policy: RepairPolicy, zone: tzinfo) -> date:
    """The day a deficiency is due: the one that was set, or else the one that the house's days give."""
    return date.fromisoformat(row.due_on) if row.due_on else default_due(policy, row.grade, row.found_at, zone)


def is_overdue(row: Deficiency, policy: RepairPolicy, zone: tzinfo, today: date) -> bool:
    """Whether it is open, not put off to a day still ahead, and its day has passed; a put-off that ran out counts."""
    if not row.open or row.put_off(today):
        return False
    return row.back_from_put_off(today) or due_of(row, policy, zone) < today


@dataclass(frozen=True, slots=True)
class Cost:
    """One amount: an estimate, which replaces the one before, or something paid, which adds up. `amount` is exact."""

    kind: str  # estimate or paid
    amount: Decimal
    currency: str
    what: str = ""
    by_name: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class CostSum:
    """The costs of one deficiency in one currency; `estimate` is None when nobody has made one."""

    currency: str
    estimate: Decimal | None
    paid: Decimal

    @property
    def to_come(self) -> Decimal:
        """What the estimate leaves after what was paid, never below nothing."""
        return max((self.estimate or Decimal(0)) - self.paid, Decimal(0))


def read_amount(text: str) -> Decimal:
    """An amount as typed: 1250 or 1250.00, below zero for a credit. Raises BadValue on `amount`."""
    clean = text.strip()
    if not _AMOUNT.match(clean):
        raise BadValue("Write the amount in figures with a point and without separators, such as 1250.00.", "amount")
    return Decimal(clean)


def cost_sums(costs: Iterable[Cost]) -> tuple[CostSum, ...]:
    """The last estimate and the sum of what was paid, for each currency in which there is any; oldest cost first."""
    estimates: dict[str, Decimal] = {}
    paid: dict[str, Decimal] = {}
    for cost in costs:
        if cost.kind == "estimate":
            estimates[cost.currency] = cost.amount
        else:
            paid[cost.currency] = paid.get(cost.currency, Decimal(0)) + cost.amount
    return tuple(CostSum(code, estimates.get(code), paid.get(code, Decimal(0))) for code in sorted({*estimates, *paid}))


def money(amount: Decimal | None, currency: str) -> str:
    """An amount with its currency, exact, with two places at least: 1250.00 USD; '' for None."""
    if amount is None:
        return ""
    places = max(2, -int(amount.as_tuple().exponent))
    return f"{amount:.{places}f} {currency}".strip()
