"""What changed in a house since an earlier walk or day, put together from everything that is kept with a time."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, tzinfo
from functools import cached_property

from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.attribute_value import shown_attribute
from inspect_app.domain.changes import TOLD_KIND, Change, ChangeKind, Told, measure_change, rating_changes, worst_told
from inspect_app.domain.checklist import GRADE_RANK, GRADE_TITLES, Competence, Grade
from inspect_app.domain.deficiency import STATE_TITLES, Deficiency, DeficiencyEvent, DeficiencyState, state_words
from inspect_app.domain.event import KIND_TITLES as EVENT_TITLES
from inspect_app.domain.house import House, LineSet
from inspect_app.domain.part import Part
from inspect_app.domain.part_attributes import specs_for
from inspect_app.domain.restriction import KIND_TITLES as LIMIT_TITLES
from inspect_app.domain.restriction import is_expired, limit_words
from inspect_app.domain.tag_out import TagState
from inspect_app.domain.walk import WalkState
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.changes import (
    list_accepted_times,
    list_changes_of_parts,
    list_life_rows,
    list_ratings,
    list_revisions_used,
    list_said,
    list_settled_days,
    list_told,
)
from inspect_app.store.checklist import load_shelf
from inspect_app.store.deficiency import list_deficiencies, list_house_events
from inspect_app.store.event import list_events
from inspect_app.store.house import get_house, list_areas, list_line_sets
from inspect_app.store.measure_history import HouseOutlooks, list_house_outlooks
from inspect_app.store.membership import list_members
from inspect_app.store.part import list_parts
from inspect_app.store.point_clock import zone_of
from inspect_app.store.restriction import list_restrictions
from inspect_app.store.tag_out import get_ending, list_tag_outs
from inspect_app.store.walk import WalkRow, list_walks


@dataclass(frozen=True, slots=True)
class Since:
    """From when on changes are told: after `moment`; `until` is the last day that still counts as before."""

    moment: datetime
    until: date
    words: str
    walk: str = ""


def since_day(day: date, zone: tzinfo) -> Since:
    """From the beginning of a day of the house's clock on."""
    return Since(datetime.combine(day, time.min, zone), day - timedelta(days=1), f"{day}")


def since_walk(row: WalkRow, zone: tzinfo) -> Since:
    """From the signature of a walk on, or from its opening while it is not signed."""
    walk = row.walk
    moment = walk.sealed_at or walk.opened_at
    number = f", report {row.number}" if row.number else ""
    return Since(moment, date.fromisoformat(walk.date_local), f"{walk.title} of {walk.date_local}{number}", walk.id)


def last_inspection(rows: list[WalkRow], inspected: frozenset[str]) -> WalkRow | None:
    """The newest signed walk with one of these checklists: those that ask for a qualified person's signature."""
    for row in rows:
        used = {checklist for checklist, _ in row.walk.scope.checklists}
        if row.walk.state is WalkState.SEALED and used & inspected:
            return row
    return None


def usual_since(db: Database, settings: Settings, house: str, today: date) -> Since:
    """Since the last signed inspection by a qualified person, else since a year ago."""
    zone = zone_of(get_house(db, house).tz)
    shelf = load_shelf(settings).checklists.values()
    qualified = frozenset(one.id for one in shelf if one.competence is Competence.QUALIFIED)
    row = last_inspection(list_walks(db, house), qualified)
    return since_walk(row, zone) if row is not None else since_day(today - timedelta(days=365), zone)


def changes_since(
    db: Database, house: str, since: Since, today: date, known: HouseOutlooks | None = None
) -> list[Change]:
    """Every change, in no order; `known` are the house's outlooks where the caller has them. Raises NotFound."""
    told = _Changes(db, get_house(db, house), since, today)
    outlooks = list_house_outlooks(db, house) if known is None else known
    return [
        *told.deficiencies(),
        *told.ratings(),
        *told.measures(outlooks),
        *told.stops(),
        *told.limits(),
        *told.accepted(),
        *told.events(),
        *told.lives(),
        *told.altered(),
        *told.said(),
        *told.revisions(),
    ]


