"""``ingle print``: sheets, tags, labels and records as PDF."""

from __future__ import annotations

import sys
from importlib import import_module

import click

KINDS = {
    "sheet": "One day's work, with the dose ladder where curing salt is weighed.",
    "card": "The last hours before the table, minute by minute.",
    "shopping": "What to buy, in packs that are sold.",
    "timeline": "The plan for the wall, and the list of its steps.",
    "tag": "Tags for pieces or jars, 62 mm roll.",
    "label": "Labels for packs, by the rules of a country or for home.",
    "record": "The record of one lot or one month, for an inspector.",
    "recall": "Who got what of a lot, and what is left.",
}
_WHERE = {k: "print_book" if k in ("record", "recall") else "print_label" if k == "label" else "print_plan" for k in KINDS}


class Kinds(click.Group):
    """Lists what can be printed from a table, so that help imports none of it."""

    def list_commands(self, _ctx: click.Context) -> list[str]:
        return list(KINDS)

    def get_command(self, _ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in KINDS:
            return None
        found: click.Command = getattr(import_module(f"ingle.faces.cli.{_WHERE[cmd_name]}"), cmd_name)
        return found

    def format_commands(self, _ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("What"):
            formatter.write_dl(list(KINDS.items()))


@click.command("print", cls=Kinds, context_settings={"help_option_names": ["-h", "--help"]})
def command() -> None:
    """Paper: sheets, tags, labels and records, as PDF or PNG.

    \b
    Example:  ingle print sheet fernhollow.plan --day fri --out friday.pdf
    """


def is_terminal() -> bool:
    """True where bytes would be shown to a person."""
    return sys.stdout.isatty()
