"""`ingle keep` from a file to the use-by: what a cook sees, its JSON, its exit codes, records in disorder."""

import json
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from click.testing import CliRunner

from ingle.faces.cli.main import main
from ingle.ground.tables import toml_table
from ingle.safety import keeping

START = datetime(2026, 12, 12, 8, tzinfo=UTC)


@pytest.fixture
def fridge(tmp_path):
    """A log of so many days: mean, swing and an optional failure."""

    def write(days=5.0, mean=3.8, warm=None, minutes=5, head="time,temperature_c"):
        lines = [head]
        for i in range(int(days * 1440 / minutes)):
            hours = i * minutes / 60
            celsius = mean + 1.2 * np.sin(hours)
            if warm and warm[0] < hours < warm[1]:
                celsius = warm[2]
            lines.append(f"{(START + timedelta(hours=hours)).isoformat()},{celsius:.2f}")
        path = tmp_path / "fridge.csv"
        path.write_text("\n".join(lines), encoding="utf-8")
        return str(path)

    return write


def run(capsys, *words):
    code = main(["keep", *words])
    out, err = capsys.readouterr()
    return code, out, err


def told(capsys, *words):
    code, out, _ = run(capsys, *words, "--json")
    return code, json.loads(out)


def test_a_cold_log_keeps_to_the_published_days(capsys, fridge):
    code, found = told(capsys, "--record", fridge(), "--part", "collar")
    assert code == 0 and found["use_by"]["date"] == "2026-12-19" and found["use_by"]["kind"] == "guidance"
    assert {"organism", "log10_low", "log10", "log10_high", "level", "not_checked"} <= set(found["growth"][0])
    for g in found["growth"]:
        if g["log10"] is not None:
            assert g["log10_low"] <= g["log10"] <= g["log10_high"]


def test_a_warmer_log_shortens_the_days_and_never_lengthens_them(capsys, fridge):
    days = [told(capsys, "--record", fridge(mean=mean), "--part", "collar")[1]["use_by"]["days"] for mean in (1.5, 3.8, 6.0, 8.0)]
    assert days[0] == days[1] == 7.0
    assert days[1] > days[2] > days[3] > 0


def test_a_failed_fridge_is_a_hard_stop(capsys, fridge):
    code, found = told(capsys, "--record", fridge(warm=(40, 54, 18.0)), "--part", "collar")
    assert code == 3 and found["use_by"] is None and "Do not taste" in found["hard_stop"]
    code, out, _ = run(capsys, "--record", fridge(warm=(40, 54, 18.0)), "--part", "collar")
    assert code == 3 and out.strip().splitlines()[-1].startswith("STOP")


def test_ten_days_in_a_pack_without_air(capsys):
    _, found = told(capsys, "--part", "ham-dry", "--fridge", "3.2C", "--vacuum", "--aw", "0.975", "--ph", "5.8")
    pack = [line["days"] for line in found["lines"] if line["kind"] == "pack"]
    assert pack[0] == 10.0
    _, met = told(capsys, "--part", "ham-dry", "--fridge", "3.2C", "--vacuum", "--aw", "0.95", "--ph", "5.8")
    assert not [line for line in met["lines"] if line["kind"] == "pack"]
    _, opened = told(capsys, "--part", "ham-dry", "--fridge", "3.2C", "--vacuum", "--opened", "--aw", "0.975", "--ph", "5.8")
    assert opened["packed"] == "air"


def test_a_band_gives_both_ends(capsys):
    code, found = told(capsys, "--part", "collar", "--fridge", "3C..7C", "--since", "2026-12-12")
    assert found["use_by"]["days"] < found["use_by"]["days_at_cold_end"] == 7.0
    assert found["use_by"]["date"] == "2026-12-15"
    assert code in (0, 4)
    unknown = told(capsys, "--part", "collar")[1]
    assert unknown["use_by"]["days"] == found["use_by"]["days"] and "3 to 7 C" in unknown["notes"][0]


def test_an_acid_food_without_a_meter_cannot_be_told(capsys):
    code, found = told(capsys, "--part", "chutney")
    assert code == 4 and found["level"] == "cannot_say"
    assert any("pH" in g["settle"] for g in found["growth"])
    code, acid = told(capsys, "--part", "chutney", "--ph", "3.6")
    assert code == 0 and acid["use_by"]["days"] == 30.0


def test_past_its_day(capsys):
    code, out, _ = run(capsys, "--part", "bacon", "--fridge", "3C", "--since", "2026-12-01", "--on", "2026-12-12")
    assert code == 3 and "Past its use-by" in out


def test_freezer(capsys):
    code, found = told(capsys, "--part", "raw-pork", "--frozen", "--since", "2026-12-12")
    assert code == 0 and found["where"] == "frozen" and found["use_by"] is None and found["best_by"]["date"] == "2027-04-11"
    assert all(g["answer"] == "outside_range" for g in found["growth"])


