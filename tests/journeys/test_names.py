"""Every command and option that a person can type is answered for in docs/nomenclature.md."""

import re
from pathlib import Path

import click
import pytest

from ingle.faces.cli.main import cli

WORDS = set(re.findall(r"--[a-z][a-z-]*|[a-z][a-z-]*", (Path(__file__).parents[2] / "docs/nomenclature.md").read_text()))
_TOP = click.Context(cli)


def commands(group, before=""):
    for name in group.list_commands(_TOP):
        command = group.get_command(_TOP, name)
        if isinstance(command, click.Group):
            yield from commands(command, f"{before}{name} ")
        else:
            yield f"{before}{name}", command


@pytest.mark.parametrize(("name", "command"), [pytest.param(n, c, id=n) for n, c in commands(cli)])
def test_a_name_is_answered_for(name, command):
    said = [o for p in command.params for o in (*p.opts, *p.secondary_opts) if o.startswith("--")]
    assert said, name
    missing = [w for w in (*name.split(), *said) if w not in WORDS]
    assert not missing, f"{name}: docs/nomenclature.md does not say where {missing} comes from"
