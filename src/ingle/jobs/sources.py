"""Every limit and coefficient with its source, clause and confidence."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from ingle.ground import tables
from ingle.ground.sources import Source
from ingle.ground.units import show_hours
from ingle.safety import cooling_rules, limits


@dataclass(frozen=True)
class Record:
    """One number that ingle uses, and where it is written."""

    key: str
    about: str
    value: str
    unit: str
    clause: str
    sure: str
    doubt: str
    source: Source
    file: str

    @property
    def words(self) -> str:
        """The value with its unit as people write it: ``at most 5 C``, ``pH at least 4.6``."""
        if not self.value:
            return "no figure"
        if self.unit in _BEFORE:
            return f"{_BEFORE[self.unit]} {self.value}"
        unit = _SAID.get(self.unit, self.unit)
        several = self.file.startswith("laws/") and ", " in self.value
        return f"in {unit}: {self.value}" if unit and several else f"{self.value} {unit}".rstrip()


_BEFORE = {"pH": "pH", "aw": "water activity"}
_SAID = {"1": "", "degC": "C", "log10": "log", "log10/g": "log per g", "g/100g": "g per 100 g", "g/g": "g per g", "kg/kg": "kg per kg"}
# how a key of the data ends, and the unit that it tells; lactic_mic_mm is in mM, no length
_UNITS = {
    "mg_per_kg": "mg/kg", "mg_kg": "mg/kg", "j_kgk": "J/kgK", "j_kg": "J/kg", "w_m2k": "W/m2K", "w_mk": "W/mK", "kg_m3": "kg/m3", "j_mol": "J/mol",
    "g_mol": "g/mol", "mol_kg": "mol/kg", "m2_s": "m2/s", "mic_mm": "mM", "mm": "mm", "pct": "%", "pa": "Pa", "c": "C", "s": "s", "in2": "in2", "cm2": "cm2",
}  # fmt: skip
ENDS = {"min": "at least", "required": "asked", "max": "at most"}


def records(find: str = "") -> tuple[Record, ...]:
    """All records, or those that hold every word of ``find`` in key, subject, clause or source."""
    words = find.lower().split()
    found = [*_laws(), *_limits(), *_craft_lines(), *_printed_rows(), *_practice()]
    return tuple(
        r
        for r in found
        if all(
            w in " ".join((r.key, r.about, r.clause, r.source.key, r.source.title, r.source.name)).lower()
            for w in words
        )
    )


def _limits() -> Iterator[Record]:
    for rule in limits.all_limits():
        value = (
            ", ".join(f"{ENDS[k]} {rule.limit[k]:g}" for k in ENDS if k in rule.limit)
            or rule.printed
            or "no figure"
        )
        unit = f"mg/kg as {rule.counted}" if rule.counted in limits.MOLAR else "mg/kg"
        yield Record(
            rule.rule,
            rule.about,
            value,
            unit,
            rule.clause,
            rule.sure,
            rule.doubt,
            tables.source(rule.source),
            f"limits/{rule.country}.toml",
        )


def _craft_lines() -> Iterator[Record]:
    for name in sorted(p.name for p in tables.data_path("limits").glob("*.toml")):
        if name.removesuffix(".toml") in limits.COUNTRIES:
            continue
        for key, said in tables.toml_table("limits", name).items():
            if "limit" not in said or "unit" not in said["limit"]:
                yield from _tree(said, f"{name.removesuffix('.toml')}.{key}", f"limits/{name}")
                continue
            # a line printed in Fahrenheit is kept exactly, and read to a tenth
            value = ", ".join(f"{ENDS[k]} {round(said['limit'][k], 1) if said['limit']['unit'] == 'degC' else said['limit'][k]:g}" for k in ENDS if k in said["limit"])
            yield Record(
                f"{name.removesuffix('.toml')}.{key}",
                said["about"],
                value,
                said["limit"]["unit"],
                said["clause"],
                said["sure"],
                said.get("doubt", ""),
                tables.source(said["source"]),
                f"limits/{name}",
            )


def _printed_rows() -> Iterator[Record]:
    """Tables of heat and cold, a record per printed row."""
    for r in tables.csv_table("limits", "lethality_rows.csv"):
        held = f"{r['temperature']} {r['scale']} for {r['time']}"
        yield _row("lethality", r, r["temperature"] + r["scale"], held, r["unit"])
    for r in tables.csv_table("limits", "cooling_rows.csv"):
        told = cooling_rules.printed(r) + (f" within {show_hours(float(r['hours']))}" if r["hours"] else "")
        yield _row("cooling", r, r["segment"], told, "")


def _row(name: str, row: dict[str, str], part: str, value: str, unit: str) -> Record:
    found = {**tables.toml_table("limits", "freezing.toml"), **tables.toml_table("limits", f"{name}.toml")}
    return Record(
        f"{name}.{row['rule']}.{part}", found[row["rule"]]["about"], value, unit, row["clause"], row["sure"], row["doubt"],
        tables.source(row["source"]), f"limits/{name}_rows.csv",
    )  # fmt: skip


def _laws() -> Iterator[Record]:
    for name in sorted(p.name for p in tables.data_path("laws").glob("*.toml")):
        yield from _tree(tables.toml_table("laws", name), name.removesuffix(".toml"), f"laws/{name}")


def _practice() -> Iterator[Record]:
    """Bands of common practice, and what the trade says to mind."""
    for name in sorted(p.name for p in tables.data_path("tables").glob("practice_*.toml")):
        craft = name.removeprefix("practice_").removesuffix(".toml")
        told = tables.toml_table("tables", name)
        for key, said in {**told.get("band", {}), **told.get("note", {})}.items():
            value = said.get("act", "")
            if "likely" in said:
                low, likely, high = (f"{said[k]:g}" for k in ("low", "likely", "high"))
                value = likely if low == high else f"{low} to {high}, usually {likely}"
            yield Record(f"practice.{craft}.{key}", said["about"], value, said.get("unit", ""), "", said["sure"], said.get("doubt", said.get("why", "")),
                         tables.source(said["source"]), f"tables/{name}")  # fmt: skip


def _in_words(key: str, value: object) -> str:
    """One entry of a record: what is merely so is its name, lists are told one after the other."""
    if key in ("country", "kind"):
        return str(value).upper() if key == "country" else str(value)
    end = next((e for e in _UNITS if key.endswith(f"_{e}")), "")
    name = (key.removesuffix(f"_{end}") if end else key).replace("_", " ")
    unit = f" {_UNITS[end]}" if end else ""
    if isinstance(value, bool):
        return name if value else f"not {name}"
    if isinstance(value, list):
        between = " to " if key.startswith("valid") and len(value) == 2 else ", "
        return f"{name} {between.join(_one(each) for each in value)}{unit}"
    return f"{name} {_one(value)}{unit}"


def _one(value: object) -> str:
    if isinstance(value, dict):
        return " and ".join(_in_words(k, v) for k, v in value.items())
    return f"{value:.9g}" if isinstance(value, float) else str(value).replace("_", " ")


def _tree(said: dict[str, Any], path: str, file: str) -> Iterator[Record]:
    """Records of a file of laws at any depth: a table with a source is one."""
    if isinstance(said.get("source"), str) and "sure" in said:
        told = ("about", "source", "clause", "sure", "doubt", "unit", "group")  # group: which rules are ways to one end, for the code alone
        value = ", ".join(_in_words(k, v) for k, v in said.items() if k not in told and not isinstance(v, dict))
        known = tables.sources()
        source = known.get(said["source"]) or Source(key=path, title=said["source"], issuer="as named")
        yield Record(
            path,
            said.get("about", path),
            value,
            said.get("unit", ""),
            said.get("clause", ""),
            said["sure"],
            said.get("doubt", ""),
            source,
            file,
        )
    for key, inner in said.items():
        if isinstance(inner, dict):
            yield from _tree(inner, f"{path}.{key}", file)
