"""The brief: the form of docs/files.md is read as written, local times become aware, wishes keep their ranks."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ingle.ground.errors import BadBrief
from ingle.ground.tables import data_path
from ingle.planning.brief import brief_from, read_brief

AS_WRITTEN = """
[meal]
name = "Fernhollow midwinter table"
at = 2026-12-19T18:30:00
zone = "Europe/London"
plates = 18
plan_from = 2026-11-27T07:00:00
rules = ["gb"]
use = "table"
ready_chance = 0.95
[[serve]]
part = "collar"
grams_per_plate = "60g"
pieces = [{ weight = "1.38kg", thickness = "50mm", shape = "slab", skin = "none" },
          { weight = "3 lb 1 oz", started = 2026-11-25T20:00:00, box = true, liquid = "kept", \
added = { salt = "34g", "curing-salt@6.25%" = "2.6g" } }]
[use]
kit = "kitchen.toml"
parts = []
[[wish]]
kind = "sleep"
rank = 2
"""


def brief(text: str = AS_WRITTEN, **swaps: str):
    for old, new in swaps.items():
        text = text.replace(old, new)
    return brief_from(tomllib.loads(text), Path("/somewhere"))


def test_the_form_of_the_page_is_read():
    b = brief()
    assert (b.name, b.plates, b.rules, b.use, b.ready_chance) == (
        "Fernhollow midwinter table",
        18,
        ("gb",),
        "table",
        0.95,
    )
    assert b.at.isoformat() == "2026-12-19T18:30:00+00:00"
    assert b.kit_path == Path("/somewhere/kitchen.toml")
    assert b.night == (22 * 60, 6 * 60)
    first, second = b.serve[0].pieces
    assert (first.piece.weight_g, first.piece.thickness_mm, first.piece.skin, first.begun) == (
        1380,
        50,
        "none",
        None,
    )
    assert second.piece.weight_g == pytest.approx(
        3 * 453.59237 + 28.349523125, abs=1e-9
    )  # international pound and ounce
    assert second.piece.thickness_mm is None
    assert second.begun.started == datetime(2026, 11, 25, 20, tzinfo=UTC)
    assert second.begun.added_g == {"salt": 34.0, "curing-salt@6.25%": 2.6}
    assert (second.begun.box, second.begun.liquid) == (True, "kept")


def test_a_summer_time_is_an_hour_from_utc():
    b = brief(AS_WRITTEN.replace("2026-12-19T18:30:00", "2027-06-19T18:30:00"))
    assert b.at.astimezone(UTC) == datetime(2027, 6, 19, 17, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("2027-03-28T01:30:00", "does not exist"),
        ("2026-10-25T01:30:00", "comes twice"),
    ],  # clock changes in Great Britain
)
def test_hours_the_clocks_skip_or_repeat_are_refused_in_words(said, words):
    text = (
        AS_WRITTEN.replace("2026-12-19T18:30:00", said)
        .replace("2026-11-27", "2026-10-01")
        .replace("2026-11-25", "2026-09-25")
    )
    with pytest.raises(BadBrief, match=words) as why:
        brief(text)
    assert why.value.field == "meal.at"


def test_the_hours_beside_a_change_of_clocks_are_taken():
    text = AS_WRITTEN.replace("2026-11-27", "2026-10-01").replace("2026-11-25", "2026-09-25")
    for hour, offset in (("2026-10-25T00:59:00", 1), ("2026-10-25T02:00:00", 0)):
        assert (
            brief(text.replace("2026-12-19T18:30:00", hour)).at.utcoffset().total_seconds() == offset * 3600
        )


def test_wishes_stand_at_their_rank_and_the_rest_keep_their_order():
    assert brief().wishes == ("freshness", "sleep", "visits", "slack")
    text = AS_WRITTEN.replace("rank = 2", "rank = 4") + '[[wish]]\nkind = "slack"\nrank = 1\n'
    assert brief(text).wishes == ("slack", "freshness", "visits", "sleep")
    assert brief(AS_WRITTEN[: AS_WRITTEN.index("[[wish]]")]).wishes == ("sleep", "freshness", "visits", "slack")


def test_a_named_country_twice_counts_once_and_none_is_the_strictest():
    assert brief(AS_WRITTEN.replace('["gb"]', '["gb", "us", "gb"]')).rules == ("gb", "us")
    assert brief(AS_WRITTEN.replace('rules = ["gb"]', "")).rules == ()


def test_weight_and_sides_must_agree_within_15_percent():
    # 50 x 120 x 200 mm at 1070 kg/m3 is 1284 g
    fits = 'weight = "{}", thickness = "50mm", width = "120mm", length = "200mm"'
    for weight, taken in (
        ("1.284kg", True),
        ("1.48kg", True),
        ("1.12kg", True),
        ("1.52kg", False),
        ("1.1kg", False),
    ):
        text = AS_WRITTEN.replace('weight = "1.38kg", thickness = "50mm"', fits.format(weight))
        if taken:
            brief(text)
        else:
            with pytest.raises(Exception, match="1284 g"):
                brief(text)


def test_now_stands_in_where_plan_from_is_left_out():
    text = AS_WRITTEN.replace("plan_from = 2026-11-27T07:00:00\n", "")
    now = datetime(2026, 11, 30, 9, tzinfo=UTC)
    assert brief_from(tomllib.loads(text), Path(), now=now).plan_from == now
    with pytest.raises(BadBrief, match="plan_from"):
        brief(text)


def test_the_shipped_examples_are_read_and_say_that_they_are_invented():
    for name in ("fernhollow", "stall"):
        path = data_path("examples", name, f"{name}.toml")
        assert "Invented" in path.read_text(encoding="utf-8").splitlines()[0]
        assert read_brief(path).kit_path.is_file()
