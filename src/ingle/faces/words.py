"""How faces say things: days, hours, levels, and text that fits a place. No food number is made here."""

from __future__ import annotations

import re
import unicodedata
from datetime import date, datetime, timedelta

from ingle.ground.units import show_hours
from ingle.safety.verdict import WORDS, Verdict

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
LONG_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LONG_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip

WAKING = (7, 22)  # hours of the day in which somebody is up: common practice, no source
LEVEL_ORDER = ("within", "cannot_say", "near", "over")  # what matters most comes last
MARK = {"within": "within", "near": "NEAR", "over": "OVER", "cannot_say": "cannot say"}

_HOURS = {"d": 24.0, "h": 1.0, "min": 1 / 60}  # said in days, hours and minutes

_ASCII = {
    "°": "", "–": "-", "—": "-", "−": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "…": "...", "×": "x", "·": ".",
    "½": "1/2", "¼": "1/4", "¾": "3/4", "≤": "at most ", "≥": "at least ", "→": "to", "µ": "u", "ß": "ss",
    "æ": "ae", "Æ": "AE", "ø": "o", "Ø": "O", "œ": "oe", "ł": "l", "Ł": "L", "£": "GBP ", "€": "EUR ",
    "²": "2", "³": "3", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
}  # fmt: skip


# -- text --------------------------------------------------------------------------------------------------------------


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


def tie(text: str) -> str:
    """Unit tied to its number by a no-break space, ``4 C`` and ``40 F`` set as degrees, a minus as long as a plus: for pages and paper."""
    text = _MINUS.sub("\u2212", _DEGREES.sub("\\1 \u00b0\\2", clean(text))).replace("pH ", "pH\u00a0")
    return _TIED.sub("\\1\u00a0\\2", text)


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


# -- time --------------------------------------------------------------------------------------------------------------


def clock(at: datetime) -> str:
    """``08:00``."""
    return f"{at:%H:%M}"


def day(at: date) -> str:
    """``Thu 17``."""
    return f"{DAYS[at.weekday()]} {at.day}"


def day_month(at: date) -> str:
    """``Thu 17 Dec``."""
    return f"{day(at)} {MONTHS[at.month - 1]}"


def long_day(at: date) -> str:
    """``Thursday 17 December``."""
    return f"{LONG_DAYS[at.weekday()]} {at.day} {LONG_MONTHS[at.month - 1]}"


def moment(at: datetime) -> str:
    """``Thu 17, 08:00``."""
    return f"{day(at)}, {clock(at)}"


def span(minutes: int) -> str:
    """``45 min``, ``2 h``, ``11 h 05 min``: under two hours minutes only."""
    if minutes < 120:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02d} min" if rest else f"{hours} h"


def minutes_between(start: datetime, end: datetime) -> int:
    """Whole minutes of real time, also over a change of the clocks."""
    return round((end.timestamp() - start.timestamp()) / 60)


def waking(at: datetime) -> datetime:
    """The moment itself, or the next hour of waking where it falls into the night: nobody pulls a piece at 05:49.

    >>> waking(datetime(2026, 12, 9, 5, 49)), waking(datetime(2026, 12, 9, 23, 10)), waking(datetime(2026, 12, 9, 14, 5))
    (datetime.datetime(2026, 12, 9, 7, 0), datetime.datetime(2026, 12, 10, 7, 0), datetime.datetime(2026, 12, 9, 15, 0))
    """
    up = at.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1 if at.minute or at.second or at.microsecond else 0)
    if up.hour < WAKING[0]:
        return up.replace(hour=WAKING[0])
    return up if up.hour < WAKING[1] else (up + timedelta(days=1)).replace(hour=WAKING[0])


def ready_words(ready: tuple[datetime, datetime, datetime]) -> str:
    """``Ready between Tue 15 and Thu 17, most likely Wed 16.``; by the hour when all fall on one day."""
    earliest, likely, latest = ready
    if earliest.date() == latest.date():
        return f"Ready between {clock(earliest)} and {clock(latest)} on {day(likely)}, most likely {clock(likely)}."
    return f"Ready between {day(earliest)} and {day(latest)}, most likely {day(likely)}."


