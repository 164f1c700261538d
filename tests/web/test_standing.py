"""What is printed or shown after a weighing holds for the weight that was read; what was printed before says for which weight it holds; pieces of one box."""

import io
import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pdfplumber
import pytest
from tests.web.test_places import planned  # noqa: F401  a plan in the book
from tests.web.visitor import text

from ingle.faces.cli.main import main
from ingle.faces.web.security import Session
from ingle.ground.things import Piece
from ingle.jobs import kitchen as kitchens
from ingle.jobs import record
from ingle.jobs.book import leaf
from ingle.jobs.plan_now import as_it_stands
from ingle.jobs.today import today
from ingle.planning import planfile
from ingle.planning.doses import ready_dates


@pytest.fixture
def kitchen(planned):  # noqa: F811
    """Visitor, plan, its book, the step in which both collars lie, the code of their batch and of their piece."""
    visitor, plan = planned
    book = visitor.app.state.shelf.book(Session("x"))
    cure = next(s for s in plan.steps if s.pieces)
    with book.look() as session:
        from sqlalchemy import select

        from ingle.notebook.models import Batch

        code = session.scalar(select(Batch.code).where(Batch.part == cure.part))
    return visitor, plan, book, cure, code, leaf(book, code).pieces[0]


def words(content):
    with pdfplumber.open(io.BytesIO(content)) as found:
        return " ".join(" ".join((p.extract_text() or "").split()) for p in found.pages)


def papers(visitor, day):
    """Day sheet as file and as PDF, and the tags, as they are read."""
    pdf = words(visitor.get(f"/papers/day/{day}.pdf").content)
    return text(visitor.get(f"/papers/day/{day}.html").text), pdf, words(visitor.get("/papers/plan/tags.pdf").content)


def test_papers_follow_the_scale_and_older_ones_say_their_weight(kitchen, capsys, tmp_path, monkeypatch):
    visitor, plan, book, cure, code, piece = kitchen
    day = cure.start.date()
    old = next(w for w in plan.weighings if w.part == cure.part)
    sheet, pdf, tags = papers(visitor, day)
    for paper in (sheet, pdf):
        assert "weigh, then take these amounts only at that weight" in paper and "as weighed (planned" not in paper
        assert f"{old.grams['salt']:.1f}\u00a0g" in paper or f"{old.grams['salt']:.1f} g" in paper
    assert "weigh, then dose" in tags and "rinted" in pdf

    record.reading(book, piece.code, weight_g=piece.told_g * 0.9, who="A")
    now = as_it_stands(book, plan, datetime.now(UTC))
    new = next(w for w in now.weighings if w.part == cure.part)
    # the same shares of nine tenths, salt up to the scale's step with what rounding takes from the curing salt, curing salt down
    assert new.basis == "weighed" and new.grams["curing_salt"] == pytest.approx(math.floor(old.grams["curing_salt"] * 9 + 1e-6) / 10)
    assert old.grams["salt"] * 0.9 - 1e-6 <= new.grams["salt"] <= old.grams["salt"] * 0.9 + 0.2
    assert new.nitrite_mg_per_kg <= old.nitrite_mg_per_kg + 1e-9 and new.salt_per_green_weight == pytest.approx(old.salt_per_green_weight, abs=2e-4)
    assert leaf(book, code).pieces[0].planned == {"salt": new.grams["salt"], "curing-salt@6.25%": new.grams["curing_salt"], "sugar": new.grams["sugar"]}
    sheet, pdf, tags = papers(visitor, day)
    for paper in (sheet, pdf):
        assert "as weighed (planned" in paper and "only at that weight" not in paper
        assert f"{new.grams['salt']:.1f}" in paper
    assert f"{old.grams['salt']:.1f}" not in sheet
    assert "as weighed" in tags and f"salt {new.grams['salt']:.1f} g" in tags and "weigh, then dose" not in tags

    # the command prints the same where a notebook knows the plan, and the plan's own where none does or another number is kept
    folder = tmp_path / "try" / "fern.plan"
    planfile.write(plan, folder)
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("INGLE_NOTEBOOK", raising=False)
    own = ["sheet", str(folder), "--day", day.isoformat()]
    assert main([*own, "--notebook", visitor.config.notebook]) == 0
    assert f"plain salt {new.grams['salt']:.1f} g" in " ".join(capsys.readouterr().out.split())
    assert main(own) == 0
    assert f"plain salt {old.grams['salt']:.1f} g" in " ".join(capsys.readouterr().out.split())
    assert as_it_stands(book, replace(plan, number=plan.number + 1), datetime.now(UTC)).weighings == plan.weighings

    record.dose(book, piece.code, {"salt": 20.0, "curing-salt@6.25%": 1.8}, who="B")
    sheet, pdf, tags = papers(visitor, day)
    assert "weighed in" in sheet and ", B" in sheet and "if it weighs otherwise" not in pdf
    assert "weighed in: salt 20.0 g, curing salt 1.8 g" in tags


