"""Writing at the bench and reading the book: taps only, asked before a second dosing, nothing unsaid."""

import re
from datetime import UTC, datetime, timedelta
from html import unescape

import pytest
from tests.web.visitor import Visitor, text, uid

from ingle.faces.web.pages.pad import _pressed
from ingle.ground.things import Piece
from ingle.jobs import kitchen as kitchens
from ingle.jobs import record
from ingle.jobs.begun import expected_g
from ingle.jobs.book import leaf
from ingle.notebook.store import open_notebook


def twelve(visitor, count=12):
    """A batch of pieces, laid in by the jobs themselves."""
    with open_notebook(visitor.config.notebook) as book:
        codes = [kitchens.cut(book, Piece(1200.0 + 10 * n, 45.0, name=f"Piece {n + 1}")).code for n in range(count)]
        return kitchens.lay_in(book, "Loin", part="loin", craft="cure", takes=codes).code


def written(visitor, code):
    """What counts in a batch: kind, piece, row."""
    with open_notebook(visitor.config.notebook) as book:
        return leaf(book, code)


def press(visitor, page, code, keys):
    """Keys one by one as a page without scripts sends them, each from the form that came back."""
    for key in keys:
        page = visitor.post(f"/book/{code}/weigh", key=key, **fields(page.text))
    return page


def fields(html):
    """Hidden fields and figure of the pad's own form."""
    form = html[html.index('id="pad"') :]
    return {name: re.search(rf'name="{name}" value="([^"]*)"', form)[1].replace("&#43;", "+") for name in ("uid", "piece", "since", "figure")}


def test_twelve_pieces_are_weighed_in_a_row_by_taps_alone_without_scripts(visitor):
    code = twelve(visitor)
    page = visitor.get(f"/book/{code}/weigh")
    for n in range(12):
        assert f"Weigh Piece {n + 1}." in text(page.text) and f"{n + 1} of 12" in text(page.text)
        page = press(visitor, page, code, f"1.{n:02d}")
        assert f"Record 1.{n:02d}\u00a0kg" in page.text  # the button says what it will store
        page = visitor.post(f"/book/{code}/weigh", record="1", **fields(page.text))
    assert page.url.path == f"/book/{code}" and "In the book" in page.text
    assert [p.last_g for p in written(visitor, code).pieces] == pytest.approx([1000.0 + 10 * n for n in range(12)])


def test_a_press_sent_twice_writes_once_and_undo_withdraws_it(visitor):
    code = twelve(visitor, 2)
    page = press(visitor, visitor.get(f"/book/{code}/weigh"), code, "1.2")
    sent = fields(page.text)
    for _ in range(2):
        page = visitor.post(f"/book/{code}/weigh", record="1", **sent)
    assert "2 of 2" in text(page.text) and [len(e.versions) for e in written(visitor, code).entries] == [1]
    row = re.search(r'name="row" value="([^"]+)"', page.text)[1]
    visitor.post("/undo", kind="reading", row=row, uid=uid(page.text), back=f"/book/{code}")
    (entry,) = written(visitor, code).entries
    assert entry.now.void and [v.row.weight_g for v in entry.versions] == [1200.0, 1200.0]
    assert "<s>" in visitor.get(f"/book/{code}").text and "withdrawn" in visitor.get(f"/book/{code}").text


@pytest.mark.parametrize(("keys", "figure"), [("1.33", "1.33"), (".5", "0.5"), ("007", "7"), ("0.05", "0.05"), ("1..2", "1.2"), ("12x", "12"), (["1", "2", "back"], "1"), ("123456789", "12345678")])
def test_keys_make_figures(keys, figure):
    got = ""
    for key in keys:
        got = _pressed(got, key)
    assert got == figure


def test_a_weight_that_is_none_is_asked_again_and_nothing_is_stored(visitor):
    code = twelve(visitor, 1)
    page = visitor.get(f"/book/{code}/weigh")
    answer = visitor.post(f"/book/{code}/weigh", record="1", **(fields(page.text) | {"figure": "heavy"}))
    assert answer.status_code == 422 and "not a weight" in answer.text and written(visitor, code).entries == ()


