"""``ingle record``: what comes in, what is done, what is seen. Its commands are imported only when called."""

from __future__ import annotations

from importlib import import_module

import click

COMMANDS = {
    "kitchen": ("record_in", "Begin a kitchen in this notebook."),
    "plan": ("record_in", "Take a plan in: its batches and steps."),
    "lot": ("record_in", "Something comes in from a supplier."),
    "piece": ("record_in", "A piece is weighed green."),
    "batch": ("record_in", "A batch is laid in."),
    "into": ("record_in", "One thing goes into another."),
    "dose": ("record_seen", "What was weighed in."),
    "step": ("record_seen", "A step is begun, or done."),
    "reading": ("record_seen", "A weight, a temperature, a pH, a taste, a note."),
    "correct": ("record_seen", "Put something right; the old entry stays beside it."),
    "withdraw": ("record_log", "A log was taken in wrongly and counts no more."),
    "deviation": ("record_control", "A line was crossed."),
    "act": ("record_control", "What was done about a deviation."),
    "instrument": ("record_control", "A scale, a thermometer, a logger."),
    "check": ("record_control", "An instrument beside a reference."),
    "pack": ("record_out", "Packs are made of a batch."),
    "hand": ("record_out", "Packs go out to someone."),
    "end": ("record_out", "A batch is begun, done, or thrown away."),
    "again": ("record_again", "A batch done again: new weight, less salt."),
    "compare": ("record_again", "Batches side by side."),
}


class Verbs(click.Group):
    """Lists its commands from a table."""

    def list_commands(self, _ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, _ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = getattr(import_module(f"ingle.faces.cli.{COMMANDS[cmd_name][0]}"), cmd_name)
        return command

    def format_commands(self, _ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, words) for name, (_, words) in COMMANDS.items()])


@click.command("record", cls=Verbs)
def command() -> None:
    """Write down what comes in, what is done and what is seen.

    Nothing is ever edited: a correction stands beside what it corrects. A
    code in capitals (FH-261204-A) names a lot, piece, batch or pack.

    \b
    Example:  ingle record reading FH-261204-A --weight 1.33kg --who A
    """
