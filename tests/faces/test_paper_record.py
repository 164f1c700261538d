"""The record and the recall sheet: what the notebook holds is on the paper, corrections beside what they correct."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime

import pypdfium2
import pytest
from tests.faces.paper_pages import Printed
from tests.faces.sample_book import fill

from ingle.faces.paper import press
from ingle.faces.paper.labels import pack_labels
from ingle.faces.paper.record import recall_sheet, record
from ingle.ground.errors import BadBrief
from ingle.jobs import dossier_read
from ingle.jobs.dossier import Came, Packed, Recall
from ingle.jobs.label import label
from ingle.jobs.label_book import pack_of
from ingle.notebook.store import open_notebook

PRINTED = datetime(2024, 12, 2, 9, 30)


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    with open_notebook(str(tmp_path_factory.mktemp("book") / "book"), create=True) as notebook:
        yield notebook, fill(notebook)


@pytest.fixture(scope="module")
def lot(book):
    return dossier_read.of_lot(book[0], book[1]["lot"])


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_record_of_a_lot_holds_every_row_limit_deviation_and_act(lot, paper):
    sheet = Printed(record(lot, on=paper, printed=PRINTED))
    told = sheet.text.replace("\u00a0", " ")
    assert sheet.size_mm()[0] > sheet.size_mm()[1]
    for words in (
        "FH-IN-241102-A", "Oakmere Farm", "OM-2231", "118 mg/kg", "at most 150 mg/kg", "not checked: what smoke adds", "7.8 °C", "at most 5 °C",
        "FDA Food Code", "over the line", "within", "Deviation, today:", "Corrective action", "Cause found: door left ajar", "Control: 3.9 °C after 2 h",
        "a hook on the door", "Food: kept", "Closed.", "1.2845 kg; even, mild", "Mill Lane stall", "101 g", "± 0.2 g", "outside: taken out of use",
        "Limits as they were in force", "Review", "memory", "quoted", "going to done", "curing salt, 6.25 %", "printed Mon 2 Dec 2024, 09:30", "page 1 of",
    ):  # fmt: skip
        assert words in told or words.replace(" ", "") in sheet.letters.replace("\u00a0", ""), words
    for i in range(len(sheet.pages)):
        assert 0.005 < sheet.ink(i) < 0.4 and sheet.inside(12, 12, 12, 4, i)
    assert min(s for i in range(len(sheet.pages)) for s in sheet.sizes(i)) >= 1.9  # the question mark in a silhouette


def test_a_correction_stands_beside_what_it_corrects_and_both_can_be_read(lot):
    row = next(r for r in lot.batches[0].rows if r.value == "4.6 °C")
    assert [(w.value, w.who) for w in row.was] == [("46 °C", "CD")] and "by AB: the point was missed" in row.was[0].why and row.who == "AB"
    sheet = Printed(record(lot, printed=PRINTED))
    assert "46°C" in sheet.letters and "4.6°C" in sheet.letters and "thepointwasmissed" in sheet.letters
    struck = next(c for p in sheet.pages for c in p.chars if c["text"] == "4")
    page = next(p for p in sheet.pages if "46" in (p.extract_text() or ""))
    at = next(w for w in page.extract_words() if w["text"].startswith("46"))
    assert any(ln["x0"] <= at["x0"] + 1 and ln["x1"] >= at["x0"] + 3 and at["top"] < ln["top"] < at["bottom"] for ln in page.lines), struck
    gone = next(r for r in lot.batches[0].rows if r.withdrawn)
    assert gone.was[0].value == "13.3 g" and "withdrawn" in sheet.letters


def test_late_entries_say_when_they_were_written(lot):
    dosed = next(r for r in lot.batches[0].rows if "weighed in: salt" in r.what)
    assert dosed.entered is not None and dosed.entered.year >= 2025 and dosed.limit == "planned 29.4 g"


def test_a_month_holds_the_kitchens_own_readings_and_the_instruments_of_the_time(book):
    told = dossier_read.of_month(book[0], date(2024, 11, 1))
    assert told.title == "November 2024" and [b.code for b in told.batches] == [book[1]["batch"]]
    assert [r.value for r in told.kitchen_rows] == ["3.8 °C"] and {t.name for t in told.instruments} == {"probe", "scale 0.1 g"}
    assert [c.within for t in told.instruments for c in t.checks] == [False, True]
    empty = dossier_read.of_month(book[0], date(2024, 12, 1))
    assert not empty.batches and [len(t.checks) for t in empty.instruments] == [1, 1]  # the last check before it
    assert "No batch was going in this time." in Printed(record(empty, printed=PRINTED)).text


def test_the_recall_sheet_counts_what_went_where(book):
    notebook, codes = book
    told = dossier_read.recall(notebook, codes["lot"], "supplier's notice")
    sheet = Printed(recall_sheet(told, printed=PRINTED))
    assert "6 packs made, 2 left here, 4 handed out to 2 takers" in sheet.text and "01632 960 001" in sheet.text
    assert "supplier's notice" in sheet.text and "OM-2231" in sheet.text and codes["pack"] in sheet.text
    pens = [r for r in sheet.rects() if abs(r[1] - 9) < 0.1 and r[0] > 11]
    assert len(pens) == 3 * 2
    assert dossier_read.recall(notebook, codes["pack"]).lots == told.lots


def _called_back(packs, each, takers):
    """A lot that went into many kinds of packs, each handed out several times."""
    at = [datetime(2024, 11, 20 + n % 3, 9) for n in range(packs * each)]
    made = tuple(
        Packed(f"FH-K-{n}", "smoked belly", 4 * each, "180 g", n % 3, date(2024, 12, 24),
               tuple((f"taker {(n * each + k) % takers}", "01632 960 001", 1 + k % 3, at[n * each + k]) for k in range(each)))
        for n in range(packs)
    )  # fmt: skip
    return Recall("FH-IN-1", "salt", "Fernhollow", "", (Came("FH-IN-1", "salt"),), (), made)


def test_a_taker_of_many_packs_is_told_once():
    told = _called_back(4, 3, 2)
    sheet = Printed(recall_sheet(told, printed=PRINTED))
    assert len([r for r in sheet.rects() if abs(r[1] - 9) < 0.1 and abs(r[0] - 23) < 0.1]) == 12 + 2  # came back: each; told: one a taker
    assert "to 2 takers" in sheet.text and sheet.letters.count("01632960001") == 2


def test_a_long_recall_is_whole_and_names_the_taker_on_every_side():
    told = _called_back(130, 6, 4)
    sheet = Printed(recall_sheet(told, printed=PRINTED))
    words = sheet.text.replace("\u00a0", " ")
    at = words.index("One call each")
    tell, rest = words[at : words.index("3. What is concerned")], words[words.index("3. What is concerned") :]
    for k in range(4):
        mine = {(p.code, n) for p in told.packs for to, _, n, _ in p.handed if to == f"taker {k}"}
        part = "".join(re.split(r"taker \d, ", tell)[i + 1] for i, name in enumerate(re.findall(r"taker (\d), ", tell)) if int(name) == k)
        found = [(code, int(n)) for code, n in re.findall(r"(FH-K-\d+) × (\d+)", part)]
        assert set(found) == mine and len(found) == sum(to == f"taker {k}" for p in told.packs for to, *_ in p.handed)
        assert all(part.count(f"{day} Nov 2024") for day in (20, 21, 22))
    assert all("taker" in (page.extract_text() or "") for page in sheet.pages if " × " in (page.extract_text() or ""))
    assert all(p.code in rest for p in told.packs) and f"{sum(p.left for p in told.packs)} packs of {sum(p.left > 0 for p in told.packs)} kinds" in words


def test_a_recall_of_thousands_takes_a_side_for_a_hundred_of_them():
    """A row and a box for each takes a side for fifteen, and memory with it."""
    made = press.pdf(recall_sheet(_called_back(1000, 6, 60), printed=PRINTED))
    sides = pypdfium2.PdfDocument(made)
    words = " ".join("".join(sides[n].get_textpage().get_text_bounded() for n in range(len(sides))).replace("\u00a0", " ").split())
    assert len(sides) < (1000 + 6000) / 100 and "taker 59" in words
    last = words[words.index("3. What is concerned") :]
    assert all(f"FH-K-{n} {n % 3} of 24" in last for n in range(1000))
    assert last.count("smoked belly, 180 g, use by 24 Dec 2024") == 5  # said once for two hundred packs


def test_a_pack_of_the_notebook_becomes_a_label(book):
    notebook, codes = book
    pack, count, country = pack_of(notebook, codes["pack"], link="http://192.168.1.20:8000/c/X")
    assert count == 6 and country == "gb" and [i.name for i in pack.ingredients] == ["pork collar", "salt", "curing salt"]
    assert [i.grams for i in pack.ingredients] == [1380, 29.4, 2.6] and pack.ingredients[2].curing_salt == 0.0625
    sheet = Printed(pack_labels([(label(pack, home=True), count)]))
    assert sheet.codes() == ["http://192.168.1.20:8000/c/X"] * 6 and "180 g" in sheet.text
    with pytest.raises(BadBrief, match="operator"):
        label(pack, country)


def test_markup_in_notes_and_names_prints_as_it_is(lot):
    text = "#panic() $x$ *b* _i_ @r <l> \\e"
    batch = lot.batches[0]
    bad = replace(lot, title=text, kitchen=text, batches=(replace(batch, name=text, note=text, rows=(replace(batch.rows[0], what=text, value=text, act=text),)),))
    assert Printed(record(bad)).letters.count(text.replace(" ", "")) >= 6


def test_two_hundred_rows_repeat_their_head_and_stay_whole(lot):
    batch = lot.batches[0]
    sheet = Printed(record(replace(lot, batches=(replace(batch, rows=batch.rows * 22),))))
    tables = [p for p in sheet.pages if "critical limit, clause" in (p.extract_text() or "")]
    assert len(tables) >= 15 and len(sheet.pages) < 60
    assert f"page 2 of {len(sheet.pages)}" in sheet.text


def test_the_same_record_gives_the_same_bytes(lot):
    assert press.pdf(record(lot, printed=PRINTED)) == press.pdf(record(lot, printed=PRINTED))


def test_a_deviation_never_leaves_its_reading(lot):
    """On whatever line of a side the reading falls, its deviation stands on the same side."""
    batch = lot.batches[0]
    plain = next(r for r in batch.rows if r.value == "29.4 g")
    bad = next(r for r in batch.rows if r.deviations)
    for before in range(1, 12, 2):
        sheet = Printed(record(replace(lot, batches=(replace(batch, rows=(plain,) * before + (bad,)),))))
        for page in sheet.pages:
            text = page.extract_text() or ""
            assert ("7.8 °C" in text.replace("\u00a0", " ")) == ("Deviation, today" in text)
