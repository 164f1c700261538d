"""``python -m ingle``: the command where its own name is not on the path."""

from ingle.faces.cli.main import run

run()
