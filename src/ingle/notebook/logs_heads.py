"""Words in the head of a logger's file: units, what a column is, the instrument, the zone. Read there, never guessed from numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence

UNITS = ("C", "F", "K", "%")
KINDS = ("air", "core", "surface", "chamber", "humidity")

_BEFORE, _AFTER = r"(?:^|[\s_(\[/,.:;|-])", r"(?:$|[\s_)\]/,.:;|-])"
# a bare letter is a unit in brackets, after a degree, or after the word temperature; "Probe C" is the third probe
_UNIT_WORDS = (
    ("%", re.compile(rf"%|{_BEFORE}(?:rh|r\.h\.|rel\.?\s*hum|humidity|feuchte|humidit[eé]|humedad|umidit[aà])(?:$|[^a-z])", re.I)),
    ("F", re.compile(r"[°º˚]\s*F|℉|fahrenheit|deg\.?\s*f\b|[(\[]\s*F\s*[)\]]|\bt[eé]mp[^\W_]*[\s_.,:;/-]+f\b|^f$", re.I)),
    ("C", re.compile(r"[°º˚]\s*C|℃|celsius|centigrade|deg\.?\s*c\b|[(\[]\s*C\s*[)\]]|\bt[eé]mp[^\W_]*[\s_.,:;/-]+c\b|^c$", re.I)),
    ("K", re.compile(r"kelvin|[(\[]\s*K\s*[)\]]|\btemp[^\W_]*[\s_.,:;/-]+[Kk]\b|^K$")),
)
_OTHER = re.compile(
    rf"{_BEFORE}(?:m?v|volts?|volt|batt\w*|battery|akku|m?bar|h?pa|lux|dbm|rssi|ppm|co2|kwh?|ma){_AFTER}|dew\s*point|taupunkt|battery|signal", re.I
)
_TIME = re.compile(r"time|date|datum|zeit|uhr|fecha|hora|heure|data|ora|tid|dato|klok|tijd|stamp|aika|czas|datetime", re.I)
_ELAPSED = re.compile(r"^\s*(?:elapsed|seconds?|sec|s|time)?\s*[(\[]?\s*(?:s|sec|seconds?)\s*[)\]]?\s*$|elapsed", re.I)
_EPOCH = re.compile(r"epoch|unix|posix", re.I)
_INDEX = re.compile(r"^\W*(?:no|nr|num|number|index|idx|id|record|sample|#|n|row|lfd)\W*(?:nr|no)?\W*$", re.I)
_PROBE = re.compile(r"probe|sensor|channel|kanal|canal|location|place|name|device|logger|id|f[uü]hler|sonde|ort", re.I)
_EVENT = re.compile(r"status|state|alarm|event|flag|mark|note|comment|bemerkung|button|host|stop|ok", re.I)
_WORDS = (
    ("core", re.compile(r"core|kern|meat|food|product|fleisch|c[oœ]e?ur|cuore|centro|inside|internal|n[uú]cleo", re.I)),
    ("surface", re.compile(r"surface|oberfl|superf", re.I)),
    ("chamber", re.compile(r"chamber|smoker|smoke|pit|oven|kammer|rauch|ofen|four|horno|grill", re.I)),
    ("air", re.compile(r"air|ambient|luft|umgebung|raum|room|fridge|k[uü]hl|frigo|shelf|aire|aria|ambiente", re.I)),
)
_ZONE = re.compile(r"(?:utc|gmt)\s*([+\-\u2212])\s*(\d{1,2})(?::?(\d{2}))?", re.I)
_UTC = re.compile(r"(?:^|[\s_(\[,;:])(?:utc|gmt|zulu)(?:$|[\s_)\],;])", re.I)
_NAMED_ZONE = re.compile(r"\b(?:Africa|America|Asia|Atlantic|Australia|Europe|Indian|Pacific|Antarctica|Arctic)/[A-Za-z_]+(?:/[A-Za-z_]+)?")
_SERIAL = re.compile(r"(?:serial|seriennummer|serien-?nr|n[uú]m(?:ero)?\.? de s[eé]rie|s/n|device\s*id|logger\s*id|instrument)", re.I)
_UNIT_LINE = re.compile(r"^\W*(?:temp\w*\s*)?(?:unit|units|einheit|unit[eé]|unidad|scale)\b\W*(.*)$", re.I)


def unit_in(text: str) -> str | None:
    """``C``, ``F``, ``K`` or ``%``; None where no unit, or two of them, stand in the text.

    >>> [unit_in(t) for t in ("Temp (°C)", "temperature_f", "Probe C", "rH [%]", "[K]", "Celsius or Fahrenheit")]
    ['C', 'F', None, '%', 'K', None]
    """
    found = [unit for unit, words in _UNIT_WORDS if words.search(text)]
    if "%" in found and len(found) == 2:
        return None
    return found[0] if len(found) == 1 else None


def unit_only(text: str) -> str | None:
    """The unit of a cell that holds nothing else."""
    bare = text.strip(" ()[]")
    if bare in ("C", "c", "F", "f", "K", "%"):
        return bare.upper()
    return unit_in(text) if len(bare) <= 12 and re.fullmatch(r"[°º˚]\s*[CcFfKk]|℃|℉|deg\.?\s*[CFcf]|%\s*r\.?h\.?|r\.?h\.?\s*%?|celsius|fahrenheit|kelvin", bare, re.I) else None


def other_quantity(text: str) -> bool:
    """Volts, pressure, light, a dew point: nothing this notebook keeps."""
    return bool(_OTHER.search(text))


def kind_of(name: str, unit: str | None, usual: str) -> str:
    """What a column measures by its name, else what is usual here.

    >>> kind_of("Kern Temp", "C", "air"), kind_of("CH1", "C", "air"), kind_of("rH", "%", "air")
    ('core', 'air', 'humidity')
    """
    if unit == "%":
        return "humidity"
    return next((kind for kind, words in _WORDS if words.search(name)), usual)


def bare_name(head: str, at: int) -> str:
    """A column's name without its unit: ``Temp (°C)`` -> ``Temp``; what is left empty is called by its place."""
    name = re.sub(r"[(\[]\s*(?:[°º˚]?\s*[CFK]|℃|℉|%\s*r?h?|rh|deg\.?\s*[CF]|celsius|fahrenheit)\s*[)\]]|[°º˚]\s*[CF]\b|℃|℉|%\s*r\.?h\.?", "", head, flags=re.I)
    name = re.sub(r"[_\s,;:-]+(?:c|f|k|degc|degf)$", "", name.strip(), flags=re.I)
    name = re.sub(r"\s+", " ", re.sub(r",\s*\(", " (", "".join(c for c in name if c.isprintable()))).strip(" ,;:_-\"'")[:80]
    return name or f"column {at + 1}"


