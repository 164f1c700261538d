"""Lowe, Experimental Cookery: how far roasts climbed once they were out of the oven; what is counted on is no more than that."""

from tools.climb_at_rest import rows

from ingle.ground.tables import sources, toml_table


def test_what_is_counted_on_is_the_printed_range():
    said = toml_table("laws", "cooking.toml")["climb"]
    climbs = [row.climb for row in rows()]
    assert (said["low"], said["high"]) == (min(climbs), max(climbs)) == (1.0, 5.0)
    assert said["source"] in sources() and said["sure"] == "quoted" and said["doubt"]


def test_each_row_stands_in_the_clause():
    clause = toml_table("laws", "cooking.toml")["climb"]["clause"]
    assert all(f"{row.out_c:g} to {row.highest_c:g}" in clause for row in rows())
    assert all(3.0 < row.kg < 8.5 for row in rows())  # "3 to 8 kg each"
