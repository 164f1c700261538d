"""How a logger writes its times: the form is read off the cells, the order of day and month found in the file or asked."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import polars as pl

ORDERS = ("day-first", "month-first", "year-first")
DAY_MS = 86_400_000
EPOCH_S, EPOCH_MS = (946_684_800, 4_102_444_800), (946_684_800_000, 4_102_444_800_000)  # the years 2000 to 2100

_TIME = r"(?P<h>\d{1,2})(?P<hs>:)(?P<mi>\d{2})(?P<s>:\d{2})?(?P<f>[.,]\d{1,9})?(?P<ap>\s*[AaPp]\.?\s?[Mm]\.?)?"
_OFFSET = r"(?P<z>\s*(?:Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?))?"
_NUMERIC = r"(?P<a>\d{1,4})(?P<p>[-/.])(?P<b>\d{1,2})(?P=p)(?P<c>\d{1,4})"
_NAMED = r"(?P<na>\d{1,4}|[A-Za-z]{3,9})(?P<np>[-/. ])(?P<nb>[A-Za-z]{3,9}|\d{1,2})(?P<nq>,? |[-/. ])(?P<nc>\d{2,4})"
_PACKED = r"(?P<packed>\d{8})"
_DATE = rf"(?:{_NUMERIC}|{_NAMED}|{_PACKED})"
_JOIN = r"(?P<j>T|\s+|,\s*|\s+-\s+)"
_PACKED_TIME = r"(?P<pt>\d{6})"
MOMENT = re.compile(rf"^\s*{_DATE}{_JOIN}?(?:{_TIME}|{_PACKED_TIME}){_OFFSET}\s*$")
DATE = re.compile(rf"^\s*{_DATE}\s*$")
CLOCK = re.compile(rf"^\s*{_TIME}{_OFFSET}\s*$")
_MONTH = re.compile(r"^(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)", re.I)


@dataclass(frozen=True)
class Form:
    """One way of writing: the patterns that may be meant, by their order, and what the cells must be freed of first."""

    patterns: dict[str, str]  # order -> strftime
    offset: str  # "" | "Z" | "each"
    squeeze: bool = False  # spaces or dots in AM/PM that vary
    two_digits: bool = False

    def only(self, order: str) -> Form:
        """The same with its order settled."""
        return Form({order: self.patterns[order]}, self.offset, self.squeeze, self.two_digits)

    @property
    def pattern(self) -> str:
        """The settled pattern."""
        return next(iter(self.patterns.values()))


def looks_like(cells: Sequence[str]) -> str:
    """``moment``, ``date``, ``clock`` or "": what nine of ten cells are."""
    filled = [c for c in cells if c.strip()]
    if not filled:
        return ""
    for what, shape in (("moment", MOMENT), ("date", DATE), ("clock", CLOCK)):
        if sum(bool(shape.match(c)) and _believable(shape.match(c)) for c in filled) >= 0.9 * len(filled):
            return what
    return ""


def _believable(found: re.Match[str] | None) -> bool:
    """A packed date is a date, and a name a month's."""
    groups = found.groupdict() if found else {}
    if groups.get("packed"):
        packed = groups["packed"]
        return packed[:2] in ("19", "20") and 1 <= int(packed[4:6]) <= 12 and 1 <= int(packed[6:]) <= 31
    names = [groups.get(k) or "" for k in ("na", "nb")]
    return not any(names) or sum(bool(_MONTH.match(n)) for n in names if n.isalpha()) == 1


def form_of(cells: Sequence[str]) -> Form | None:
    """The form of the most cells of a sample of moments, or of a date and a time joined by a space."""
    found = [m for m in (MOMENT.match(c) for c in cells) if m and _believable(m)]
    if not found:
        return None
    kinds = Counter(_template(m.groupdict()) for m in found)
    groups = next(m.groupdict() for m in found if _template(m.groupdict()) == kinds.most_common(1)[0][0])
    date, orders, two = _date_patterns(groups, [m.groupdict() for m in found])
    clock = "%H%M%S" if groups["pt"] else _clock_pattern(groups)
    offset = "" if not groups["z"] else "Z" if groups["z"].strip() in ("Z", "UTC", "GMT") else "each"
    tail = {"": "", "Z": _literal(groups["z"] or ""), "each": ("" if not (groups["z"] or "").startswith(" ") else " ") + "%#z"}[offset]
    joined = groups["j"] or ""
    squeeze = (len(kinds) > 1 and len({_squeezed(k) for k in kinds}) < len(kinds)) or "." in (groups["ap"] or "") or "  " in joined
    join = " " if squeeze and joined.strip() == "" and joined else joined
    return Form({o: f"{date[o]}{join}{clock}{tail}" for o in orders}, offset, squeeze, two)


def _template(g: dict[str, str | None]) -> tuple[object, ...]:
    return (g["p"], g["np"], g["nq"], bool(g["packed"]), g["j"], bool(g["s"]), (g["f"] or "")[:1], g["ap"] and re.sub(r"[A-Za-z]", "m", g["ap"]),
            bool(g["pt"]), bool(g["z"]), len(g["a"] or "") == 4, len(g["c"] or "") == 4)  # fmt: skip