def to_go(today: date, at: date) -> str:
    """``today``, ``tomorrow``, ``in 3 days``."""
    left = (at - today).days
    return {0: "today", 1: "tomorrow"}.get(left, f"in {left} days" if left > 0 else "past")


# -- numbers and verdicts ----------------------------------------------------------------------------------------------


def meal_at(today: date, at: datetime) -> str:
    """``Sat 18:30``; with its date where another such day lies between: ``Sat 19 Dec, 18:30``."""
    return f"{DAYS[at.weekday()]} {clock(at)}" if (at.date() - today).days < 7 else f"{day_month(at)}, {clock(at)}"


def figure(value: float) -> str:
    """A number as it is read: at most four figures, zeros at the end dropped, commas from 1,000."""
    if value == 0:
        return "0"
    size = abs(value)
    if size >= 1000:
        return f"{value:,.0f}"
    digits = 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 1 else 3
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_unit(value: float, unit: str) -> str:
    """``4 °C``, ``pH 4.6``, ``13 d 10 h``: the unit never leaves its number."""
    unit = clean(unit).replace("degC", "\u00b0C")
    if unit == "pH":
        return f"pH {figure(value)}"
    if unit in _HOURS and value >= 0:
        return show_hours(value * _HOURS[unit])
    if unit == "pieces" and round(value, 3) == 1:
        unit = "piece"
    return f"{figure(value)} {unit}".rstrip()


def amount(value: float, unit: str) -> str:
    """What to buy or weigh: ``850 g``, ``1.38 kg``, ``2.4 l``, ``6 pieces``."""
    if unit == "g" and value >= 999.5:
        return f"{value / 1000:.2f} kg"
    if unit == "ml" and value >= 999.5:
        return f"{figure(value / 1000)} l"
    if unit == "g" and value < 10:
        return f"{value:.1f} g"
    return "1 piece" if unit == "pieces" and round(value) == 1 else f"{value:,.0f} {unit}"


def is_chance(verdict: Verdict) -> bool:
    """True for a forecast of this plan given as a chance between 0 and 1: it is shown as grains of twenty."""
    return verdict.kind == "plan" and not verdict.unit and verdict.limit is not None and 0 < verdict.limit <= 1


def _number(verdict: Verdict, value: float) -> str:
    return f"{figure(round(value * 20, 1))} of 20" if is_chance(verdict) else with_unit(value, verdict.unit)


def is_floor(verdict: Verdict) -> bool:
    """True when the limit is a least value, told by ``more["side"]`` or by where value and level stand."""
    told = str(verdict.more.get("side", ""))
    if told:
        return told in ("min", "at least", "floor")
    if is_chance(verdict):
        return True
    if verdict.value is None or verdict.limit is None or verdict.level == "cannot_say":
        return False
    below = verdict.value < verdict.limit
    return below if verdict.level == "over" else verdict.value > verdict.limit


def limit_words(verdict: Verdict) -> str:
    """``at most 5 °C``; empty where there is no limit."""
    if verdict.limit is None:
        return ""
    return f"{'at least' if is_floor(verdict) else 'at most'} {_number(verdict, verdict.limit)}"


def value_words(verdict: Verdict) -> str:
    """``3.6 % (3.4 to 3.8 %)``; "no value" where there is none."""
    if verdict.value is None:
        return "no value"
    told = _number(verdict, verdict.value)
    if verdict.low is not None and verdict.high is not None and verdict.high > verdict.low:
        low, high = (_number(verdict, v) for v in (verdict.low, verdict.high))
        bare = figure(verdict.low), figure(verdict.high)
        if verdict.unit in _HOURS or is_chance(verdict):
            told += f" ({low} to {high})" if low != high else ""
        elif bare[0] != bare[1]:  # a long unit is not said twice
            told += f" ({bare[0]} to {high if len(verdict.unit) < 8 and verdict.unit != 'pH' else bare[1]})"
    return told


def step_of(verdict: Verdict) -> str:
    """Id of the step a verdict is about, from ``more["step"]`` or the rule's ``name@step``; empty when it names none."""
    return str(verdict.more.get("step") or verdict.rule.partition("@")[2])


def level_words(level: str) -> str:
    """``over the line``."""
    return WORDS[level]
