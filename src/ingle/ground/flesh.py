"""What raw meat weighs for its size, where only one of the two was measured."""

from __future__ import annotations

from ingle.ground import tables


def lean_density() -> float:
    """Density of raw lean pork [kg/m3]; fat lowers it. Record: laws/cure.toml, ``density``."""
    return float(tables.toml_table("laws", "cure.toml")["density"]["value"])
