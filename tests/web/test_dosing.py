"""Doses by the weight that was read: a new green weight carries them, a second dose is asked about, every dose is judged where it is read."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import select
from tests.web.test_meal import wait
from tests.web.visitor import text, uid

from ingle.faces.web.briefs import keep
from ingle.faces.web.pages import meal
from ingle.ground import tables
from ingle.ground.things import Piece
from ingle.jobs import kitchen as kitchens
from ingle.jobs import record
from ingle.jobs.book import batches, leaf
from ingle.jobs.dossier_read import of_month
from ingle.jobs.green import planned_of
from ingle.jobs.take_plan import batches_of
from ingle.jobs.today import today
from ingle.notebook.models import Batch
from ingle.notebook.plans import PlannedStep, _step
from ingle.notebook.rows import only_kitchen
from ingle.notebook.store import open_notebook
from ingle.planning.kit import read_kit
from ingle.planning.plan import PlanPart, PlanStep, Weighing

# 2.2 g of a curing salt of 6.25 % on 1.2 kg: 2.2 * 0.0625 / 1.2 = 114.6 mg/kg; the same on 0.9 kg would be 152.8
PLANNED = {"salt": 27.9, "curing_salt": 2.2, "sugar": 6.0}


def planned(visitor, names=("Collar",), weight=1200.0):
    """A batch that waits for its dose, as a plan leaves it in the book."""
    formula = {
        "method": "dry", "green_weight_g": weight * len(names), "salt_per_green_weight": 0.025, "nitrite_mg_per_kg": 114.6, "curing_salt": "curing salt, 6.25 % sodium nitrite",
        "curing_salt_nitrite": 0.0625, "step_g": 0.1, "pieces": [{"name": n, "green_weight_g": weight, "grams": PLANNED} for n in names],
    }  # fmt: skip
    with open_notebook(visitor.config.notebook) as book:
        codes = [kitchens.cut(book, Piece(weight, 45.0, name=n)).code for n in names]
        at = datetime.now(UTC) + timedelta(hours=1)
        return kitchens.lay_in(book, "Collar", part="collar", craft="cure", takes=codes, state="planned", formula=formula, at=at).code


def told(visitor, code):
    """The batch as it stands."""
    with open_notebook(visitor.config.notebook) as book:
        return leaf(book, code)


def weigh(visitor, code, figure):
    """A weight by the pad."""
    page = visitor.get(f"/book/{code}/weigh")
    piece = re.search(r'name="piece" value="([^"]+)"', page.text)[1]
    return visitor.post(f"/book/{code}/weigh", record="1", figure=figure, piece=piece, since=datetime.now(UTC).isoformat(), uid=uid(page.text))


def fields(html):
    """What the dose form holds."""
    form = html[html.index('class="panel"') :]
    return dict(re.findall(r'name="(item_\d|piece|green|uid)" value="([^"]*)"', form))


def test_a_weight_read_before_the_cure_carries_the_dose_and_is_judged(visitor):
    code = planned(visitor)
    weigh(visitor, code, "1.05")
    page = visitor.get(f"/book/{code}/dose")
    said = text(page.text)
    assert "Planned 1.20 kg; 1.05 kg was weighed before the cure" in said and "Record as weighed" in said
    sent = fields(page.text)
    # shares of 1200 g on 1050 g: 27.9 -> 24.41 and 0.025 g of curing salt rounded away, up; 2.2 -> 1.925, down; 6.0 -> 5.25, up
    assert [sent[f"item_{i}"] for i in range(3)] == ["24.5", "1.9", "5.3"]
    visitor.post(f"/book/{code}/dose", **sent)
    piece = told(visitor, code).pieces[0]
    assert piece.green_g == 1050.0 and {d.item: d.weighed_g for d in piece.doses} == {"salt": 24.5, "curing-salt@6.25%": 1.9, "sugar": 5.3}
    assert {d.item: d.planned_g for d in piece.doses} == {"salt": 24.5, "curing-salt@6.25%": 1.9, "sugar": 5.3}
    shown = text(visitor.get(f"/book/{code}").text)
    assert "113 mg/kg" in shown, shown  # 1.9 * 0.0625 / 1.05


def test_a_weight_far_from_the_plan_is_asked_before_anything_is_dosed(visitor):
    code = planned(visitor)
    weigh(visitor, code, "0.90")
    page = visitor.get(f"/book/{code}/dose")
    assert "Yes, 900 g: record as weighed" in text(page.text)
    sent = {k: v for k, v in fields(page.text).items() if k != "green"}
    assert sent["item_1"] == "1.6" and float(sent["item_1"]) * 62.5 / 0.9 <= 114.6
    asked = visitor.post(f"/book/{code}/dose", **sent)
    assert asked.status_code == 409 and not told(visitor, code).facts.doses
    visitor.post(f"/book/{code}/dose", green="900.000", **sent)
    assert [d.weighed_g for d in told(visitor, code).pieces[0].doses] == [21.0, 1.6, 4.5]


def test_amounts_of_a_page_that_was_open_before_the_weight_came_are_not_stored_silently(visitor):
    code = planned(visitor)
    old = fields(visitor.get(f"/book/{code}/dose").text)
    assert old["item_1"] == "2.2"
    weigh(visitor, code, "0.98")
    answer = visitor.post(f"/book/{code}/dose", **old)
    assert answer.status_code == 409 and 'value="1.7"' in answer.text and not told(visitor, code).facts.doses


def test_a_weight_in_the_cure_is_no_green_weight(visitor):
    code = visitor.lay_in(date=(datetime.now(UTC) - timedelta(days=3)).date().isoformat())
    weigh(visitor, code, "1.33")
    piece = told(visitor, code).pieces[0]
    assert (piece.green_g, piece.last_g) == (1380.0, 1330.0)


def test_the_batch_says_that_its_piece_is_dosed_by_the_kitchens_clock(visitor):
    visitor.post("/house", name="Test kitchen", zone="Asia/Tokyo", mass="kg", temperature="C", use="table", kit="home", scale="0.1g")
    code = planned(visitor, ("A", "B"))
    first = told(visitor, code).pieces[0]
    visitor.post(f"/book/{code}/dose", **fields(visitor.get(f"/book/{code}/dose", piece=first.code).text))
    page = visitor.get(f"/book/{code}/dose")
    at = told(visitor, code).facts.doses[-1].at_utc
    assert "Dosed already" in page.text and (at + timedelta(hours=9)).strftime("%H:%M") in text(page.text) and "UTC" not in text(page.text)
    answer = visitor.post(f"/book/{code}/dose", item_0="50", uid=uid(page.text))  # on the whole batch, one piece of which has its salt
    assert answer.status_code == 409 and len(told(visitor, code).facts.doses) == 3


def test_three_grams_on_a_piece_that_was_begun_are_said_to_be_over(visitor):
    code = visitor.lay_in(weight="1.5", curing="3.0")  # 3.0 * 0.0625 / 1.5 = 125 mg/kg; 120 is the line for bacon of the US (9 CFR 424.22)
    said = text(visitor.get(f"/book/{code}").text)
    assert "125 mg/kg" in said and "Over the line" in said and "Not checked" in said


@pytest.mark.parametrize(("figure", "asks"), [("1.21", False), ("1.00", False), ("18.6", True), ("0.12", True)])
def test_a_weight_out_of_range_is_stored_and_asked_about_once(visitor, figure, asks):
    code = planned(visitor)
    page = weigh(visitor, code, figure)
    assert told(visitor, code).pieces[0].last_g == pytest.approx(float(figure) * 1000)
    assert ("Is it right?" in text(page.text)) is asks
    assert "Is it right?" not in text(visitor.get(f"/book/{code}").text)


def test_a_band_is_never_narrower_than_the_scale(visitor):
    code = visitor.lay_in()
    page = visitor.get(f"/book/{code}/weigh")
    low, high = (float(re.search(rf'data-{end}="([\d.]+)"', page.text)[1]) for end in ("low", "high"))
    assert high - low >= 0.02 - 1e-9


def with_steps(visitor, code):
    """Its cure and the turn of the box, planned for today."""
    now = datetime.now(UTC)
    cure = PlannedStep(
        "collar.cure", "collar", "Lay the collar in its cure", "waits", now + timedelta(minutes=20), now + timedelta(days=9),
        {"amounts": ["curing salt, 6.25 % sodium nitrite  2.2 g", "plain salt  27.9 g"], "say": ["mix salt and sugar well, rub all of it on"], "caution": ["wear gloves"],
         "attended": [[(now + timedelta(minutes=20)).isoformat(), (now + timedelta(minutes=40)).isoformat(), "A"],
                      [(now + timedelta(days=9)).isoformat(), (now + timedelta(days=9, minutes=5)).isoformat(), "A"]],
         "tends": [[(now + timedelta(hours=h)).isoformat(), (now + timedelta(hours=h, minutes=5)).isoformat(), "A", "Turn the collar over"] for h in (20, 30)]},
    )  # fmt: skip

    def work(session):
        batch = session.scalar(select(Batch).where(Batch.code == code))
        home = only_kitchen(session)
        batch.forecast = {"step": "collar.cure"}
        _step(session, home, "Supper", 1, cure, batch, None, "")

    with open_notebook(visitor.config.notebook) as book:
        book.write(work)


def tasks(visitor):
    """What is to do, by verb."""
    with open_notebook(visitor.config.notebook) as book:
        return {t.verb: t for t in today(book).tasks}


def test_a_turn_does_not_say_to_rub_the_cure_on_again(visitor):
    code = planned(visitor)
    with_steps(visitor, code)
    with open_notebook(visitor.config.notebook) as book:
        record.step(book, "collar.cure", began=datetime.now(UTC))
    turn = tasks(visitor)["Turn the collar over"]
    assert turn.say == () and turn.caution == () and turn.amounts == ()
    assert "rub all of it" not in visitor.get("/").text


def test_at_hand_says_that_it_is_weighed_in_or_the_amounts_for_the_weight_that_was_read(visitor):
    code = planned(visitor)
    with_steps(visitor, code)
    first = "Lay the collar in its cure: start"
    assert tasks(visitor)[first].amounts[0].endswith("2.2 g") and tasks(visitor)[first].say
    weigh(visitor, code, "1.05")
    said = " ".join(tasks(visitor)[first].amounts)
    assert "on Collar 1.05 kg, as weighed (planned 1.20 kg)" in said and "6.25 % sodium nitrite  1.9 g" in said and "plain salt  24.5 g" in said, said
    visitor.post("/theme", who="A", theme="")
    visitor.post(f"/book/{code}/dose", **fields(visitor.get(f"/book/{code}/dose").text))
    (line,) = tasks(visitor)[first].amounts
    at = told(visitor, code).facts.doses[-1].at_utc
    assert line == f"weighed in {at.astimezone(ZoneInfo('Europe/London')):%H:%M}, A" and "24.5 g" not in visitor.get("/").text


def test_a_batch_begins_in_the_record_with_its_first_step_or_dose_and_not_on_its_plans_day(visitor):
    code = planned(visitor)  # its plan lets it begin in an hour, in the record it begins with what was done
    with_steps(visitor, code)
    early = datetime.now(UTC).replace(microsecond=0) - timedelta(days=1)
    with open_notebook(visitor.config.notebook) as book:
        record.dose(book, code, {"salt": 27.9}, at=early)
        record.step(book, "collar.cure", began=early + timedelta(hours=2))
        month = early.astimezone(ZoneInfo("Europe/London")).date().replace(day=1)
        (batch,) = of_month(book, month).batches
        assert batch.began == early and batch.state == "going"
        assert not of_month(book, (month - timedelta(days=1)).replace(day=1)).batches


def test_the_houses_scale_goes_over_the_kits(tmp_path):
    kit = tables.data_path("kit", "home.toml")
    assert read_kit(Path(str(kit))).scale_steps_g == (1.0,)
    path = keep({"meal": {"name": "Supper"}}, tmp_path, Path(str(kit)), "0.1g")
    made, shipped = read_kit(path.with_name("supper.kitchen.toml")), read_kit(Path(str(kit)))
    assert made.scale_steps_g == (0.1,) and replace(made, scale_steps_g=shipped.scale_steps_g, file=shipped.file) == shipped


def test_a_coarse_scales_premix_is_told_on_the_meal_and_its_dose_is_judged(visitor, monkeypatch):
    monkeypatch.setattr(meal, "LIMIT_S", 8.0)
    visitor.post("/house", name="Test kitchen", zone="Europe/London", mass="kg", temperature="C", use="table", kit="home", scale="1g")
    day = (datetime.now(UTC) + timedelta(days=45)).date()
    day += timedelta(days=(5 - day.weekday()) % 7)
    page = wait(visitor, visitor.post(
        "/meal/plan", name="Supper", date=day.isoformat(), time="18:30", plates="8", g_collar="60", w_collar_0="1.2", t_collar_0="40", s_collar_0="none"
    ))  # fmt: skip
    said = text(page.text)
    assert "NITRITE PREMIX" in said and "Poison if used as table salt" in said and "close the jar, turn it over for three minutes" in said, said
    visitor.post("/meal/supper/take")
    with open_notebook(visitor.config.notebook) as book:
        (code,) = (b.code for b in batches(book) if b.part == "collar")
    offered = visitor.get(f"/book/{code}/dose")
    assert "mg/kg" in text(offered.text)  # judged before it is weighed: by the premix's own strength
    visitor.post(f"/book/{code}/dose", **fields(offered.text))
    salt = {d.item: d.weighed_g for d in told(visitor, code).pieces[0].doses}
    premix = next(k for k in salt if k.startswith("curing-salt@"))
    strength = float(premix.partition("@")[2].rstrip("%"))
    assert strength in (1.25, 0.625, 0.3125) and salt[premix] * strength * 10 / 1.2 <= 118.0  # no more than was wished
    assert f"{salt[premix] * strength * 10 / 1.2:.0f} mg/kg" in text(visitor.get(f"/book/{code}").text)


PACK = {"count": "6", "net": "180", "day": "2027-01-02", "kind": "use_by", "storage": "keep at or below 5 °C"}


def test_packs_of_a_cure_that_goes_on_or_of_an_open_stop_wait_for_a_yes(visitor):
    code = visitor.lay_in()
    assert "It lies in its cure: pull no sooner than" in text(visitor.get(f"/book/{code}/pack").text)
    answer = visitor.post(f"/book/{code}/pack", **PACK)
    assert answer.status_code == 409 and not told(visitor, code).packs and 'value="180"' in answer.text
    visitor.post(f"/book/{code}/pack", yes="1", **PACK)
    assert [p.count for p in told(visitor, code).packs] == [6]


def test_a_line_that_was_crossed_is_asked_until_it_is_settled_and_a_ready_piece_is_not_asked(visitor):
    code = visitor.lay_in(date=(datetime.now(UTC) - timedelta(days=60)).date().isoformat(), thickness="30")
    assert "Not to be packed yet" not in text(visitor.get(f"/book/{code}/pack").text)
    with open_notebook(visitor.config.notebook) as book:
        row = record.deviate(book, "fridge at 14 C for 9 h", about=code, level="stop", act="Throw it away.")
    said = text(visitor.get(f"/book/{code}/pack").text)
    assert "Stop, not settled: fridge at 14 °C for 9 h. Throw it away." in said, said
    assert visitor.post(f"/book/{code}/pack", **PACK).status_code == 409
    with open_notebook(visitor.config.notebook) as book:
        record.act_on(book, row.uid, "cooked at once", product="reworked", closes=True)
    assert visitor.post(f"/book/{code}/pack", **PACK).status_code == 200 and len(told(visitor, code).packs) == 1


def test_a_piece_with_its_rind_on_that_weighs_as_planned_keeps_its_dose():
    """It lies on the scale with its rind: its weight is compared with the whole, its nitrite with nine tenths of it (FSIS 7620.3)."""
    weighing = Weighing(
        "collar", "collar A", 1242.0, {"salt": 28.9, "curing_salt": 2.3, "sugar": 6.3}, 0.1, 0.025, 115.7, "curing salt, 6.25 % sodium nitrite", whole_g=1380.0, skin="one-face"
    )
    step = PlanStep("collar.cure", "collar", "Lay it in", datetime.now(UTC), datetime.now(UTC) + timedelta(days=9), ())
    plan = SimpleNamespace(parts=[PlanPart("collar", "Collar", "collar", 1000.0)], steps=[step], weighings=[weighing])
    (batch,) = batches_of(plan)
    (piece,) = batch.pieces
    assert (piece.weight_g, piece.skin) == (1380.0, "one-face")
    row = SimpleNamespace(green_weight_g=piece.weight_g)
    assert planned_of(batch.formula, 0, row, [row], 1380.0)["curing_salt"] == 2.3
    assert pytest.approx(115.7, abs=0.05) == 2.3 * 62.5 / (0.9 * 1.38)


def test_a_piece_that_was_weighed_and_holds_no_salt_yet_is_dosed_next(visitor):
    code = planned(visitor)
    first = re.compile(r'class="btn go big" href="/book/[^"]+/(\w+)')
    assert first.search(visitor.get(f"/book/{code}").text)[1] == "weigh"
    weigh(visitor, code, "1.21")
    page = visitor.get(f"/book/{code}").text
    assert first.search(page)[1] == "dose" and f"/book/{code}/weigh" in page
    visitor.post(f"/book/{code}/dose", **fields(visitor.get(f"/book/{code}/dose").text))
    assert told(visitor, code).pieces[0].doses and first.search(visitor.get(f"/book/{code}").text)[1] == "weigh"
