"""Rows of published growth data by their id."""

import csv
from pathlib import Path

DATA = Path(__file__).parent / "data" / "growth_worked_examples.csv"
LINES = [line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
ROWS = {row["id"]: row for row in csv.DictReader(LINES)}
VALUE = "predicted/observed value"


def row(key):
    return ROWS[key]


def numbers(key, between="|"):
    """All the numbers of a row's value, in order."""
    return [float(part) for part in ROWS[key][VALUE].split(between)]


def number(key):
    return float(ROWS[key][VALUE])


def half_digit(key, at=0, between="|"):
    """Half of the last printed figure."""
    text = ROWS[key][VALUE].split(between)[at].strip()
    return 0.5 * 10.0 ** -(len(text.partition(".")[2])) * 1.001


def starting(prefix):
    return [key for key in ROWS if key.startswith(prefix)]
