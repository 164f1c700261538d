"""Codes people read aloud: ``FH-261204-A`` is kitchen, year, month and day, letter. No I, O, Q, S, Z among the letters."""

from __future__ import annotations

import re
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from ingle.ground.errors import BadBrief
from ingle.notebook.models import Kitchen, Traced

LETTERS = "ABCDEFGHJKLMNPRTUVWXY"
PREFIX = re.compile(rf"[{LETTERS}]{{2,4}}")


def letters(n: int) -> str:
    """1 -> A, 21 -> Y, 22 -> AA.

    >>> [letters(n) for n in (1, 9, 21, 22, 43)]
    ['A', 'J', 'Y', 'AA', 'BA']
    """
    said = ""
    while n > 0:
        n, rest = divmod(n - 1, len(LETTERS))
        said = LETTERS[rest] + said
    return said


def count(word: str) -> int:
    """The inverse of `letters`; 0 for what is none.

    >>> count("AA"), count("O")
    (22, 0)
    """
    if not word or any(c not in LETTERS for c in word):
        return 0
    n = 0
    for c in word:
        n = n * len(LETTERS) + LETTERS.index(c) + 1
    return n


def prefix_of(name: str, given: str | None = None) -> str:
    """First letters of a kitchen's codes: those given, or made from its name.

    >>> prefix_of("Fernhollow"), prefix_of("Quiz"), prefix_of("x", "FH")
    ('FE', 'UA', 'FH')
    """
    if given is not None:
        said = given.strip().upper()
        if not PREFIX.fullmatch(said):
            raise BadBrief(
                f"prefix {given!r} is not two to four letters of {LETTERS}.",
                field="prefix", value=given, limit=LETTERS, remedy="I, O, Q, S and Z are read as figures; take others.",
            )  # fmt: skip
        return said
    initials = [c for c in name.upper() if c in LETTERS]
    return "".join([*initials, "A", "A"][:2])


def next_code(session: Session, kitchen: Kitchen, day: date, middle: str = "") -> str:
    """The next free code of a day. The kitchen's row is held, so that two clients do not get the same."""
    session.execute(select(Kitchen.id).where(Kitchen.id == kitchen.id).with_for_update())
    stem = "-".join(x for x in (kitchen.prefix, middle, f"{day:%y%m%d}") if x) + "-"
    used = session.scalars(
        select(Traced.code).where(Traced.kitchen_id == kitchen.id, Traced.code >= stem, Traced.code < stem + "~")
    )
    highest = max((count(code.removeprefix(stem)) for code in used), default=0)
    return stem + letters(highest + 1)


def numbered(session: Session, kitchen: Kitchen, stem: str) -> str:
    """``STEM1``, ``STEM2``: pieces of a lot, packs of a batch."""
    session.execute(select(Kitchen.id).where(Kitchen.id == kitchen.id).with_for_update())
    used = session.scalars(
        select(Traced.code).where(Traced.kitchen_id == kitchen.id, Traced.code >= stem, Traced.code < stem + "~")
    )
    rest = [code.removeprefix(stem) for code in used]
    return f"{stem}{max((int(x) for x in rest if x.isdigit()), default=0) + 1}"
