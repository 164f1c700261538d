"""Times above a line, the product behind its air, the picture that keeps its peaks; smoke and cooling by their own judges."""

from datetime import UTC, datetime

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ingle.crafts.smoke import Session, check
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.tables import source, toml_table
from ingle.jobs.read import read
from ingle.notebook import logs_limits as lines
from ingle.notebook.logs import Answers, Track
from ingle.notebook.logs_out import thinned
from ingle.notebook.logs_runs import joined, lag_s, lagged, runs_above
from ingle.safety import cooling

MIN = 60_000
START = int(datetime(2026, 2, 1, tzinfo=UTC).timestamp() * 1000)


def track(values: list[float] | np.ndarray, step_min: float = 5.0, kind: str = "air") -> Track:
    v = np.asarray(values, dtype=float)
    return Track("shelf", kind, "C", START + (np.arange(v.size) * step_min * MIN).astype(np.int64), v)


# -- runs --------------------------------------------------------------------------------------------------------------


def test_a_run_begins_and_ends_where_the_straight_line_crosses() -> None:
    t = track([4, 6, 6, 4])
    (run,) = runs_above(t.ms, t.values, 5.0, 7200)
    assert (run.start - START, run.end - START) == (2.5 * MIN, 12.5 * MIN)
    assert run.peak == 6 and not run.open


@pytest.mark.parametrize(("peak", "crossed"), [(4.999, False), (5.0, False), (5.001, True)])
def test_at_a_line_is_within_it(peak: float, crossed: bool) -> None:
    t = track([4, peak, 4])
    assert bool(runs_above(t.ms, t.values, 5.0, 7200)) is crossed


def test_runs_agree_with_counting_seconds_one_by_one() -> None:
    rng = np.random.default_rng(3)
    t = track(4.5 + np.cumsum(rng.normal(0, 0.4, 400)) * 0.2)
    fine = np.arange(t.ms[0], t.ms[-1], 1000)
    above = (np.interp(fine, t.ms, t.values) > 5.0).sum()  # an independent count, by the second
    runs = runs_above(t.ms, t.values, 5.0, 7200)
    assert sum(r.above_ms for r in runs) / 1000 == pytest.approx(above, abs=2 * len(runs) + 1)


def test_nothing_is_made_up_in_a_pause() -> None:
    t = track([6, 6, 6])
    ms = t.ms + np.array([0, 0, 5 * 3_600_000])
    first, second = runs_above(ms, t.values, 5.0, 7200)
    assert first.open and first.above_ms == 5 * MIN and second.above_ms == 0


def test_runs_within_ten_minutes_are_one_with_a_count() -> None:
    t = track([4, 6, 4, 4, 6, 4, 4, 4, 4, 4, 6, 4])
    runs = joined(runs_above(t.ms, t.values, 5.0, 7200), lines.same_cause_ms())
    assert [r.count for r in runs] == [2, 1]


# -- the product behind the air ----------------------------------------------------------------------------------------


def test_a_step_and_a_ramp_are_answered_as_text_books_have_it() -> None:
    """First-order system: step 1 - e^(-t/tau), ramp t - tau (1 - e^(-t/tau)); Ogata, Modern Control Engineering, ch. 5."""
    tau = 3600.0
    ms = (np.arange(0, 6 * 3600, 60) * 1000).astype(np.int64)
    s = ms / 1000
    step = lagged(ms, np.full(ms.size, 10.0), tau, start_c=4.0)
    assert step == pytest.approx(4 + 6 * (1 - np.exp(-s / tau)), abs=1e-9)
    ramp = lagged(ms, 4 + s / 3600, tau, start_c=4.0)
    assert ramp == pytest.approx(4 + (s - tau * (1 - np.exp(-s / tau))) / 3600, abs=1e-9)


def test_uneven_readings_agree_with_a_general_solver() -> None:
    rng = np.random.default_rng(5)
    s = np.cumsum(rng.uniform(5, 900, 400))
    air = 4 + 3 * rng.random(400)
    ms = np.round(s * 1000).astype(np.int64)
    tau = 2000.0
    mine = lagged(ms, air, tau)
    told = solve_ivp(lambda t, y: (np.interp(t, ms / 1000, air) - y) / tau, (ms[0] / 1000, ms[-1] / 1000), [air[0]], t_eval=ms[[50, 200, 399]] / 1000,
                     rtol=1e-8, atol=1e-9, max_step=50)  # fmt: skip
    assert mine[[50, 200, 399]] == pytest.approx(told.y[0], abs=1e-5)


