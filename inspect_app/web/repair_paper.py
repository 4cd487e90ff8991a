"""Repairs and dates on paper: work orders, the register, the yearly letter to the manager, the plan of the year."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, timedelta
from typing import Any

from flask import Blueprint, g, render_template, request, url_for
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.actions.work_order import gather_orders
from inspect_app.domain.deficiency_register import RegisterRow, Wanted, select
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.register_paper import accepted_rows, register_paper
from inspect_app.domain.role import Role
from inspect_app.domain.work_order import CAUTIONS, contractors, doer, is_to_do, order_lines
from inspect_app.domain.year_plan import year_plan
from inspect_app.domain.yearly_letter import NamedList, read_period, yearly_letter
from inspect_app.output.repair_paper import KIND, paper_data
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.deficiency import list_house_events
from inspect_app.store.deficiency_story import list_costs
from inspect_app.store.membership import list_members
from inspect_app.web.access import permission
from inspect_app.web.calendar_cache import calendar_of
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.printing import asked_paper, paper_facts, print_paper, usual_paper
from inspect_app.web.repair_context import register, today, zone

blueprint = Blueprint("repair_paper", __name__, url_prefix="/houses/<house_id>/repair-paper")


@blueprint.get("")
@permission("deficiency.view")
def index(house_id: str) -> str:
    """What can be printed about repairs and dates, and for whom there are work orders."""
    return render_template(
        "repair_paper/index.html", contractors=contractors(register(house_id)), paper=usual_paper(), today=today(),
        year_ago=today() - timedelta(days=365), new_year=today().replace(month=1, day=1),
    )  # fmt: skip


@blueprint.get("/work-order/<deficiency_id>")
@permission("deficiency.view")
def work_order(house_id: str, deficiency_id: str) -> ResponseReturnValue:
    """Print the work order of one deficiency."""
    rows = [row for row in register(house_id) if row.row.id == deficiency_id]
    if not rows:
        raise NotFound("There is no such deficiency in this house.")
    if not rows[0].row.open:
        raise Conflict("This deficiency is closed: there is nothing to do on it. Its page tells the story.")
    back = url_for("deficiency.one", house_id=house_id, deficiency_id=deficiency_id)
    return _orders(house_id, rows, rows[0].who, f"work-order-{rows[0].row.number}", back)


@blueprint.get("/work-orders")
@permission("deficiency.view")
def work_orders(house_id: str) -> ResponseReturnValue:
    """Print a work order for all that is given to one contractor, or to one person, and still to do."""
    who = request.args.get("who", "").strip()
    found = [row for row in register(house_id) if doer(row).casefold() == who.casefold() and who and is_to_do(row)]
    if not found:
        raise BadValue("Nothing that is still to do is given to this name. Choose one from the list.", "who")
    rows = select(found, Wanted(state="all"), today())
    name = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in who)[:40]
    return _orders(house_id, rows, doer(rows[0]), f"work-orders-{name}", _index(house_id))


def _orders(house_id: str, rows: Sequence[RegisterRow], who: str, name: str, back: str) -> ResponseReturnValue:
    origin = request.host_url.rstrip("/")
    orders, photos = gather_orders(
        get_db(), get_settings(), house_id, rows, zone=zone(), today=today(),
        page_of=lambda key: origin + url_for("deficiency.one", house_id=house_id, deficiency_id=key),
    )  # fmt: skip
    facts = {
        "who": who or "nobody named yet",
        "orders": [asdict(order) for order in orders],
        "lines": [line._asdict() for line in order_lines(orders)],
        "cautions": CAUTIONS,
    }
    return _print("work_order", name, facts, back, photos)


@blueprint.get("/register")
@permission("deficiency.view")
def register_pdf(house_id: str) -> ResponseReturnValue:
    """Print the register: open by grade and due day, the rest apart, and what was settled since a day."""
    db, day = get_db(), today()
    since = _day("since") or day.replace(day=1, month=1)
    found = register_paper(
        register(house_id), list_house_events(db, house_id), list_accepted(db, house_id), today=day, since=since,
        zone=zone(),
    )  # fmt: skip
    return _print("register", "register", {"register": asdict(found)}, _index(house_id))


@blueprint.get("/letter")
@permission("deficiency.cost")
def letter(house_id: str) -> ResponseReturnValue:
    """Print the letter to the manager about a period, the last twelve months unless one is given."""
    db, day = get_db(), today()
    given = request.args.get("first") or str(day - timedelta(days=365))
    period = read_period(given, request.args.get("last") or str(day), day)
    rows = register(house_id)
    accepted = accepted_rows(list_accepted(db, house_id), rows, day)
    found = yearly_letter(rows, list_house_events(db, house_id), list_costs(db, house_id), period, zone(), accepted)
    members = [one for one in list_members(db, house_id) if not one.ended]
    facts = {
        "letter": asdict(found) | {name: _named(getattr(found, name)) for name in _LISTS},
        "directors": ", ".join(one.person.name for one in members if Role.TD in one.roles),
        "managers": ", ".join(one.person.name for one in members if Role.MANAGER in one.roles),
    }
    return _print("letter", f"letter-{period.first}-to-{period.last}-made", facts, _index(house_id))


_LISTS = ("not_decided", "put_off", "still_open", "recurring")


def _named(named: NamedList) -> dict[str, Any]:
    return {"rows": named.rows, "others": named.others, "total": named.total}


@blueprint.get("/year-plan")
@permission("calendar.view")
def year_plan_pdf(house_id: str) -> ResponseReturnValue:
    """Print the plan of the twelve months from this one."""
    found = calendar_of(get_db(), get_settings(), g.house, clock.now())
    rules = [f"Rules chosen by the house: {', '.join(one.title for one in found.sets)}."] if found.sets else [NO_RULES]
    plan = year_plan(found.items, found.expected(), [row.blackout for row in found.blackouts], rules, found.today)
    return _print("year_plan", "year-plan", {"plan": asdict(plan)}, _index(house_id))


NO_RULES = "No rule set is chosen for this house: days follow the intervals of the checklists alone."


def _day(name: str) -> date | None:
    """A day in the address; None without one. Raises BadValue."""
    text = request.args.get(name, "").strip()
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise BadValue("Write the day as YYYY-MM-DD.", name) from None


def _index(house_id: str) -> str:
    return url_for("repair_paper.index", house_id=house_id)


def _print(
    form: str, name: str, facts: dict[str, Any], back: str, photos: dict[str, bytes] | None = None
) -> ResponseReturnValue:
    paper, at = asked_paper(), clock.now()
    return print_paper(KIND, name, paper_data(form, paper_facts(at) | facts), at, back, paper=paper, photos=photos)