def test_what_went_on_the_whole_batch_stands_on_its_papers_as_weighed_in(kitchen):
    visitor, plan, book, cure, code, _ = kitchen
    record.dose(book, code, {"salt": 41.0, "curing-salt@6.25%": 3.0}, who="B")
    now = as_it_stands(book, plan, datetime.now(UTC))
    new = next(w for w in now.weighings if w.part == cure.part)
    assert new.basis == "dosed" and new.grams == {"salt": 41.0, "curing_salt": 3.0}
    assert new.nitrite_mg_per_kg == pytest.approx(3.0 * 0.0625 / new.green_weight_g * 1e6)
    assert "weighed in: salt 41.0 g, curing salt 3.0 g" in papers(visitor, cure.start.date())[2]


def test_a_weight_read_as_planned_is_told_as_weighed(kitchen):
    _, plan, book, cure, _, piece = kitchen
    record.reading(book, piece.code, weight_g=piece.told_g)
    now = as_it_stands(book, plan, datetime.now(UTC))
    new, old = (next(w for w in p.weighings if w.part == cure.part) for p in (now, plan))
    assert new.basis == "weighed" and new.grams == old.grams
    amounts = next(s.amounts for s in now.steps if s.id == cure.id)
    assert "as weighed" in amounts[0] and "planned" not in amounts[0]


def test_each_piece_of_a_box_is_told_with_its_own_window(kitchen, capsys):
    visitor, _, book, cure, code, _ = kitchen
    assert [(p.name, p.thickness_mm, p.assumed) for p in cure.pieces] == [("A", 40.0, False), ("B", 38.0, False)]
    thick, thin = cure.pieces
    assert thin.forecast.likely_h < thick.forecast.likely_h  # two millimetres less
    assert thick.ready == cure.ready == ready_dates(cure.start, thick.forecast)  # the box waits for the slowest
    began = min(cure.start.astimezone(UTC), datetime.now(UTC) - timedelta(hours=1))
    record.step(book, cure.id, began=began)
    now = began + timedelta(minutes=30)  # it lies there then, whenever this plan lets it end
    object.__setattr__(visitor.config, "clock", lambda: now)
    (row,) = [w for w in today(book, now=now).waiting if w.batch == code]
    assert [p.name for p in row.pieces] == ["A", "B"]
    assert (row.pieces[1].ready[1] - began).total_seconds() / 3600 == pytest.approx(thin.forecast.likely_h, abs=1e-6)
    page = text(visitor.get("/").text)
    for p in cure.pieces:
        assert f"{p.name} , {p.weight_g:.0f} g, {p.thickness_mm:.0f} mm thick: ready between" in page
    told = next(w for w in visitor.get("/api/today").json()["waiting"] if w["batch"] == code)
    assert [p["thickness_mm"] for p in told["pieces"]] == [40.0, 38.0] and all(len(p["ready"]) == 3 for p in told["pieces"])
    main(["today", "--notebook", visitor.config.notebook, "--now", f"{now.astimezone(cure.start.tzinfo):%Y-%m-%d %H:%M}"])
    out = capsys.readouterr().out
    assert "A: 954 g, 40 mm thick; ready between" in " ".join(out.split()) and max(len(line) for line in out.splitlines() if visitor.config.notebook not in line) <= 80


def test_pieces_that_were_laid_in_together_by_hand_stand_under_their_box(visitor):
    book = visitor.app.state.shelf.book(Session("x"))
    codes = [kitchens.cut(book, Piece(g, mm, name=n)).code for n, g, mm in (("A", 1380.0, 50.0), ("B", 900.0, None))]
    code = kitchens.lay_in(book, "Collars", part="collar", craft="cure", takes=codes, state="going").code
    visitor.lay_in()  # one that lies alone is its own row
    told = today(book)
    assert {c: [(p.name, p.weight_g, p.assumed) for p in some] for c, some in told.boxes.items()} == {code: [("A", 1380.0, False), ("B", 900.0, True)]}
    page = text(visitor.get("/").text)
    assert "A, 1.38 kg green, 50 mm thick" in page and "B, 900 g green, thickness not measured" in page
    going = {g["code"]: [p["name"] for p in g["pieces"]] for g in visitor.get("/api/today").json()["going"]}
    assert going[code] == ["A", "B"] and sorted(map(len, going.values())) == [0, 2]
