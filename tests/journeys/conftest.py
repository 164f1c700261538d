"""A command as a person calls it."""

import shlex

import pytest

from ingle.faces.cli.main import main


@pytest.fixture
def call(capsys):
    """Exit code, what was printed, and what went to the error stream, of one command line."""

    def run(line):
        code = main(shlex.split(line))
        told = capsys.readouterr()
        return code, told.out, told.err

    return run
