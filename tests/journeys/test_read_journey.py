"""A logger's file from the command line: looked at, asked about, judged, kept, written out; as a cook would."""

import csv as csvs
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from sqlalchemy import select

from ingle.faces.cli.main import main
from ingle.faces.log_chart import log_svg
from ingle.jobs.read import read
from ingle.jobs.thermal_log import read_log
from ingle.notebook.control import open_deviations
from ingle.notebook.logs import Track
from ingle.notebook.logs_out import escaped, write_out
from ingle.notebook.models import LimitInForce
from ingle.notebook.rows import only_kitchen
from ingle.notebook.store import open_notebook


def shelf(warm: bool = True) -> str:
    """Two days of a shelf in five-minute readings, one door, one warm night; times without a zone."""
    rows = ["Datum;Zeit;Luft (\u00b0C);Kern (\u00b0C)"]
    for i in range(576):
        air = 9.0 if warm and 300 <= i < 380 else 8.0 if i == 100 else 3.5
        core = 6.0 if warm and 320 <= i < 400 else 3.0
        rows.append(f"{15 + i // 288}.02.2026;{i // 12 % 24:02d}:{i % 12 * 5:02d};{air:.1f};{core:.1f}".replace(".0;", ",0;").replace(".5;", ",5;"))
    return "\n".join(r[:-2] + "," + r[-1] if k else r for k, r in enumerate(rows)) + "\n"


@pytest.fixture
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("INGLE_NOTEBOOK", raising=False)
    path = tmp_path / "shelf.csv"
    path.write_text(shelf(), encoding="latin-1")
    return path


