"""What can go wrong with a store? Each kind of trouble, said so that a person knows what to do."""

from __future__ import annotations

from sqlalchemy.exc import DontWrapMixin


class NotFound(LookupError):
    """There is no such job, revision, document or device."""


class Refused(ValueError):
    """A write that can't be done; the message says why and what to do."""


class CannotKeep(Refused, DontWrapMixin):
    """A text that one database or the other can't keep; refused alike on both."""


class DatabaseError(RuntimeError):
    """The database can't be opened or used; the message says what to mend."""


class Away(DatabaseError):
    """The database, or the disk under the store, does not take anything now: nothing was done,
    and the same can be asked again later."""
