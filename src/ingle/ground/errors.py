"""Everything that can go wrong and be said in words.

IngleError
 +- BadBrief        a file, form or request that cannot be understood
 +- OutOfRange      a value outside the range in which a model or a rule holds
 +- Refused         asked for something that is not done here (neat nitrite, spoons, a toxic dose)
 +- NoPlan          no plan meets the wishes; holds the clash and what would free it
 +- NotebookError   the record could not be read or written

The text is part of the interface: what is wrong, the limit, what to do. The numbers stay on the error
object, so that a page need not parse a sentence.
"""

from __future__ import annotations

from typing import Any


class IngleError(Exception):
    """Base of all errors that are answers.

    Parameters
    ----------
    message : str
        What is wrong and what to do, in sentences.
    field : str
        Name of the offending field, as the person wrote it.
    value : object
        What was given.
    limit : object
        The limit that was crossed, or the choices there are.
    remedy : str
        The one act that helps.
    """

    def __init__(self, message: str, *, field: str = "", value: Any = None, limit: Any = None, remedy: str = ""):
        self.message = message
        self.field = field
        self.value = value
        self.limit = limit
        self.remedy = remedy
        super().__init__(self.text)

    @property
    def text(self) -> str:
        """Message, then the remedy on a line of its own."""
        return f"{self.message}\n{self.remedy}" if self.remedy else self.message

    def as_dict(self) -> dict[str, Any]:
        """The numbers of the error, for ``--json`` and pages."""
        return {
            "error": type(self).__name__,
            "message": self.message,
            "field": self.field,
            "value": None if self.value is None else str(self.value),
            "limit": None if self.limit is None else str(self.limit),
            "remedy": self.remedy,
        }


class BadBrief(IngleError):
    """A file, form or request that cannot be understood."""


class OutOfRange(IngleError):
    """A value outside the range in which a model or a rule holds."""


class Refused(IngleError):
    """Asked for something that is not done here, with the reason."""


class NoPlan(IngleError):
    """No plan meets the wishes.

    ``clash`` lists the reasons that cannot all hold, ``remedies`` the smallest changes that were tried
    and found to free them.
    """

    def __init__(self, message: str, *, clash: tuple[str, ...] = (), remedies: tuple[Any, ...] = (), **more: Any):
        self.clash = clash
        self.remedies = remedies
        super().__init__(message, **more)

    def as_dict(self) -> dict[str, Any]:
        """The error with its clash and remedies."""
        told = super().as_dict()
        told["clash"] = list(self.clash)
        told["remedies"] = [vars(r) if hasattr(r, "__dict__") else r for r in self.remedies]
        return told


class NotebookError(IngleError):
    """The record could not be read or written; what is kept is said."""
