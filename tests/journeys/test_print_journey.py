"""``ingle print`` from a plan, a label file and a notebook to files on disk."""

from __future__ import annotations

import io
import shlex
import subprocess
import sys
from pathlib import Path

import pdfplumber
import pytest
from tests.faces.sample_book import fill
from tests.faces.sample_plan import sample_plan

from ingle.faces.cli.main import main
from ingle.faces.cli.print_cmd import KINDS
from ingle.notebook.store import open_notebook
from ingle.planning import planfile

LABEL = """
[label]
name = "Rye-wheat loaf"
lot = "FH-261218-B"
net = "800g"
best_before = 2026-12-22
made = 2026-12-18
storage = "Keep dry."
operator = "Fernhollow Society, Fernhollow"
exempt = "handed straight to the eater"
[[ingredient]]
name = "strong wheat flour"
weight = "500g"
allergens = ["gluten"]
[[ingredient]]
name = "buttermilk"
weight = "180g"
allergens = ["milk"]
"""


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    root = tmp_path_factory.mktemp("print")
    planfile.write(sample_plan(), root / "fern.plan")
    (root / "loaf.toml").write_text(LABEL)
    with open_notebook(str(root / "book"), create=True) as book:
        return root, fill(book)


def words(path: Path) -> str:
    with pdfplumber.open(io.BytesIO(path.read_bytes())) as found:
        return " ".join((p.extract_text() or "") for p in found.pages)


@pytest.mark.parametrize(
    ("line", "holds"),
    [
        ("sheet {root}/fern.plan --day 2026-12-13 --lot FH-261127-A --printed 2026-12-12T21:05", "Sunday 13 December"),
        ("sheet {root}/fern.plan --day 2026-11-27 --paper letter", "if it weighs otherwise"),
        ("card {root}/fern.plan --hours 2h", "table 18:30"),
        ("shopping {root}/fern.plan", "To buy"),
        ("timeline {root}/fern.plan --paper a3", "The same, as a list"),
        ("tag {root}/fern.plan --lot FH-261127-A", "FH-261127-A"),
        ("tag --jar Relish --made 2026-12-06 --eat-by 2027-01-20 --weight 210g --holds mustard", "holds mustard"),
        ("label {root}/loaf.toml --rules gb --count 3 --start 4 --offset 0.5,-0.5", "Best before 22 Dec 2026"),
        ("label {root}/loaf.toml --home --stock roll-62 --address http://192.168.1.20:8000", "not for sale"),
        ("label {pack} --home --notebook {root}/book", "180 g"),
        ("label --ruled --stock letter-10", "101.6"),
        ("record {batch} --notebook {root}/book --printed 2024-12-02T09:00", "Corrective action"),
        ("record --month 2024-11 --notebook {root}/book", "November 2024"),
        ("recall {lot} --notebook {root}/book --why notice", "4 handed out to 2 takers"),
    ],
)
def test_each_kind_is_printed_to_a_file_and_twice_the_same(place, line, holds, capsys):
    root, codes = place
    out = root / "out.pdf"
    args = ["print", *shlex.split(line.format(root=root, **codes)), "--out", str(out)]
    assert main(args) == 0
    first = out.read_bytes()
    assert holds in words(out) and "written:" in capsys.readouterr().err
    assert main(args) == 0 and out.read_bytes() == first


def test_pages_as_pictures_get_a_number_each_and_stdout_takes_a_pdf(place):
    root, _ = place
    assert main(["print", "tag", f"{root}/fern.plan", "--out", f"{root}/tag.png", "--ppi", "80"]) == 0
    assert (root / "tag-1.png").read_bytes()[:4] == b"\x89PNG" and (root / "tag-2.png").is_file()
    assert main(["print", "card", f"{root}/fern.plan", "--out", f"{root}/card.svg"]) == 0 and (root / "card.svg").read_text().startswith("<svg")
    command = f"from ingle.faces.cli.main import main; main(['print', 'card', '{root}/fern.plan'])"
    assert subprocess.run([sys.executable, "-c", command], capture_output=True, check=True).stdout.startswith(b"%PDF")