def test_the_verdict_stands_before_the_press_and_out_of_range_is_stored_all_the_same(visitor):
    code = visitor.lay_in(date="2026-11-01")
    band = expected_g(Piece(1380, 50), {"salt": 32.1, "curing-salt@6.25%": 2.6}, 24 * 24.0)
    assert band.low < band.likely < band.high < 1380 * 1.1
    page = visitor.get(f"/book/{code}/weigh")
    assert "expected" in text(page.text)
    inside = press(visitor, page, code, f"{band.likely / 1000:.2f}")
    assert 'class="v within"' in inside.text
    outside = press(visitor, visitor.get(f"/book/{code}/weigh"), code, "0.90")
    assert "outside what is expected" in text(outside.text)
    assert "Record 0.90 kg (900 g)" in text(outside.text)  # as pressed, and as this house writes that weight
    stored = text(visitor.post(f"/book/{code}/weigh", record="1", **fields(outside.text)).text)
    assert "Collar: 0.90 kg (900 g)" in stored and "0.90 kg (900 g) is stored" in stored
    row = written(visitor, code).entries[0].now.uid
    lied = text(visitor.get(f"/book/{code}", wrote=row, kind="reading", what="Collar: 0.91 kg").text)
    assert "900 g is stored" in lied and "0.91 kg is stored" not in lied  # an address cannot say what lies in the book
    assert written(visitor, code).pieces[0].last_g == 900.0


def test_a_second_dosing_says_who_and_when_and_waits_for_yes(visitor):
    visitor.post("/theme", who="W", theme="")
    code = visitor.lay_in()
    piece = written(visitor, code).pieces[0].code
    page = visitor.get(f"/book/{code}/dose", piece=piece)
    assert "Dosed already" in page.text and "by W" in text(page.text)
    said = {"piece": piece, "item_0": "30", "uid": uid(page.text)}
    answer = visitor.post(f"/book/{code}/dose", **said)
    assert answer.status_code == 409 and "got 32.1 g of salt by W on" in text(answer.text) and 'value="30"' in answer.text
    assert len(written(visitor, code).pieces[0].doses) == 2
    visitor.post(f"/book/{code}/dose", again="1", **said)
    assert [d.weighed_g for d in written(visitor, code).pieces[0].doses if d.item == "salt"] == [32.1, 30.0]


def test_a_correction_stands_beside_what_it_corrects(visitor):
    code = visitor.lay_in()
    visitor.post(f"/book/{code}/read", temperature="6.2", note="door was open")
    page = visitor.get(f"/book/{code}")
    way = re.search(rf"/book/{code}/correct/reading/[0-9a-f-]+", page.text)[0]
    wrong = visitor.post(way, value="warm")
    assert wrong.status_code == 422 and 'value="warm"' in wrong.text and 'href="#value"' in wrong.text
    visitor.post("/theme", who="W", theme="")
    after = visitor.post(way, value="4.2", uid="7c0f4d3a-2222-4222-8222-000000000001")
    assert re.search(r'<b class="amt">4.2\u00a0°C</b>', after.text) and re.search(r"<s><b class=\"amt\">6.2\u00a0°C</b>", after.text)
    assert [v.row.temperature_c for v in written(visitor, code).entries[0].versions] == [4.2, 6.2]
    assert visitor.get(way).status_code == 404  # the newer one is corrected next


def test_begun_refuses_at_its_fields_and_keeps_all_that_was_typed(visitor):
    answer = visitor.post("/book/begun", name="", weight="1.38", thickness="thick", salt="", curing="2.6", packet="", temperature="4", date="soon", time="18:05")
    assert answer.status_code == 422
    for field in ("name", "thickness", "salt", "packet", "date"):
        assert f'href="#{field}"' in answer.text, field
    assert 'value="thick"' in answer.text and 'value="2.6"' in answer.text
    future = visitor.post("/book/begun", name="Collar", weight="1.38", salt="30", temperature="4", date="2031-01-01", time="18:05")
    assert future.status_code == 422 and "in the time to come" in future.text and 'href="#date"' in future.text


def test_begun_says_where_it_stands(visitor):
    code = visitor.lay_in(date="2026-11-10", time="18:05")
    said = text(visitor.get(f"/book/{code}").text)
    assert "Ready between" in said and "Pull no sooner than" in said and visitor.get(f"/book/{code}").text.count('class="grain"') >= 18
    assert "Tue 10" in said


def test_a_batch_is_done_again_less_salty_and_batches_compare_as_a_row_each(visitor):
    code = visitor.lay_in()
    shown = visitor.get(f"/book/{code}/again", weights="1.6", less="yes", date="2026-12-01")
    assert "1.60 kg" in text(shown.text) and re.search(r"Salt 2.25 % of green weight, was 2.5 %", text(shown.text)), text(shown.text)
    laid = visitor.post(f"/book/{code}/again", weights="1.6", less="yes", date="2026-12-01", salt="", uid=uid(shown.text))
    new = laid.url.path.rpartition("/")[2]
    assert new.startswith("TK-261201-") and code in laid.text and "planned" in text(laid.text)
    beside = visitor.get("/book/compare", b=[code, new])
    assert beside.text.count("<tr><th") == 3 and "2.50" in beside.text
    alone = visitor.get("/book/compare", b=[code])
    assert alone.status_code == 422 and "two or more" in text(alone.text)