def test_long_records_and_very_slow_steps_keep_their_digits() -> None:
    ms = (np.arange(0, 400 * 86_400, 3600) * 1000).astype(np.int64)
    air = np.where(np.arange(ms.size) % 24 < 2, 8.0, 3.0)
    mine = lagged(ms, air, 600.0)
    assert mine.min() >= 3.0 - 1e-9 and mine.max() <= 8.0 + 1e-9
    assert mine[-24:] == pytest.approx(mine[-48:-24], abs=1e-9)  # a year in, the same day comes out


def test_a_lag_that_is_none_is_refused() -> None:
    with pytest.raises(OutOfRange):
        lagged(np.array([0, 1000]), np.array([4.0, 4.0]), 0.0)


def test_a_thicker_piece_lags_in_proportion() -> None:
    thin, thick = lag_s(20.0)[0], lag_s(60.0)[0]
    assert thick == pytest.approx(3 * thin)
    # rho c (d/2) / h = 3.7e6 * 0.010 / 10 [s], by hand
    assert thin == pytest.approx(3700.0, rel=1e-6)
    assert lag_s()[0] == thin


# -- deviations --------------------------------------------------------------------------------------------------------


def fridge(values: np.ndarray, kind: str = "air", countries: tuple[str, ...] = ("us",)) -> tuple:
    t = track(values, kind=kind)
    some = lines.lines_of("fridge", countries)
    product = lines.behind(t, *lag_s()) if kind == "air" else None
    return lines.deviations(t, some[0], product, UTC), lines.verdicts(t, some, product)


def test_a_door_is_a_note_and_its_verdict_is_near_the_line() -> None:
    air = np.full(288, 3.5)
    air[100] = 9.0
    found, verdicts = fridge(air)
    assert [d.level for d in found] == ["note"]
    assert found[0].peak == 9.0 and found[0].product_peak is not None and found[0].product_peak < 5.0
    assert verdicts[0].level == "near" and verdicts[0].high == 9.0  # the product stays within, its air does not
    assert fridge(np.where(air > 5, 9.0, air), kind="core")[1][0].level == "over"  # the same in the food is over


@pytest.mark.parametrize(("hours", "level"), [(2, "today"), (6, "stop")])
def test_a_warm_time_is_acted_on_by_its_length(hours: int, level: str) -> None:
    air = np.full(400, 3.5)
    air[100 : 100 + hours * 12] = 9.0
    found, verdicts = fridge(air)
    (d,) = [d for d in found if d.level != "note"]
    assert d.level == level and d.act and d.deadline is not None and d.ended is not None
    assert verdicts[0].level == "over"
    assert d.above_s == pytest.approx(hours * 3600, abs=600)
    if level == "stop":  # four hours from when the product passed the line, Food Code 3-501.19(B)
        assert (d.deadline - d.began).total_seconds() == pytest.approx(4 * 3600 + 1000, abs=1000)
    else:
        assert (d.deadline.hour, d.deadline.minute) == (0, 0)


def test_what_still_is_warm_at_the_end_stays_open() -> None:
    air = np.full(200, 3.5)
    air[150:] = 9.0
    found, _ = fridge(air)
    assert found[0].level == "stop" and found[0].ended is None and "now" in found[0].act


@pytest.mark.parametrize(("countries", "limit"), [((), 5.0), (("us",), 5.0), (("gb",), 8.0), (("eu",), 5.0)])
def test_the_law_of_the_country_decides_and_the_strictest_where_none_is_named_or_known(countries: tuple[str, ...], limit: float) -> None:
    assert lines.lines_of("fridge", countries)[0].max_c == limit
    assert [ln.kind for ln in lines.lines_of("fridge", ("gb",))] == ["law", "advice"]


@pytest.mark.parametrize("key", [k for k, r in toml_table("limits", "holding.toml").items() if "place" in r])
def test_every_line_answers_just_below_at_and_above(key: str) -> None:
    said = toml_table("limits", "holding.toml")[key]
    limit = said["limit"]["max"]
    line = next(ln for ln in lines.lines_of("fridge") if ln.rule == f"holding.{key}")
    assert source(line.source).title and line.clause and line.sure in ("quoted", "memory", "derived", "common practice")
    for peak, level in ((limit - 0.01, "within"), (limit, "within"), (limit + 0.01, "over")):
        assert lines.verdicts(track([peak] * 4, kind="core"), (line,), None)[0].level == level