@pytest.mark.parametrize(
    "line",
    [
        "sheet {root}/none.plan --day fri --out {root}/x.pdf", "sheet {root}/fern.plan --day 2027-01-01 --out {root}/x.pdf",
        "sheet {root}/fern.plan --day 2026-12-13 --paper a9 --out {root}/x.pdf", "sheet {root}/fern.plan --day 2026-12-13 --out {root}/x.doc",
        "sheet {root}/fern.plan --day 2026-12-13 --printed soon --out {root}/x.pdf", "label {root}/loaf.toml --out {root}/x.pdf",
        "label {root}/loaf.toml --rules fr --out {root}/x.pdf", "label {root}/loaf.toml --home --stock b5 --out {root}/x.pdf",
        "label {root}/loaf.toml --home --start 25 --out {root}/x.pdf", "label {root}/loaf.toml --home --offset 9,9 --out {root}/x.pdf",
        "label {root}/loaf.toml --home --offset right --out {root}/x.pdf", "label {root}/loaf.toml --home --address ftp://x --out {root}/x.pdf",
        "label --out {root}/x.pdf", "label {root}/none.toml --home --out {root}/x.pdf", "record --out {root}/x.pdf",
        "record --month 2024-13 --notebook {root}/book --out {root}/x.pdf", "tag --out {root}/x.pdf", "tag --jar x --made soon --out {root}/x.pdf",
    ],
)  # fmt: skip
def test_what_cannot_be_printed_is_refused_and_nothing_is_written(place, line, capsys):
    root, codes = place
    assert main(["print", *shlex.split(line.format(root=root, **codes))]) in (1, 2)
    assert not (root / "x.pdf").exists() and len(capsys.readouterr().err.strip().splitlines()) >= 2


def test_a_code_that_is_not_there_is_refused(place):
    root, _ = place
    assert main(["print", "record", "FH-000000-A", "--notebook", f"{root}/book", "--out", f"{root}/x.pdf"]) == 1


def test_explained_labels_name_their_clauses(place, capsys):
    root, _ = place
    assert main(["print", "label", f"{root}/loaf.toml", "--rules", "eu", "--explain"]) == 0
    told = capsys.readouterr().out
    flat = " ".join(told.split())
    assert "Art. 21(1)(b), Annex II (quoted)" in flat and "Annex I, 3.1 (memory)" in flat and "(gap)" in flat
    assert all(len(line) <= 80 for line in told.splitlines())


def test_a_label_that_does_not_fit_names_the_sheets_it_fits_on(place, capsys):
    root, _ = place
    (root / "long.toml").write_text((root / "loaf.toml").read_text().replace('storage = "', 'storage = "' + "Keep it dry and out of the sun. " * 6))
    assert main(["print", "label", f"{root}/long.toml", "--rules", "eu", "--stock", "letter-30", "--out", f"{root}/long.pdf"]) == 2
    told = capsys.readouterr().err
    named = told.partition("it fits on: ")[2].partition(".")[0].split(", ")
    assert "roll-62" in named and "letter-30" not in named and not (root / "long.pdf").exists()
    assert main(["print", "label", f"{root}/long.toml", "--rules", "eu", "--stock", named[0], "--out", f"{root}/long.pdf"]) == 0


def test_papers_of_a_plan_and_of_a_label_file_leave_the_notebook_alone(place):
    root, _ = place
    for line in (f"sheet {root}/fern.plan --day 2026-12-13 --out {root}/y.pdf", f"label {root}/loaf.toml --home --out {root}/y.pdf"):
        code = f"import sys; from ingle.faces.cli.main import main; main({['print', *shlex.split(line)]!r}); print('\\n'.join(sys.modules))"
        modules = set(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split())
        assert not modules & {"sqlalchemy", "alembic", "scipy", "ortools", "ingle.notebook.store"}


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_help_ends_with_an_example_that_is_a_command(kind, capsys):
    assert main(["print", kind, "--help"]) == 0
    assert f"ingle print {kind} " in capsys.readouterr().out


def test_the_label_file_of_the_documentation_is_printed(place):
    root, _ = place
    told = (Path(__file__).parents[2] / "docs" / "paper.md").read_text(encoding="utf-8").partition("```toml\n")[2].partition("```")[0]
    (root / "doc.toml").write_text(told, encoding="utf-8")
    assert main(["print", "label", f"{root}/doc.toml", "--rules", "gb", "--out", f"{root}/doc.pdf"]) == 0
    assert "preservative: sodium nitrite (E250)" in words(root / "doc.pdf").replace("\n", " ")
