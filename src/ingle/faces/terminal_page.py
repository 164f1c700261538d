"""Lines of text that fit a screen."""

from __future__ import annotations

from ingle.faces.words import cells, fit, wrap


class Page:
    """Lines that fit."""

    def __init__(self, width: int, unicode: bool):
        self.width, self.unicode = width, unicode
        self.lines: list[str] = []

    def put(self, text: str, first: str = "", rest: str | None = None) -> None:
        """Add text, wrapped."""
        self.lines += wrap(fit(text, self.unicode), self.width, first, rest)

    def title(self, text: str) -> None:
        """Add a heading after an empty line."""
        self.lines += ["", fit(text, self.unicode)]

    def both(self, left: str, right: str) -> None:
        """Left and right on one line, or on two when they do not fit."""
        left, right = fit(left, self.unicode), fit(right, self.unicode)
        if cells(left) + cells(right) + 2 <= self.width:
            self.lines.append(left + " " * (self.width - cells(left) - cells(right)) + right)
        else:
            self.put(left)
            self.put(right, "  ")
