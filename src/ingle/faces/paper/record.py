"""The record for an inspector, and the recall sheet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from itertools import groupby
from typing import Any, TypeVar

from ingle.faces.paper.day import stamp
from ingle.faces.paper.press import Job
from ingle.faces.paper.stock import paper
from ingle.faces.words import clean, clock, day_month, tie
from ingle.jobs.dossier import BatchRecord, Came, Deviated, Dossier, InstrumentRecord, Packed, Recall, Row, Was

T = TypeVar("T")
_MOST_ROWS = 300  # handings out with a row and a box each, kinds of packs with a row: some dozen sides; more are set as running words
_MOST_RUN_ON = 200  # packs in one paragraph
_MOST_TO_HOLD = 24  # kinds of packs left that the first part names; the third part tells what is left of each
STATES = {"going": "in the making", "discarded": "thrown away"}  # as the pages call them


def record(told: Dossier, *, on: str = "a4", printed: datetime | None = None) -> Job:
    """One lot or one month as one file: batches, deviations, instruments and limits; corrections stand where they were made."""
    span = f"{_date(told.since)} to {_date(told.until)}" if told.since and told.until else ""
    rules = ", ".join(r.upper() for r in told.rules) or "none named: the strictest"
    every = _all_deviations(told)
    stand, gone = [d for d in every if not d.withdrawn], sum(d.withdrawn for d in every)
    open_ = sum(not d.closed for d in stand)
    facts = [
        ["Kitchen", clean(told.kitchen)], ["rules of", rules], ["use", "own table" if told.use == "table" else "sale"], ["batches", str(len(told.batches))],
        ["entries", str(sum(len(b.rows) for b in told.batches) + len(told.kitchen_rows))],
        ["deviations", f"{len(stand)}, {open_} open" + (f", {gone} withdrawn" if gone else "")], *([["time", span]] if span else []),
    ]  # fmt: skip
    data = {
        "paper": paper(on).as_list(wide=True), "kitchen": clean(told.kitchen), "made": f"ingle {told.version}" if told.version else "ingle",
        "printed": stamp(printed), "facts": facts, "batches": [_batch(b) for b in told.batches],
        "short": [_short(b) for b in told.batches] if len(told.batches) > 1 else [], "kitchen_rows": [_row(r) for r in told.kitchen_rows],
        "kitchen_deviations": [_deviated(d) for d in told.kitchen_deviations], "instruments": [_instrument(t) for t in told.instruments],
        "limits": [
            {"title": clean(x.title), "limit": tie(x.limit), "clause": clean(x.clause), "source": clean(x.source), "sure": x.sure,
             "read_on": _date(x.read_on), "doubt": clean(x.doubt)} for x in told.limits
        ],
        "plan": ", ".join(dict.fromkeys(clean(b.plan) for b in told.batches if b.plan)), "not_in_it": "; ".join(map(clean, told.not_in_it)),
    }  # fmt: skip
    return Job("record", f"Record: {told.title}", data, printed)


def _all_deviations(told: Dossier) -> list[Deviated]:
    own = [d for b in told.batches for d in (*b.deviations, *(d for r in b.rows for d in r.deviations))]
    return [*own, *told.kitchen_deviations, *(d for r in told.kitchen_rows for d in r.deviations)]


def _date(at: date | None) -> str:
    return "" if at is None else f"{at.day} {day_month(at).rpartition(' ')[2]} {at.year}"


def _moment(at: datetime | None) -> str:
    return "" if at is None else f"{day_month(at)} {at.year}, {clock(at)}"


def _batch(b: BatchRecord) -> dict[str, Any]:
    facts = [
        ["state", STATES.get(b.state, b.state)], ["begun", _moment(b.began)], *([["ended", _moment(b.ended)]] if b.ended else []),
        *([["use by", _date(b.use_by)]] if b.use_by else []), *([["plan", clean(b.plan)]] if b.plan else []), *([["note", clean(b.note)]] if b.note else []),
    ]  # fmt: skip
    return {
        "code": clean(b.code), "name": clean(b.name), "facts": facts, "came": [_came(c) for c in b.came], "rows": [_row(r) for r in b.rows],
        "deviations": [_deviated(d) for d in b.deviations], "packed": [_packed(p) for p in b.packed],
    }  # fmt: skip


def _short(b: BatchRecord) -> dict[str, str]:
    devs = [*b.deviations, *(d for r in b.rows for d in r.deviations)]
    stand = [d for d in devs if not d.withdrawn]
    still = sum(not d.closed for d in stand)
    return {
        "code": clean(b.code), "name": clean(b.name), "state": STATES.get(b.state, b.state), "span": f"{_date(b.began)}{' to ' + _date(b.ended) if b.ended else ', goes on'}",
        "readings": str(len(b.rows)), "over": str(sum(r.level == "over" and not r.withdrawn for r in b.rows)),
        "deviations": f"{len(stand)}, {still} open" if stand else "none", "packs": str(sum(p.made for p in b.packed)) if b.packed else "none",
    }  # fmt: skip


def _came(c: Came) -> dict[str, str]:
    return {
        "code": clean(c.code), "name": clean(c.name), "amount": tie(c.amount), "supplier": clean(c.supplier), "supplier_code": clean(c.supplier_code),
        "received": _date(c.received), "use_by": _date(c.use_by),
    }  # fmt: skip


def _packed(p: Packed) -> dict[str, str]:
    handed = "; ".join(f"{clean(to)}{' (' + clean(c) + ')' if c else ''}: {n}, {_date(at)}" for to, c, n, at in p.handed)
    return {
        "code": clean(p.code), "name": clean(p.name), "made": str(p.made), "net": tie(p.net), "left": str(p.left), "use_by": _date(p.use_by), "handed": handed,
    }  # fmt: skip


def _was(w: Was) -> dict[str, str]:
    return {"value": tie(w.value), "who": clean(w.who), "written": _moment(w.written), "why": clean(w.why)}


def _row(r: Row) -> dict[str, Any]:
    return {
        "day": f"{day_month(r.at)} {r.at.year}", "clock": clock(r.at), "entered": _moment(r.entered), "step": clean(r.step), "thing": clean(r.thing),
        "what": clean(r.what), "how": tie(r.how), "value": tie(r.value), "limit": tie(r.limit), "clause": clean(r.clause), "level": r.level,
        "who": clean(r.who), "act": tie(r.act), "was": [_was(w) for w in r.was], "withdrawn": r.withdrawn,
        "deviations": [_deviated(d) for d in r.deviations], "not_checked": "; ".join(map(clean, r.not_checked)),
    }  # fmt: skip


def _deviated(d: Deviated) -> dict[str, Any]:
    stop = lambda t: clean(t).rstrip(".")  # noqa: E731
    return {
        "at": _moment(d.at), "level": d.level, "what": tie(stop(d.what)), "act": tie(stop(d.act)), "who": clean(d.who), "cause": stop(d.cause), "value": tie(d.value),
        "limit": tie(d.limit), "clause": clean(d.clause), "until": _moment(d.until), "deadline": _moment(d.deadline), "closed": d.closed,
        "withdrawn": d.withdrawn,
        "actions": [
            {"at": _moment(a.at), "act": tie(stop(a.act)), "who": clean(a.who), "cause": stop(a.cause), "control": stop(a.control),
             "prevention": stop(a.prevention), "product": clean(a.product), "closes": a.closes} for a in d.actions
        ],
    }  # fmt: skip


def _instrument(t: InstrumentRecord) -> dict[str, Any]:
    return {
        "name": clean(t.name), "kind": ", ".join(clean(x) for x in (t.kind, t.serial) if x), "in_use": t.in_use,
        "shows": ", ".join(tie(x) for x in (t.resolution, t.place) if x),
        "checks": [
            {"at": _moment(c.at), "reference": clean(c.reference), "expected": tie(c.expected), "found": tie(c.found), "tolerance": tie(f"\u00b1 {c.tolerance}"),
             "within": c.within, "who": clean(c.who), "act": clean(c.act), "was": [_was(w) for w in c.was]} for c in t.checks
        ],
    }  # fmt: skip


def recall_sheet(told: Recall, *, on: str = "a4", printed: datetime | None = None) -> Job:
    """Who has it, what is left, where it came from, with boxes for what comes back. All of it, however much it is."""
    takers = _takers(told.packs)
    out = sum(t["all"] for t in takers)
    left = [p for p in told.packs if p.left]
    name = lambda seq: [f"{clean(c.code)} {clean(c.name)}" for c in seq]  # noqa: E731
    data = {
        "paper": paper(on).as_list(wide=True), "kitchen": clean(told.kitchen), "code": clean(told.code), "name": clean(told.name), "why": clean(told.why),
        "made": "ingle", "printed": stamp(printed), "made_packs": _count(sum(p.made for p in told.packs)), "left": _count(sum(p.left for p in told.packs)),
        "out": _count(out), "people": "" if not takers else "to 1 taker" if len(takers) == 1 else f"to {_count(len(takers))} takers",
        "hold": [f"{clean(p.code)}: {p.left} of {p.made}" for p in left] if len(left) <= _MOST_TO_HOLD else [], "hold_kinds": _count(len(left)),
        "loose": name(told.loose), "takers": takers, "rows": sum(len(t["rows"]) for t in takers) <= _MOST_ROWS, "packs": [_packed(p) for p in told.packs] if len(told.packs) <= _MOST_ROWS else [],
        "kinds": _kinds(told.packs) if len(told.packs) > _MOST_ROWS else [],
        "through": _parts(name(_not(told.through, told.loose))), "lots": [_came(c) for c in told.lots],
    }  # fmt: skip
    return Job("recall", f"Recall: {told.code}", data, printed)


def _count(n: int) -> str:
    return f"{n:,}"


def _takers(packs: Sequence[Packed]) -> list[dict[str, Any]]:
    """Everyone who has some of it, once, with all their packs: one call each."""
    by: dict[tuple[str, str], list[tuple[str, int, datetime]]] = {}
    for pack in packs:
        for to, contact, count, at in pack.handed:
            by.setdefault((clean(to), clean(contact)), []).append((clean(pack.code), count, at))
    told = []
    for (to, contact), got in sorted(by.items(), key=lambda t: (t[0][0].casefold(), t[0])):
        got.sort(key=lambda g: (g[2], g[0]))
        every = sum(n for _, n, _ in got)
        parts = [[{"day": _date(day), "packs": [[code, _count(n)] for code, n, _ in some]} for day, some in groupby(part, key=lambda g: g[2].date())]
                 for part in _parts(got)]  # fmt: skip
        rows = [{"pack": code, "count": _count(n), "at": _moment(at)} for code, n, at in got]
        told.append({"to": to, "contact": contact, "all": every, "sum": "1 pack" if every == 1 else f"{_count(every)} packs", "rows": rows, "parts": parts})
    return told


def _kinds(packs: Sequence[Packed]) -> list[list[dict[str, Any]]]:
    """Packs of one name, size and last day together, with what is left of each; in parts."""
    by: dict[str, list[str]] = {}
    for p in packs:
        what = ", ".join(x for x in (clean(p.name), tie(p.net), f"use by {_date(p.use_by)}" if p.use_by else "no use-by is written") if x)
        by.setdefault(what, []).append(f"{clean(p.code)}\u00a0{p.left}\u00a0of\u00a0{p.made}")
    each = [(what, code) for what, codes in by.items() for code in codes]
    return [[{"what": what, "packs": [code for _, code in some]} for what, some in groupby(part, key=lambda w: w[0])] for part in _parts(each)]


def _parts(many: Sequence[T]) -> list[Sequence[T]]:
    """What one paragraph holds: the time to set one grows with the square of its length."""
    return [many[at : at + _MOST_RUN_ON] for at in range(0, len(many), _MOST_RUN_ON)]


def _not(many: Sequence[Came], but: Sequence[Came]) -> list[Came]:
    codes = {c.code for c in but}
    return [c for c in many if c.code not in codes]
