"""Between the cook's base units and SI, and the constants of it. Nothing here reads a word."""

from __future__ import annotations

from collections.abc import Sequence

ZERO_CELSIUS_K = 273.15  # SI Brochure, 9th ed., 2.3.1: t/C = T/K - 273.15, exact
HOUR_S = 3600.0
PER_HUNDRED = 100.0
POUND_G = 453.59237  # international pound, exact by definition
OUNCE_G = POUND_G / 16
INCH_MM = 25.4  # international inch, exact by definition


def kelvin(celsius_: float) -> float:
    """[C] to [K]."""
    return celsius_ + ZERO_CELSIUS_K


def celsius(kelvin_: float) -> float:
    """[K] to [C]."""
    return kelvin_ - ZERO_CELSIUS_K


def kelvin_range(ends_c: Sequence[float]) -> tuple[float, float]:
    """A range as data files write it. [C] to [K]"""
    low, high = ends_c
    return kelvin(low), kelvin(high)


def metres(millimetres: float) -> float:
    """[mm] to [m]."""
    return millimetres / 1000


def millimetres(metres_: float) -> float:
    """[m] to [mm]."""
    return metres_ * 1000


def kilograms(grams: float) -> float:
    """[g] to [kg]."""
    return grams / 1000


def grams(kilograms_: float) -> float:
    """[kg] to [g]."""
    return kilograms_ * 1000


def seconds(hours: float) -> float:
    """[h] to [s]."""
    return hours * HOUR_S


def hours(seconds_: float) -> float:
    """[s] to [h]."""
    return seconds_ / HOUR_S


def days(hours_: float) -> float:
    """[h] to [d]."""
    return hours_ / 24


def minutes(hours_: float) -> int:
    """[h] to whole [min]."""
    return round(hours_ * 60)


def parts_per_million(fraction_: float) -> float:
    """[1] to [mg/kg]."""
    return fraction_ * 1e6


def per_hundred(fraction_: float) -> float:
    """[1] to [g/100 g] or [%]."""
    return fraction_ * PER_HUNDRED


def pounds(grams_: float) -> float:
    """Grams in pounds.

    >>> round(pounds(1380), 3)
    3.042
    """
    return grams_ / POUND_G


def ounces(grams_: float) -> float:
    """Grams in ounces.

    >>> round(ounces(34), 2)
    1.2
    """
    return grams_ / OUNCE_G


def fahrenheit(celsius_: float) -> float:
    """Celsius in Fahrenheit.

    >>> fahrenheit(5.0)
    41.0
    """
    return celsius_ * 9 / 5 + 32
