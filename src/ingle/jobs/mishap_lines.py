"""Limits before and after a mishap, side by side: which fail now, which failed before, which cannot be told."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from ingle.ground.tables import toml_table
from ingle.jobs.mishap_judge import Found, Judged
from ingle.safety.verdict import level_of_max

ORDER = {"within": 0, "near": 1, "cannot_say": 2, "over": 3}
Gains = dict[str, tuple[float, float]]


@dataclass(frozen=True)
class Line:
    """One limit before and after.

    ``level`` is that of the mishap: of a limit that failed before it too, the mishap is judged by what it adds alone.
    """

    key: str
    level: str
    before: Found | None
    cold: Found | None
    warm: Found | None
    added: float | None
    settle: bool  # the two ends of what may have been do not agree
    whole: Line | None = None  # not told whether it is whole muscle: the same line if it is, this one if it is not
    worse: bool | None = None  # whether either is worse by the mishap

    @property
    def said(self) -> Found:
        """The warmer end, which tells title, limit and clause."""
        found = self.warm or self.cold or self.before
        assert found is not None
        return found

    @property
    def over_before(self) -> bool:
        """Whether it failed without the mishap."""
        return self.before is not None and self.before.level == "over"

    @property
    def now(self) -> bool:
        """Whether it is worse by the mishap."""
        if self.worse is not None:
            return self.worse
        before = "within" if self.before is None else self.before.level
        return ORDER[self.level] > ORDER[before] or (self.level == "over" and (before == "over" or self.hard_stop))

    @property
    def inside_only(self) -> bool:
        """Whether its line is passed only if germs were carried inside: whole muscle would not pass it."""
        return self.whole is not None and self.level == "cannot_say" and self.whole.level != "cannot_say"

    @property
    def inside_before(self) -> bool:
        """Whether the plan by itself passes it, if germs were carried inside, and not otherwise."""
        return self.whole is not None and self.before is not None and self.before.level == "cannot_say" and self.before.inside

    @property
    def counts(self) -> bool:
        """Advice does not."""
        return self.said.counted

    @property
    def hard_stop(self) -> bool:
        """A stop that no choice undoes."""
        return self.level == "over" and self.said.hard_stop

    def as_dict(self) -> dict[str, Any]:
        """Plain keys and values for ``--json``."""
        f = self.said
        return {
            "rule": self.key, "title": f.title, "level": self.level, "by_mishap": self.now, "over_before": self.over_before,
            "counted": self.counts, "hard_stop": self.hard_stop, "toxin": f.toxin, "before": _value(self.before), "after_low": _value(self.cold),
            "after": _value(self.warm), "added": self.added, "limit": f.limit, "unit": f.unit, "place": f.place, "clause": f.clause,
            "source": f.source, "sure": f.sure, "text": f.text, "settle": f.settle, "not_checked": list(f.not_checked),
            "if_whole": None if self.whole is None else {
                "level": self.whole.level, "before": _value(self.whole.before), "after_low": _value(self.whole.cold), "after": _value(self.whole.warm)},
            "inside_only": self.inside_only,
        }  # fmt: skip


def _value(found: Found | None) -> dict[str, Any]:
    return {"value": None, "level": "within"} if found is None else {"value": found.value, "level": found.level}


def compare(before: Judged, cold: Judged, warm: Judged, gains: tuple[Gains, Gains, Gains]) -> tuple[Line, ...]:
    """Every limit that speaks at either end; ``gains`` of before, cold and warm are growth in the mishap's hours alone."""
    keys = dict.fromkeys((*warm.found, *cold.found, *before.found))
    return tuple(_line(key, before.found.get(key), cold.found.get(key), warm.found.get(key), gains) for key in keys)


def either(pierced: tuple[Line, ...], whole: tuple[Line, ...]) -> tuple[Line, ...]:
    """Lines where nobody told whether the piece is whole muscle.

    The inside of such meat holds few germs (Gill 1979), a needle, knife or roll carries them in (Gill and McGinnis 2005). Where both agree,
    that; a line that only a pierced piece passes is cannot_say, and that is asked. ``pierced`` and ``whole`` judge the same piece.
    """
    found = {line.key: line for line in whole}
    return tuple(_either(line, found.get(line.key)) for line in pierced)


def _either(p: Line, w: Line | None) -> Line:
    if w is None or not p.key.startswith("growth."):
        return p
    before, level = p.before, p.level
    if before is not None and before.level == "over" and (w.before is None or w.before.level != "over"):
        before = replace(before, level="cannot_say", inside=True)
    if p.level != w.level:
        level = "cannot_say" if "over" in (p.level, w.level) else max(p.level, w.level, key=ORDER.__getitem__)
    return replace(p, before=before, level=level, whole=w, worse=p.now or w.now)


def _line(key: str, before: Found | None, cold: Found | None, warm: Found | None, gains: tuple[Gains, Gains, Gains]) -> Line:
    least, _ = _added(key, before, cold, gains[0], gains[1])
    more, most = _added(key, before, warm, gains[0], gains[2])
    levels = _level(before, cold, least, least), _level(before, warm, more, most)
    level = together(*levels)
    return Line(key, level, before, cold, warm, more, settle=level == "cannot_say" and "over" in levels)


def _added(key: str, before: Found | None, after: Found | None, gain0: Gains, gain1: Gains) -> tuple[float | None, float | None]:
    """What the mishap adds, as told and at its high end; None where nothing is counted."""
    if key in gain1:
        zero = gain0.get(key, (0.0, 0.0))
        return max(gain1[key][0] - zero[0], 0.0), max(gain1[key][1] - zero[0], 0.0)
    if after is None or after.value is None:
        return None, None
    added = max(after.value - (0.0 if before is None or before.value is None else before.value), 0.0)
    return added, added


def _level(before: Found | None, after: Found | None, added: float | None, most: float | None) -> str:
    if after is None:
        return "within"
    failed = before is not None and before.level == "over" and after.level == "over"
    if before is not None and before.level == "near" and ORDER[after.level] > ORDER["near"] and after.unit == "log10" and added is not None:
        return "near" if added < _limit("one-doubling") else after.level
    if not failed or after.hard_stop or after.key == "cooling" or added is None or after.limit is None:
        return after.level
    if after.toxin:  # what can harm and failed before fails still, unless the mishap has next to no part in it
        return "over" if added >= _limit("one-doubling" if after.unit == "log10" else "notice") else "within"
    return level_of_max(added, after.limit, high=most)


def _limit(key: str) -> float:
    return float(toml_table("limits", "mishap.toml")[key]["limit"]["max"])


def together(cold: str, warm: str) -> str:
    """One level of the two ends of what may have been.

    Both agree: that. One end over the line and the other not: which side it was is not known, so cannot_say, and one reading would
    settle it; whatever the line is about. No end over, one near: the spread touches the line, near. The colder end over: over, since
    all that may have been is warmer still. An end that cannot be told leaves the whole untold.
    """
    if cold in (warm, "over"):
        return cold
    return "cannot_say" if {cold, warm} & {"over", "cannot_say"} else "near"


def worst(lines: tuple[Line, ...]) -> str:
    """The gravest level that the mishap makes."""
    return max((line.level for line in lines if line.counts and line.now), key=ORDER.__getitem__, default="within")
