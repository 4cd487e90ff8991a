"""People as the rest of the program sees them: a name, a credential as typed, and what each may do in a house."""

from typing import NamedTuple

from inspect_app.domain.role import Role


class Person(NamedTuple):
    """A person; `credential` is their own wording of what qualifies them, printed beside a signature."""

    id: str
    name: str
    credential: str = ""


class Member(NamedTuple):
    """A person's standing in one house. `username` is '' for a person who has no account yet."""

    person: Person
    roles: frozenset[Role]
    username: str
    disabled: bool
    ended: bool = False