@pytest.mark.parametrize("part", ["raw-pork", "bacon", "ham-dry", "loaf"])
def test_past_its_days_of_quality_is_not_past_a_line_of_harm(capsys, part):
    """The published days of a freezer are for quality only (cold storage chart): words, level and exit say so."""
    words = ("--part", part, "--frozen", "--since", "2025-01-01", "--on", "2026-12-12")
    code, found = told(capsys, *words)
    assert (code, found["level"], found["use_by"], found["best_by"]["past"]) == (0, "within", None, True)
    assert {line["kind"] for line in found["lines"]} == {"quality"}
    code, out, _ = run(capsys, *words)
    assert code == 0 and "Past its best since" in out and "not of harm" in out and "use-by" not in out.split("Past its best")[1]
    code, out, _ = run(capsys, *words, "--plain")
    assert code == 0 and "best_by\t" in out and "use_by" not in out


def test_a_freezer_warmer_than_the_published_days_says_so(capsys):
    code, found = told(capsys, "--part", "raw-pork", "--frozen", "--fridge=-12C", "--since", "2026-12-12")
    assert code == 0 and any("quality ends sooner" in n for n in found["notes"])
    assert not any("quality ends sooner" in n for n in told(capsys, "--part", "raw-pork", "--frozen", "--since", "2026-12-12")[1]["notes"])


def test_a_freezer_that_came_warm_is_a_matter_of_harm_again(capsys, tmp_path):
    """A week at -20 C with two days at 12 C in it."""
    rows = [(h, 12.0 if 60 <= h < 108 else -20.0) for h in range(0, 168)]
    log = tmp_path / "freezer.csv"
    log.write_text("time,temperature_c\n" + "".join(f"{h * 3600},{c}\n" for h, c in rows))
    code, found = told(capsys, "--part", "raw-pork", "--frozen", "--record", str(log))
    assert code == 3 and found["level"] == "over"


def test_what_changes_it_is_reckoned_again(capsys):
    _, found = told(capsys, "--part", "collar", "--fridge", "6C")
    colder = next(c for c in found["changes"] if "2 C" in c["act"])
    assert colder["days"] == told(capsys, "--part", "collar", "--fridge", "2C")[1]["use_by"]["days"] > found["use_by"]["days"]


def test_since_before_the_log_is_filled_with_the_warmest_and_said(capsys, fridge):
    _, plain = told(capsys, "--record", fridge(), "--part", "collar")
    _, found = told(capsys, "--record", fridge(), "--part", "collar", "--since", "2026-12-11")
    assert any("not logged" in n for n in found["notes"])
    assert found["growth"][0]["log10"] > plain["growth"][0]["log10"]
    _, later = told(capsys, "--record", fridge(), "--part", "collar", "--since", "2026-12-14T00:00")
    assert later["growth"][0]["log10"] < plain["growth"][0]["log10"]


@pytest.mark.parametrize(
    ("words", "said"),
    [(("--part", "nothing-known"), "not known"), (("--part", "bacon", "--fridge", "7C..3C"), "Swap"), (("--part", "bacon", "--since", "soon"), "not a date"),
     (("--part", "bacon", "--ph", "sour"), "not a number"), (("--part", "bacon", "--fridge", "4"), "scale"), (("--part", "bacon", "--aw", "97"), "water activity"),
     (("--part", "bacon", "--since", "2026-12-12", "--on", "2026-12-01"), "before")],
)  # fmt: skip
def test_refused_with_the_field(capsys, words, said):
    code, _, err = run(capsys, *words)
    assert code == 2 and said in err


def test_fahrenheit_is_asked_and_then_taken(capsys, fridge):
    path = fridge(mean=39.0)
    code, _, err = run(capsys, "--record", path, "--part", "bacon")
    assert code == 2 and "Fahrenheit" in err
    code, found = told(capsys, "--record", path, "--part", "collar", "--unit", "F")
    assert code == 0 and found["use_by"]["days"] > 5


def test_a_cooks_own_part_by_its_cure(capsys, tmp_path):
    """A part nobody shipped: its cure makes it home-cured pork, and its key is in no table."""
    from ingle.ground.tables import data_path

    text = data_path("parts", "collar.toml").read_text(encoding="utf-8")
    (tmp_path / "own.toml").write_text(text.replace('key = "collar"', 'key = "oddment"', 1), encoding="utf-8")
    code, found = told(capsys, "--part", str(tmp_path / "own.toml"), "--fridge", "3C")
    assert code == 0 and found["food"] == "home-cured" and found["use_by"]["days"] == 7.0


def test_every_part_and_food_answers(capsys):
    names = [*keeping.foods(), *(k for f in toml_table("limits", "keeping.toml")["food"].values() for k in f.get("parts", ()))]
    for name in names:
        code, out, err = run(capsys, "--part", name, "--fridge", "3C..5C")
        assert code in (0, 3, 4), (name, err)
        assert all(len(line) <= 80 for line in out.splitlines()), name
        assert "not checked:" in out


def test_published_days_have_their_sources():
    from ingle.ground.tables import sources

    said = toml_table("limits", "keeping.toml")
    for key, row in said.items():
        if key == "food":
            continue
        assert row["source"] in sources() and row["clause"] and row["sure"]
        if "food" in row:
            assert row["food"] in said["food"] and key == f"{row['food']}-{row['where']}"
            assert 0 < row["limit"]["min"] <= row["limit"]["max"] <= 400


def test_help_example_runs():
    from ingle.faces.cli.keep_cmd import command

    assert CliRunner().invoke(command, ["--help"]).exit_code == 0
    assert main(["keep", "--part", "bacon", "--fridge", "3C..7C", "--since", "2026-12-19"]) in (0, 3, 4)
