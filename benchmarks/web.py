"""The page in a kitchen of 20,000 batches and 20 million log rows: what the server needs for an answer, what the answer weighs, how soon it is up."""

from __future__ import annotations

import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from sqlalchemy import insert
from starlette.testclient import TestClient

from benchmarks.notebook import BATCHES, NOW, START, kitchen, uid
from benchmarks.run import Row, best, cold
from ingle.faces.cli.offered import OFFERED
from ingle.faces.web.app import create_app
from ingle.faces.web.config import Config
from ingle.notebook.logs_keep import frame_of
from ingle.notebook.logs_things import Track
from ingle.notebook.models import LogFile, LogProbe
from ingle.notebook.store import Notebook

LOGS, ROWS = 20, 1_000_000  # files, readings in each
HEAVIEST = 600_000  # bytes of a page, its drawings with it
BENCH = "/salt/answer?weight=1.38&thickness={}&temperature=4&days=14&salt=2.5&nitrite=118&packet=6.25&sugar=0&shape=slab&width=&length=&skin=none&fat=none"


def logs(book: Notebook) -> None:
    """Twenty loggers' files of a million readings, a reading every five seconds, one belonging to a batch that is going."""
    book.logs.mkdir(parents=True, exist_ok=True)
    values = 4.0 + 0.5 * np.sin(np.arange(ROWS) / 300.0)
    first = int(START.timestamp() * 1000)
    files, probes = [], []
    for i in range(LOGS):
        ms = first + i * ROWS * 5000 + np.arange(ROWS, dtype=np.int64) * 5000
        name = f"{i:064x}.parquet"
        frame_of([Track("air", "air", "C", ms, values)]).write_parquet(book.logs / name, compression="lz4")
        said = {"at_utc": START, "zone": "Europe/London", "who": "A", "written_utc": START}
        files.append({"id": i + 1, "uid": uid(10, i), "kitchen_id": 1, "name": f"fridge {i}.csv", "source_sha256": f"{i:064x}", "parquet": name, "parquet_sha256": f"{i:064x}",
                      "rows": ROWS, "first_utc": START, "last_utc": START, "understood": {}, **said})  # fmt: skip
        probes.append({"uid": uid(11, i), "log_id": i + 1, "batch_id": None, "column": "air", "kind": "air", "unit": "degC", "place": "", **said})
    with book.engine.execution_options(write=True).begin() as connection:
        connection.execute(insert(LogFile.__table__), files)
        connection.execute(insert(LogProbe.__table__), probes)


def up(place: Path) -> float:
    """From the command to the first answer [s]."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    begin = time.perf_counter()
    words = [str(Path(sys.executable).with_name("ingle")), "serve", "--port", str(port), "--notebook", str(place)]
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        while time.perf_counter() - begin < 30:
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5).close()
                return time.perf_counter() - begin
            except OSError:
                time.sleep(0.01)
        raise RuntimeError("the page never answered")
    finally:
        process.terminate()
        process.wait()


def rows() -> Iterator[Row]:
    """Whole answers, by way of the app: gate, session, job, template."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "kitchen.notebook"
        with kitchen(place) as book:
            logs(book)
        config = Config(str(place), Path(folder) / "page", clock=lambda: NOW)
        with TestClient(create_app(config, OFFERED)) as client:

            def get(path: str) -> int:
                answer = client.get(path)
                if answer.status_code != 200:
                    raise RuntimeError(f"{path}: {answer.status_code}")
                return len(answer.content)

            heaviest: dict[str, int] = {}
            for name, path, target in (
                ("now, the whole page", "/", 0.100), ("now, its data by /api", "/api/today", 0.050), ("tracing a lot by /api", "/api/trace/FH-IN-1", 0.100),
                ("tracing a lot, the whole page", "/trace/FH-IN-1", 0.150), ("tracing the salt in everything, its page", "/trace/FH-IN-1001", 0.200), ("loggers, 20 million rows in the book", "/loggers", 0.100),
            ):  # fmt: skip
                heaviest[path] = get(path)
                yield Row(name, best(lambda p=path: get(p), 7), target, note=f"{heaviest[path] / 1000:,.0f} kB; {BATCHES:,} batches")
            thick = iter(range(20, 140))
            get(BENCH.format(19))
            yield Row("cure bench, a new thickness each time", best(lambda: get(BENCH.format(next(thick))), 15), 0.050, note="judgement, band, two charts")
            log = client.get("/api/logs").json()["logs"][0]["uid"]
            asked = ("/salt", "/heat?do=cook&part=collar&weight=1.3kg&thickness=70mm&place=oven&dial=160C&core=71C&rest=20min", "/heat?do=cool&part=ham&weight=2kg&thickness=90mm&start=72C&cold=fridge&air=4C",
                     f"/loggers/{log}", "/book", "/meal", "/grounds", "/house", "/papers", "/parts")  # fmt: skip
            heaviest |= {path: get(path) for path in asked}
            worst = max(heaviest, key=heaviest.__getitem__)
            if heaviest[worst] > HEAVIEST:
                raise RuntimeError(f"{worst} weighs {heaviest[worst]:,} bytes; at most {HEAVIEST:,}")
            yield Row("a log of a million readings, its page", best(lambda: get(f"/loggers/{log}"), 3), 2.0, note=f"heaviest page {worst.partition('?')[0]}: {heaviest[worst] / 1000:,.0f} kB of {HEAVIEST / 1000:,.0f}")
        yield Row("ingle serve, from the command to its first page", min(up(place) for _ in range(3)), 1.5, "import numpy", cold(sys.executable, "-c", "import numpy"))
