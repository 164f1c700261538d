"""``python -m ingle``: the command where its own name is not on the path."""

from ingle.faces.cli.main import run

if __name__ == "__main__":  # worker processes read this file too
    run()
