"""A chill in 80 columns: a small picture, the numbers that were taken, every rule, what is faster, and last the level."""

from __future__ import annotations

import click
import numpy as np

from ingle.faces.cli.heat_words import cooling_rows, head, taken
from ingle.faces.cli.lines import bullet, coloured, put
from ingle.faces.heat_given import stage_line
from ingle.faces.heat_strip import curve_strip
from ingle.faces.words import MARK
from ingle.jobs.chill import ChillAnswer


def show_chill(answer: ChillAnswer, no_color: bool) -> None:
    """The whole answer."""
    h = answer.heated
    if h is not None:
        put(head(h))
        put("; ".join(stage_line(s) for s in h.stages) + f"; starts at {h.start_c:g} C all through", 0, 2)
        click.echo()
        click.echo(curve_strip(h.curves, h.ends))
        click.echo()
        taken(answer.assumed)
        put("not in it: " + "; ".join(answer.not_in_it), 0, 2)
    elif answer.log is not None:
        put(f"log from {answer.log.begun}, {answer.log.celsius.size} readings, {int(np.isnan(answer.log.celsius).sum())} lost")
    for caution in answer.cautions:
        bullet(caution.replace("say so,", "say so (--probe-still),"), "!")
    click.echo()
    cooling_rows(answer.stages, coloured(no_color))
    if answer.remedies:
        click.echo()
        click.echo("What would be faster, each forecast by itself:")
        for r in reversed(answer.remedies[:6]):
            click.echo(f" {MARK[r.level]:<10} core {r.core_at_2h_c:3.0f} C after 2 h")
            put(r.act, 12, 12)
    click.echo()
    by = f", by {answer.deciding}" if answer.deciding else ""
    put(f"All told: {MARK[answer.level]}{by}.", 0, 2)
