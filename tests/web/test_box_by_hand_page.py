"""The second door with several pieces: one box, a window for each, on every page that tells of it."""

from tests.web.visitor import text, uid

SAID = {"name": "Loin", "weight": "1.2", "thickness": "40", "shape": "slab", "skin": "none", "fat": "thin", "salt": "72.5", "temperature": "4", "packet": "6.25"}


def lay(visitor, **more):
    page = visitor.get("/book/begun")
    day = page.text.split('id="date" name="date" value="')[1][:10]
    return visitor.post("/book/begun", uid=uid(page.text), date=day, time="00:00", **(SAID | more))


def test_each_piece_of_a_box_stands_with_its_window_on_its_leaf_and_at_hand(visitor):
    answer = lay(visitor, w_1="0.9", t_1="55", w_2="0.8")
    assert answer.url.path.startswith("/book/"), text(answer.text)
    for told in (text(page.text).replace(" ,", ",") for page in (answer, visitor.get("/"))):
        for words in ("Loin A, 1.20 kg, 40 mm thick: ready between", "Loin B, 900 g, 55 mm thick: ready between", "Loin C, 800 g, 91 mm thick (not measured): ready between"):
            assert words in told, told
    leaf = text(answer.text)
    assert leaf.count("its share of salt 72.5 g in the box") == 3 and "nothing yet" not in leaf
    assert "Assumed: Loin C: thickness not measured" in leaf and "fat on top is timed as lean" in leaf


def test_one_piece_is_told_as_before(visitor):
    leaf = text(lay(visitor, fat="none").text)
    assert "Pull no sooner than" in leaf and "Loin A" not in leaf and "Assumed" not in leaf


def test_a_thickness_without_a_weight_is_asked_and_nothing_is_written(visitor):
    answer = lay(visitor, t_1="55")
    assert answer.status_code == 422 and "Piece B has a thickness and no weight" in text(answer.text) and "<details open>" in answer.text
    wrong = lay(visitor, w_1="heavy")
    assert wrong.status_code == 422 and 'value="heavy"' in wrong.text and "Loin" not in text(visitor.get("/book").text)


def test_a_box_is_weighed_in_a_row_and_its_label_asks_before_it_is_packed(visitor):
    code = lay(visitor, w_1="0.9", t_1="55").url.path.rpartition("/")[2]
    assert "1 of 2" in text(visitor.get(f"/book/{code}/weigh").text)
    assert "It lies in its cure: pull no sooner than" in text(visitor.get(f"/book/{code}/pack").text)
