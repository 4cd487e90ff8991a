"""Tag-outs: a set, an area or a part out of use; the steps after a stop and who may put it back."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from inspect_app.domain.errors import BadValue
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role


class TagState(StrEnum):
    """A tag-out stands until it is released, or withdrawn because it was raised on the wrong set."""

    STANDING = "standing"
    RELEASED = "released"
    WITHDRAWN = "withdrawn"


class Step(StrEnum):
    """What was done after a stop was raised."""

    TOLD_RAIL = "told_rail"
    LOCK_AND_TAG_ON = "lock_and_tag_on"
    AREA_CLEARED = "area_cleared"
    ISOLATOR_LOCKED = "isolator_locked"
    COULD_NOT = "could_not"


# None of these tells anyone to move the set: a stopped set is left as it is until a qualified person has decided.
STEP_TITLES: Mapping[Step, str] = {
    Step.TOLD_RAIL: "The rail was told",
    Step.LOCK_AND_TAG_ON: "Lock and tag are on",
    Step.AREA_CLEARED: "The area below is cleared",
    Step.ISOLATOR_LOCKED: "The isolator is locked off",
    Step.COULD_NOT: "Could not be done",
}
NEEDS_WHO = frozenset({Step.TOLD_RAIL})
NEEDS_NOTE = frozenset({Step.COULD_NOT})


class Group(StrEnum):
    """What a release turns on: what the stopped part carries or guards."""

    LOAD_PATH = "load_path"
    BRAKE_OR_LIMIT = "brake_or_limit"
    STRUCTURE = "structure"
    OTHER = "other"


GROUP_TITLES: Mapping[Group, str] = {
    Group.LOAD_PATH: "load path",
    Group.BRAKE_OR_LIMIT: "brake, lock, limit or control",
    Group.STRUCTURE: "structure",
    Group.OTHER: "not in the load path",
}
_LOAD_PATH = (
    PartKind.HEAD_BLOCK, PartKind.LOFT_BLOCK, PartKind.MULE_BLOCK, PartKind.LIFT_LINE, PartKind.TERMINATION_ARBOR,
    PartKind.TERMINATION_BATTEN, PartKind.TRIM, PartKind.BATTEN, PartKind.ARBOR, PartKind.COUNTERWEIGHTS,
    PartKind.SPREADERS, PartKind.HAND_LINE, PartKind.TENSION_BLOCK, PartKind.SET_TRAVEL, PartKind.DOUBLE_PURCHASE,
    PartKind.TEMPORARY_POINT, PartKind.ANCHOR_POINT, PartKind.HOIST, PartKind.DRUM, PartKind.ROPE_SET,
    PartKind.PIN_RAIL, PartKind.HANGER, PartKind.FIRE_SAFETY_CURTAIN, PartKind.GUIDE,
)  # fmt: skip
_BRAKE = (
    PartKind.ROPE_LOCK, PartKind.LOCKING_RAIL, PartKind.BRAKE, PartKind.LIMIT_SWITCH, PartKind.CONTROL, PartKind.STOP,
)  # fmt: skip
_STRUCTURE = (PartKind.HEAD_BEAM, PartKind.LOFT_BEAM, PartKind.BUILDING_INTERFACE)
GROUP_OF: Mapping[PartKind, Group] = {
    **dict.fromkeys(_LOAD_PATH, Group.LOAD_PATH),
    **dict.fromkeys(_BRAKE, Group.BRAKE_OR_LIMIT),
    **dict.fromkeys(_STRUCTURE, Group.STRUCTURE),
}


@dataclass(frozen=True, slots=True)
class TagStep:
    """One step as it was recorded. `by` is a person's id, `who` the words typed (who was told, who holds the key)."""

    step: Step
    who: str
    by: str
    by_name: str
    at: datetime
    note: str = ""


@dataclass(frozen=True, slots=True)
class TagEnding:
    """How a tag-out ended: released under a role for a reason, or withdrawn by two people."""

    state: TagState
    by_name: str
    role: str
    second_name: str
    at: datetime
    reason: str
    proof: str
    answers: Mapping[str, str] = field(default_factory=dict)  # what the release was asked, by need


