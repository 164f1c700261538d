"""The door: commands are imported only when called, errors are caught once.

Exit: 0 done, 1 refused, 2 wrong usage, 3 done and something is over the line, 4 cannot say, 5 no plan possible, 130 stopped.
"""

from __future__ import annotations

import os
import sys
from importlib import import_module

import click

from ingle.ground.errors import BadBrief, IngleError, NoPlan, OutOfRange

COMMANDS = {
    "weigh": "What to put on the scale for a piece, and what the laws say of it.",
    "judge": "What a mix already made is, and what can still be done.",
    "cure": "When a cure is ready, and what the piece holds on the way.",
    "cook": "When a core is done, what heat it has had, what is lost.",
    "chill": "How fast it cools, by every named rule, and what is faster.",
    "keep": "How long a food keeps, by published days and the fridge's own log.",
    "crackle": "Whether a rind crackles, when, and what stops it.",
    "smoke": "Whether a cold smoke is cool and short enough, and what it takes.",
    "brine": "What a brine holds, and what brings it to a strength.",
    "butter": "What cream gives in butter and buttermilk, and its salt.",
    "bread": "Weights from baker's percentages, or a dough taken apart.",
    "dough": "How warm the water has to be, and when a cold proof is ready.",
    "sauce": "How far a sauce boils down, how sour it is.",
    "mishap": "The fridge failed, a piece was left out: what fails now, and what to do.",
    "plan": "From a brief to what to buy, what to weigh and when.",
    "sheet": "One day's work from a plan.",
    "print": "Sheets, tags, labels and records on paper.",
    "today": "What to do now, what is waiting, what needs attention.",
    "record": "Write down what comes in, what is done, what is seen.",
    "read": "Look at a logger's file, judge it, keep it in the notebook.",
    "trace": "Where a thing came from, what came of it, who got it.",
    "backup": "Copy the notebook, look through it, bring a copy back.",
    "serve": "The kitchen page, on this machine.",
    "sources": "Where every limit and coefficient comes from.",
}


class LazyGroup(click.Group):
    """Lists commands from a table, so that help imports none of them."""

    def list_commands(self, _ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, _ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        return import_module(f"ingle.faces.cli.{cmd_name}_cmd").command

    def format_commands(self, _ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.command(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(package_name="ingle", message="ingle %(version)s")
def cli() -> None:
    """Planner, chemist and record for a cook who makes every part of a dish.

    Every number carries its unit: 1.38kg, 3 lb 1 oz, 52mm, 38F, 5d, 1h30.

    \b
    Example:  ingle weigh --weight 1.38kg --salt 2.5% --curing-salt 6.25%
    """


def exit_code(error: IngleError) -> int:
    """Exit code of an error that is an answer."""
    if isinstance(error, NoPlan):
        return 5
    return 2 if isinstance(error, BadBrief | OutOfRange) else 1


def _at_a_screen(text: str) -> str:
    """Wrapped for eyes; a pipe gets its lines whole."""
    if not sys.stderr.isatty():
        return text
    import textwrap  # an error is rare, and help shall start at once

    said = text.splitlines()
    return "\n".join("\n".join(textwrap.wrap(line, 80, break_long_words=False, break_on_hyphens=False)) if len(line) > 80 else line for line in said)


def main(args: list[str] | None = None) -> int:
    """Run the command line; returns the exit code."""
    words = sys.argv[1:] if args is None else args
    try:
        code = cli.main(args=words, prog_name="ingle", standalone_mode=False)
        return code if isinstance(code, int) else 0
    except IngleError as error:
        if "--json" in words:
            import json  # an error in JSON is rare, and help shall start at once

            click.echo(json.dumps(error.as_dict(), indent=2, ensure_ascii=False))
        click.echo(_at_a_screen(f"{type(error).__name__}: {error.text}"), err=True)
        return exit_code(error)
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped.", err=True)
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def run() -> None:
    """Entry point of the installed command. One thread for matrices: a pool costs more to start than it saves here."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    sys.exit(main())
