"""The forms of brine, smoke, crackling, bread, dough, butter and sauce: what they ask, and what was typed as a command's words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from ingle.faces.web.forms import Typed
from ingle.faces.web.pages.at_bench import with_unit
from ingle.ground import tables, units
from ingle.ground.errors import BadBrief
from ingle.jobs.figures import record
from ingle.jobs.house import House

NO_YES = (("", "no"), ("yes", "yes"))


@dataclass(frozen=True)
class Field:
    """One thing asked."""

    key: str
    label: str
    kind: str = "field"  # field | choose | tick
    hint: str = ""
    bare: str = ""  # unit of a bare figure, named by the label
    usual: str = ""
    warm: bool = False
    needed: bool = False
    fold: str = ""
    options: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class BenchForm:
    """One form: a page of its own."""

    key: str
    name: str
    button: str
    empty: str
    fields: tuple[Field, ...]
    command: str

    @property
    def path(self) -> str:
        """Its address."""
        return f"/{self.key}"

    @property
    def shown(self) -> tuple[Field, ...]:
        """What stands open."""
        return tuple(f for f in self.fields if not f.fold)

    @property
    def folds(self) -> tuple[tuple[str, tuple[Field, ...]], ...]:
        """What is folded away, under its headings."""
        heads = dict.fromkeys(f.fold for f in self.fields if f.fold)
        return tuple((head, tuple(f for f in self.fields if f.fold == head)) for head in heads)


class Given(dict[str, Any]):
    """Words of a command; what was not said is None."""

    def __missing__(self, key: str) -> None:
        return None


@dataclass(frozen=True)
class Pair:
    """Fields of a form that are one word of the command."""

    word: str
    keys: tuple[str, ...]
    many: bool = False
    mark: str = ","


# word of the command <- fields of the form, row by row
_PAIRS: dict[str, tuple[Pair, ...]] = {
    "smoke": tuple(Pair("run", (f"hours_{i}", f"chamber_{i}"), True) for i in range(1, 5)),
    "crackle": (Pair("oven", ("oven_1", "time_1"), True), Pair("oven", ("oven_2", "time_2"), True), Pair("recrisp", ("recrisp_at", "recrisp_for"))),
    "bread": (Pair("also", ("also_name", "also"), True, "="), Pair("baked", ("baked_dough", "baked_loaf"))),
    "formula": (Pair("also", ("also_name", "also"), True, "="), Pair("starter", ("starter_weight", "starter_hydration"), True)),
    "dough": (Pair("preferment", ("preferment_weight", "preferment_warm", "preferment_hydration")), Pair("last", ("last_dough", "last_water"))),
    "sauce": (
        *(Pair("part", (f"mass_{i}", f"solids_{i}"), True) for i in range(1, 4)), Pair("vinegar", ("vinegar_weight", "vinegar_acid")),
        Pair("titration", ("sample", "base", "normality")), Pair("syrup", ("syrup_sugar", "syrup_water")),
    ),
}  # fmt: skip
# what a form fills in of itself, and means nothing once the other is taken away
_GOES_WITH = {"preferment_hydration": "preferment", "pieces": "loaf", "starter_hydration": "starter_weight", "solids_1": "mass_1", "to": "mass_1"}


# what a craft calls it, where the form calls it otherwise
_CALLED: dict[str, dict[str, str]] = {
    "butter": {"fat of cream": "fat", "fat of butter": "butter_fat", "fat of buttermilk": "buttermilk_fat", "ripening temperature": "ripen", "minutes churned": "churned",
               "wanted": "standardise", "standardise-to": "standardise"},
    "bread": {"share": "preferment", "hydration of the preferment": "preferment_hydration"},
    "dough": {"dough": "to", "temperature of the dough": "to", "temperature of the flour": "flour_temperature", "temperature of the tap": "tap", "heating by mixing": "rise",
              "temperature": "preferment_warm"},
    "proof": {"dough": "in", "temperature": "in", "head start": "head_start", "flour": "piece"},
    "sauce": {"solids wanted": "to", "solids at the start": "solids_1", "solids": "solids_1", "acid of the vinegar": "vinegar_acid", "specific gravity": "gravity",
              "Brix": "syrup_sugar", "base used": "base", "sugar": "syrup_sugar"},
    "smoke": {"chamber": "chamber_1", "hour": "hours_1", "hours": "hours_1"},
}  # fmt: skip


@cache
def form_of(key: str) -> BenchForm:
    """A form of ``data/tables/bench_form.toml``."""
    said = tables.toml_table("tables", "bench_form.toml")[key]
    fields = tuple(Field(**{**f, "options": tuple((v, w) for v, w in f.get("options", ()))}) for f in said["field"])
    return BenchForm(key, said["name"], said["button"], said["empty"], fields, said.get("command", key))


def usual_of(form: BenchForm, house: House) -> Typed:
    """What the form begins with, in the house's own degrees."""
    return Typed({f.key: _in_house(f, house) for f in form.fields})


def _in_house(f: Field, house: House) -> str:
    if not f.warm or not f.usual:
        return f.usual
    return house.warmth(units.temperature_c(f.usual, f.key)).replace("\u00a0", " ")


def given_of(form: BenchForm, typed: Mapping[str, str]) -> Given:
    """What was typed, in the words of the command.

    Raises
    ------
    BadBrief
        One half of what only means something together.
    """
    written = {f.key: _written(f, typed[f.key]) for f in form.fields}
    for key, other in _GOES_WITH.items():
        if key in written and other in written and not written[other] and form.key != "dough" and typed[key] == _usual(form, key):
            written[key] = ""
    told = Given({k: v for k, v in written.items() if v})
    for f in form.fields:
        if f.kind == "tick":
            told[f.key] = typed[f.key] == "yes"
    for pair in _PAIRS.get(form.key, ()):
        said = [told.pop(k, None) for k in pair.keys]
        if not any(said):
            continue
        for key, value in zip(pair.keys, said, strict=True):
            if not value:
                label = next(f.label for f in form.fields if f.key == key)
                raise BadBrief(f"{label}: this is missing.", field=key, value="missing", limit="together", remedy="Give it too, or clear the fields beside it.")
        word = pair.mark.join(str(s).replace(pair.mark, " ") if pair.mark == "=" else _with_point(str(s)) for s in said)
        told[pair.word] = (*(told[pair.word] or ()), word) if pair.many else word
    return told


def _written(f: Field, text: str) -> str:
    if f.kind == "choose":
        return text if text in dict(f.options) else f.usual or f.options[0][0]
    return with_unit(text, f.bare) if f.bare and text else text


def _with_point(text: str) -> str:
    """A comma inside a figure is its decimal point here: the comma parts the two."""
    return text.replace(",", ".")


def _usual(form: BenchForm, key: str) -> str:
    return next(f.usual for f in form.fields if f.key == key)


def fields_by_word(form: BenchForm) -> dict[str, str]:
    """Where an error of the command's word stands on the form."""
    known = {f.key: f.key for f in form.fields} | _CALLED.get(form.key, {})
    for pair in reversed(_PAIRS.get(form.key, ())):
        known[pair.word] = pair.keys[-1] if pair.mark == "=" else pair.keys[0]
    return known


def where(ground: str) -> tuple[str, str]:
    """The source of a record by its short name, and how sure it is where that has to be said."""
    said = record(ground)
    source = tables.source(said["source"]).name
    return source, "" if said["sure"] in ("quoted", source) or said["source"] == "arithmetic" else str(said["sure"])


__all__ = ["NO_YES", "BenchForm", "Field", "Given", "fields_by_word", "form_of", "given_of", "usual_of", "where"]
