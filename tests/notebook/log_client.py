"""A process that keeps one log after the other until it is killed; says each that was answered for."""

import sys

from tests.notebook.made_up_logs import SAID, csv

from ingle.jobs.read import keep, read
from ingle.notebook.store import open_notebook


def main(place: str, begin: int) -> None:
    """Keep logs of 2,000 readings, each of its own time."""
    with open_notebook(place) as book:
        for i in range(begin, begin + 1000):
            kept = keep(book, read(csv(i * 2000, (i + 1) * 2000), SAID, name=f"{i}.csv")).kept
            assert kept is not None and kept.added == 2000
            print(i, flush=True)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
