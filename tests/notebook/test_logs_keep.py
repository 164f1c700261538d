"""A log into the notebook: once, whole or not at all, on a file and on a server."""

import os
import random
import resource
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC
from pathlib import Path
from uuid import uuid4

import polars as pl
import pytest
from sqlalchemy import func, select
from tests.notebook.made_up_logs import BEGIN, SAID, csv

from ingle.ground.errors import BadBrief, NotebookError
from ingle.ground.things import Piece
from ingle.jobs import kitchen as jobs
from ingle.jobs.read import keep, read
from ingle.jobs.read_feed import feed_stored
from ingle.jobs.record import dose
from ingle.notebook import logs_keep
from ingle.notebook.control import open_deviations
from ingle.notebook.logbook import find_log, probes_of
from ingle.notebook.logs import Answers, sight
from ingle.notebook.models import Instrument, LogFile
from ingle.notebook.rows import only_kitchen
from ingle.notebook.store import Notebook, open_notebook


@pytest.fixture
def home(book: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Notebook:
    """A notebook with a kitchen, and a folder of its own for logs where it is on a server."""
    monkeypatch.setenv("INGLE_LOGS", str(tmp_path / "server.logs"))
    jobs.begin(book, "Fernhollow", zone="UTC", prefix="FH")
    return book


def files(book: Notebook) -> list[Path]:
    return sorted(book.logs.iterdir()) if book.logs.is_dir() else []


def logs(book: Notebook) -> int:
    with book.look() as session:
        return int(session.scalar(select(func.count()).select_from(LogFile)) or 0)


def test_a_log_is_kept_once_with_its_rows_its_hash_and_what_was_understood(home: Notebook) -> None:
    data = csv(0, 300)
    first = keep(home, read(data, SAID, name="a.csv"), who="A").kept
    assert first is not None and (first.added, first.already) == (300, False)
    again = keep(home, read(data, SAID, name="b.csv"), who="A").kept
    assert again is not None and (again.added, again.already, again.name) == (0, True, "a.csv")
    assert logs(home) == 1 and len(files(home)) == 1
    with home.look() as session:
        log = session.scalars(select(LogFile)).one()
        assert (log.rows, log.name, log.who) == (300, "a.csv", "A")
        assert log.first_utc == BEGIN.replace(tzinfo=UTC)
        assert log.understood["separator"] == "comma" and log.understood["zone"] == "UTC"
        assert session.get_one(Instrument, log.instrument_id).name == "shelf logger"
        assert [(p.column, p.kind, p.unit) for p in probes_of(session, log)] == [("shelf", "air", "degC")]
        assert logs_keep.whole(home, log)
        (track,) = logs_keep.open_log(session, home, log)
    seen = sight(data, SAID).tracks[0]
    assert (track.ms == seen.ms).all() and (track.values == seen.values).all()


def test_four_at_once_keep_one_file_once(home: Notebook) -> None:
    answer = read(csv(0, 3000, warm=(100, 200)), SAID, name="a.csv", place="fridge")
    with ThreadPoolExecutor(4) as four:
        kept = [k.kept for k in four.map(lambda _: keep(home, answer), range(4))]
    assert sorted(k.added for k in kept if k) == [0, 0, 0, 3000]
    assert logs(home) == 1 and len(files(home)) == 1
    with home.look() as session:
        assert len(open_deviations(session, only_kitchen(session))) == 1
        assert logs_keep.whole(home, session.scalars(select(LogFile)).one())


def test_overlapping_exports_at_once_store_no_reading_twice(home: Notebook) -> None:
    answers = [read(csv(100 * i, 100 * i + 400), SAID, name=f"{i}.csv") for i in range(4)]
    with ThreadPoolExecutor(4) as four:
        kept = [k.kept for k in four.map(lambda a: keep(home, a), answers)]
    assert sum(k.added for k in kept if k) == 700
    rows = pl.concat([pl.read_parquet(f) for f in files(home)])
    assert rows.height == 700 == rows.n_unique(["probe", "time_utc"])


def test_of_an_overlapping_export_only_new_rows_are_stored(home: Notebook) -> None:
    keep(home, read(csv(0, 300), SAID, name="a.csv"))
    later = keep(home, read(csv(200, 450), SAID, name="b.csv")).kept
    assert later is not None and (later.added, later.known) == (150, 100)
    inside = keep(home, read(csv(100, 400), SAID, name="c.csv")).kept
    assert inside is not None and (inside.added, inside.known) == (0, 300)
    assert logs(home) == 2
    rows = pl.concat([pl.read_parquet(f) for f in files(home)])
    assert rows.height == 450 == rows.select("probe", "time_utc").n_unique()
    elsewhere = keep(home, read(csv(0, 300, add=1.0), Answers(zone="UTC", instrument="other"), name="d.csv")).kept
    assert elsewhere is not None and elsewhere.added == 300


@pytest.mark.parametrize("names", [pl.Categorical, pl.String, None])
def test_an_overlap_is_found_with_other_probes_beside_and_in_a_file_of_an_earlier_version(home: Notebook, names: type | None) -> None:
    def table(first: int, last: int, probes: int) -> bytes:
        rows = [f"2026-11-0{1 + n // 86400}T{n // 3600:02}:{n // 60 % 60:02}:{n % 60:02}Z,p{p},{4 + p / 10 + n / 1e5:.3f}" for n in range(first, last) for p in range(probes)]
        return ("time,probe,celsius\n" + "\n".join(rows) + "\n").encode()

    keep(home, read(table(0, 300, 2), SAID, name="a.csv"))
    (path,) = files(home)
    if names is not None:  # as they were written before names were a fixed list
        pl.read_parquet(path).with_columns(pl.col("probe", "unit").cast(names)).write_parquet(path)
    later = keep(home, read(table(200, 450, 3), SAID, name="b.csv")).kept
    assert later is not None and (later.added, later.known) == (2 * 150 + 250, 200)
    with home.look() as session:
        stored = [logs_keep.open_log(session, home, log) for log in session.scalars(select(LogFile).order_by(LogFile.id))]
    assert [[(t.name, t.ms.size) for t in tracks] for tracks in stored] == [[("p0", 300), ("p1", 300)], [("p0", 150), ("p1", 150), ("p2", 250)]]
    seen = sight(table(0, 300, 2), SAID).tracks
    assert all((a.ms == b.ms).all() and (a.values == b.values).all() for a, b in zip(stored[0], seen, strict=True))


def test_other_values_at_the_same_times_of_one_instrument_are_refused(home: Notebook) -> None:
    keep(home, read(csv(0, 300), SAID, name="a.csv"))
    with pytest.raises(BadBrief, match=r"other values than a\.csv at 100 times"):
        keep(home, read(csv(200, 450, add=1.0), SAID, name="b.csv"))
    assert logs(home) == 1 and len(files(home)) == 1


def test_open_questions_are_not_kept(home: Notebook) -> None:
    with pytest.raises(BadBrief) as why:
        keep(home, read(csv(0, 10), Answers(), name="a.csv"))
    assert why.value.field == "zone"
    assert logs(home) == 0 and not files(home)


def test_where_the_book_does_not_take_it_no_file_is_left(home: Notebook, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise NotebookError("the disk is full")

    monkeypatch.setattr(logs_keep, "register_log", fail)
    with pytest.raises(NotebookError):
        keep(home, read(csv(0, 10), SAID, name="a.csv"))
    assert not files(home) and logs(home) == 0


def test_where_a_deviation_is_not_taken_nothing_of_the_log_is(home: Notebook, monkeypatch: pytest.MonkeyPatch) -> None:
    from ingle.notebook import control

    def fail(*_: object, **__: object) -> None:
        raise BadBrief("no", field="x")

    monkeypatch.setattr(control, "deviate", fail)
    with pytest.raises(BadBrief):
        keep(home, read(csv(0, 500, warm=(100, 200)), SAID, name="a.csv", place="fridge"))
    assert not files(home) and logs(home) == 0


def test_a_crash_before_the_row_leaves_a_file_nobody_points_at_and_the_next_try_succeeds(home: Notebook) -> None:
    seen = read(csv(0, 50), SAID, name="a.csv")
    logs_keep.write_rows(home.logs, seen.sighting.sha256, logs_keep.frame_of(seen.sighting.tracks))  # and then the power went
    (home.logs / f".{uuid4().hex}.tmp").write_bytes(b"half")
    kept = keep(home, seen).kept
    assert kept is not None and kept.added == 50 and logs(home) == 1
    with home.look() as session:
        log = find_log(session, seen.sighting.sha256)
        assert log is not None and logs_keep.whole(home, log)


@pytest.mark.parametrize("book", ["sqlite"], indirect=True)
def test_a_process_killed_while_it_keeps_logs_leaves_none_half(home: Notebook) -> None:
    """Killed at five moments (60 with INGLE_SOAK): what was answered for is there whole, and no row is without its file."""
    rng, begin, said = random.Random(7), 0, []
    for _ in range(60 if os.environ.get("INGLE_SOAK") else 5):
        words = [sys.executable, "-m", "tests.notebook.log_client", str(home.path), str(begin)]
        with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as child:
            assert child.stdout is not None
            said.append(int(child.stdout.readline()))  # it is at work
            time.sleep(rng.uniform(0, 0.25))
            child.kill()
            said += [int(line) for line in child.stdout.read().split()]
        begin = max(said) + 2
    with open_notebook(str(home.path)) as book, book.look() as session:
        rows = list(session.scalars(select(LogFile)))
        assert {f"{i}.csv" for i in said} <= {r.name for r in rows}
        assert all(logs_keep.whole(book, r) and r.rows == 2000 for r in rows)
    again = keep(home, read(csv(said[-1] * 2000, said[-1] * 2000 + 2000), SAID, name="again.csv")).kept
    assert again is not None and again.already


@pytest.mark.parametrize("book", ["sqlite"], indirect=True)
def test_a_full_disk_is_told_and_leaves_nothing(home: Notebook) -> None:
    answer = read(csv(0, 60_000), SAID, name="a.csv")
    code = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    try:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, hard))  # the system then refuses every longer file
        with pytest.raises(NotebookError, match="did not take the write"):
            keep(home, answer)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, code)
    assert not files(home) and logs(home) == 0
    kept = keep(home, answer).kept
    assert kept is not None and kept.added == 60_000


