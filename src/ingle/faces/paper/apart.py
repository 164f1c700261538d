"""A large job, pressed by a process of its own: it can be stopped on the way, and the gigabytes it took go with it."""

from __future__ import annotations

from collections.abc import Callable
from multiprocessing import get_context
from typing import Any

from ingle.faces.paper import press
from ingle.faces.paper.press import Job
from ingle.ground.errors import IngleError, Refused

_LOOK_S = 0.2


def pdf(job: Job, stopped: Callable[[], bool]) -> bytes:
    """As `press.pdf`, in another process; ``stopped`` is asked a few times a second.

    Raises
    ------
    Refused
        It was stopped, or the machine had no room for it.
    BadBrief, OutOfRange
        As `press.pdf`.
    """
    ours, theirs = get_context("spawn").Pipe(duplex=False)
    worker = get_context("spawn").Process(target=_press, args=(job, theirs), daemon=True)
    worker.start()
    theirs.close()
    try:
        while not stopped():
            if ours.poll(_LOOK_S):
                break
        else:
            raise Refused(f"{job.title} was stopped.", field="run", remedy="Begin it again when it is wanted.")
        told = ours.recv()
    except EOFError:
        raise Refused(f"{job.title} was too much for this machine.", field="paper", value=job.title,
                      remedy="Print a shorter time, or one lot of it.") from None  # fmt: skip
    finally:
        worker.terminate()
        worker.join()
        ours.close()
    if isinstance(told, IngleError):
        raise told
    return bytes(told)


def _press(job: Job, pipe: Any) -> None:
    try:
        told: bytes | IngleError = press.pdf(job)
    except IngleError as why:
        told = why
    pipe.send(told)
    pipe.close()
