"""Records at one temperature, and printed times read without the project's own converter."""

import csv
from pathlib import Path

import numpy as np

DATA = Path(__file__).parent / "data"
SECONDS = {"min": 60.0, "s": 1.0, "h": 3600.0, "days": 86400.0, "instant": 1.0}


def rows(name):
    text = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in text if not line.startswith("#")))


def fahrenheit(f):
    return (float(f) - 32.0) * 5.0 / 9.0


def printed_s(row):
    value, unit = row["time_value"], row["time_unit"]
    if not unit:  # the burger table carries the unit inside the value: "93 min", "18 s (17.6)"
        value, unit = row["time_value"].split()[:2]
    return float(value) * SECONDS[unit]


def steady(celsius, seconds, step=300.0):
    """Readings at one temperature for exactly a span."""
    n = max(2, int(np.ceil(seconds / step)) + 1)
    return np.linspace(0.0, seconds, n), np.full(n, float(celsius))


def touch(peak, start):
    """Up and down again at once: a temperature reached, not held."""
    t = np.linspace(0.0, 120.0, 41)  # many readings: one that stands alone is taken for a moved probe
    return t, np.interp(t, [0.0, 60.0, 120.0], [start, peak, start])
