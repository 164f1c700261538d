"""What is said when a request cannot be answered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from ingle.faces.web.forms import in_command_words
from ingle.ground.errors import IngleError


@dataclass(frozen=True)
class Trouble:
    """Heading, what is wrong, what helps."""

    template: ClassVar[str] = "trouble.html"
    heading: str
    message: str
    remedy: str
    grave: bool = True  # nothing was lost where a page is merely not there

    @property
    def title(self) -> str:
        """The window's title."""
        return f"Error: {self.heading}"


def trouble_of(error: IngleError, status: int) -> Trouble:
    """The page for an error that is an answer."""
    heading = {403: "Not from this page", 404: "Not there", 409: "It is there already", 413: "Too large", 500: "A fault here", 503: "The book cannot be used"}.get(status, "Not done")
    return Trouble(heading, error.message, "Look for it in the book, or begin at hand." if in_command_words(error.remedy) else error.remedy, status != 404)
