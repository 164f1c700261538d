"""What can be saved: one act first, then the other choices with their price. A hard stop has none."""

from __future__ import annotations

from dataclasses import dataclass

from ingle.ground.tables import toml_table
from ingle.ground.units import show_hours, show_two
from ingle.jobs.mishap_air import Accident
from ingle.jobs.mishap_judge import WHOLE_ASKED, Food
from ingle.jobs.mishap_lines import Line, worst
from ingle.safety.botulism import STOP

NO_WAY_ROUND = "Cooking it, smelling it or tasting it does not settle it."
_DISCARD = ("exposure.out-four-hours", "mishap.power-out")
_THROW = "Throw it away."


@dataclass(frozen=True)
class Choice:
    """One way on, and what it costs."""

    act: str
    price: str


@dataclass(frozen=True)
class Way:
    """The act that comes first, the reason, and the other choices. ``urgency``: stop, today, note."""

    act: str
    why: str
    urgency: str
    deadline_h: float | None  # from the end of the accident
    choices: tuple[Choice, ...] = ()


def settles(accident: Accident, lines: tuple[Line, ...]) -> str:
    """The one reading that would decide."""
    open_ = [line for line in lines if line.level == "cannot_say"]
    if open_ and all(line.inside_only for line in open_):
        return WHOLE_ASKED
    if any(line.settle for line in lines):
        if accident.kind == "fridge-off" and accident.found_c is None:
            return "what the thermometer in the fridge read when you came back (--found)"
        return "how warm the middle of the piece was, by a probe or a logger"
    asked = [line.said.settle for line in lines if line.level == "cannot_say" and line.said.settle]
    return asked[0] if asked else "a logger beside the food"


def choose(food: Food, accident: Accident, lines: tuple[Line, ...], cooked: tuple[Line, ...], shift_h: float | None) -> Way:
    """Choose among going on, cooking it now, and throwing it away.

    Parameters
    ----------
    lines : tuple of Line
        Of going on as planned.
    cooked : tuple of Line
        Of chilling it at once and cooking it within a day.
    shift_h : float, optional
        How far the core runs ahead of its plan; below zero behind. [h]
    """
    bad = [line for line in lines if line.counts and line.now]
    over = [line for line in bad if line.level == "over"]
    open_ = [line for line in bad if line.level == "cannot_say"]
    # what has happened by now forbids every way on; what the plan's own rest would do forbids the plan alone
    own = [line for line in lines if not (food.kind == "cure" and line.over_before)]
    done = [line for line in (*own, *cooked) if line.counts and line.now and (line.said.toxin or line.said.hard_stop)]
    stops = [line for line in done if line.level == "over"]
    if any(line.hard_stop for line in stops):
        return Way(f"{STOP} {NO_WAY_ROUND}", _why(stops), "stop", 0.0)
    if stops:
        return Way(f"{_THROW} What these germs leave behind outlasts cooking.", _why(stops), "stop", 0.0)
    if food.kind != "cure" and any(line.key in _DISCARD for line in over):
        return Way(_THROW, _why([line for line in over if line.key in _DISCARD]), "stop", 0.0)
    if any(line.level == "cannot_say" for line in done):
        return _hold(accident, tuple(bad))
    if open_ and (food.kind != "cure" or worst(cooked) == "cannot_say"):
        return _hold(accident, tuple(bad)) if not over or food.kind == "cure" else _saved(food, over, worst(cooked), shift_h)
    if over or open_:
        return _saved(food, [*over, *open_], worst(cooked), shift_h)
    return _on(bad, shift_h)


def _hold(accident: Accident, bad: tuple[Line, ...]) -> Way:
    asked = settles(accident, bad)
    open_ = [line for line in bad if line.level == "cannot_say"]
    return Way(
        f"Chill it now, at most {_cold()}, and eat none of it until this is known: {asked}.", _why(open_), "today", 0.0,
        (Choice("Without that reading: throw it away.", f"the piece; {_why(open_)}"),),
    )  # fmt: skip


def _saved(food: Food, over: list[Line], cooked: str, shift_h: float | None) -> Way:
    hours = _limit("cook-within", "max")
    cook = f"Chill it now, at most {_cold()}, and cook it within {show_hours(hours)} to {_heat()} in the core."
    gone = Choice(_THROW, "the piece")
    if food.kind == "ready" or cooked in ("over", "cannot_say"):
        return Way(_THROW, _why(over), "stop", 0.0)
    if food.kind == "raw":
        if any(line.key.startswith("growth.") for line in over):
            return Way(_THROW, _why(over), "stop", 0.0)
        return Way(f"Cook it now to {_heat()} in the core and eat it hot.", _why(over), "today", 0.0, (gone,))
    if food.heated_later and all(line.key.startswith("hurdles.") for line in over):
        return Way(
            f"Chill it now, at most {_cold()}, and go on; cook it to {_heat()} in the core before it is eaten. {_shift(shift_h)}".strip(),
            f"{_why(over)}; it may go on, since no germ grows over its line by it and the heat before it is eaten undoes what grew", "today", 0.0,
            (Choice(cook, "the cure ends there, paler and less salt at the core"), gone),
        )  # fmt: skip
    return Way(cook, _why(over), "today", hours, (gone,))


def _on(bad: list[Line], shift_h: float | None) -> Way:
    first = "Bring it back to the cold now and go on." if bad else "Go on."
    why = _why(bad) if bad else "no limit is worse by it"
    return Way(f"{first} {_shift(shift_h)}".strip(), why, "today" if bad else "note", None)


def _shift(shift_h: float | None) -> str:
    if shift_h is None or abs(shift_h) < _limit("notice", "max"):
        return ""
    told = show_hours(abs(shift_h))
    return f"The core runs ahead of its plan by {told}." if shift_h > 0 else f"The core stays behind its plan by {told}: pull it that much later."


def _why(lines: list[Line]) -> str:
    first = sorted(lines, key=lambda line: (not line.said.hard_stop, not line.said.toxin, line.level != "over"))[0].said
    if first.value is None or first.limit is None:
        return first.text.rstrip(".")
    if first.unit == "h":
        value, limit = show_two(first.value, first.limit)
        return f"{first.title}: {value}, at most {limit} ({first.clause})"
    return f"{first.title}: {first.value:.1f} {first.unit}, at most {first.limit:g} {first.unit} ({first.clause})"


def _limit(key: str, end: str) -> float:
    return float(toml_table("limits", "mishap.toml")[key]["limit"][end])


def _cold() -> str:
    return f"{_limit('chill-to', 'max'):g} C"


def _heat() -> str:
    return f"{_limit('cook-to', 'min'):.0f} C"
