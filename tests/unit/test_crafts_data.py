"""Every cited band, line and law of the crafts: known words, a source, order, a plausible range."""

from itertools import pairwise

import pytest

from ingle.crafts import _lines
from ingle.ground.sources import SURE
from ingle.ground.tables import toml_table

CRAFTS = ("butter", "bread", "skin", "smoke")
LINES = [(f, k) for f in ("butter", "sauce", "smoke") for k in toml_table("limits", f"{f}.toml")]
BANDS = [(c, k) for c in CRAFTS for k in toml_table("tables", f"practice_{c}.toml")["band"]]
PLAUSIBLE = {"g/g": (0.0, 1.0), "degC": (-20.0, 260.0), "h": (0.0, 200.0), "d": (0.0, 60.0),
             "pH": (0.0, 14.0),
             "min": (0.0, 300.0), "g": (1.0, 5000.0), "K": (0.0, 40.0), "mm": (0.5, 20.0),
             "W/m2K": (1.0, 100.0)}  # fmt: skip


@pytest.mark.parametrize(("craft", "key"), BANDS)
def test_band(craft, key):
    band = _lines.band(craft, key)
    low, high = PLAUSIBLE[band.unit]
    assert low <= band.low <= band.likely <= band.high <= high
    assert band.sure in SURE and band.source
    assert band.sure == "common practice" or band.doubt or band.sure in ("memory", "quoted")


@pytest.mark.parametrize(("file", "key"), LINES)
def test_a_line_just_inside_on_it_and_just_beyond(file, key):
    said = toml_table("limits", f"{file}.toml")[key]
    edge, margin, inward = _lines.line_value(file, key), said["margin"], -1 if "max" in said["limit"] else 1
    assert PLAUSIBLE[said["limit"]["unit"]][0] <= edge <= PLAUSIBLE[said["limit"]["unit"]][1]
    assert _lines.judged(file, key, edge + inward * (margin * 1.01 + 1e-4 * abs(edge)), "act").level == "within"
    assert _lines.judged(file, key, edge, "act").level == ("near" if margin else "within")
    assert _lines.judged(file, key, edge - inward * 1e-4 * abs(edge), "act").level == "over"
    assert _lines.judged(file, key, None, "act").level == "cannot_say"
    assert _lines.judged(file, key, float("nan"), "act").level == "cannot_say"
    assert said["sure"] in SURE and said["source"] and said["clause"]


def test_sources_of_the_crafts_are_described():
    known = set(toml_table("sources.toml"))
    asked = {toml_table("limits", f"{f}.toml")[k]["source"] for f, k in LINES} | {_lines.band(c, k).source for c, k in BANDS}
    asked |= {note.source for c in ("butter", "smoke") for note in _lines.notes(c)}
    for file in ("solutions", "dough", "dairy", "boiling"):
        for said in toml_table("laws", f"{file}.toml").values():
            asked |= {said["source"]} if "source" in said else {law["source"] for law in said.values()}
    asked.add(toml_table("laws", "acids.toml")["source"])
    assert asked <= known, asked - known


def test_no_text_says_the_bare_word():
    from ingle.ground.tables import data_path

    for folder, names in (
        ("limits", ("butter", "sauce", "smoke")),
        ("tables", tuple(f"practice_{c}" for c in CRAFTS)),
    ):
        for name in names:
            words = data_path(folder, f"{name}.toml").read_text("utf-8").lower().replace(",", " ").replace(".", " ").split()
            assert "safe" not in words


def test_tables_rise():
    for name in ("wnt_1974_nacl_density_20c", "salt_institute_nacl_saturation"):
        for column in _lines.columns(name).values():
            assert all(b > a for a, b in pairwise(column))


def test_practice_is_listed_in_words_with_its_unit():
    """What a figure of practice leads to: a line that a person reads, no key of the data."""
    from ingle.jobs.sources import records

    told = {r.key: r for r in records() if r.file.startswith("tables/practice_")}
    assert set(told) >= {f"practice.{c}.{k}" for c, k in BANDS} | {f"practice.{c}.{n.key}" for c in ("butter", "smoke") for n in _lines.notes(c)}
    assert told["practice.butter.churn_temperature_c"].words == "10 to 18, usually 12 C"
    assert told["practice.bread.cold_proof_stop_h"].words == "72 h"
    assert all(r.about and "_" not in r.about for r in told.values())
    assert len({r.about for r in told.values()}) == len(told)
