"""Client processes that write until they are killed; what they were told is stored they tell through a pipe at once."""

from __future__ import annotations

import json
import multiprocessing as mp
import resource
import time
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from ingle.jobs import record as r
from ingle.notebook.rows import new_uid
from ingle.notebook.store import open_notebook
from ingle.notebook.trouble import ConnectionLost, DiskFull

CONTEXT = mp.get_context("forkserver")  # a clean process each time, with everything imported once
CONTEXT.set_forkserver_preload(["tests.notebook.clients"])


def start(target: Any, *given: Any) -> tuple[Any, Connection]:
    """A client process and the end of the pipe on which it tells."""
    ours, theirs = CONTEXT.Pipe(duplex=False)
    process = CONTEXT.Process(target=target, args=(theirs, *given), daemon=True)
    process.start()
    theirs.close()
    return process, ours


def told(ours: Connection) -> list[Any]:
    """All that came through the pipe, to its end; the last word of a killed client may be cut off and is dropped."""
    found: list[Any] = []
    while True:
        try:
            if not ours.poll(0):
                break
            found.append(json.loads(ours.recv_bytes()))
        except (EOFError, OSError, ValueError):
            break
    return found


def write_on(out: Connection, place: str, batch: str, salt: str, name: str, most: int = 100_000) -> None:
    """Readings and doses in turn; each is announced before it is sent and told when it is answered."""
    with open_notebook(place) as book:
        for n in range(most):
            uid = new_uid()
            kind = "dose" if n % 3 == 2 else "reading"
            _say(out, ["sends", kind, uid, name, n])
            for _ in range(50):  # told that the connection is lost, a client sends the same again, as a page's outbox does
                try:
                    send(book, batch, salt, kind, uid, name, n)
                    break
                except ConnectionLost:
                    time.sleep(0.05)
            else:
                return
            _say(out, ["stored", kind, uid, name, n])
    _say(out, ["end", "", "", name, most])


def send(book: Any, batch: str, salt: str, kind: str, uid: str, name: str, n: int) -> None:
    """One write, the same whenever it is sent again."""
    if kind == "reading":
        r.reading(book, batch, uid=uid, weight_g=1000.0 + n, note=f"{name} {n}", who=name)
    else:
        r.dose(book, batch, {"salt": 1.0 + n, "sugar": 2.0 + n}, lots={"salt": salt}, again=True, uid=uid, who=name)


def _say(out: Connection, words: list[Any]) -> None:
    out.send_bytes(json.dumps(words).encode())


def fill_up(out: Connection, place: str, batch: str, room: int) -> None:
    """Write until the disk takes no more (a limit on the size of files stands for the full disk), then with room again."""
    with open_notebook(place) as book:
        size = max(Path(place + end).stat().st_size for end in ("", "-wal"))
        soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size + room, hard))
        full = 0
        for n in range(5000):
            uid = new_uid()
            try:
                r.reading(book, batch, uid=uid, note="x" * 3000, who="F")
                _say(out, ["stored", "reading", uid, "F", n])
            except DiskFull as why:
                full += 1
                _say(out, ["full", why.message, uid, "F", n])
                if full == 3:
                    break
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        r.reading(book, batch, uid=uid, note="x" * 3000, who="F")
        _say(out, ["stored", "reading", uid, "F", n])


def open_now(out: Connection, place: str, at: float) -> None:
    """Open at a given moment, as several starts on one file do."""
    time.sleep(max(0.0, at - time.time()))
    with open_notebook(place) as book:
        _say(out, ["open", book.name, "", "", 0])
