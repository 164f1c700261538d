"""``ingle chill --freezer``: pork frozen against trichinae, rule by rule, in 80 columns."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.heat_words import COLOUR
from ingle.faces.cli.lines import beside, bullet, coloured, put, put_json
from ingle.faces.heat_given import days_of, frozen_of, kelvins, named
from ingle.faces.words import MARK
from ingle.ground import tables, units
from ingle.jobs.freeze import FreezeAnswer, freeze, freeze_log
from ingle.jobs.thermal_log import read_log
from ingle.safety.verdict import Verdict

_ORDER = {"within": 0, "near": 1, "cannot_say": 2, "over": 3}


def answered(given: dict[str, Any]) -> FreezeAnswer:
    """The question in the words of ``chill``."""
    place, freezer_c = frozen_of(given["freezer"], given["log"], given["days"])
    thickness = None if given["thickness"] is None else units.length_mm(given["thickness"], "thickness")
    more: dict[str, Any] = {
        "thickness_mm": thickness, "game": given["game"], "countries": named(given["rules"])[0],
        "probe_error_c": abs(kelvins(given["probe_error"], "probe-error")),
    }  # fmt: skip
    if freezer_c is None:
        return freeze_log(read_log(Path(given["log"])), place=place, moved=False if given["probe_still"] else None, **more)
    return freeze(freezer_c, days_of(given["days"]), **more)


def tell(answer: FreezeAnswer, given: dict[str, Any]) -> None:
    """As it was asked: JSON, one rule a line, or words."""
    if given["as_json"]:
        put_json(answer.as_dict())
    elif given["plain"]:
        for v in answer.verdicts:
            click.echo(f"{v.rule}\t{v.level}\t{v.value or 0.0:.1f}\t{v.limit or 0.0:.1f}\th\t{v.clause}")
    else:
        show(answer, coloured(given["no_color"]))


def show(answer: FreezeAnswer, colour: bool) -> None:
    """Every rule side by side, gravest last."""
    thick = "thickness not told" if answer.thickness_mm is None else f"{answer.thickness_mm:g} mm thick"
    what = "the middle of the piece" if answer.place == "core" else "the freezer's air"
    log = f"; log from {answer.log.begun}, {answer.log.celsius.size} readings" if answer.log is not None else ""
    put(f"Pork{', game' if answer.game else ''}, {thick}, frozen against trichinae; by {what}{log}.", 0, 2)
    for caution in answer.cautions:
        bullet(caution, "!")
    click.echo()
    click.echo("Held in one stretch, and asked, rule by rule:")
    for v in sorted(answer.verdicts, key=lambda v: _ORDER[v.level]):
        _rule(v, answer.strictest, colour, spare=v.rule in answer.not_needed)
    put("not checked: " + "; ".join(answer.not_checked), 0, 2)
    click.echo()
    by = f", by {answer.deciding}" if answer.deciding else ""
    put(f"All told, Trichinella spiralis in pork: {MARK[answer.level]}{by}.", 0, 2)


def _rule(v: Verdict, strictest: str, colour: bool, *, spare: bool) -> None:
    """``spare``: another way of the same country is met, so this one need not be."""
    word = f"{'not needed' if spare else MARK[v.level]:<10}"
    word = click.style(word, fg=COLOUR.get(v.level)) if colour and not spare else word
    days = f"{beside(v.value or 0.0, v.limit or 0.0, 'h', least=True)} at {v.more['at_c']:.1f} C or colder"
    click.echo(f" {word} {v.country.upper() or 'study':<6}{days}{'  * strictest' if v.rule == strictest else ''}")
    source = tables.source(v.source)
    put(f"{v.title.rsplit(':', 1)[0]}; {source.name}, {v.clause}{'' if v.sure == 'quoted' else f' [{v.sure}]'}", 12, 12)
    if v.act and not spare:
        put(v.act, 12, 12)
