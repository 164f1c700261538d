"""Cold smoke: runs planned or done beside every line for what hangs in it, the fuel for them, and the rest afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ingle.crafts import smoke as craft
from ingle.ground.errors import BadBrief
from ingle.jobs.figures import BenchAnswer, Care, Figure, Group, record
from ingle.safety.verdict import Verdict

_HOURS = "balances.smoke_hours"
_NOTES = ("carbon-monoxide", "not-a-cook", "pellicle", "white-smoke")


def smoke(kind: str, runs: Sequence[tuple[float, float]], *, interior_barred: bool = False, fuel: str = "tray") -> BenchAnswer:
    """Judge the runs of one piece, and say what they take.

    Parameters
    ----------
    kind : str
        ``meat``, ``fish`` or ``butter`` (cheese and salt as butter).
    runs : sequence of (h, degC)
        How long each lasts, and the warmest its chamber comes to.
    interior_barred : bool
        Every place of the piece is known to hold 10 % salt in its water, aw 0.935 or less, or pH 4.6 or less.
    fuel : str
        ``tray`` of dust or ``tube`` of pellets.
    """
    if not runs:
        raise BadBrief("No run of the smoker is given.", field="run", value="missing", limit="like 8h,18C", remedy="Say how long it lasts and how warm the chamber comes.")
    found = craft.check(kind, [craft.steady(hours, celsius) for hours, celsius in runs], interior_barred)
    usual, rest = found.usual_run_h, found.rest_d
    groups = (
        Group("Smoke", {
            "smoked_h": Figure("All runs together", found.smoked_h, "h", _HOURS), "longest_run_h": Figure("The longest run", found.longest_run_h, "h", _HOURS),
            "warmest_c": Figure("The warmest chamber", found.warmest_c, "degC", _HOURS),
            "usual_run_h": Figure("A usual run", usual.likely, "h", f"practice.smoke.{kind}_h", usual.low, usual.high),
            "rest_d": Figure("Rest in the cold afterwards", rest.likely, "d", f"practice.smoke.rest_{kind}_d", rest.low, rest.high),
        }),
        _fuel([hours for hours, _ in runs], fuel),
    )  # fmt: skip
    cares = tuple(Care(f"{record(k)['act']} {record(k)['why']}", k) for k in (f"practice.smoke.{n}" for n in _NOTES))
    many = f"{len(runs)} runs" if len(runs) > 1 else "one run"
    return BenchAnswer(f"{kind} in cold smoke, {many}", groups, tuple(_from_nothing(v) for v in found.verdicts), assumed=("each run at its warmest from its first hour to its last",),
                       not_modelled=("how much smoke settles on it", "drying in the smoke"), not_checked=_unseen(kind, interior_barred), cautions=cares)  # fmt: skip


def _fuel(hours: Sequence[float], kind: str) -> Group:
    told = [craft.fuel(h, kind) for h in hours]
    one = told[0]
    burn = f"practice.smoke.{kind}_h"
    return Group("Fuel", {
        "fills": Figure(f"Fills of a {kind}", float(sum(f.fills for f in told)), "fills", burn),
        "fill_lasts_h": Figure("One fill burns", (one.lasts_low_h + one.lasts_high_h) / 2.0, "h", burn, one.lasts_low_h, one.lasts_high_h),
        "looks": Figure("Looks at the thermometer", float(sum(f.looks for f in told)), "times", "practice.smoke.look_every_h"),
        "look_every_h": Figure("One at least every", one.look_every_h, "h", "practice.smoke.look_every_h"),
    }, "Fills are counted on the shortest burn, so that it does not go out.")  # fmt: skip


def _from_nothing(v: Verdict) -> Verdict:
    """Hours have no spread below none."""
    return replace(v, low=max(0.0, v.low)) if v.unit == "h" and v.low is not None else v


def _unseen(kind: str, interior_barred: bool) -> tuple[str, ...]:
    told = () if kind == "butter" else craft.NOT_CHECKED
    return (*told, "salt, water activity and pH in every place: taken as you say") if interior_barred else (*told, "what the air outside will do")
