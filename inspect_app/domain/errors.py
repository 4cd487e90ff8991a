"""Errors a person may be shown: each carries a message that says what, where and how to mend it."""


class DomainError(Exception):
    """A rule was broken. `message` is fit to show; `field` names the input it belongs to, if one does."""

    def __init__(self, message: str, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field


class BadValue(DomainError):
    """A value cannot be read or makes no sense."""


class NotAllowed(DomainError):
    """The person's role does not allow this."""


class NotFound(DomainError):
    """There is no such thing in this house."""


class Conflict(DomainError):
    """The thing has changed or is in a state in which this cannot be done."""


class NotSaved(DomainError):
    """The store could not keep it (disk full, read-only, damaged); nothing was written."""
