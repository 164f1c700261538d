"""How wide text is set, so that a page can be filled before it is printed.

Advance widths of the printable ASCII letters in hundredths of the type size, read from the house's own TTF files
(tabular figures for the digits). A letter outside the table counts as wide as "n".
"""

from __future__ import annotations

_TEXT = (
    "24 25 43 60 66 90 71 25 30 31 39 55 24 38 22 35 70 70 70 70 70 70 70 70 70 70 23 24 55 55 55 52 83 "
    "71 67 69 69 62 59 73 77 28 39 68 58 89 75 73 64 75 68 67 59 70 67 95 69 61 64 30 35 30 47 52 22 55 "
    "60 54 60 57 40 62 58 25 26 56 30 86 58 57 60 60 39 51 39 58 50 78 56 54 48 33 26 33 57 "
)
_BOLD = (
    "23 28 48 62 68 94 78 26 33 34 47 59 28 39 27 38 70 70 70 70 70 70 70 70 70 70 27 28 58 59 58 53 83 "
    "73 68 72 72 63 61 76 77 31 40 72 58 92 78 76 65 77 70 69 62 72 70 97 72 67 67 34 38 34 48 55 26 57 "
    "61 55 61 58 40 63 59 27 29 58 33 90 59 58 61 61 41 53 42 60 52 79 59 56 50 38 27 38 61 "
)
_FIGURE = (
    "20 27 31 61 43 77 58 15 28 28 36 44 20 32 21 39 48 48 48 48 48 48 48 48 48 48 25 22 44 44 44 41 76 "
    "46 46 46 47 44 42 46 48 22 44 48 42 54 51 47 46 46 46 43 45 48 47 66 46 46 41 33 39 33 41 40 21 43 "
    "44 42 44 43 29 43 44 22 21 43 20 66 44 43 44 44 31 40 28 44 42 59 42 40 37 32 17 32 48 "
)
_TABLES = {
    name: dict(zip(map(chr, range(32, 127)), map(int, widths.split()), strict=True))
    for name, widths in (("text", _TEXT), ("bold", _BOLD), ("figure", _FIGURE))
}


def width(text: str, size: float, face: str = "text") -> float:
    """Width of one line, in the unit of ``size``; faces are ``text``, ``bold`` and ``figure``."""
    table = _TABLES[face]
    return sum(table.get(c, table["n"] if c != "\u00a0" else table[" "]) for c in text) * size / 100


def lines(text: str, room: float, size: float, face: str = "text") -> int:
    """Lines a text takes when broken at its spaces; a word longer than a line counts for as many as it fills."""
    count, used = 0, 0.0
    for word in text.split(" "):
        wide = width(word, size, face)
        gap = width(" ", size, face) if used else 0.0
        if count and used + gap + wide <= room:
            used += gap + wide
        else:
            extra = int(wide // room) if wide > room else 0
            count, used = count + 1 + extra, wide - extra * room
    return max(1, count) if text else 0