@dataclass(frozen=True, slots=True)
class TagCheck:
    """The check by another person of work that came back into use checked by its repairer only."""

    by: str
    by_name: str
    role: str
    at: datetime
    looked_at: str


class TagAt(StrEnum):
    """A place where a tag hangs."""

    RAIL = "rail"
    BATTEN = "batten"
    CONSOLE = "console"


@dataclass(frozen=True, slots=True)
class TagPlace:
    """How the thing was left, as somebody saw it: nothing here asks anyone to move it.

    `height` and `load` are as typed, with their unit; `lockout_point` says where a motorised set is locked off.
    """

    height: str
    load: str
    tags_at: tuple[TagAt, ...]
    lockout_point: str
    by_name: str
    at: datetime


@dataclass(frozen=True, slots=True)
class TagOut:
    """One tag-out. Exactly one of `line_set`, `area`, `part` is what is out of use; `part` may also be named beside a
    line set as the part the stop was raised on. `scope` says it in words, as *Line set 12*."""

    id: str
    house: str
    line_set: str | None
    area: str | None
    part: str | None
    from_entry: str | None
    why: str
    raised_by: str
    raised_by_name: str
    raised_at: datetime
    responsible: str
    state: TagState
    scope: str = ""
    part_tag: str = ""
    part_kind: PartKind | None = None
    steps: tuple[TagStep, ...] = ()
    dead_hung: bool = False
    motorised: bool = False
    event: str | None = None  # the event for which it is on hold, if it is no plain stop
    places: tuple[TagPlace, ...] = ()
    over_sets: bool = False  # whether it is on an area in which sets hang

    @property
    def place(self) -> TagPlace | None:
        """Where things stand as it was recorded last."""
        return self.places[-1] if self.places else None


def group_of(kind: PartKind | None, on_line_set: bool) -> Group:
    """What a release turns on. A stop on a whole set without a named part counts as load path, the stricter reading."""
    if kind is None:
        return Group.LOAD_PATH if on_line_set else Group.OTHER
    return GROUP_OF.get(kind, Group.OTHER)


def group_of_tag(tag_out: TagOut) -> Group:
    """What the release of this tag-out turns on; one on an area stops the sets that hang there, and counts as one on a
    set."""
    return group_of(tag_out.part_kind, tag_out.line_set is not None or tag_out.over_sets)


RELEASING: Mapping[Group, frozenset[Role]] = {
    Group.LOAD_PATH: frozenset({Role.INSPECTOR}),
    Group.BRAKE_OR_LIMIT: frozenset({Role.INSPECTOR}),
    Group.STRUCTURE: frozenset({Role.INSPECTOR}),
    Group.OTHER: frozenset({Role.TD, Role.INSPECTOR}),
}


def may_release(group: Group, roles: Iterable[Role]) -> tuple[Role, ...]:
    """The roles, of those a person holds, under which they may release."""
    return tuple(role for role in Role if role in RELEASING[group] and role in set(roles))


def check_step(step: Step, who: str, note: str) -> None:
    """Raise BadValue when a step lacks what it has to say."""
    if step in NEEDS_WHO and not who.strip():
        raise BadValue("Say who at the rail was told.", "who")
    if step in NEEDS_NOTE and not note.strip():
        raise BadValue("Say what could not be done and why.", "note")


def still_asks(tag_out: TagOut) -> tuple[Step, ...]:
    """The next steps that nobody has recorded yet; *could not* keeps asking. Empty when it no longer stands."""
    if tag_out.state is not TagState.STANDING:
        return ()
    done = {step.step for step in tag_out.steps}
    wanted = (Step.TOLD_RAIL, Step.LOCK_AND_TAG_ON, *((Step.ISOLATOR_LOCKED,) if tag_out.motorised else ()))
    return tuple(step for step in wanted if step not in done)


def check_place(height: str, load: str, tags_at: Iterable[TagAt], motorised: bool, lockout_point: str) -> None:
    """Raise BadValue when nothing is said, or when a tag on a motorised set names no lockout point."""
    if not (height.strip() or load.strip() or tuple(tags_at) or lockout_point.strip()):
        raise BadValue("Say how high the batten hangs, what is on it, or where tags hang.", "height")
    if motorised and not lockout_point.strip():
        raise BadValue("A motorised set: name the point where it is locked off.", "lockout_point")
