"""A log that was taken in wrongly: withdrawn, nothing is worked out from it, and the same file comes in again; on a file and on a server."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select, text
from tests.notebook.made_up_logs import csv

from ingle.ground.errors import BadBrief, NotebookError
from ingle.ground.things import Piece
from ingle.jobs import kitchen as jobs
from ingle.jobs.begun import begun
from ingle.jobs.book import leaf
from ingle.jobs.dossier_read import of_lot
from ingle.jobs.log_book import logs, stored
from ingle.jobs.read import keep, read
from ingle.jobs.read_feed import feed_stored, move_by_log
from ingle.jobs.today import today
from ingle.jobs.withdraw_log import withdraw_log
from ingle.notebook.backup import check
from ingle.notebook.export import export_json, import_into
from ingle.notebook.logs import Answers
from ingle.notebook.models import Deviation, LogFile, LogWithdrawn
from ingle.notebook.store import Notebook, open_notebook
from ingle.notebook.trouble import AlreadyThere, NotFound

SAID = Answers(zone="UTC", instrument="shelf logger", dates="year-first")
WRONG = Answers(zone="+05:00", instrument="shelf logger", dates="year-first")
LAID_IN = datetime(2021, 2, 1, tzinfo=UTC)


@pytest.fixture
def home(book: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Notebook:
    """A kitchen of rules that are named, and a folder of its own for logs."""
    monkeypatch.setenv("INGLE_LOGS", str(tmp_path / "server.logs"))
    jobs.begin(book, "Fernhollow", zone="UTC", prefix="FH", rules=("gb",))
    return book


def lay_in(book: Notebook) -> str:
    """A collar in its cure since the first reading."""
    return begun(book, "Collar", Piece(1380, 50), {"salt": 32.1, "curing-salt@6.25%": 2.6}, at=LAID_IN, who="A").code


def take(book: Notebook, code: str, said: Answers = SAID, name: str = "night.csv", warm: tuple[int, int] = (300, 420), last: int = 900):
    """A log of a shelf that was warm for ten hours, as a face takes it in."""
    kept = keep(book, read(csv(0, last, warm=warm), said, name=name, place="fridge"), batches={"": code}, who="A").kept
    assert kept is not None
    move_by_log(book, feed_stored(book, code), kept.uid)
    return kept


def test_a_withdrawn_log_stays_and_nothing_is_worked_out_from_it(home: Notebook) -> None:
    code = lay_in(home)
    before = leaf(home, code)
    kept = take(home, code)
    moved = leaf(home, code)
    assert moved.lies and before.lies and moved.lies.along and moved.lies.along.uid == kept.uid
    assert moved.lies.forecast != before.lies.forecast and len(moved.deviations) == 1
    assert any(n.kind == "deviation" for n in today(home).needs)

    told = withdraw_log(home, "night.csv", why="its clock ran in another zone", who="B")
    assert (told.deviations, told.batches, told.fed) == (1, (code,), ())
    assert any("as it was laid in again" in line for line in told.says)
    after = leaf(home, code)
    assert after.lies is not None and after.lies.along is None and after.lies.forecast == before.lies.forecast
    assert after.deviations == () and not any(n.kind == "deviation" for n in today(home).needs)
    assert [(w.name, w.who, w.why) for w in after.withdrawn] == [("night.csv", "B", "its clock ran in another zone")]
    fed = feed_stored(home, code)  # whoever asks for what the logs change hears of none
    assert fed.cure is None and fed.probe == ""

    row, answer = stored(home, kept.uid)  # it is readable as ever, and says what it is
    assert answer.sighting.tracks[0].values.size == 900 and row.withdrawn is not None and row.as_dict()["withdrawn"]["who"] == "B"
    assert [r.withdrawn is not None for r in logs(home)[0]] == [True]
    with home.look() as session:  # only added to: the deviation's row stands beside the one that withdraws it
        assert [(d.void, d.corrects_id is None) for d in session.scalars(select(Deviation).order_by(Deviation.id))] == [(False, True), (True, False)]
    with pytest.raises(NotebookError, match=r"only added|never taken away"):
        home.write(lambda s: s.execute(text("UPDATE log_withdrawn SET why = 'no'")))


def test_the_record_strikes_it_and_says_who_when_and_why(home: Notebook) -> None:
    code = lay_in(home)
    take(home, code)
    withdraw_log(home, "night.csv", why="another fridge", who="B")
    (batch,) = of_lot(home, code).batches
    (row,) = [r for r in batch.rows if r.what == "log night.csv"]
    assert row.withdrawn and row.value.startswith("900 readings, 01 Feb 00:00 to ")
    assert "by B: another fridge; nothing is worked out from it" in row.was[0].why and row.was[0].who == "A"
    assert [d.withdrawn for d in batch.deviations] == [True]


def test_the_same_file_comes_in_again_as_it_should_be(home: Notebook) -> None:
    code, other = lay_in(home), lay_in(home)
    wrong = take(home, code, WRONG)
    assert take(home, code, SAID).already  # as long as it counts it is known, whatever is said of its zone
    withdraw_log(home, wrong.uid, why="wrong zone, wrong batch", who="B")
    right = take(home, other, SAID)
    assert (right.already, right.added) == (False, 900) and right.uid != wrong.uid
    again = take(home, other, SAID)
    assert (again.already, again.uid) == (True, right.uid)
    with home.look() as session:
        first, second = session.scalars(select(LogFile).order_by(LogFile.id))
        assert second.first_utc - first.first_utc == timedelta(hours=5) and second.understood["file_sha256"] == first.source_sha256
        assert second.parquet != first.parquet
    assert [d.log_id for d in leaf(home, other).deviations] == [2] and leaf(home, code).deviations == ()
    # and a third time
    withdraw_log(home, right.uid, why="once more", who="B")
    assert take(home, code, SAID).added == 900
    assert check(home).wrong == ()


def test_another_log_of_the_batch_moves_its_forecast_then(home: Notebook) -> None:
    code = lay_in(home)
    first = take(home, code, Answers(zone="UTC", instrument="one", dates="year-first"), "one.csv", (0, 0))
    alone = leaf(home, code).lies
    take(home, code, Answers(zone="UTC", instrument="two", dates="year-first"), "two.csv", (100, 800))
    told = withdraw_log(home, "two.csv", why="it stood in another fridge")
    lies = leaf(home, code).lies
    assert [f.batch for f in told.fed] == [code] and lies and lies.along and lies.along.uid == first.uid
    assert alone is not None and lies.forecast.quantiles_h == alone.forecast.quantiles_h


def test_a_later_export_that_left_out_its_readings_is_named(home: Notebook) -> None:
    code = lay_in(home)
    take(home, code, name="a.csv", last=600)
    assert take(home, code, name="b.csv", last=900).known == 600
    told = withdraw_log(home, "a.csv", why="wrong place")
    assert told.later == ("b.csv",) and any("b.csv left out" in line for line in told.says)


@pytest.mark.parametrize(("log", "why", "wrong"), [("night.csv", " ", BadBrief), ("none.csv", "x", NotFound), ("abcdef12", "x", NotFound), ("7", "x", NotFound)])
def test_what_cannot_be_withdrawn_is_refused_and_nothing_is_stored(home: Notebook, log: str, why: str, wrong: type[Exception]) -> None:
    code = lay_in(home)
    take(home, code)
    with pytest.raises(wrong):
        withdraw_log(home, log, why=why)
    with home.look() as session:
        assert session.scalar(select(func.count()).select_from(LogWithdrawn)) == 0
    assert leaf(home, code).lies.along is not None  # type: ignore[union-attr]


def test_a_press_sent_twice_withdraws_once_and_another_is_told_who_was_first(home: Notebook) -> None:
    code = lay_in(home)
    kept = take(home, code)
    uid = "7e1f7f0e-8a3c-4b7e-9a53-4a4bb1f7a001"
    assert withdraw_log(home, kept.uid, why="wrong", uid=uid, who="B").row.id == withdraw_log(home, kept.uid, why="wrong", uid=uid, who="B").row.id
    with pytest.raises(AlreadyThere, match="withdrawn before by B"):
        withdraw_log(home, kept.uid, why="wrong", who="C")


def test_it_goes_out_and_in_again(home: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    take(home, lay_in(home))
    withdraw_log(home, "night.csv", why="wrong", who="B")
    first = export_json(home, tmp_path / "one.json").read_bytes()
    monkeypatch.setenv("INGLE_LOGS", str(tmp_path / "other.logs"))
    with open_notebook(str(tmp_path / "other.notebook")) as into:
        import_into(into, tmp_path / "one.json")
        assert export_json(into, tmp_path / "two.json").read_bytes() == first