def call(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main([*words])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_what_only_the_cook_knows_is_asked_and_nothing_is_kept(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(capsys, "read", str(log))
    assert code == 4
    assert "In which zone does the logger's clock run?" in out and "--zone" in out and "Nothing was kept." in out
    assert "15.02.2026 | 00:00 | 3,5 | 3,0" in out  # first rows as they stand
    assert sorted(p.name for p in log.parent.iterdir()) == ["shelf.csv"]


def test_a_judged_log_names_limit_clause_act_and_what_was_not_kept(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(capsys, "read", str(log), "--zone", "Europe/London", "--limits", "fridge", "--rules", "us")
    assert code == 3
    for words in ("3-501.16(A)(2)", "OVER", "STOP", "product behind the air, time constant 62 min", "door or defrost", "add --yes"):
        assert words in out, words
    assert max(map(len, out.splitlines())) <= 80
    code, out, _ = call(capsys, "read", str(log), "--zone", "Europe/London", "--limits", "fridge", "--rules", "gb", "--plain")
    assert "verdict\tholding.gb\tover" in out and "deviation\t" in out


def test_json_tells_the_same_and_reads_back(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(capsys, "read", str(log), "--zone", "Europe/London", "--limits", "fridge", "--json")
    told = json.loads(out)
    assert code == 3 and told["level"] == "over" and told["kept"] is None
    assert [p["kind"] for p in told["log"]["probes"]] == ["air", "core"]
    assert {d["level"] for d in told["deviations"]} >= {"stop", "note"}
    assert told["behind"][0]["time_constant_s"] == pytest.approx(3700)
    asked = json.loads(call(capsys, "read", str(log), "--json")[1])
    assert [q["field"] for q in asked["log"]["questions"]] == ["zone"]


def test_yes_takes_the_kitchens_zone_and_rules_and_keeps_it_once(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(capsys, "record", "kitchen", "Fernhollow", "--zone", "Europe/London", "--rules", "gb")[0] == 0
    code, out, _ = call(capsys, "read", str(log), "--limits", "fridge", "--yes", "--who", "A")
    assert code == 3 and "In the book: 1,152 readings." in out and "at most 8 C" in out
    code, out, _ = call(capsys, "read", str(log), "--limits", "fridge", "--yes")
    assert "nothing was added" in out and "0 readings; 1,152 were there before" in out
    with open_notebook(create=False) as book, book.look() as session:
        assert [d.level for d in open_deviations(session, only_kitchen(session))] == ["stop"]  # it needs attention


def test_a_log_that_was_taken_in_wrongly_is_withdrawn_and_read_in_anew(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call(capsys, "record", "kitchen", "Fernhollow", "--zone", "Europe/London", "--rules", "gb")
    _, out, _ = call(capsys, "read", str(log), "--limits", "fridge", "--yes", "--zone", "UTC")
    short = out.rpartition("ingle record withdraw ")[2].split()[0]  # as the screen says it
    code, out, _ = call(capsys, "record", "withdraw", short, "--why", "its clock ran in London", "--who", "A")
    assert code == 0 and "shelf.csv is withdrawn" in out and "1 deviation read from it is withdrawn with it" in out and "can be read in again" in out
    assert max(map(len, out.splitlines())) <= 80
    with open_notebook(create=False) as book, book.look() as session:
        assert open_deviations(session, only_kitchen(session)) == []
    _, out, _ = call(capsys, "read", str(log), "--limits", "fridge", "--yes")
    assert "In the book: 1,152 readings." in out
    code, out, _ = call(capsys, "record", "withdraw", "shelf.csv", "--why", "again", "--json")
    assert code == 0 and json.loads(out)["written"][0]["table"] == "log_withdrawn"
    code, _, err = call(capsys, "record", "withdraw", "shelf.csv", "--why", "again")
    assert code == 1 and "was withdrawn before" in err


@pytest.mark.usefixtures("log")
def test_of_a_cooling_the_batch_tells_how_thick_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    """A probe moved in the middle of a thick piece shows only where the thickness is known: by an option, or by the batch."""
    call(capsys, "record", "kitchen", "Fernhollow", "--zone", "UTC", "--rules", "gb")
    piece = json.loads(call(capsys, "record", "piece", "--name", "Ham", "--weight", "3.8kg", "--thickness", "150mm", "--json")[1])["written"][0]["code"]
    batch = json.loads(call(capsys, "record", "batch", "Ham", "--takes", piece, "--at", "2026-02-01 10:00", "--json")[1])["written"][0]["code"]
    rows = [f"2026-02-01 {12 + m // 60:02d}:{m % 60:02d},{18.0 if 300 <= m < 330 else 4 + 68 * np.exp(-m / 117.0):.1f}" for m in range(0, 700, 5)]
    Path("cool.csv").write_text("time,core (C)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    words = ("read", "cool.csv", "--limits", "cooling", "--probe", "core=core", "--zone", "UTC")
    assert "probe was moved or failed" not in call(capsys, *words)[1]
    assert "probe was moved or failed" in call(capsys, *words, "--thickness", "150mm")[1]
    out = call(capsys, *words, "--yes", "--batch", batch)[1]
    assert "probe was moved or failed" in out and max(map(len, out.splitlines())) <= 80
    with open_notebook(create=False) as book, book.look() as session:  # the record names the rule, and not its key
        assert {row.title for row in session.scalars(select(LimitInForce))} == {"uncured cooked meat, longest: 12 to 5 C within 90 min"}
    assert "probe was moved or failed" not in call(capsys, *words, "--yes", "--batch", batch, "--probe-still")[1]


def test_a_batch_without_a_yes_or_a_book_is_refused(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(capsys, "read", str(log), "--zone", "UTC", "--yes")[0] == 1  # no notebook here
    call(capsys, "record", "kitchen", "Fernhollow", "--zone", "UTC")
    code, _, err = call(capsys, "read", str(log), "--batch", "FH-1")
    assert code == 2 and "--yes" in err
    assert call(capsys, "read", str(log), "--yes", "--batch", "NO-SUCH")[0] == 1


@pytest.mark.parametrize(
    "words", [["--probe", "Luft"], ["--probe", "nobody=core"], ["--probe", "Luft=soup"], ["--zone", "Mars/Base"], ["--lag", "0s"], ["--rules", "xx"],
              ["--start", "noon"], ["--chart", "x.bmp"], ["--out", "x.xlsx"], ["--encoding", "klingon"]]
)  # fmt: skip
def test_wrong_options_are_answered_and_write_nothing(words: list[str], log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    base = [] if "--zone" in words else ["--zone", "UTC"]
    code, _, err = call(capsys, "read", str(log), *base, "--limits", "fridge", *words)
    assert code == 2 and err.strip() and "Traceback" not in err
    assert sorted(p.name for p in log.parent.iterdir()) == ["shelf.csv"]


def test_readings_go_out_as_parquet_and_as_csv_that_other_commands_read(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("out.parquet", "out.csv"):
        assert call(capsys, "read", str(log), "--zone", "Europe/London", "--out", name)[0] == 0
    rows = pl.read_parquet("out.parquet")
    assert rows.height == 1152 and rows["unit"].unique().to_list() == ["degC"]
    again = read(Path("out.csv")).sighting
    assert not again.questions and [t.name for t in again.tracks] == ["Luft", "Kern"]
    seen = read(log, None, kitchen_zone="UTC")
    assert seen.sighting.questions  # still asked
    one = Path("one.csv")
    one.write_text("time,temp (C)\n" + "\n".join(f"2026-02-01 10:{m:02d},{70 - m}" for m in range(60)), encoding="utf-8")
    assert call(capsys, "read", str(one), "--zone", "+01:00", "--out", "plain.csv")[0] == 0
    strict = read_log(Path("plain.csv"))  # the strict reader of `ingle chill --log`
    assert strict.celsius.tolist() == [70.0 - m for m in range(60)] and strict.seconds[-1] == 59 * 60


@pytest.mark.parametrize("name", ["=cmd|'/c calc'!A1", "+1+1", "-2+3", "@SUM(A1)", "\t=1", " =1", "fridge"])
def test_a_name_never_becomes_a_formula(name: str, tmp_path: Path) -> None:
    ms = np.array([0, 1000], dtype=np.int64)
    tracks = [Track(name, "air", "C", ms, np.array([4.0, 5.0])), Track("core", "core", "C", ms, np.array([4.0, 5.0]))]
    write_out(tmp_path / "x.csv", tracks)
    with (tmp_path / "x.csv").open(newline="", encoding="utf-8") as f:
        cells = {row["probe"] for row in csvs.DictReader(f)}
    assert all(not c.startswith(("=", "+", "-", "@", "\t", "\r", " ")) for c in cells)
    assert escaped(name).lstrip("'") == name


def test_the_picture_shows_limits_probes_the_product_and_every_peak(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("x.svg", "x.png", "x.html"):
        assert call(capsys, "read", str(log), "--zone", "Europe/London", "--limits", "fridge", "--chart", name)[0] == 3
    svg = Path("x.svg").read_text(encoding="utf-8")
    assert svg.count('class="limit"') == 4 and 'class="behind"' in svg and 'class="deviation stop"' in svg
    assert "Luft" in svg and "Kern" in svg and "<desc" in svg and "product 62 min behind the air" in svg
    assert Path("x.png").read_bytes().startswith(b"\x89PNG") and "STOP" in Path("x.html").read_text(encoding="utf-8").upper()
    rng = np.random.default_rng(2)
    values = np.round(4 + rng.normal(0, 0.05, 60_000), 2)
    values[12_345] = 19.0  # one reading of sixty thousand
    rows = "\n".join(f"{1_767_225_600 + 60 * i},{v}" for i, v in enumerate(values))
    svg = log_svg(read(f"unix,temp (C)\n{rows}\n".encode(), place="fridge"))
    trace = svg.split('class="probe air"')[1].split('d="')[1].split('"')[0]
    heights = [float(p.split(" ")[1]) for p in trace.lstrip("M").split("L")]
    assert min(heights) < np.median(heights) - 200 and len(svg) < 200_000


def test_looking_at_a_file_loads_no_database(log: Path) -> None:
    code = (
        "import sys; from ingle.faces.cli.main import main; "
        f"main(['read', {str(log)!r}, '--zone', 'UTC', '--limits', 'fridge']); "
        "print([m for m in ('sqlalchemy', 'alembic', 'scipy', 'ortools', 'typst') if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=log.parent)
    assert done.stderr.strip() == "[]"