def test_a_file_that_is_gone_or_changed_is_told(home: Notebook) -> None:
    keep(home, read(csv(0, 50), SAID, name="a.csv"))
    (path,) = files(home)
    with home.look() as session:
        log = session.scalars(select(LogFile)).one()
    path.write_bytes(path.read_bytes()[:-1] + b"x")
    assert not logs_keep.whole(home, log)
    path.unlink()
    assert not logs_keep.whole(home, log)
    with home.look() as session, pytest.raises(NotebookError, match="missing"):
        logs_keep.open_log(session, home, log)


def test_a_warm_night_becomes_one_deviation_with_its_limit_and_rises_ring_no_bell(home: Notebook) -> None:
    batch = jobs.lay_in(home, "Collar", part="collar", craft="cure", at=BEGIN.replace(tzinfo=UTC))
    data = csv(0, 576, warm=(100, 172))
    data = data.replace(b"2021-02-02 20:00,4", b"2021-02-02 20:00,7")  # a door, five minutes
    answer = keep(home, read(data, SAID, name="a.csv", place="fridge", countries=("us",)), batches={"": batch.code})
    with home.look() as session:
        (found,) = open_deviations(session, only_kitchen(session))
        assert (found.level, found.batch_id, found.place) == ("stop", batch.id, "shelf")
        assert found.value == 10.0 and found.limit_id is not None
        log = session.get_one(LogFile, found.log_id)
        assert len(log.understood["rises"]) == 1 and "door or defrost" in log.understood["rises"][0]
    assert [d.level for d in answer.deviations] == ["stop", "note"]


def test_a_stored_log_corrects_the_forecast_of_its_batch(home: Notebook) -> None:
    began = BEGIN.replace(tzinfo=UTC)
    piece = jobs.cut(home, Piece(1380.0, 50.0), at=began)
    batch = jobs.lay_in(home, "Collar", part="collar", craft="cure", takes=[piece.code], at=began)
    dose(home, batch.code, {"salt": 34.0, "curing-salt@6.25%": 2.6}, at=began)
    keep(home, read(csv(0, 576, warm=(0, 576)), SAID, name="a.csv", place="fridge"), batches={"shelf": batch.code})
    keep(home, read(csv(576, 1152, warm=(576, 1152)), SAID, name="b.csv", place="fridge"), batches={"shelf": batch.code})
    fed = feed_stored(home, batch.code, members=64)
    assert fed.cure is not None and fed.planned is not None
    assert fed.cure.ready.likely_h < fed.planned.ready.likely_h - 2  # four days at 10 C instead of 4 C: salt moves faster
    assert {g.key for g in fed.growth} >= {"listeria", "yersinia"} and fed.level in ("over", "cannot_say")
    assert any("lag" in n for n in fed.notes)
