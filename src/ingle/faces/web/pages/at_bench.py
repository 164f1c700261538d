"""What the pages at the bench share: the batch they are about, a piece of it, names and units as they are written there."""

from __future__ import annotations

from fastapi import Request

from ingle.faces.web.page import kitchen_of, state
from ingle.jobs.book import Leaf, PieceRow, leaf
from ingle.jobs.house import House
from ingle.notebook.trouble import NotFound


def held(request: Request, code: str) -> tuple[Leaf, House]:
    """The batch of a code, and the house it lies in."""
    _, shelf, session = state(request)
    lived = kitchen_of(request)
    return leaf(shelf.book(session), code), lived


def piece_of(told: Leaf, code: str) -> tuple[int, PieceRow]:
    """A piece of a batch by its code, and which of them it is, from 0."""
    for i, piece in enumerate(told.pieces):
        if piece.code == code:
            return i, piece
    raise NotFound(f"{told.name} has no piece {code!r}.", field="piece", value=code, remedy="See the pieces of the batch.")


def named(item: str) -> str:
    """``curing-salt@6.25%`` as it is read."""
    name, _, strength = item.partition("@")
    number_ = strength.removesuffix("%")
    return f"curing salt, {number_}\u00a0% nitrite" if strength else name


def with_unit(written: str, unit: str) -> str:
    """A bare figure with the unit that its field names; anything else as it was written."""
    return f"{written}{unit}" if written.replace(",", ".").replace(".", "", 1).lstrip("+-\u2212").isdigit() else written
