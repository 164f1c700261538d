"""Sauce: boiled down by its solids, sugar by the float, acid by weight, by titration, by pH."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ingle.crafts import sauce as craft
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.figures import BenchAnswer, Care, Figure, Group
from ingle.safety.verdict import Verdict

_SOLIDS, _BRIX, _DENSITY, _ACID, _TITRE, _BOIL = "balances.solids", "balances.brix", "solutions.sucrose_density", "balances.acid", "acids", "boiling.water"
CAUTIONS = (
    Care("Boiling sugar and fruit spit and stick: long spoon, deep pot, the face away."),
    Care("No process for the shelf is written here: into the fridge, whatever the pH."),
)


@dataclass(frozen=True)
class Titration:
    """A sample titrated with sodium hydroxide. [g], [ml], [mol/l]"""

    sample_g: float
    base_ml: float
    normality: float
    acid: str = "acetic"


def sauce(
    *, parts: Sequence[tuple[float, float]] = (), to: float | None = None, vinegar: tuple[float, float] | None = None, sauce_g: float | None = None,
    titration: Titration | None = None, ph: float | None = None, syrup: tuple[float, float] | None = None, gravity: float | None = None,
    temperature_c: float = 20.0,
) -> BenchAnswer:  # fmt: skip
    """Answer what is asked of a sauce.

    Parameters
    ----------
    parts : sequence of (g, g/g)
        What goes into the pot, each with its solids per weight.
    to : float, optional
        Solids that it is boiled down to. [g/g]
    vinegar : (g, g/g), optional
        And its acid per weight; ``sauce_g``, left out, is what is left in the pot.
    titration, ph
        Measured in the finished sauce.
    syrup : (g, g), optional
        Sugar and water.
    gravity : float, optional
        A float's reading at ``temperature_c``. [1], [degC]
    """
    groups: list[Group] = []
    told: list[str] = []
    asked_acid = vinegar is not None or titration is not None or ph is not None
    left = sauce_g
    if parts:
        group, left_g = _pot(parts, to)
        groups.append(group)
        left = sauce_g if sauce_g is not None else left_g
        told.append(f"{units.show_mass(sum(m for m, _ in parts))} in the pot")
    if vinegar is not None:
        groups.append(_vinegar(vinegar, left))
        told.append(f"{units.show_mass(vinegar[0])} of vinegar")
    if titration is not None:
        t = titration
        share = craft.titratable_acidity(t.sample_g, t.base_ml, t.normality, t.acid)
        groups.append(Group("Titration", {"titratable_acidity": Figure(f"Titratable, as {t.acid} acid", units.per_hundred(share), "%", _TITRE)}))
        told.append(f"{t.sample_g:g} g titrated")
    if syrup is not None or gravity is not None:
        groups += _sugar(syrup, gravity, temperature_c)
        told.append("a syrup" if syrup is not None else f"a float at {gravity:g}")
    verdicts: tuple[Verdict, ...] = ()
    unseen: tuple[str, ...] = ("the pH: only a measured one says whether it counts as acid",)
    if asked_acid:
        verdicts, unseen = craft.judge_acid(ph), ()
        told += [] if ph is None else [f"pH {ph:g}"]
    if not told:
        raise BadBrief("Nothing is asked of the sauce.", field="part", value="missing", limit="parts, vinegar, a titration, a pH, a syrup or a float",
                       remedy="Say what is in the pot, like 2kg,12%.")  # fmt: skip
    seen = bool(parts) or asked_acid
    return BenchAnswer("; ".join(told), tuple(groups), verdicts, not_modelled=craft.NOT_MODELLED if parts and to is not None else (), not_checked=unseen if seen else (),
                       cautions=CAUTIONS if seen else ())  # fmt: skip


def _pot(parts: Sequence[tuple[float, float]], to: float | None) -> tuple[Group, float]:
    mixed = craft.mix(parts)
    found = {
        "mass_g": Figure("All in the pot", mixed.mass_g, "g", _SOLIDS), "solids_g": Figure("Solids in it", mixed.solids_g, "g", _SOLIDS),
        "solids_per_sauce": Figure("Solids now", units.per_hundred(mixed.solids_per_sauce), "%", _SOLIDS),
    }  # fmt: skip
    if to is None:
        return Group("In the pot", found), mixed.mass_g
    made = craft.boil_down(mixed.mass_g, mixed.solids_per_sauce, to)
    first = {
        "left_g": Figure("Left in the pot", made.left_g, "g", _SOLIDS),
        "water_gone_g": Figure("Water that leaves", made.water_gone_g, "g", _SOLIDS),
        "least_heat_kj": Figure("Heat it takes at least", made.least_heat_j / 1000.0, "kJ", _BOIL),
    }
    return Group(f"Boil down to {units.show_fraction(to)} solids", first | found, "Weigh pot and sauce together: the scale says when it is there."), made.left_g


def _vinegar(vinegar: tuple[float, float], sauce_g: float | None) -> Group:
    mass, acid = vinegar
    if sauce_g is None:
        raise BadBrief("How much sauce the vinegar is in is not said.", field="sauce", value="missing", limit="like 1.2kg", remedy="Give the weight of the finished sauce.")
    share = craft.acid_share(mass, acid, sauce_g)
    return Group("Acid of the vinegar", {"acid_per_sauce": Figure("Acetic acid, at most", units.per_hundred(share), "%", _ACID)})


def _sugar(syrup: tuple[float, float] | None, gravity: float | None, temperature_c: float) -> list[Group]:
    groups = []
    if syrup is not None:
        degrees = craft.brix(*syrup)
        groups.append(Group("Syrup", {
            "brix": Figure("Brix", degrees, "degrees", _BRIX),
            "specific_gravity": Figure(f"A float at {temperature_c:g} C shows", craft.specific_gravity(degrees, temperature_c), "", _DENSITY),
        }))  # fmt: skip
    if gravity is not None:
        groups.append(Group("Float", {"brix_by_float": Figure("Brix by the float", craft.brix_from_specific_gravity(gravity, temperature_c), "degrees", _DENSITY)},
                            "Salt and acid in a sauce count as sugar: use it for syrups, and the scale for sauces."))  # fmt: skip
    return groups