def says_time(head: str) -> bool:
    """A head over dates or times."""
    return bool(_TIME.search(head))


def says_elapsed(head: str) -> bool:
    """A head over seconds from the start."""
    return bool(_ELAPSED.search(head))


def says_epoch(head: str) -> bool:
    """A head over seconds since 1970."""
    return bool(_EPOCH.search(head))


def says_index(head: str) -> bool:
    """A head over a running number."""
    return bool(_INDEX.match(head)) or not head.strip()


def says_probe(head: str) -> bool:
    """A head over names of probes."""
    return bool(_PROBE.search(head))


def says_event(head: str) -> bool:
    """A head over states and marks."""
    return bool(_EVENT.search(head))


def zone_in(lines: Sequence[str]) -> str | None:
    """The zone that the head names: ``+01:00``, ``UTC``, ``Europe/London``; None where none, or several, stand there.

    >>> zone_in(["Date Time, GMT+01:00"]), zone_in(["Time (UTC)"]), zone_in(["Date"])
    ('+01:00', 'UTC', None)
    """
    found = set()
    for line in lines:
        for sign, hours, minutes in _ZONE.findall(line):
            if int(hours) <= 14:
                found.add(f"{'-' if sign != '+' else '+'}{int(hours):02d}:{minutes or '00'}")
        found.update(_NAMED_ZONE.findall(line))
        if _UTC.search(_ZONE.sub("", line)):
            found.add("UTC")
    return found.pop() if len(found) == 1 else None


def serial_in(rows: Sequence[Sequence[str]]) -> str:
    """The instrument's number from the lines above the readings; "" where none is told."""
    for row in rows:
        cells = [c.strip() for c in row]
        for i, cell in enumerate(cells):
            if not _SERIAL.search(cell):
                continue
            rest = re.split(r"[:=]\s*", cell, maxsplit=1)
            if len(rest) == 2 and rest[1].strip():
                return _word(rest[1])
            after = next((c for c in cells[i + 1 :] if c), "")
            if after:
                return _word(after)
    return ""


def unit_line(rows: Sequence[Sequence[str]]) -> str | None:
    """A unit for all columns, told on a line of its own: ``Unit;°C``."""
    for row in rows:
        found = _UNIT_LINE.match(" ".join(c.strip() for c in row))
        if found:
            said = found.group(1).strip()
            return unit_only(said) or unit_in(said)
    return None


def _word(text: str) -> str:
    return "".join(c for c in text.strip(" :=\"')]") if c.isprintable())[:60]
