"""Several pieces that a hand laid in as one box: each with its own window, as those of a plan have, and moved by what is put right."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from ingle.crafts.cure import forecast
from ingle.crafts.cure.mix import CuringSalt
from ingle.ground.things import Piece
from ingle.jobs import kitchen as kitchens
from ingle.jobs import record
from ingle.jobs.begun import begun
from ingle.jobs.book import leaf
from ingle.jobs.today import today
from ingle.notebook.models import Batch
from ingle.notebook.store import open_notebook
from ingle.planning.doses import dose_of, ready
from ingle.planning.parts import CureSpec
from ingle.planning.pieces import Box

AT = datetime(2025, 12, 4, 18, 0, tzinfo=UTC)
CUTS = (Piece(1200.0, 40.0, name="A"), Piece(900.0, 55.0, name="B"), Piece(800.0, None, name="C"))
SALT_G = 0.025 * 2900


@pytest.fixture
def book(tmp_path):
    with open_notebook(tmp_path / "own.notebook", create=True) as notebook:
        kitchens.begin(notebook, "Test", zone="Europe/London")
        yield notebook


def said(book, code):
    """What the batch keeps of its forecast."""
    with book.look() as session:
        return session.query(Batch).filter_by(code=code).one().forecast


def waits(book, code):
    """What goes on by itself, at the hour after it was laid in."""
    return next(w for w in today(book, now=AT + timedelta(hours=1)).waiting if w.batch == code)


def test_each_piece_of_a_box_has_the_window_it_would_have_alone_at_the_boxs_salt(book):
    code = begun(book, "Collar", CUTS, {"salt": SALT_G}, at=AT).code
    row = waits(book, code)
    assert [p.name for p in row.pieces] == ["A", "B", "C"] and [p.assumed for p in row.pieces] == [False, False, True]
    for piece, cut in zip(row.pieces[:2], CUTS[:2], strict=True):
        alone = forecast.window(cut, 0.025, 4.0, wished=0.025)
        assert [(t - AT) / timedelta(hours=1) for t in piece.ready] == pytest.approx([alone.earliest_h, alone.likely_h, alone.latest_h], rel=1e-9)
    pull = AT + timedelta(hours=said(book, code)["pull_h"])
    assert row.until == pull >= max(p.ready[1] for p in row.pieces)  # the box waits for the slowest
    assert row.ready == row.pieces[2].ready  # which is the one nobody measured


def test_a_box_by_hand_and_the_same_box_of_a_plan_are_told_alike(book):
    cuts = CUTS[:2]
    code = begun(book, "Collar", cuts, {"salt": 52.5}, at=AT).code
    cure = CureSpec("equilibrium", 0.025, 0.0, 0.0625)
    dose = replace(dose_of("collar", cure, Box("", cuts), 0.1), packet=CuringSalt(0.0625))
    planned = ready(dose, cure, 4.0, None, 0.95)
    by_hand = said(book, code)
    assert by_hand["pull_h"] == pytest.approx(planned.least_h, rel=0.01)  # salt is weighed to 0.1 g by the plan
    for told, (_, window) in zip(by_hand["pieces"], planned.each, strict=True):
        assert told["ready_h"] == pytest.approx([window.earliest_h, window.likely_h, window.latest_h], rel=0.01)


def test_pieces_weighed_laid_in_and_dosed_one_after_another_by_command_are_timed_when_the_last_has_its_salt(book):
    codes = [kitchens.cut(book, c, at=AT).code for c in CUTS[:2]]
    code = kitchens.lay_in(book, "Loin", part="loin", craft="cure", takes=codes, at=AT).code
    record.dose(book, codes[0], {"salt": 30.0}, at=AT)
    assert not said(book, code).get("quantiles_h")  # B has none yet
    record.dose(book, codes[1], {"salt": 27.0}, at=AT)
    first = waits(book, code)
    assert [p.name for p in first.pieces] == ["A", "B"]
    alone = forecast.window(CUTS[1], 0.03, 4.0, wished=0.03)  # B by its own dose
    assert (first.pieces[1].ready[1] - AT) / timedelta(hours=1) == pytest.approx(alone.likely_h, rel=1e-6)


def test_a_dose_put_right_and_a_dose_withdrawn_move_the_forecast(book):
    code = begun(book, "Collar", CUTS[:2], {"salt": 52.5}, at=AT).code
    before = said(book, code)
    row = leaf(book, code).entries[0].now.uid
    record.correct(book, "dose", row, weighed_g=94.5)
    after = said(book, code)
    assert (before["excess"], after["excess"]) == (False, True)  # 4.5 % is far above what is wished: it is pulled at its hour
    assert after["of"] != before["of"] and after["pieces"][0]["ready_h"][1] < before["pieces"][0]["ready_h"][1]
    newer = leaf(book, code).entries[0].now.uid
    record.correct(book, "dose", newer, void=True)
    assert not said(book, code).get("quantiles_h") and said(book, code)["temperature_c"] == 4.0  # how cold it lies is remembered


def test_a_green_weight_put_right_moves_it_and_a_weight_in_the_cure_does_not(book):
    codes = [kitchens.cut(book, c, at=AT).code for c in CUTS[:2]]
    code = kitchens.lay_in(book, "Loin", part="loin", craft="cure", takes=codes, at=AT).code
    record.dose(book, code, {"salt": 52.5}, at=AT + timedelta(minutes=30))
    first = said(book, code)
    record.reading(book, codes[0], weight_g=1150.0, at=AT + timedelta(days=3))
    assert said(book, code) == first
    record.reading(book, codes[0], weight_g=1000.0, at=AT + timedelta(minutes=10))
    assert said(book, code)["pieces"][0]["weight_g"] == 1000.0 and said(book, code)["of"] != first["of"]


def test_the_same_box_sent_twice_is_written_once_also_after_its_forecast_moved(book):
    uid = "0b7c6c0e-4f2a-4a66-9d2e-111111111111"
    one = begun(book, "Collar", CUTS, {"salt": SALT_G}, at=AT, uid=uid)
    record.correct(book, "dose", leaf(book, one.code).entries[0].now.uid, weighed_g=80.0)
    again = begun(book, "Collar", CUTS, {"salt": SALT_G}, at=AT, uid=uid)
    assert again.code == one.code and len(leaf(book, one.code).pieces) == 3


def test_a_premix_and_a_brine_are_not_timed_as_a_dry_cure(book):
    for doses in ({"salt": 50.0, "premix": 20.0}, {"salt": 50.0, "water": 1000.0}):
        codes = [kitchens.cut(book, c, at=AT).code for c in CUTS[:2]]
        code = kitchens.lay_in(book, "Loin", part="loin", craft="cure", takes=codes, at=AT).code
        record.dose(book, code, doses, at=AT)
        assert not said(book, code).get("quantiles_h")


def test_twelve_pieces_in_one_box_are_worked_out_once(book, monkeypatch):
    from ingle.jobs import box_forecast

    asked = []
    real = box_forecast.windows
    monkeypatch.setattr(box_forecast, "windows", lambda *a, **k: asked.append(len(a[0])) or real(*a, **k))
    cuts = [Piece(1000.0 + 10 * n, 40.0 + n, name=f"P{n}") for n in range(12)]
    code = begun(book, "Loin", cuts, {"salt": 316.5}, at=AT).code
    for p in leaf(book, code).pieces:
        record.reading(book, p.code, weight_g=p.green_g * 0.98, at=AT + timedelta(days=2))
    assert asked == [12] and len(waits(book, code).pieces) == 12


def test_the_forecast_goes_out_and_comes_back_as_it_is(book):
    code = begun(book, "Collar", CUTS, {"salt": SALT_G}, at=AT).code
    assert json.loads(json.dumps(said(book, code))) == said(book, code)