class _Changes:
    """One house compared with how it was; what several questions need is read once."""

    def __init__(self, db: Database, house: House, since: Since, today: date) -> None:
        self.db, self.house, self.since, self.today = db, house, since, today
        self.zone = zone_of(house.tz)
        self.parts = {part.id: part for part in list_parts(db, house.id, retired=True)}

    @cached_property
    def events_by(self) -> dict[str, list[DeficiencyEvent]]:
        return list_house_events(self.db, self.house.id)

    @cached_property
    def rows(self) -> list[Deficiency]:
        return list_deficiencies(self.db, self.house.id)

    @cached_property
    def names(self) -> dict[str, str]:
        return {row.person.id: row.person.name for row in list_members(self.db, self.house.id)}

    def day(self, at: datetime) -> date:
        return at.astimezone(self.zone).date()

    def is_since(self, at: datetime) -> bool:
        return at > self.since.moment

    def _of(self, part: str) -> Part | None:
        return self.parts.get(part)

    def _set_of(self, part: str) -> str:
        found = self._of(part)
        return found.line_set or "" if found else ""

    def _tag(self, part: str) -> str:
        found = self._of(part)
        return found.tag if found else ""

    def deficiencies(self) -> Iterator[Change]:
        """Opened, told worse or still there, moved on, settled, put off."""
        said: dict[str, list[Told]] = defaultdict(list)
        for one in list_told(self.db, self.house.id):
            said[one.deficiency].append(one)
        for row in self.rows:
            told = said.get(row.id, [])
            if self.is_since(row.found_at):
                yield from (self._new(row, told), *self._moved(row))
            else:
                yield from _as_one([*self._told(row, told), *self._moved(row)])

    def _line(self, row: Deficiency, kind: ChangeKind, words: str, on: date, before: date, counted: bool) -> Change:
        title = f"Deficiency {row.number}, {row.part_tag}"
        about = ("deficiency", row.id)
        return Change(kind, title, words, on, before, about, row.line_set_id, row.part, counted)

    def _new(self, row: Deficiency, told: list[Told]) -> Change:
        again = f" Found again: it was number {row.again_of}." if row.again_of else ""
        counted = not told or any(one.counted for one in told)
        words = f"{GRADE_TITLES[row.grade]}: {row.what}.{again} Now: {state_words(row, self.today)}."
        title = f"Deficiency {row.number}, {row.part_tag}"
        about = ("deficiency", row.id)
        on = self.day(row.found_at)
        return Change(ChangeKind.NEW, title, words, on, None, about, row.line_set_id, row.part, counted)

    def _told(self, row: Deficiency, told: list[Told]) -> Iterator[Change]:
        """What looks since then said of a fault that was known before; of two that differ the worse counts."""
        before, after = self.day(row.found_at), [one for one in told if one.on > self.since.until]
        worst = worst_told(after)
        then = max((GRADE_RANK[Grade(one.grade)] for one in told if one.on <= self.since.until), default=None)
        if worst is None:
            return
        kind = TOLD_KIND.get(worst.answer, ChangeKind.STILL_THERE)
        if then is not None and GRADE_RANK[row.grade] > then and row.open:
            kind = ChangeKind.WORSE
        words = f"{row.what}: {worst.answer.replace('_', ' ')}, by {worst.by_name}; grade now {GRADE_TITLES[row.grade]}"
        gone = [one for one in after if one.answer == "not_seen_now"]
        if gone and worst.answer != "not_seen_now":
            words += f". {gone[-1].by_name} did not see it on {gone[-1].on}: the worse counts"
        yield self._line(row, kind, f"{words}.", worst.on, before, worst.counted)

    def _moved(self, row: Deficiency) -> Iterator[Change]:
        """Where a deficiency stands now, when that is not where it stood."""
        moves = self.events_by.get(row.id, [])
        after = [one for one in moves if self.is_since(one.at)]
        if not after:
            return
        last = after[-1]
        before = STATE_TITLES[DeficiencyState(after[0].from_state)]
        kinds = {
            DeficiencyState.SETTLED: ChangeKind.REPAIRED,
            DeficiencyState.PUT_OFF: ChangeKind.PUT_OFF,
            DeficiencyState.NO_FAULT: ChangeKind.ALTERED,
            DeficiencyState.SAME: ChangeKind.ALTERED,
        }
        kind = kinds.get(DeficiencyState(last.to_state), ChangeKind.STILL_THERE)
        if last.to_state == DeficiencyState.FOUND.value:
            kind = ChangeKind.WORSE  # opened again
        if kind is ChangeKind.STILL_THERE and self.is_since(row.found_at):
            return  # told with what is new
        note = f": {last.note}" if last.note else ""
        now = state_words(row, self.today) if last.to_state == row.state.value else STATE_TITLES[row.state]
        who = self.names.get(last.by, "")
        words = f"{row.what}: {before} then, {now} now{f', by {who}' if who else ''}{note}"
        yield self._line(row, kind, words, self.day(last.at), self.day(row.found_at), True)

    def ratings(self) -> Iterator[Change]:
        """Wear ratings that differ."""
        settled = list_settled_days(self.db, self.house.id)
        for one in rating_changes(list_ratings(self.db, self.house.id), self.since.until, settled):
            yield Change(
                one.kind, self._tag(one.part), one.words, one.after_on, one.before_on, ("part", one.part),
                self._set_of(one.part), one.part, one.counted,
            )  # fmt: skip

    def measures(self, outlooks: HouseOutlooks) -> Iterator[Change]:
        """Measures that moved beyond the step of their gauge."""
        for outlook, limits in outlooks:
            moved = measure_change(outlook.series, limits, self.since.until)
            if moved is not None:
                part = outlook.series.part
                yield Change(
                    moved.kind, self._tag(part), moved.words, moved.after.on, moved.before.on, ("part", part),
                    self._set_of(part), part,
                )  # fmt: skip

    def stops(self) -> Iterator[Change]:
        """Taken out of use, and back in use."""
        for one in list_tag_outs(self.db, self.house.id):
            line_set, about = one.line_set or (self._set_of(one.part) if one.part else ""), ("tag_out", one.id)
            raised = self.day(one.raised_at)
            if self.is_since(one.raised_at):
                state = "stands now" if one.state is TagState.STANDING else f"{one.state.value} since"
                words = f"{one.why}; by {one.raised_by_name}; {state}"
                yield Change(ChangeKind.STOPPED, one.scope, words, raised, None, about, line_set, one.part or "")
            ending = get_ending(self.db, one.id) if one.state is not TagState.STANDING else None
            if ending is not None and self.is_since(ending.at):
                words = f"{one.why}: {ending.state.value} by {ending.by_name}. {ending.reason}"
                day = self.day(ending.at)
                yield Change(ChangeKind.BACK_IN_USE, one.scope, words, day, raised, about, line_set, one.part or "")

    def limits(self) -> Iterator[Change]:
        """Restrictions, temporary measures and conditions on use: set, ended, run out."""
        for one in list_restrictions(self.db, self.house.id, ended=True):
            line_set = one.line_set or (self._set_of(one.part) if one.part else "")
            title, about = f"{LIMIT_TITLES[one.kind].capitalize()}, {one.scope}", ("restriction", one.id)
            part, set_on = one.part or "", self.day(one.at)
            if self.is_since(one.at):
                words = f"{limit_words(one)}; set by {one.by_name}"
                yield Change(ChangeKind.STOPPED, title, words, set_on, None, about, line_set, part)
            if one.ended_at is not None and self.is_since(one.ended_at):
                words = f"{one.what}: ended by {one.ended_by_name}. {one.ended_reason}"
                yield Change(
                    ChangeKind.BACK_IN_USE, title, words, self.day(one.ended_at), set_on, about, line_set, part
                )
            elif is_expired(one, self.today) and one.until > self.since.until:
                words = f"{one.what}: its last day {one.until} has passed and nobody has ended it"
                yield Change(ChangeKind.WORSE, title, words, one.until, set_on, about, line_set, part)

    def accepted(self) -> Iterator[Change]:
        """Conditions that the house accepted, or accepts no longer."""
        times = list_accepted_times(self.db, self.house.id)
        for one in list_accepted(self.db, self.house.id, ended_too=True):
            at, ended = times[one.id]
            title, line_set = f"Accepted condition, {one.part_tag}", self._set_of(one.part)
            words = f"{one.what}; accepted by {one.accepted_by}, {one.role}: {one.reason}"
            if self.is_since(at):
                words = f"{words}. To be reviewed by {one.review_by}"
                day = self.day(at)
                yield Change(ChangeKind.PUT_OFF, title, words, day, None, ("part", one.part), line_set, one.part)
            if ended is not None and self.is_since(ended):
                words = f"{one.what}: no longer accepted"
                day = self.day(ended)
                yield Change(
                    ChangeKind.ALTERED, title, words, day, self.day(at), ("part", one.part), line_set, one.part
                )

    def events(self) -> Iterator[Change]:
        """What happened."""
        for one in list_events(self.db, self.house.id):
            if self.is_since(one.at):
                title = f"{EVENT_TITLES[one.kind]}, {one.scope}" + (", withdrawn" if one.withdrawn else "")
                yield Change(
                    ChangeKind.EVENT, title, f"{one.what}; told by {one.by_name}", self.day(one.at), None,
                    ("event", one.id), one.line_set or "",
                )  # fmt: skip

    def lives(self) -> Iterator[Change]:
        """Replaced, put in, taken out."""
        earlier: dict[str, date | None] = {}
        for row in list_life_rows(self.db, self.house.id):
            part, line_set = self._of(row.part), self._set_of(row.part)
            lot = f", lot {row.lot}" if row.lot else ""
            about = ("part", row.part)
            if row.installed_on is not None and row.installed_on > self.since.until:
                replaced = row.part in earlier
                words = f"{'replaced' if replaced else 'put in'}{lot}"
                kind = ChangeKind.REPLACED if replaced else ChangeKind.NEW
                before = earlier.get(row.part)
                yield Change(kind, self._tag(row.part), words, row.installed_on, before, about, line_set, row.part)
            earlier[row.part] = row.installed_on
            gone = part.retired_on if part is not None else None
            if gone is not None and gone > self.since.until and row.retired_on == gone:
                words = "taken out of the inventory"
                yield Change(
                    ChangeKind.REPLACED, self._tag(row.part), words, gone, row.installed_on, about, line_set, row.part
                )

    def altered(self) -> Iterator[Change]:
        """What is recorded of a part: attributes, places, tags."""
        areas = {area.id: area.name for area in list_areas(self.db, self.house.id, retired=True)}
        for key, one in list_changes_of_parts(self.db, self.house.id, self.since.moment):
            if one.what in ("replaced", "retired"):
                continue
            part = self._of(key)
            spec = next((spec for spec in specs_for(part.kind) if spec.key == one.what), None) if part else None
            old, new = one.old, one.new
            if spec is not None:
                old, new = (shown_attribute(spec, text, self.house.units) for text in (old, new))
            elif one.what == "area":
                old, new = areas.get(old, ""), areas.get(new, "")
            label = spec.label if spec else one.what
            reason = f": {one.reason}" if one.reason else ""
            words = f"{label}: {old or 'not recorded'} → {new or 'not recorded'}, by {one.by}{reason}"
            day = self.day(one.at)
            yield Change(ChangeKind.ALTERED, self._tag(key), words, day, None, ("part", key), self._set_of(key), key)

    def said(self) -> Iterator[Change]:
        """What was decided or altered for the house as a whole."""
        sets = {one.id: one for one in list_line_sets(self.db, self.house.id, retired=True)}
        for one in list_said(self.db, self.house.id, self.since.moment):
            line_set = next((sets[key] for key in one.keys if key in sets), None)
            title = _set_title(line_set) if line_set else "The house"
            key = line_set.id if line_set else ""
            about = (one.noun, key)
            words = f"{one.words}, by {one.by_name}" if one.by_name else one.words
            yield Change(ChangeKind.ALTERED, title, words, self.day(one.at), None, about, key)

    def revisions(self) -> Iterator[Change]:
        """Checklists that were walked in another revision than before."""
        used = list_revisions_used(self.db, self.house.id)
        for checklist in sorted({one.checklist for one in used}):
            before = [one for one in used if one.checklist == checklist and one.on <= self.since.until]
            after = [one for one in used if one.checklist == checklist and one.on > self.since.until]
            if after and (not before or before[-1].revision != after[-1].revision):
                words = "walked in another revision than before" if before else "walked for the first time"
                first = next(one for one in after if one.revision == after[-1].revision)
                yield Change(
                    ChangeKind.ALTERED, f"Checklist {checklist}", words, first.on, before[-1].on if before else None,
                    ("checklist", checklist),
                )  # fmt: skip


def _as_one(lines: list[Change]) -> list[Change]:
    """Two lines that both say *still there* of one fault as one."""
    if len(lines) == 2 and {one.kind for one in lines} == {ChangeKind.STILL_THERE}:
        told, moved = lines
        more = moved.words.partition(": ")[2]
        return [replace(told, words=f"{told.words} {more}", after_on=max(told.after_on, moved.after_on))]
    return lines


def _set_title(line_set: LineSet) -> str:
    return f"Set {line_set.number}"