def test_two_probes_that_warm_together_are_one_line() -> None:
    rows = "\n".join(f"2026-02-01T{i // 12:02d}:{i % 12 * 5:02d}:00Z,{9 if 60 <= i < 140 else 4},{8 if 61 <= i < 139 else 3}" for i in range(288))
    answer = read(f"time,top (C),low (C)\n{rows}\n".encode(), place="fridge", countries=("us",))
    (d,) = [d for d in answer.deviations if d.level != "note"]
    assert d.probe == "top, low" and d.count == 2 and d.peak == 9
    assert answer.level == "over" and len(answer.behind) == 2


def test_a_smoker_is_judged_by_its_craft_and_its_runs_are_found() -> None:
    temps = [18.0] * 24 + [31.0] * 6 + [18.0] * 24
    rows = "\n".join(f"2026-02-01T{i // 12:02d}:{i % 12 * 5:02d}:00Z,{c}" for i, c in enumerate(temps))
    answer = read(f"time,chamber (C)\n{rows}\n".encode(), place="smoker")
    told = check("meat", [Session(tuple(i / 12 for i in range(len(temps))), tuple(temps))])
    assert answer.level == told.level == "over"
    assert [(v.rule, v.level) for v in answer.verdicts] == [(v.rule, v.level) for v in told.verdicts]
    (d,) = answer.deviations
    assert (d.level, d.rule, d.peak) == ("today", "smoke.stop", 31.0) and d.ended is not None
    with pytest.raises(BadBrief):
        read(f"time,chamber (C)\n{rows}\n".encode(), place="smoker", hanging="stockings")


def test_a_cooling_is_judged_by_the_rules_on_cooling() -> None:
    minutes = np.arange(0, 14 * 60, 5)
    core = 3 + 69 * np.exp(-minutes / 300.0)
    rows = "\n".join(f"{m * 60},{c:.2f},4" for m, c in zip(minutes, core, strict=True))
    answer = read(f"s,core (C),air (C)\n{rows}\n".encode(), Answers(start=datetime(2026, 2, 1, tzinfo=UTC)), place="cooling", countries=("us",))
    told = cooling.judge(minutes * 60.0, np.round(core, 2), countries=("us",), is_celsius=True)
    assert [(s.rule, s.segment, s.level) for s in answer.stages] == [(s.rule, s.segment, s.level) for s in told]
    assert answer.level == cooling.worst(told) == "over"
    assert answer.deviations and all(d.rule.startswith("cooling.") and d.act for d in answer.deviations)


def moved_probe() -> bytes:
    """A core in five-minute readings; for half an hour it reads 12 K more, as a probe nearer to the face or in the air does."""
    minutes = np.arange(0, 750, 5)
    core = 4 + 68 * np.exp(-minutes / 117.0)
    core[60:66] = 18.0
    return ("s,core (C)\n" + "\n".join(f"{m * 60},{c:.1f}" for m, c in zip(minutes, core, strict=True)) + "\n").encode()


@pytest.mark.parametrize(("thickness", "moved", "asked"), [(None, None, False), (50.0, None, False), (150.0, None, True), (150.0, False, False)])
def test_the_thickness_of_the_piece_shows_a_probe_that_was_moved(thickness: float | None, moved: bool | None, asked: bool) -> None:
    """The middle of a ball 150 mm thick moves by at most 5.92 a 100 K / L^2, 5 K in five minutes; that of one of 50 mm by 48 K."""
    start = Answers(start=datetime(2026, 2, 1, tzinfo=UTC))
    answer = read(moved_probe(), start, place="cooling", countries=("gb",), thickness_mm=thickness, moved=moved)
    words = "whether the probe was moved or failed: 6 readings of 18.0 C from 5 h to 5 h 25 min into the record"
    assert any(n.startswith(words) for s in answer.stages for n in s.not_checked) is asked
    assert any("say so, and every reading counts" in n for n in answer.notes) is asked


# -- the picture -------------------------------------------------------------------------------------------------------


def test_every_peak_survives_thinning() -> None:
    rng = np.random.default_rng(1)
    ms = np.arange(0, 1_000_000_000, 1000, dtype=np.int64)
    values = 4 + rng.normal(0, 0.1, ms.size)
    spikes = rng.choice(ms.size, 20, replace=False)
    values[spikes] = np.linspace(9, 20, 20)
    at, kept = thinned(ms, values, 600)
    assert at.size <= 2400 and kept.max() == values.max() and kept.min() == values.min()
    assert (np.diff(at) > 0).all() and at[0] == ms[0] and at[-1] == ms[-1]
    for i in spikes:  # in the bucket of each spike something at least as high is drawn
        bucket = np.abs(at - ms[i]) <= (ms[-1] - ms[0]) / 600 + 1
        assert kept[bucket].max() >= values[i]
