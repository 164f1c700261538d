"""A piece that was not measured: as thick as its weight allows, told so, and never ready sooner than one that was."""

from dataclasses import replace

import pytest

from ingle.crafts.cure import forecast
from ingle.crafts.cure.mix import mix
from ingle.crafts.cure.thick import as_measured, assumed_words, thick_range
from ingle.ground.things import Piece
from ingle.jobs.cure import cure


def test_the_range_is_that_of_a_flat_piece_and_a_cube_of_the_weight():
    told = thick_range(1070.0)  # a litre of lean at 1.07 g/cm3: a cube of 100 mm; 1 to 2 to 3 is 55.03 mm thick
    assert (told.low, told.high) == (55.0, 100.0)
    assert thick_range(8 * 1070.0).high == 200.0


@pytest.mark.parametrize("grams", [150.0, 900.0, 1380.0, 6000.0])
def test_no_flatter_piece_of_that_weight_is_promised_later(grams):
    blind = Piece(grams)
    late = forecast.window(as_measured(blind), 0.025, 4.0)
    told = thick_range(grams)
    for thick in (told.low, (told.low + told.high) / 2, told.high):
        seen = forecast.window(replace(blind, thickness_mm=thick), 0.025, 4.0)
        assert late.earliest_h >= seen.earliest_h - 1e-9 and late.latest_h >= seen.latest_h - 1e-9


def test_a_measured_piece_is_left_and_nothing_is_assumed():
    piece = Piece(1380, 50)
    assert as_measured(piece) is piece and assumed_words(piece) == ()
    assert cure(piece, mix([("salt", "34g")])).assumed == ()


def test_the_answer_says_what_was_taken():
    answer = cure(Piece(1380), mix([("salt", "34g")]))
    assert answer.piece.thickness_mm == 109.0
    said = answer.as_dict()["assumed"][0]
    assert "60 mm thick (flat) to 109 mm (a cube)" in said and "timed as 109 mm" in said and "Push a skewer" in said
