"""Pack labels on sheets and rolls, and the ruled sheet to try them with."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from typing import Any

import segno

from ingle.faces.paper import press
from ingle.faces.paper.press import Job
from ingle.faces.paper.stock import Stock, stock, stocks
from ingle.faces.words import clean, tie
from ingle.ground.errors import BadBrief
from ingle.jobs.label import Label

MOST_LABELS = 2000


def pack_labels(
    labels: Sequence[tuple[Label, int]], *, on: str = "a4-24", start: int = 1, offset: tuple[float, float] = (0.0, 0.0), printed: datetime | None = None,
) -> Job:  # fmt: skip
    """Labels, each so many times, from cell ``start`` on; ``offset`` moves the print right and down [mm].

    Raises
    ------
    OutOfRange
        A start that is no cell, an offset out of bounds; when printed, a label that does not fit at its least size.
    """
    size = stock(on)
    count = sum(n for _, n in labels)
    if not labels or min(n for _, n in labels) < 1 or count > MOST_LABELS:
        raise BadBrief(
            f"{count} labels were asked for.", field="count", value=count, limit=f"1 to {MOST_LABELS}", remedy="Print them in smaller runs."
        )
    which = [i for i, (_, n) in enumerate(labels) for _ in range(n)]
    data: dict[str, Any] = {"stock": _stock(size), "labels": [_label(one) for one, _ in labels], "paper": None, "cells": which, "sheets": []}
    if size.paper is not None:
        numbers = iter(which)
        data |= {"paper": size.paper.as_list(), "sheets": [[[*c, next(numbers)] for c in sheet] for sheet in size.cells(start, count, offset)]}
    notes = tuple(dict.fromkeys(n for one, _ in labels for n in one.not_here))
    return Job("label", f"Labels: {labels[0][0].name}, {labels[0][0].lot}", data, printed, notes)


@lru_cache(maxsize=64)
def fitting(one: Label) -> tuple[str, ...]:
    """The sheets and rolls it fits on, those of the country's own paper first, the smallest label first; a roll always does."""
    letter = one.country in ("us", "ca")
    sizes = sorted(map(stock, stocks()), key=lambda s: (s.paper is None, (s.paper is not None and s.paper.name == "letter") != letter, s.width * s.height))
    return tuple(s.key for s in sizes if press.fits(pack_labels([(one, 1)], on=s.key)))


def ruled_sheet(on: str = "a4-24", *, offset: tuple[float, float] = (0.0, 0.0)) -> Job:
    """Every cell of a sheet outlined, numbered and ruled in millimetres."""
    size = stock(on)
    if size.paper is None:
        raise BadBrief("a roll needs no ruled sheet.", field="stock", value=on, remedy="Print one label and measure it.")
    sheets = [[[*c, n + 1] for n, c in enumerate(size.cells(1, size.a_sheet, offset)[0])]]
    words = f"{size.name}, offset {offset[0]:g}, {offset[1]:g} mm. Print at 100 %, hold it against a sheet of labels to the light."
    return Job("ruled", f"Ruled sheet: {size.name}", {"stock": _stock(size), "paper": size.paper.as_list(), "sheets": sheets, "words": words})


def _stock(size: Stock) -> dict[str, Any]:
    return {"width": size.width, "height": size.height, "edge": size.edge, "left": size.left, "top": size.top}


def _label(one: Label) -> dict[str, Any]:
    held, panel, second = one.link or one.lot, one.panel, one.second
    return {
        "name": clean(one.name), "net": tie(one.net), "heading": one.heading, "ingredients": _runs(one.ingredients), "contains": clean(one.contains),
        "panel": {
            "title": tie(panel.title), "lines": [tie(t) for t in panel.lines], "columns": [tie(c) for c in panel.columns],
            "rows": [[name, *map(_values, values)] for name, *values in panel.rows], "inner": list(panel.inner), "foot": panel.foot, "linear": panel.linear,
        },
        "second": {
            "name": clean(second.name), "heading": second.heading, "ingredients": _runs(second.ingredients), "contains": clean(second.contains),
            "storage": tie(second.storage),
        } if second else None,
        "dates": [tie(d) for d in one.dates], "storage": tie(one.storage), "operator": clean(one.operator), "lot": clean(one.lot), "home": one.home,
        "x_mm": one.x_mm, "net_mm": one.net_mm, "list_mm": one.list_mm or one.x_mm, "leading_mm": one.leading_mm, "boxed": one.boxed,
        "qr": qr_svg(held), "qr_alt": f"QR code: {clean(held)}",
    }  # fmt: skip


def _runs(runs: Sequence[tuple[str, bool]]) -> list[list[Any]]:
    """Text and whether it stands out, spaces at the ends kept."""
    return [[clean(t) if t.strip() else t, b] if t.strip(" ") == t else [_kept(t), b] for t, b in runs]


def _values(told: str) -> str:
    """Units tied to their numbers; kJ and kcal may stand on two lines."""
    return " / ".join(part.replace(" ", "\u00a0") for part in told.split(" / "))


def _kept(text: str) -> str:
    """Cleaned, the spaces at its ends kept: they part it from its neighbours."""
    return (" " if text[0] == " " else "") + clean(text) + (" " if text[-1] == " " and text.strip() else "")


def qr_svg(held: str) -> str:
    """A QR code as SVG of no size of its own, correction level M, with the quiet zone of four modules the standard asks for."""
    out = io.BytesIO()
    segno.make(held, error="m", micro=False).save(out, kind="svg", border=4, xmldecl=False, svgns=True, omitsize=True, dark="#000000", light=None)
    return out.getvalue().decode()
