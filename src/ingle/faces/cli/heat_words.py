"""A cook in 80 columns: a small picture, the numbers that were taken, verdicts, and last what matters most."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import click
import numpy as np

from ingle.crafts.heat.assumed import Assumed
from ingle.crafts.heat.heated import Heated
from ingle.faces.cli.lines import beside, bullet, coloured, number, put
from ingle.faces.heat_given import stage_line
from ingle.faces.heat_strip import curve_strip
from ingle.faces.words import MARK, unit_words
from ingle.ground import tables, units
from ingle.jobs.cook import CLIMB_WORDS, CookAnswer
from ingle.jobs.heat_rows import slowest_words
from ingle.safety.cooling import Stage as RuleStage
from ingle.safety.verdict import Verdict

COLOUR = {"near": "yellow", "over": "red"}
_ORDER = {"cannot_say": 0, "within": 1, "near": 2, "over": 3}


def time_words(seconds: float) -> str:
    """``1 h 45 min``; "not within two days" where it never comes."""
    return units.show_hours(units.hours(seconds)) if np.isfinite(seconds) else "never"


def band_words(low: float, likely: float, high: float) -> str:
    """``2 h 20 min (1 h 53 min to 2 h 58 min)``."""
    if not np.isfinite(likely):
        return "not within two days"
    return f"{time_words(likely)} ({time_words(low)} to {time_words(high)})" if low != high else time_words(likely)


def show_cook(answer: CookAnswer, no_color: bool) -> None:
    """The whole answer."""
    h = answer.heated
    put(head(h))
    put("; ".join(stage_line(s) for s in h.stages) + f"; starts at {h.start_c:g} C", 0, 2)
    click.echo()
    click.echo(curve_strip(h.curves, h.ends, goal=answer.core_c))
    click.echo()
    taken(answer.assumed)
    put("not in it: " + "; ".join(answer.not_in_it), 0, 2)
    for caution in answer.cautions:
        bullet(caution, "!")
    click.echo()
    _heat_verdicts(answer.lethality, coloured(no_color))
    if answer.cooling:
        cooling_rows(answer.cooling, coloured(no_color))
    click.echo()
    if h.loss is not None:
        low, likely, high = (100.0 * v for v in h.loss)
        whole = "" if answer.whole_loss is None else f"; this cut loses about {units.show_fraction(answer.whole_loss, 0)} in all when roasted (USDA SR26, derived)"
        put(f"Water given off: {likely:.0f} % of the weight ({low:.0f} to {high:.0f}), without drip{whole}.", 0, 2)
    if h.energy_j is not None:
        put(f"Heat into the piece: {h.energy_j[1] / 3.6e6:.2f} kWh.")
    if h.curves.probe is not None and answer.time_to_core is not None and np.isfinite(answer.time_to_core[1]):
        reads = float(np.interp(answer.time_to_core[1], h.curves.seconds, h.curves.probe))
        put(f"The probe at its depth then reads {reads:.0f} C; the slowest place is behind it.")
    if answer.pull is not None:
        put(
            f"Pull at {answer.pull.core_c:.0f} C inside, after {time_words(answer.pull.seconds)}, and no sooner: {CLIMB_WORDS} It stands highest after "
            f"{time_words(answer.pull.rest_s)}. Pulled at {answer.core_c:g} C the model has it climb to {h.peak_c[1]:.0f} C ({h.peak_c[0]:.0f} to {h.peak_c[2]:.0f}). "
            f"Leave the probe in: below {answer.core_c:g} C, back into the oven.", 0, 2,
        )  # fmt: skip
    if answer.core_c is not None and answer.time_to_core is not None:
        if answer.plateau_c is not None:
            put(f"The core does not come to {answer.core_c:g} C: it stands at {answer.plateau_c:.0f} C in the end. A hotter oven, moister air, or foil.", 0, 2)
        else:
            put(f"Core {answer.core_c:g} C ({slowest_words(h)}): {band_words(*answer.time_to_core)}.", 0, 2)


def head(h: Heated) -> str:
    """What was heated."""
    s = h.sizes
    size = [f"{units.millimetres(v):.0f}" for v in (s.length, s.width, s.thickness) if v is not None]
    mass = "" if h.mass_kg is None else f"{units.show_mass(units.grams(h.mass_kg))}, "
    return f"{h.joint.part}, {mass}{s.shape} {' x '.join(size)} mm"


def taken(assumed: Sequence[Assumed]) -> None:
    """What was taken in place of what was not said."""
    if not assumed:
        return
    click.echo("Taken, because it was not said:")
    for a in assumed:
        if a.words and a.likely is None and a.low is None:
            put(f"{a.what}: {a.words}", 2, 4)
            continue
        value = "" if a.likely is None else f"{number(a.likely) if abs(a.likely) >= 0.1 or a.likely == 0 else f'{a.likely:.3g}'} "
        spread = "" if a.low is None or a.high is None else f"({_short(a.low)} to {_short(a.high)}) "
        rests = ", ".join(dict.fromkeys((a.sure, tables.source(a.source).name.removesuffix(f", {a.sure}"))))
        told = f"{value}{spread}{unit_words(a.unit)}".rstrip()
        put(f"{a.what}: {told} [{rests}]{f'; {a.words}' if a.words else ''}", 2, 4)


def _short(v: float) -> str:
    return number(v) if abs(v) >= 0.1 else f"{v:.3g}"


def _heat_verdicts(verdicts: Sequence[Verdict], colour: bool) -> None:
    click.echo("Heat at the slowest place, rule by rule:")
    for v in sorted(verdicts, key=lambda v: _ORDER[v.level]):
        word = f"{MARK[v.level]:<10}"
        word = click.style(word, fg=COLOUR.get(v.level)) if colour else word
        value = "" if v.value is None or v.limit is None else beside(v.value, v.limit, v.unit, least=v.more.get("side") == "min")
        star = "  * strictest" if v.more.get("strictest") else ""
        click.echo(f" {word} {v.country:<5} {value}{star}")
        put(f"{v.title}; {tables.source(v.source).name} {v.clause}{'' if v.sure == 'quoted' else f' [{v.sure}]'}", 18, 18)
        if v.act and v.level in ("over", "near"):
            put(v.act, 18, 18)
    left = dict.fromkeys(n for v in verdicts for n in v.not_checked)
    put("not checked: " + "; ".join(left), 0, 2)


def cooling_rows(stages: Sequence[RuleStage], colour: bool) -> None:
    """Rule by rule, stage by stage: what it is, then the time taken and the time allowed."""
    click.echo("Cooling, rule by rule, stage by stage:")
    for _, some in groupby(stages, key=lambda s: s.rule):
        rule = tuple(some)
        first = rule[0]
        clause = "; ".join(dict.fromkeys(f"{s.clause}{'' if s.sure == 'quoted' else f' [{s.sure}]'}" for s in rule))
        star = "  * strictest" if first.strictest else ""
        put(f"{first.title} ({first.country.upper()}); {tables.source(first.source).name} {clause}{star}", 2, 4)
        for s in rule:
            word = f"{MARK[s.level]:<10}"
            word = click.style(word, fg=COLOUR.get(s.level)) if colour else word
            click.echo(f" {word} {_between(s):<26} {_hours(s)}".rstrip())
    left = dict.fromkeys(n for s in stages if s.level in ("within", "near", "cannot_say") for n in s.not_checked if not n.startswith("for "))
    put("not checked: " + "; ".join(list(left)[:8]), 0, 2)


def _between(s: RuleStage) -> str:
    end = "chilling" if s.to_c is None else f"{s.to_c:.1f} C"
    if s.allowed_s is None:
        return f"held at {end} or below"
    event = "made" if s.from_words.startswith("made") else "heat off"
    return f"{event if s.from_c is None else f'{s.from_c:.1f} C'} to {end}"


def _hours(s: RuleStage) -> str:
    if s.allowed_s is None:
        return ""
    if s.taken_s is None:
        return f"not shown, at most {time_words(s.allowed_s)}"
    return "{}, at most {}".format(*units.show_two(units.hours(s.taken_s), units.hours(s.allowed_s)))