def _squeezed(kind: tuple[object, ...]) -> tuple[object, ...]:
    return tuple(x for i, x in enumerate(kind) if i not in (4, 7))


def _literal(text: str) -> str:
    return text.replace("%", "%%")


def _clock_pattern(g: dict[str, str | None]) -> str:
    seconds = ":%S" if g["s"] else ""
    fraction = "" if not g["f"] else "%.f" if g["f"][0] == "." else ",%f"
    if not g["ap"]:
        return f"%H:%M{seconds}{fraction}"
    return f"%I:%M{seconds}{fraction}{' ' if g['ap'][:1].isspace() else ''}%p"


def _date_patterns(g: dict[str, str | None], every: list[dict[str, str | None]]) -> tuple[dict[str, str], tuple[str, ...], bool]:
    if g["packed"]:
        return {"year-first": "%Y%m%d"}, ("year-first",), False
    if g["p"]:
        sep, a, c = g["p"], str(g["a"]), str(g["c"])
        if len(a) == 4:
            return {"year-first": f"%Y{sep}%m{sep}%d"}, ("year-first",), False
        two = len(c) <= 2
        y = "%y" if two else "%Y"
        ways = {"day-first": f"%d{sep}%m{sep}{y}", "month-first": f"%m{sep}%d{sep}{y}", "year-first": f"%y{sep}%m{sep}%d"}
        orders = tuple(o for o in ORDERS if (two or o != "year-first") and all(_possible(o, e) for e in every if e["p"]))
        if two and any(len(str(e["a"])) == 1 for e in every if e["p"]):
            orders = tuple(o for o in orders if o != "year-first")  # a year of one figure is none
        return ways, orders or ORDERS[: 2 + two], two
    sep, last, name = g["np"] or " ", g["nq"] or " ", str(g["na"])
    two = len(str(g["nc"])) == 2 and len(name) != 4
    month = "%B" if max(len(str(g["na"])), len(str(g["nb"]))) > 4 else "%b"
    if name.isalpha():
        return {"month-first": f"{month}{sep}%d{last}{'%y' if two else '%Y'}"}, ("month-first",), two
    if len(name) == 4:
        return {"year-first": f"%Y{sep}{month}{last}%d"}, ("year-first",), False
    return {"day-first": f"%d{sep}{month}{last}{'%y' if two else '%Y'}"}, ("day-first",), two


def _possible(order: str, g: dict[str, str | None]) -> bool:
    a, b, c = (int(str(g[k])) for k in "abc")
    day, month = {"day-first": (a, b), "month-first": (b, a), "year-first": (c, b)}[order]
    return 1 <= day <= 31 and 1 <= month <= 12


def parsed(cells: pl.Expr, form: Form, order: str, *, neat: bool = False) -> pl.Expr:
    """Wall time as the cells say it, in ms since 1970 [int64]; UTC where they carry an offset; null where they are no time.

    ``neat``: no spaces stand around them.
    """
    if form.squeeze:
        cells = cells.str.replace_all(r"\s+", " ").str.replace_all(r"(?i)([ap])\.?\s?m\.?", "${1}M")
    if not neat:
        cells = cells.str.strip_chars()
    pattern = form.patterns[order]
    if pattern.endswith(",%f"):
        cells, pattern = cells.str.replace(",", "."), pattern.removesuffix(",%f") + "%.f"
    return cells.str.to_datetime(pattern, strict=False, time_unit="ms").dt.timestamp("ms")


def settle(cells: pl.Series, form: Form, now: datetime | None = None) -> tuple[tuple[str, ...], str]:
    """Which orders the whole file leaves, and what spoke for the one.

    An order falls when a cell is no date in it; when it makes the readings leap from month to month at midnight while another
    runs on; when all of it lies in the time to come while another does not.
    """
    if len(form.patterns) == 1:
        return tuple(form.patterns), ""
    ways = {o: cells.to_frame("t").select(parsed(pl.col("t"), form, o)).to_series() for o in form.patterns}
    least = min(w.null_count() for w in ways.values())
    left = [o for o, w in ways.items() if w.null_count() == least]
    if len(left) == 1:
        return (left[0],), "a figure above 12 stands where the day is"
    same = ways[left[0]]
    if all(ways[o].equals(same) for o in left):
        return (left[0],), "day and month are the same figure everywhere"
    steps = {o: _longest_step(ways[o].drop_nulls().to_numpy()) for o in left}
    smooth = [o for o in left if steps[o] < DAY_MS]
    if len(smooth) == 1 and all(steps[o] > 20 * DAY_MS for o in left if o not in smooth):
        return (smooth[0],), "so the readings run on over midnight; otherwise they leap by weeks"
    edge = ((now or datetime.now(UTC)) + timedelta(days=1)).timestamp() * 1000
    past = [o for o in left if int(ways[o].drop_nulls().to_numpy().max(initial=0)) <= edge]
    if len(past) == 1:
        return (past[0],), "otherwise the readings lie in the time to come"
    return tuple(past or left), ""


def _longest_step(ms: np.ndarray) -> int:
    return int(np.abs(np.diff(ms)).max(initial=0))
