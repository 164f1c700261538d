"""Where numbers come from. A value without a source cannot be made."""

from __future__ import annotations

from dataclasses import dataclass

SURE = ("quoted", "memory", "derived", "common practice", "gap")


@dataclass(frozen=True)
class Source:
    """One law, table, paper or handbook, described once."""

    key: str
    title: str
    issuer: str
    short: str = ""  # how a line of 80 letters names it: "9 CFR 424.21"
    year: str = ""  # "" = not known
    place: str = ""  # official address or citation
    note: str = ""

    def __post_init__(self) -> None:
        if not self.key or not self.title or not self.issuer:
            raise ValueError(f"a source needs key, title and issuer: {self!r}")

    @property
    def name(self) -> str:
        """The short name, or the title where there is none."""
        return self.short or self.title