def test_what_is_written_is_shown_and_never_run(visitor):
    bad = "<script>alert(1)</script><img src=x onerror=alert(2)>"
    code = visitor.lay_in(name=bad, note=bad)
    visitor.post(f"/book/{code}/read", note=bad)
    for place in (f"/book/{code}", "/book", "/", f"/book/{code}/weigh", f"/book/{code}/again"):
        html = visitor.get(place).text
        assert "<script>alert" not in html and "<img src=x" not in html
    assert "&lt;script&gt;alert(1)" in visitor.get(f"/book/{code}").text


def test_a_picture_that_is_none_is_refused_at_its_field(visitor):
    code = visitor.lay_in()
    answer = visitor.post(f"/book/{code}/read", files={"photo": ("a.jpg", b"<svg onload=alert(1)>", "image/jpeg")}, note="look")
    assert answer.status_code == 422 and "not a JPEG or PNG" in answer.text and 'value="look"' in answer.text
    assert all(e.kind == "dose" for e in written(visitor, code).entries)


def test_an_unknown_code_is_said(visitor):
    answer = visitor.get("/book/TK-000000-A")
    assert answer.status_code == 404 and "ingle today" not in answer.text and "There is no lot, piece, batch or pack" in answer.text


def test_two_kitchens_pages_do_not_meet(tmp_path, visitor):
    code = visitor.lay_in()
    other = Visitor(tmp_path, book="other.notebook").begin(prefix="TH")
    assert other.get(f"/book/{code}").status_code == 404


def test_a_piece_begun_without_a_thickness_waits_with_a_late_window_and_says_why(visitor):
    code, thin = visitor.lay_in(thickness="", name="Loin"), visitor.lay_in()
    page = text(visitor.get(f"/book/{code}").text)
    assert "Ready between" in page and "Assumed: thickness not measured" in page and "timed as 109 mm" in page
    assert "Assumed" not in text(visitor.get(f"/book/{thin}").text)
    blind, seen = written(visitor, code).lies, written(visitor, thin).lies
    assert blind.forecast.earliest_h > seen.forecast.earliest_h and blind.pull > seen.pull
    assert code in text(visitor.get("/").text)


def many(visitor, count=53):
    """As many batches, the newest last."""
    with open_notebook(visitor.config.notebook) as book:
        for n in range(count):
            kitchens.lay_in(book, f"Loin {n + 1}", part="loin", craft="cure", at=datetime(2026, 1, 1, 12, tzinfo=UTC) + timedelta(days=n))


def test_a_year_of_batches_is_leafed_through_in_pages_and_none_is_left_out(visitor):
    many(visitor)
    newest = visitor.get("/book", find="loin", state="going").text
    assert 'rel="next"' in newest and 'rel="prev"' not in newest and "Loin 53" in newest and ">Loin 3<" not in newest
    way = unescape(re.search(r'rel="next" href="([^"]+)"', newest)[1])
    oldest = visitor.get(way).text
    assert 'rel="prev"' in oldest and 'rel="next"' not in oldest and all(f"<b>Loin {n}</b>" in oldest for n in (1, 2, 3)) and "Loin 4" not in oldest
    listed = re.findall(r"<b>(Loin \d+)</b>", newest) + re.findall(r"<b>(Loin \d+)</b>", oldest)
    assert len(listed) == len(set(listed)) == 53
    for odd in ("0", "-1", "x", "9" * 30, "3"):
        assert visitor.get("/book", page=odd).status_code == 200


def test_twelve_pieces_that_got_the_same_are_asked_about_in_one_line_and_stand_folded(visitor):
    code = twelve(visitor)
    with open_notebook(visitor.config.notebook) as book:
        for piece in leaf(book, code).pieces:
            record.dose(book, piece.code, {"salt": 30.0, "curing-salt@6.25%": 1.0})
    asked = visitor.get(f"/book/{code}/dose").text
    assert text(asked).count("got salt 30.0") == 1 and "Piece 1, Piece 2, Piece 3 and 9 more each got" in text(asked)
    page = visitor.get(f"/book/{code}").text
    assert len(re.findall(r"<summary><span class=\"v within\">", page)) == 12
    assert re.search(r"<summary>12 pieces, 15\.06\s*kg green</summary>", visitor.get("/").text.replace("\u00a0", " "))


def test_of_a_batch_thrown_away_no_window_is_told(visitor):
    code = visitor.lay_in()
    page = visitor.get(f"/book/{code}").text
    assert "Pull no sooner than" in page
    gone = visitor.post(f"/book/{code}/end", state="discarded", uid=uid(page)).text
    assert "Pull no sooner than" not in gone and "thrown away" in text(gone)
