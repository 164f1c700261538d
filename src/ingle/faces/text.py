"""Text that fits a place: cleaned, plain, cut to columns, units tied to their numbers."""

from __future__ import annotations

import re
import unicodedata

_ASCII = {
    "°": "", "–": "-", "—": "-", "−": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "…": "...", "×": "x", "·": ".",
    "½": "1/2", "¼": "1/4", "¾": "3/4", "≤": "at most ", "≥": "at least ", "→": "to", "µ": "u", "ß": "ss",
    "æ": "ae", "Æ": "AE", "ø": "o", "Ø": "O", "œ": "oe", "ł": "l", "Ł": "L", "£": "GBP ", "€": "EUR ",
    "²": "2", "³": "3", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
}  # fmt: skip


def clean(text: str) -> str:
    """One line without control or direction characters: a name in a brief cannot steer a terminal or a page."""
    flat = "".join(" " if c in "\t\n\r\v\f\u2028\u2029" else c for c in text)
    kept = "".join(c for c in flat if unicodedata.category(c) not in ("Cc", "Cf", "Cs"))
    return " ".join(word for word in kept.split(" ") if word)  # a no-break space stays where it is


def ascii_only(text: str) -> str:
    """The nearest plain text: ``4 °C`` to ``4 C``, accents dropped, what has no plain form to ``?``."""
    swapped = "".join(_ASCII.get(c, c) for c in text)
    spread = unicodedata.normalize("NFKD", swapped)
    return "".join(c if c.isascii() else "?" for c in spread if not unicodedata.combining(c))


def fit(text: str, unicode: bool) -> str:
    """Cleaned, and plain unless ``unicode``."""
    return clean(text) if unicode else clean(ascii_only(text))


def cells(text: str) -> int:
    """Columns a text takes in a terminal: wide characters two, combining marks none."""
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)


def cut(text: str, width: int) -> str:
    """The longest beginning that takes at most ``width`` columns."""
    while cells(text) > width:
        text = text[:-1]
    return text


def pad(text: str, width: int, right: bool = False) -> str:
    """Exactly ``width`` columns, cut or filled with spaces."""
    text = cut(text, width)
    fill = " " * (width - cells(text))
    return fill + text if right else text + fill


def wrap(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """Lines of at most ``width`` columns, the first after ``first``, the others after ``rest``.

    A word longer than a line is broken; nothing is lost.
    """
    rest = " " * cells(first) if rest is None else rest
    lines, line, empty = [], first, True
    for word in text.replace("\u00a0", " ").split():
        left = word
        while left:
            gap = "" if empty else " "
            if cells(line) + len(gap) + cells(left) <= width:
                line, empty, left = line + gap + left, False, ""
            elif not empty:
                lines.append(line)
                line, empty = rest, True
            else:  # longer than a line: broken
                head = cut(left, max(1, width - cells(line))) or left[:1]
                lines.append(line + head)
                line, left = rest, left[len(head) :]
    if not empty or not lines:
        lines.append(line.rstrip() if empty else line)
    return lines


_UNITS = "kg|g|mg|mg/kg|mm|cm|ml|l|min|h|d|%|\u00b0C|\u00b0F|W|lb|oz|pieces|plates"
_TIED = re.compile(rf"(?<![\w.,-])(\d+(?:[.,]\d+)*) ?({_UNITS})(?![\w/])")
_DEGREES = re.compile(r"(\d) ?(?:\u00b0|deg)? ?([CF])\b")
_MINUS = re.compile(r"(?<![\w.)-])-(?=\d)")  # a number below nothing, no code and no range
QUANTITY = re.compile(
    rf"\d\d:\d\d|pH\u00a0\d+(?:[.,]\d+)?|\d+(?:[.,]\d+)*(?: to \d+(?:[.,]\d+)*)?\u00a0(?:{_UNITS})(?![\w/])"
)
_PIECES = re.compile(r"\(\w{1,3} (?:to|and) \w{1,3}\)|\b\w{1,3}: (?=\d)")  # which pieces, "(4 to 12)", and the weight of one, "4: 945 g"


def tie(text: str) -> str:
    """Unit tied to its number by a no-break space, ``4 C`` and ``40 F`` set as degrees, a minus as long as a plus: for pages and paper."""
    text = _MINUS.sub("\u2212", _DEGREES.sub("\\1 \u00b0\\2", clean(text))).replace("pH ", "pH\u00a0")
    return _PIECES.sub(lambda m: m[0].replace(" ", "\u00a0"), _TIED.sub("\\1\u00a0\\2", text))


def slug(text: str) -> str:
    """Letters, digits and hyphens only, for names of files and identities."""
    plain = ascii_only(clean(text)).lower()
    return "-".join("".join(c if c.isalnum() else " " for c in plain).split()) or "plan"


def sentence(text: str) -> str:
    """The text with a capital and a full stop."""
    text = clean(text)
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".:?" else ".")
